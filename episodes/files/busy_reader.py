"""Reads the events of one calendar file, each by itself: what is busy, and what is left out.

The libraries work out repeats, exceptions and moved dates; the guard stands before them. Whatever
goes wrong with one event costs that event alone, and is named.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from episodes.calendars.local_time import Zone
from episodes.calendars.openings import Stretch
from episodes.files.busy_guard import MOST_DATES, Guard, LeftOutError, length
from episodes.files.busy_sift import LONGEST_NAME, Block, Sifted
from episodes.model.busy_time import BusyTime
from episodes.problems import Place, Problem

MOST_OCCURRENCES = 20_000
MOST_WARNINGS = 20
OWN_PRODID = "-//episodes//"
OWN_KINDS = ("hands", "shot")
_OWN_EPISODE = re.compile(r"\d{4}-\d\d-[a-z0-9-]+(?:,|$)", re.ASCII)
_OWN_UID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MINUTE = timedelta(minutes=1)
_LONGEST_ZONE = 2_000
_TOO_OFTEN = f"this file's events come more than {MOST_OCCURRENCES} times"
_FREE = ("CANCELLED", "TRANSPARENT")


class Reader:
    """Reads the calendars of one file, within [start, end).

    Attributes:
        taken: busy times, as they are found.
        free: events that are cancelled or marked as free.
        own: events of this program, passed over.
    """

    def __init__(self, name: str, here: Zone, start: int, end: int) -> None:
        self.name = name
        self.here = here
        self.start = _EPOCH + start * _MINUTE
        self.end = _EPOCH + end * _MINUTE
        self.guard = Guard(self.end)
        self.occurrences = 0
        self.taken: list[BusyTime] = []
        self.free = 0
        self.own = 0
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
            self._passed_over(len(calendar.events) - len(events))
        if own:
            return
        self._zones(calendar.zones)
        for group in _by_uid(events):
            self._guarded(self._group, group)
        for block in calendar.taken:
            self._guarded(self._freebusy, [block])

    def _passed_over(self, count: int) -> None:
        self.own += count
        if self.own > count:
            return
        self.problems.append(
            Problem(
                level="note",
                code="busy-own-events",
                where=Place(self.name),
                text="this calendar holds events that this program wrote; they count as free time, "
                "or the plan would block itself.",
            )
        )

    def _guarded(self, read: Callable[[list[Block]], list[BusyTime]], blocks: list[Block]) -> None:
        """Take over what `read` finds; whatever goes wrong costs these blocks alone."""
        try:
            found = read(blocks)
        except LeftOutError as error:
            self._left_out(blocks[0], str(error))
        except Exception:  # noqa: BLE001 - the libraries raise whatever a broken value brings
            self._left_out(blocks[0], "it cannot be read")
        else:
            self.taken += found

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

    def _group(self, blocks: list[Block]) -> list[BusyTime]:
        """The busy time of the events of one UID: a series with its exceptions, or single ones."""
        from icalendar import Event

        for block in blocks:
            dates = block.values("RDATE") + block.values("EXDATE")
            if dates > MOST_DATES:
                # Counted before anything is parsed: parsing a hundred thousand takes a second.
                raise LeftOutError(
                    f"it lists {dates} dates of its own; at most {MOST_DATES} are read"
                )
        events = [Event.from_ical(block.text) for block in blocks]
        for event in events:
            _check(event)
        masters = [event for event in events if "RECURRENCE-ID" not in event]
        others = [event for event in events if "RECURRENCE-ID" in event]
        newest = max((_sequence(event) for event in masters), default=0)
        # Some programs give several events one UID: those of one version all stand.
        masters = [event for event in masters if _sequence(event) == newest]
        self.free += sum(_is_free(event) for event in (*masters, *others))
        if all(_is_free(event) for event in (*masters, *others)):
            return []
        for event in (*masters, *others):
            self.guard.admit(event)
        if not others and not any(_repeats(event) for event in masters):
            return [self._one(event, blocks[0]) for event in masters if not _is_free(event)]
        found: list[BusyTime] = []
        for series in [[master, *others] for master in masters] or [others]:
            found += self._expanded(series, blocks[0])
        return found

    def _expanded(self, events: list[Any], block: Block) -> list[BusyTime]:
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
        return [self._one(event, block) for event in found if not _is_free(event)]

    def _one(self, event: Any, block: Block) -> BusyTime:
        start, end = self._stretch(event)
        return BusyTime(
            start=start,
            end=end,
            title=str(event.get("SUMMARY", ""))[:LONGEST_NAME],
            line=block.line,
            all_day=not isinstance(event["DTSTART"].dt, datetime),
        )

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

    def _freebusy(self, blocks: list[Block]) -> list[BusyTime]:
        """The periods of a VFREEBUSY (RFC 5545 section 3.8.2.6)."""
        from icalendar import FreeBusy

        if blocks[0].values("FREEBUSY") > MOST_DATES:
            raise LeftOutError(f"it lists more than {MOST_DATES} periods")
        component = FreeBusy.from_ical(blocks[0].text)
        if component.errors:
            raise LeftOutError("it cannot be read")
        values = component.get("FREEBUSY", [])
        periods = values if isinstance(values, list) else [values]
        found: list[BusyTime] = []
        for period in periods:
            if str(period.params.get("FBTYPE", "BUSY")).upper() == "FREE":
                continue
            start, end = period.start, period.end
            found.append(
                BusyTime(
                    start=self._minute(start, up=False),
                    end=self._minute(end, up=True),
                    title="",
                    line=blocks[0].line,
                )
            )
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
