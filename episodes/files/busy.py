"""When a person is busy, from a calendar file (RFC 5545) of theirs: stretches of UTC minutes.

The libraries work out repeats, exceptions and moved dates; a guard stands before them, since a
calendar file may hold anything. What the guard leaves out is named in a warning, because leaving
out makes time look free; each event is read by itself, so that one bad event costs no other.

Busy is what is neither cancelled nor transparent (RFC 5545 sections 3.8.1.11 and 3.8.2.7), and
the periods of a VFREEBUSY that are not FREE. A date is that whole local day; a time without a
zone is the studio's. What this program wrote itself does not count, or a plan would block itself.

A calendar that did not change since it was last read is not worked out again: see `busy_cache`.
"""

from dataclasses import dataclass
from pathlib import Path

from episodes.calendars.local_time import zone
from episodes.calendars.openings import Openings, Stretch
from episodes.files import busy_cache
from episodes.model.busy_time import BusyTime
from episodes.problems import Place, Problem

LARGEST_FILE = 8 * 1024 * 1024
MOST_EVENTS = 20_000
BEFORE = 365 * 1440
"""How far back from now busy time is looked at, minutes: work begun then may still go on."""

AHEAD = 30 * 7 * 1440
"""How far past the last release, minutes: a step must find its opening within 26 weeks of it."""

_GRID = 28 * 1440
"""Windows are widened to whole stretches of four weeks, so that tomorrow asks for the same one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """What a calendar file says within a window.

    Attributes:
        taken: each busy time by start, then end; they may overlap.
        free: events that are cancelled or marked as free.
        own: events of this program, which do not count.
    """

    taken: tuple[BusyTime, ...]
    free: int
    own: int
    problems: tuple[Problem, ...]


class _UnreadableError(Exception):
    """The whole file cannot be read; says why."""


def read_busy(
    path: Path, zone_name: str, start: int, end: int, *, cache: Path | None = None
) -> tuple[tuple[Stretch, ...], tuple[Problem, ...]]:
    """Busy stretches of a calendar file within [start, end), UTC minutes, sorted and disjoint.

    Args:
        path: the calendar file.
        zone_name: the studio's zone, for dates and for times without a zone.
        cache: the folder of what was worked out before; the user's own if None.

    Returns:
        The stretches, and what is wrong: warnings `busy-left-out` for what is not counted, one
        error `busy-unreadable` (and no stretches) where the file cannot be read, a note
        `busy-own-events` where events of this program are passed over.
    """
    try:
        data = _bytes(path)
        first, last = start // _GRID * _GRID, -(-end // _GRID) * _GRID
        shelf = busy_cache.Shelf(path, data, zone_name, first, last, folder=cache)
        kept = shelf.read()
        if kept is None:
            found = _understand(path.name, data, zone_name, first, last)
            stretches = Openings((one.start, one.end) for one in found.taken).clipped(first, last)
            kept = tuple(stretches), found.problems
            shelf.write(*kept)
    except _UnreadableError as error:
        return (), (_unreadable(path, str(error)),)
    busy, problems = kept
    return tuple(Openings(busy).clipped(start, end)), problems


def understand(path: Path, zone_name: str, start: int, end: int) -> Understood:
    """Each busy time of a calendar file that reaches into [start, end), worked out afresh.

    Problems as for `read_busy`; an unreadable file has nothing taken.
    """
    try:
        return _understand(path.name, _bytes(path), zone_name, start, end)
    except _UnreadableError as error:
        return Understood(taken=(), free=0, own=0, problems=(_unreadable(path, str(error)),))


def _understand(name: str, data: bytes, zone_name: str, start: int, end: int) -> Understood:
    from episodes.files.busy_reader import Reader
    from episodes.files.busy_sift import NotACalendarError, sift

    here = zone(zone_name)
    # Only times are read; a broken letter in a title is no reason to refuse them.
    text = data.decode("utf-8-sig", errors="replace")
    try:
        calendars = sift(text, here.day(start), here.day(end))
    except NotACalendarError as error:
        raise _UnreadableError(str(error)) from None
    if sum(len(calendar.events) for calendar in calendars) > MOST_EVENTS:
        raise _UnreadableError(f"it holds more than {MOST_EVENTS} events")
    reader = Reader(name, here, start, end)
    for calendar in calendars:
        reader.read(calendar)
    taken = [one for one in reader.taken if one.start < end and one.end > start]
    taken.sort(key=lambda one: (one.start, one.end, one.line))
    return Understood(
        taken=tuple(taken), free=reader.free, own=reader.own, problems=reader.all_problems()
    )


def _bytes(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise _UnreadableError(
                "there is no such file" if not path.exists() else "it is no file"
            )
        if path.stat().st_size > LARGEST_FILE:
            raise _UnreadableError("it is larger than 8 MiB")
        return path.read_bytes()
    except OSError as error:
        raise _UnreadableError(error.strerror or str(error)) from None


def _unreadable(path: Path, why: str) -> Problem:
    return Problem(
        level="error",
        code="busy-unreadable",
        where=Place(path.name),
        text=f"the calendar file cannot be read: {why}.",
        mend="Export it again as iCalendar (.ics), or take it out of `busy`.",
    )
