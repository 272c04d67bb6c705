"""Is each release met? The whole season judged, with every date a host asks for."""

from episodes.answers.costs import costs_of
from episodes.answers.health import health
from episodes.answers.last_arrivals import with_last_arrivals
from episodes.answers.notes import notes
from episodes.answers.overbooked import overbooked
from episodes.answers.parcel_rows import Budget, ParcelRows
from episodes.answers.planning import Planning, plan_season
from episodes.answers.proof import QUICK_EFFORT, Patience, settle
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, Metric, Money
from episodes.answers.step_rows import StepRows
from episodes.answers.verdicts import Judgement, judge, room_by
from episodes.answers.warnings import problems_of, ranked
from episodes.model.episode import Episode
from episodes.model.season import Season
from episodes.problems import Problem


def check(
    season: Season,
    *,
    only: str | None = None,
    patience: Patience | None = None,
    thorough: bool = False,
) -> CheckAnswer:
    """Plan and judge a season.

    Args:
        only: id of the one episode to answer for; all are planned either way.
        patience: for verdicts that plan and bounds leave open; by default a few seconds.
        thorough: spend it on the earliest ready moments and last arrivals too.

    Raises:
        PlanError: faults that only the network shows.
    """
    patience = patience or Patience(QUICK_EFFORT)
    planning = settle(plan_season(season), patience, thorough=thorough, only=only)
    if thorough:
        planning = with_last_arrivals(planning, patience, only=only)
    return answer(planning, only=only)


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
    wanting = {} if like is not None else overbooked(planning, judgements)
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
                wanting.get(episode.id, ()),
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
    wanting: tuple[Problem, ...],
) -> EpisodeAnswer:
    judgement = judgements[episode.id]
    critical: tuple[set[int], set[int]] = (set(), set())
    metrics: tuple[Metric, ...] = ()
    if like is not None:
        critical = _critical_of(planning, like)
        metrics = like.health
        wanting = tuple(problem for problem in like.problems if problem.code == "overbooked")
    elif episode.released is None:
        critical = planning.retimer.critical(episode.id)
        metrics = health(planning, episode, judgement, critical[0])
    problems = problems_of(planning, episode, judgement)
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
        problems=tuple(ranked([*problems, *wanting, *notes(episode, metrics)])),
        room=episode.room,
        cushion=planning.season.studio.cushion,
        jobs=tuple((job.id, job.title) for job in episode.jobs),
        health=metrics,
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
    found = costs_of(planning.network, episode)
    return Money(found.budget, found.planned, found.paid, found.left, found.unpriced)
