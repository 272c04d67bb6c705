"""Why a start is where it is: from now to it, what waited for what."""

from dataclasses import dataclass

from episodes.answers.check import answer
from episodes.answers.names import Thing
from episodes.answers.planning import Planning, plan_season
from episodes.answers.rows import CheckAnswer, StepRow
from episodes.model.season import Season
from episodes.schedule.plan import Reason


@dataclass(frozen=True, slots=True)
class WhyLink:
    """One link of the chain: a thing and what it waited for, in words. UTC minutes."""

    id: str | None
    start: int | None
    finish: int | None
    kind: str
    text: str


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
    links: list[WhyLink] = []
    seen: set[tuple[str, str]] = set()
    at: StepRow | None = row
    while at is not None and (at.episode, at.id) not in seen:
        seen.add((at.episode, at.id))
        reasons = _reasons(planning, at)
        text, before = _words(planning, judged, rows, at, reasons)
        links.append(WhyLink(at.id, at.start, at.finish, at.kind, text))
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


def _reasons(planning: Planning, row: StepRow) -> tuple[tuple[Reason, int], ...]:
    key = (row.episode, row.id.removesuffix(".dry") if row.kind == "dry" else row.id)
    index = planning.network.index.get(key, planning.network.during.get(key, -1))
    if index < 0 or row.kind == "dry":
        return ()
    placed = planning.plan.placed[index]
    return () if placed is None else placed.reasons


def _words(
    planning: Planning,
    judged: CheckAnswer,
    rows: dict[tuple[str, str], StepRow],
    row: StepRow,
    reasons: tuple[tuple[Reason, int], ...],
) -> tuple[str, StepRow | None]:
    """The sentence of one link, and the thing that comes before it in the chain."""
    if row.state == "done":
        return "done", None
    if row.kind == "dry":
        coat = rows.get((row.episode, row.id.removesuffix(".dry")))
        return "begins when the coat is on", coat
    if row.kind == "release":
        return "the release is fixed", None
    if row.state == "started":
        return "on its way" if row.kind == "parcel" else "has begun and goes on from now", None
    parts: list[str] = []
    before: StepRow | None = None
    for reason, moment in reasons:
        words, other = _reason_in_words(judged, rows, row, reason, moment)
        if words and words not in parts:
            parts.append(words)
        if other is not None:
            before = other
    if not parts:
        return "nothing holds it", before
    return ", then ".join(parts), before


def _reason_in_words(
    judged: CheckAnswer,
    rows: dict[tuple[str, str], StepRow],
    row: StepRow,
    reason: Reason,
    moment: int,
) -> tuple[str, StepRow | None]:
    episode = reason.episode or row.episode
    if reason.kind in ("step", "parcel") and reason.id is not None:
        other = rows.get((episode, reason.id))
        title = other.title if other is not None else reason.id
        if reason.kind == "parcel":
            return f"waits for {title}", other
        return f"waits for {title}" + ("" if reason.id.endswith(".dry") else " to be over"), other
    if reason.kind == "person":
        name = judged.people.get(reason.id or "", reason.id or "somebody")
        return f"until {name} is free", _who_holds(rows, row, moment, reason.id)
    if reason.kind == "space":
        name = judged.spaces.get(reason.id or "", reason.id or "the space")
        return f"until there is a place in {name}", None
    if reason.kind == "gear":
        name = judged.gear_titles.get(reason.id or "", reason.id or "the gear")
        return f"until {name} is free", None
    if reason.kind == "air":
        name = judged.spaces.get(reason.id or "", reason.id or "the room")
        return f"until the air in {name} is right", None
    if reason.kind == "light":
        return "until the light is right", None
    if reason.kind == "hours":
        name = judged.people.get(reason.id or "", "")
        return f"until {name}'s next open hours" if name else "until the next open hours", None
    if reason.kind == "window":
        return "until its window opens", None
    if reason.kind == "bound":
        return "not before its own date", None
    return ("can start now", None) if row.start == moment else ("", None)


def _who_holds(
    rows: dict[tuple[str, str], StepRow], row: StepRow, moment: int, person: str | None
) -> StepRow | None:
    """The work of that person which ends when the other can begin."""
    for other in rows.values():
        if (
            other is not row
            and person in other.who
            and any(end == moment for _, end in other.sessions)
            and other.kind in ("hands", "shot")
        ):
            return other
    return None
