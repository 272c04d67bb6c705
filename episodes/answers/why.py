"""Why a start is where it is: from now to it, what waited for what."""

from dataclasses import dataclass

from episodes.answers.check import answer
from episodes.answers.names import Thing
from episodes.answers.planning import Planning, plan_season
from episodes.answers.rows import CheckAnswer, StepRow
from episodes.answers.waiting import STAGE_WORDS, Waiting
from episodes.model.season import Season


@dataclass(frozen=True, slots=True)
class WhyLink:
    """One link of the chain: a thing and what it waited for, in words. UTC minutes."""

    id: str | None
    start: int | None
    finish: int | None
    kind: str
    text: str
    episode: str = ""
    """Its room; "" for the room that was asked about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyAnswer:
    """The chain ends with the thing itself."""

    id: str
    episode: str
    title: str
    start: int | None
    finish: int | None
    chain: tuple[WhyLink, ...]
    slack_min: int | None
    slack_work_min: int | None
    critical: bool
    zone: str


def why(season: Season, thing: Thing) -> WhyAnswer:
    """The chain of causes of one start.

    Raises:
        PlanError: faults that only the network shows.
    """
    planning = plan_season(season)
    return explain(planning, answer(planning), thing.episode, thing.id)


def explain(planning: Planning, judged: CheckAnswer, episode: str, id: str) -> WhyAnswer:
    """As `why`, of a season already planned and judged."""
    rows = {(e.id, row.id): row for e in judged.episodes for row in e.steps}
    if id == "release":
        row = _last_to_be_ready(judged, episode)
    else:
        row = rows.get((episode, id)) or _first_of_job(judged, episode, id)
    waiting = Waiting(planning, judged, rows)
    links: list[WhyLink] = []
    seen: set[tuple[str, str]] = set()
    at: StepRow | None = row
    while at is not None and (at.episode, at.id) not in seen:
        seen.add((at.episode, at.id))
        text, before = _words(planning, waiting, rows, at)
        links.append(WhyLink(at.id, at.start, at.finish, at.kind, text, at.episode))
        at = before
    links.reverse()
    return WhyAnswer(
        id=id if id == "release" else row.id,
        episode=episode,
        title=row.title,
        start=row.start,
        finish=row.finish,
        chain=tuple(links),
        slack_min=row.slack_min,
        slack_work_min=row.slack_work_min,
        critical=row.critical,
        zone=judged.zone,
    )


def _last_to_be_ready(judged: CheckAnswer, episode: str) -> StepRow:
    """What decides when the room's video is ready."""
    answered = judged.episode(episode)
    rows = [
        row
        for row in answered.steps
        if row.kind != "release" and row.finish == answered.ready_by and not row.optional
    ]
    if not rows:
        return next(row for row in answered.steps if row.kind == "release")
    return next((row for row in rows if row.critical), rows[0])


def _first_of_job(judged: CheckAnswer, episode: str, id: str) -> StepRow:
    rows = [row for row in judged.episode(episode).steps if row.job == id]
    return next((row for row in rows if row.state != "done"), rows[0])


def _words(
    planning: Planning,
    waiting: Waiting,
    rows: dict[tuple[str, str], StepRow],
    row: StepRow,
) -> tuple[str, StepRow | None]:
    """The sentence of one link, and the thing that comes before it in the chain."""
    if row.state == "done":
        return {"parcel": "in hand", "shot": "taken", "dry": "dry"}.get(row.kind, "done"), None
    if row.kind == "dry":
        return _drying(planning, row), rows.get((row.episode, row.id.removesuffix(".dry")))
    if row.kind == "release":
        return "the release is fixed", None
    if row.state == "started":
        return _begun(planning, row), None
    network = planning.network
    index = network.index.get((row.episode, row.id), network.during.get((row.episode, row.id), -1))
    placed = None if index < 0 else planning.plan.placed[index]
    if placed is None:
        return "no plan was found for it", None
    return waiting.sentence(row, network.activities[index], placed)


def _begun(planning: Planning, row: StepRow) -> str:
    if row.kind != "parcel":
        return "has begun and goes on from now"
    parcels = planning.season.episode(row.episode).parcels
    here = any(parcel.id == row.id and parcel.arrived is not None for parcel in parcels)
    return "in hand, and settles" if here else "on its way"


def _drying(planning: Planning, row: StepRow) -> str:
    """What a drying waits for: the coat, and how far it has to dry."""
    index = planning.network.index[row.episode, row.id.removesuffix(".dry")]
    stage = STAGE_WORDS[planning.network.dries[index].stage]
    begun = "the coat is on" if row.state == "started" else "begins when the coat is on"
    return f"{begun}; dries until it is {stage}"
