"""When a person is busy, from a calendar file (RFC 5545) of theirs: stretches of UTC minutes.

The libraries work out repeats, exceptions and moved dates; a guard stands before them, since a
calendar file may hold anything. What the guard leaves out is named in a warning, because leaving
out makes time look free; each event is read by itself, so that one bad event costs no other.

Busy is what is neither cancelled nor transparent (RFC 5545 sections 3.8.1.11 and 3.8.2.7), and
the periods of a VFREEBUSY that are not FREE. A date is that whole local day; a time without a
zone is the studio's. What this program wrote itself does not count, or a plan would block itself.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from episodes.calendars.local_time import Zone, zone
from episodes.calendars.openings import Openings, Stretch
from episodes.files.busy_guard import MOST_DATES, Guard, LeftOutError, length
from episodes.files.busy_sift import Block, NotACalendarError, Sifted, sift
from episodes.problems import Place, Problem

LARGEST_FILE = 8 * 1024 * 1024
MOST_EVENTS = 20_000
MOST_OCCURRENCES = 20_000
MOST_WARNINGS = 20
OWN_PRODID = "-//episodes//"
OWN_KINDS = ("hands", "shot")
_OWN_EPISODE = re.compile(r"\d{4}-\d\d-[a-z0-9-]+(?:,|$)", re.ASCII)
_OWN_UID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MINUTE = timedelta(minutes=1)
_DAY = 1440
_LONGEST_ZONE = 2_000
_TOO_OFTEN = f"this file's events come more than {MOST_OCCURRENCES} times"
_FREE = ("CANCELLED", "TRANSPARENT")


def read_busy(
    path: Path, zone_name: str, start: int, end: int
) -> tuple[tuple[Stretch, ...], tuple[Problem, ...]]:
    """Busy stretches of a calendar file within [start, end), UTC minutes, sorted and disjoint.

    Args:
        path: the calendar file.
        zone_name: the studio's zone, for dates and for times without a zone.

    Returns:
        The stretches, and what is wrong: warnings `busy-left-out` for what is not counted, one
        error `busy-unreadable` (and no stretches) where the file cannot be read, a note
        `busy-own-events` where events of this program are passed over.
    """
    try:
        text = _text(path)
        first, last = zone(zone_name).day(start), zone(zone_name).day(end)
        calendars = sift(text, first, last)
        if sum(len(calendar.events) for calendar in calendars) > MOST_EVENTS:
            raise NotACalendarError(f"it holds more than {MOST_EVENTS} events")
    except (OSError, NotACalendarError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        problem = Problem(
            level="error",
            code="busy-unreadable",
            where=Place(path.name),
            text=f"the calendar file cannot be read: {why}.",
            mend="Export it again as iCalendar (.ics), or take it out of `busy`.",
        )
        return (), (problem,)
    reader = _Reader(path.name, zone(zone_name), start, end)
    for calendar in calendars:
        reader.read(calendar)
    busy = Openings(reader.busy).clipped(start, end)
    return tuple(busy), reader.all_problems()


def _text(path: Path) -> str:
    if not path.is_file():
        raise NotACalendarError("there is no such file" if not path.exists() else "it is no file")
    if path.stat().st_size > LARGEST_FILE:
        raise NotACalendarError("it is larger than 8 MiB")
    # Only times are read; a broken letter in a title is no reason to refuse them.
    return path.read_bytes().decode("utf-8-sig", errors="replace")


class _Reader:
    """Reads the calendars of one file."""

    def __init__(self, name: str, here: Zone, start: int, end: int) -> None:
        self.name = name
        self.here = here
        self.start = _EPOCH + start * _MINUTE
        self.end = _EPOCH + end * _MINUTE
        self.guard = Guard(self.end)
        self.occurrences = 0
        self.busy: list[Stretch] = []
        self.problems: list[Problem] = []

    def all_problems(self) -> tuple[Problem, ...]:
        """The warnings, the first few by name and the rest as a number."""
        more = len(self.problems) - MOST_WARNINGS
        if more <= 0:
            return tuple(self.problems)
        rest = replace(
            self.problems[-1],
            where=Place(self.name),
            text=f"{more} more events are left out as well; their time counts as free.",
        )
        return (*self.problems[:MOST_WARNINGS], rest)

    def read(self, calendar: Sifted) -> None:
        own = calendar.prodid.startswith(OWN_PRODID)
        events = [block for block in calendar.events if not (own or _is_own(block))]
        if len(events) < len(calendar.events):
            self._own()
        if own:
            return
        self._zones(calendar.zones)
        for group in _by_uid(events):
            self._guarded(self._group, group)
        for block in calendar.taken:
            self._guarded(self._freebusy, [block])

    def _own(self) -> None:
        self.problems.append(
            Problem(
                level="note",
                code="busy-own-events",
                where=Place(self.name),
                text="this calendar holds events that this program wrote; they count as free time, "
                "or the plan would block itself.",
            )
        )

    def _guarded(self, read: Callable[[list[Block]], list[Stretch]], blocks: list[Block]) -> None:
        """Take over what `read` finds; whatever goes wrong costs these blocks alone."""
        try:
            found = read(blocks)
        except LeftOutError as error:
            self._left_out(blocks[0], str(error))
        except Exception:  # noqa: BLE001 - the libraries raise whatever a broken value brings
            self._left_out(blocks[0], "it cannot be read")
        else:
            self.busy += found

    def _left_out(self, block: Block, why: str) -> None:
        self.problems.append(
            Problem(
                level="warning",
                code="busy-left-out",
                where=Place(self.name, block.line),
                text=f'"{block.title}" is left out: {why}. Its time counts as free.',
                mend="Change the event in the calendar program, or write the time as `off`.",
            )
        )

    # ------------------------------------------------------------------ zones

    def _zones(self, blocks: list[Block]) -> None:
        """Make the file's own zones known; those with an IANA or Windows name are known already."""
        from icalendar import Calendar
        from icalendar.timezone import tzp

        # The library remembers the zones of each file it has read, by name alone.
        tzp.use_default()
        for block in blocks:
            name = block.value("TZID")
            if not name or tzp.timezone(name) is not None or not _harmless(block):
                continue
            text = f"BEGIN:VCALENDAR\r\n{block.text}END:VCALENDAR\r\n"
            try:
                Calendar.from_ical(text)
            except Exception:  # noqa: BLE001 - events in this zone will say that it is not known
                continue

    # ------------------------------------------------------------------ events

    def _group(self, blocks: list[Block]) -> list[Stretch]:
        """The busy time of the events of one UID: a series with its exceptions, or single ones."""
        from icalendar import Event

        events = [Event.from_ical(block.text) for block in blocks]
        for event in events:
            _check(event)
        masters = [event for event in events if "RECURRENCE-ID" not in event]
        others = [event for event in events if "RECURRENCE-ID" in event]
        newest = max((_sequence(event) for event in masters), default=0)
        # Some programs give several events one UID: those of one version all stand.
        masters = [event for event in masters if _sequence(event) == newest]
        if all(_is_free(event) for event in (*masters, *others)):
            return []
        for event in (*masters, *others):
            self.guard.admit(event)
        if not others and not any(_repeats(event) for event in masters):
            return [self._stretch(event) for event in masters if not _is_free(event)]
        found: list[Stretch] = []
        for series in [[master, *others] for master in masters] or [others]:
            found += self._expanded(series)
        return found

    def _expanded(self, events: list[Any]) -> list[Stretch]:
        from icalendar import Calendar
        from recurring_ical_events import of

        if self.occurrences > MOST_OCCURRENCES:
            raise LeftOutError(_TOO_OFTEN)
        calendar = Calendar()
        for event in events:
            calendar.add_component(event)
        # A date and a time without a zone may lie up to a day off these instants.
        margin = timedelta(days=2)
        found = of(calendar).between(self.start - margin, self.end + margin)
        self.occurrences += len(found)
        if self.occurrences > MOST_OCCURRENCES:
            raise LeftOutError(_TOO_OFTEN)
        return [self._stretch(event) for event in found if not _is_free(event)]

    def _stretch(self, event: Any) -> Stretch:
        start = event["DTSTART"].dt
        if "DTEND" in event:
            end = event["DTEND"].dt
        elif "DURATION" in event and isinstance(start, datetime) and start.tzinfo is not None:
            # A length counts by the clock that never changes (RFC 5545 section 3.3.6).
            end = start.astimezone(UTC) + event["DURATION"].dt
        else:
            end = start + length(event)
        return self._minute(start, up=False), self._minute(end, up=True)

    def _minute(self, moment: date, *, up: bool) -> int:
        """UTC minute of a date, a floating or an absolute time; seconds make busy time longer."""
        if not isinstance(moment, datetime):
            return self.here.utc(moment, 0)
        if moment.tzinfo is None:
            minute = self.here.utc(moment.date(), moment.hour * 60 + moment.minute)
            return minute + (1 if up and moment.second else 0)
        seconds = (moment - _EPOCH) // timedelta(seconds=1)
        return -(-seconds // 60) if up else seconds // 60

    # ------------------------------------------------------------------ free and busy

    def _freebusy(self, blocks: list[Block]) -> list[Stretch]:
        """The periods of a VFREEBUSY (RFC 5545 section 3.8.2.6)."""
        from icalendar import FreeBusy

        component = FreeBusy.from_ical(blocks[0].text)
        if component.errors:
            raise LeftOutError("it cannot be read")
        values = component.get("FREEBUSY", [])
        periods = values if isinstance(values, list) else [values]
        if len(periods) > MOST_DATES:
            raise LeftOutError(f"it lists more than {MOST_DATES} periods")
        found: list[Stretch] = []
        for period in periods:
            if str(period.params.get("FBTYPE", "BUSY")).upper() == "FREE":
                continue
            start, end = period.start, period.end
            found.append((self._minute(start, up=False), self._minute(end, up=True)))
        return found


def _is_own(block: Block) -> bool:
    """An event of ours that another program has taken over: its kind, episode and UID say so."""
    kind, _, rest = block.value("CATEGORIES").partition(",")
    return (
        kind in OWN_KINDS
        and _OWN_EPISODE.match(rest) is not None
        and _OWN_UID.fullmatch(block.value("UID")) is not None
    )


def _by_uid(blocks: list[Block]) -> Iterator[list[Block]]:
    """Events that belong together; one without a UID stands alone."""
    groups: dict[str, list[Block]] = {}
    for index, block in enumerate(blocks):
        groups.setdefault(block.value("UID") or f"\n{index}", []).append(block)
    yield from groups.values()


def _check(event: Any) -> None:
    if event.errors or "DTSTART" not in event:
        raise LeftOutError("it cannot be read")
    for name in ("DTSTART", "DTEND", "RECURRENCE-ID"):
        value = event.get(name)
        if value is None:
            continue
        if isinstance(value, list):
            raise LeftOutError(f"it has more than one {name}")
        tzid = value.params.get("TZID")
        if tzid and isinstance(value.dt, datetime) and value.dt.tzinfo is None:
            raise LeftOutError(f"its time zone {str(tzid)[:40]} is not known")


def _sequence(event: Any) -> int:
    return int(event.get("SEQUENCE", 0))


def _repeats(event: Any) -> bool:
    return "RRULE" in event or "RDATE" in event


def _is_free(event: Any) -> bool:
    return any(str(event.get(name, "")).upper() in _FREE for name in ("STATUS", "TRANSP"))


def _harmless(block: Block) -> bool:
    """Whether a zone's rules are such as zones have: some lines, each rule once a year."""
    if len(block.lines) > _LONGEST_ZONE:
        return False
    rules = [text.upper() for name, text in block.lines if name == "RRULE"]
    return all("FREQ=YEARLY" in rule and "BYSECOND" not in rule for rule in rules)
