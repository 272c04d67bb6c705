"""The plan at the moment the host said go, and how far the room has drifted from it since.

Drift is how much later the room is ready than it was then. Its causes are read along the chain of
what waited for what that ends at the ready moment now: each link is charged with what it adds to
the drift of the link before it, so that the causes add up to the whole.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from episodes.answers.planning import Planning
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, StepRow
from episodes.answers.why import explain

CauseKind = Literal["added", "longer", "comes", "starts"]
"""Added since; takes longer; comes later (a parcel); starts later for another reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRow:
    """A step, drying, parcel or shot as it was planned at go. UTC minutes, work in minutes."""

    id: str
    kind: str
    title: str
    start: int | None
    finish: int | None
    work_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Baseline:
    """One room's plan at the moment of go. UTC minutes."""

    episode: str
    said: int
    release: int
    ready_by: int | None
    rows: tuple[KeptRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """What one link of the chain added to the drift; minutes, negative where it won time back."""

    id: str
    title: str
    kind: CauseKind
    minutes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftAnswer:
    """A room against its baseline.

    Attributes:
        drift_min: how much later it is ready than at go; None where there is no plan on a side.
        spare_then, spare_now: to the release of then and of now, minutes.
        work_min, work_done_min: hands-on time of all that the release waits for, and of what of
            it is over, likely lengths.
        added, gone: ids that came into the plan since, and that left it.
        due: how many steps, shots and parcels were to be over by now, as planned at go.
        missed: ids of those of them that are not.
        execution_index: what is over, early too, divided by what was due; None where nothing was.
    """

    episode: str
    title: str
    said: int
    now: int
    zone: str
    read_as_of: bool
    release_then: int
    release: int
    ready_then: int | None
    ready_now: int | None
    drift_min: int | None
    spare_then: int | None
    spare_now: int | None
    work_min: int
    work_done_min: int
    causes: tuple[Cause, ...]
    added: tuple[str, ...]
    gone: tuple[str, ...]
    due: int = 0
    missed: tuple[str, ...] = ()
    execution_index: float | None = None


def baseline_of(answer: EpisodeAnswer, now: int) -> Baseline:
    """A room's plan as it stands, to be kept."""
    return Baseline(
        episode=answer.id,
        said=now,
        release=answer.release,
        ready_by=answer.ready_by,
        rows=tuple(
            KeptRow(
                id=row.id,
                kind=row.kind,
                title=row.title,
                start=row.start,
                finish=row.finish,
                work_min=row.work_min,
            )
            for row in answer.steps
            if row.kind != "release" and row.state != "dropped"
        ),
    )


def drift(planning: Planning, judged: CheckAnswer, kept: Baseline) -> DriftAnswer:
    """How far a room has drifted from its baseline, and why."""
    room = judged.episode(kept.episode)
    then = {row.id: row for row in kept.rows}
    now = {row.id: row for row in room.steps if row.kind != "release" and row.state != "dropped"}
    ready, before = room.ready_by, kept.ready_by
    work = [row for row in now.values() if row.kind in ("hands", "shot") and not row.optional]
    due, over = _due(kept, judged.now, now)
    length = {row.id: then[row.id].work_min if row.id in then else row.work_min for row in work}
    return DriftAnswer(
        episode=room.id,
        title=room.title,
        said=kept.said,
        now=judged.now,
        zone=judged.zone,
        read_as_of=judged.read_as_of,
        release_then=kept.release,
        release=room.release,
        ready_then=before,
        ready_now=ready,
        drift_min=None if ready is None or before is None else ready - before,
        spare_then=None if before is None else kept.release - before,
        spare_now=None if ready is None else room.release - ready,
        work_min=sum(length.values()),
        work_done_min=sum(
            length[row.id]
            if row.state == "done"
            else max(0, length[row.id] - row.work_min)
            if row.state == "started"
            else 0
            for row in work
        ),
        causes=() if ready is None or before is None else _causes(planning, judged, then, kept),
        added=tuple(sorted(set(now) - set(then))),
        gone=tuple(sorted(set(then) - set(now))),
        due=len(due),
        missed=tuple(id for id in due if id not in over),
        execution_index=round(len(over) / len(due), 2) if due else None,
    )


def _due(kept: Baseline, moment: int, now: Mapping[str, StepRow]) -> tuple[list[str], set[str]]:
    """What was to be over by now, and what is; of what was planned at go and still takes part.

    The missed tasks and the baseline execution index of the 14 schedule metrics of the Defense
    Contract Management Agency (from memory): tasks over divided by tasks due, 0.95 asked for.
    What was over at go already tells nothing of the time since.
    """
    planned = [
        row
        for row in kept.rows
        if row.kind in ("hands", "shot", "parcel")
        and row.id in now
        and row.finish is not None
        and row.finish > kept.said
    ]
    due = [row.id for row in planned if row.finish is not None and row.finish <= moment]
    return due, {row.id for row in planned if now[row.id].state == "done"}


def _causes(
    planning: Planning, judged: CheckAnswer, then: Mapping[str, KeptRow], kept: Baseline
) -> tuple[Cause, ...]:
    room = judged.episode(kept.episode)
    rows = {row.id: row for row in room.steps}
    found: list[Cause] = []
    carried = 0
    fresh: StepRow | None = None
    for link in explain(planning, judged, kept.episode, "release").chain:
        own_room = link.episode in ("", kept.episode)
        row = rows.get(link.id) if own_room and link.id is not None else None
        if row is None or row.finish is None:
            continue
        old = then.get(row.id)
        if old is None or old.finish is None:
            fresh = fresh or row
            continue
        own = row.finish - old.finish - carried
        carried += own
        if own:
            found.append(_cause(fresh or row, old if fresh is None else None, own))
        fresh = None
    if fresh is not None and room.ready_by is not None and kept.ready_by is not None:
        rest = room.ready_by - kept.ready_by - carried
        if rest:
            found.append(_cause(fresh, None, rest))
    return tuple(sorted(found, key=lambda cause: (-abs(cause.minutes), cause.id)))


def _cause(row: StepRow, old: KeptRow | None, minutes: int) -> Cause:
    kind: CauseKind = "starts"
    if old is None:
        kind = "added"
    elif row.kind == "parcel":
        kind = "comes"
    elif row.state in ("done", "started") or row.work_min != old.work_min:
        # A pause that the night has put into it is no longer work.
        kind = "longer"
    return Cause(id=row.id, title=row.title, kind=kind, minutes=minutes)
