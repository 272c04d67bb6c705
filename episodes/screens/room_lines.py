"""The lines of the run-up: an episode's rows gathered into one line a piece, box or person.

A piece is a job; it unfolds into its steps, with their drying and their shots. Only gathered and
put in order here, nothing is computed.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from episodes.answers.rows import CheckAnswer, EpisodeAnswer, StepRow
from episodes.calendars.openings import Stretch
from episodes.screens.band import Paint, open_ground, paints
from episodes.screens.wording import name_of

LineKind = Literal["boxes", "piece", "camera", "row", "person"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BandLine:
    """One line of the band.

    Attributes:
        key: stays the same from answer to answer, so the cursor can find its line again.
        stops: the rows on it by start, with the episode each is of; the left and right keys
            walk along them.
        opens: whether Enter unfolds it.
        depth: 1 for a row of an unfolded piece.
    """

    key: str
    kind: LineKind
    label: str
    stops: tuple[StepRow, ...]
    paints: tuple[Paint, ...]
    ground: tuple[Stretch, ...] = ()
    taut: bool = False
    opens: bool = False
    depth: int = 0


@dataclass(slots=True)
class _Group:
    kind: LineKind
    label: str
    rows: list[StepRow] = field(default_factory=list)


def gather(
    answer: CheckAnswer,
    episode: EpisodeAnswer,
    *,
    unfolded: frozenset[str],
    everything: bool = False,
    taut_only: bool = False,
) -> list[BandLine]:
    """The lines of an episode: boxes, pieces by what comes next on them, then people.

    Pieces with nothing left to do stand behind the others.

    Args:
        unfolded: keys of the lines that show their rows; `everything` unfolds all.
        taut_only: only lines with something taut on them.
    """
    lines: list[BandLine] = []
    for key, group in _groups(episode).items():
        taut = any(row.critical for row in group.rows)
        if taut_only and not taut:
            continue
        lines.append(_line(answer, episode, key, group.kind, group.label, group.rows, opens=True))
        if everything or key in unfolded:
            lines.extend(
                _line(
                    answer,
                    episode,
                    f"row:{row.id}",
                    "row",
                    row.title,
                    [row],
                    depth=1,
                )
                for row in group.rows
                if row.critical or not taut_only
            )
    lines.extend(person for person in _people(answer, episode) if person.taut or not taut_only)
    return lines


def _groups(episode: EpisodeAnswer) -> dict[str, _Group]:
    """Rows by line, each line's by start; the boxes' line stands first."""
    titles = dict(episode.jobs)
    groups: dict[str, _Group] = {"boxes": _Group("boxes", "At the door")}
    for row in episode.steps:
        if row.kind == "release" or row.state == "dropped":
            continue
        job = row.job or _job_of(row, titles)
        if row.kind == "parcel":
            groups["boxes"].rows.append(row)
        elif job:
            piece = groups.setdefault(f"piece:{job}", _Group("piece", titles.get(job, job)))
            piece.rows.append(row)
        else:
            groups.setdefault("camera", _Group("camera", "In front of camera")).rows.append(row)
    if not groups["boxes"].rows:
        del groups["boxes"]
    return dict(sorted(groups.items(), key=lambda item: _next(item[1])))


def _next(group: _Group) -> tuple[bool, bool, int]:
    """Boxes first, then by the first start of what is not done."""
    starts = [row.start for row in group.rows if row.state != "done" and row.start is not None]
    return group.kind != "boxes", not starts, min(starts, default=0)


def _job_of(row: StepRow, titles: dict[str, str]) -> str:
    """The job that a shot is of, "" where it is of the room."""
    job = row.of.rpartition(":")[2].partition(".")[0]
    return job if job in titles else ""


def _people(answer: CheckAnswer, episode: EpisodeAnswer) -> list[BandLine]:
    """One line a person who works in this episode, with their work in the other ones."""
    mine = {person for row in episode.steps for person in row.who}
    lines = []
    for id, title in answer.people.items():
        if id not in mine:
            continue
        stops = [
            row
            for each in answer.episodes
            for row in each.steps
            if id in row.who and row.start is not None and row.state != "done"
        ]
        lines.append(
            _line(answer, episode, f"person:{id}", "person", f"Hands: {title}", stops, person=id)
        )
    return lines


def _line(
    answer: CheckAnswer,
    episode: EpisodeAnswer,
    key: str,
    kind: LineKind,
    label: str,
    rows: Iterable[StepRow],
    *,
    opens: bool = False,
    depth: int = 0,
    person: str | None = None,
) -> BandLine:
    rows = sorted(rows, key=lambda row: (row.start is None, row.start or 0, row.id))
    arrivals = {parcel.id: parcel.arrives for parcel in episode.parcels}
    found = []
    for row in rows:
        for paint in paints(row, answer.now, arrivals.get(row.id)):
            if row.episode != episode.id:
                paint = Paint(paint.start, paint.finish, "elsewhere", False, paint.row)
            found.append(paint)
    who = [person] if person else sorted({each for row in rows for each in row.who})
    return BandLine(
        key=key,
        kind=kind,
        label=label,
        stops=tuple(rows),
        paints=tuple(found),
        ground=open_ground(answer.hours.get(each, ()) for each in who),
        taut=any(row.critical and row.episode == episode.id for row in rows),
        opens=opens,
        depth=depth,
    )


def first_in_sight(episode: EpisodeAnswer, now: int) -> int:
    """Where the band begins: now, or what is under way since before."""
    starts = [
        row.start
        for row in episode.steps
        if row.state == "started" and row.kind != "parcel" and row.start is not None
    ]
    return min([now, *starts])


def next_taut(episode: EpisodeAnswer, here: StepRow | None, by: int) -> StepRow | None:
    """The taut row after `here` in time (before it where `by` is negative), in a ring."""
    taut = [row for row in episode.steps if row.critical]
    at = _order(here) if here is not None else (0, "")
    if by > 0:
        found = [row for row in taut if _order(row) > at] or taut
        return found[0] if found else None
    found = [row for row in taut if _order(row) < at] or taut
    return found[-1] if found else None


def _order(row: StepRow) -> tuple[int, str]:
    """Place in an answer's rows."""
    return (row.start or 0, row.id)


def stop_name(answer: CheckAnswer, episode: EpisodeAnswer, row: StepRow) -> str:
    """A stop's name in the foot, with its room where that is another one."""
    where = next((each for each in answer.episodes if each.id == row.episode), episode)
    name = name_of(where, row)
    return name if where is episode else f"{where.title}, {name}"
