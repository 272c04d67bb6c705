"""Is each release met? The whole season judged, with every date a host asks for."""

from episodes.answers.parcel_rows import Budget, ParcelRows
from episodes.answers.planning import Planning, plan_season
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, Money
from episodes.answers.step_rows import StepRows
from episodes.answers.verdicts import Judgement, judge, room_by
from episodes.answers.warnings import problems_of
from episodes.model.episode import Episode
from episodes.model.season import Season


def check(season: Season, *, only: str | None = None) -> CheckAnswer:
    """Plan and judge a season.

    Args:
        only: id of the one episode to answer for; all are planned either way.

    Raises:
        PlanError: faults that only the network shows.
    """
    return answer(plan_season(season), only=only)


def answer(
    planning: Planning, *, only: str | None = None, like: CheckAnswer | None = None
) -> CheckAnswer:
    """The answer of a season already planned.

    Args:
        only: see `check`.
        like: an answer of nearly the same season: what takes a search of its own (critical, last
            arrivals) is taken over from it, so that a key on a screen is answered at once.
    """
    season = planning.season
    studio = season.studio
    budget = Budget()
    judgements = {episode.id: judge(planning, episode.id) for episode in season.episodes}
    return CheckAnswer(
        now=season.now,
        zone=studio.zone,
        read_as_of=season.read_as_of,
        season=studio.name,
        episodes=tuple(
            _episode(
                planning,
                episode,
                judgements,
                None if like is None else like.episode(episode.id),
                budget,
            )
            for episode in season.episodes
            if only is None or episode.id == only
        ),
        people={person.id: person.title for person in studio.people},
        spaces={space.id: space.title for space in studio.spaces},
        gear_titles={gear.id: gear.title for gear in studio.gear},
        currency=studio.currency,
    )


def _episode(
    planning: Planning,
    episode: Episode,
    judgements: dict[str, Judgement],
    like: EpisodeAnswer | None,
    budget: Budget,
) -> EpisodeAnswer:
    judgement = judgements[episode.id]
    critical: tuple[set[int], set[int]] = (set(), set())
    if like is not None:
        critical = _critical_of(planning, like)
    elif episode.released is None:
        critical = planning.retimer.critical(episode.id)
    return EpisodeAnswer(
        id=episode.id,
        title=episode.title,
        release=episode.release,
        verdict=judgement.verdict,
        proved=judgement.proved,
        ready_by=judgement.ready_by,
        ready_floor=judgement.ready_floor,
        spare_min=judgement.spare_min,
        room_by=None
        if episode.released is not None
        else room_by(planning, episode.id, episode.room),
        steps=StepRows(planning, episode, critical).build(),
        parcels=ParcelRows(planning, episode, judgements, like, budget).build(),
        money=money(planning, episode),
        problems=tuple(problems_of(planning, episode, judgement)),
        room=episode.room,
        cushion=planning.season.studio.cushion,
        jobs=tuple((job.id, job.title) for job in episode.jobs),
    )


def _critical_of(planning: Planning, like: EpisodeAnswer) -> tuple[set[int], set[int]]:
    index = planning.network.index
    flagged = [row for row in like.steps if row.critical]
    return (
        {index[like.id, row.id] for row in flagged if (like.id, row.id) in index},
        {
            index[like.id, row.id.removesuffix(".dry")]
            for row in flagged
            if row.kind == "dry" and (like.id, row.id.removesuffix(".dry")) in index
        },
    )


def money(planning: Planning, episode: Episode) -> Money:
    """What it costs: paid where given, else cost, less refunds, of all that takes part."""
    absent = planning.network.absent
    planned = paid = 0.0
    unpriced = 0
    for parcel in episode.parcels:
        refunded = parcel.refunded or 0.0
        paid += (parcel.paid or 0.0) - refunded
        if (episode.id, parcel.id) in absent and not (parcel.paid or parcel.refunded):
            continue
        price = parcel.paid if parcel.paid is not None else parcel.cost
        planned += (price or 0.0) - refunded
        unpriced += price is None
    for job in episode.jobs:
        steps = [step for step in job.steps if (episode.id, step.id) not in absent]
        if steps:
            planned += job.cost or 0.0
        planned += sum(step.cost or 0.0 for step in steps)
    planned += sum(
        shot.cost or 0.0 for shot in episode.shots if (episode.id, shot.id) not in absent
    )
    planned, paid = round(planned, 2), round(paid, 2)
    left = None if episode.budget is None else round(episode.budget - planned, 2)
    return Money(episode.budget, planned, paid, left, unpriced)
