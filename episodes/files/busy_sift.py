"""The first look at a calendar file of unknown origin: only lines that say when, nothing parsed.

A calendar of years holds mostly what is over, alarms and long descriptions. Sorted out here by
plain text, none of it costs time later, and nothing of it can do harm.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

EVENT_LINES = frozenset(
    (
        *("UID", "DTSTART", "DTEND", "DURATION", "RRULE", "RDATE", "EXDATE", "RECURRENCE-ID"),
        *("STATUS", "TRANSP", "SUMMARY", "SEQUENCE", "CATEGORIES"),
    )
)
_NAME = re.compile(r"[A-Za-z0-9-]+", re.ASCII)
_DAY = re.compile(r":(\d{4})(\d\d)(\d\d)", re.ASCII)
LONGEST_NAME = 60


@dataclass(slots=True)
class Block:
    """A component as text: its lines by name, and the line of the file it begins on."""

    kind: str
    line: int
    lines: list[tuple[str, str]] = field(default_factory=list)

    def has(self, name: str) -> bool:
        return any(found == name for found, _ in self.lines)

    def value(self, name: str) -> str:
        """What follows the first colon of the first such line; "" without one."""
        for found, text in self.lines:
            if found == name:
                return text.partition(":")[2].strip()
        return ""

    def values(self, name: str) -> int:
        """How many values such lines list, by their commas."""
        return sum(1 + text.count(",") for found, text in self.lines if found == name)

    @property
    def title(self) -> str:
        """What to call it in a warning."""
        text = re.sub(r"\\[nN]", " ", self.value("SUMMARY"))
        text = re.sub(r"\\(.)", r"\1", text)
        return text[:LONGEST_NAME] or "an event without a title"

    @property
    def text(self) -> str:
        body = "\r\n".join(text for _, text in self.lines)
        return f"BEGIN:{self.kind}\r\n{body}\r\nEND:{self.kind}\r\n"


@dataclass(slots=True)
class Sifted:
    """One calendar of a file."""

    prodid: str = ""
    zones: list[Block] = field(default_factory=list)
    events: list[Block] = field(default_factory=list)
    taken: list[Block] = field(default_factory=list)
    """VFREEBUSY components."""


class NotACalendarError(ValueError):
    """No calendar, or one that was cut short."""


def sift(text: str, first: date, last: date) -> list[Sifted]:
    """The calendars in a text, without what lies surely outside [first, last].

    Raises:
        NotACalendarError: there is none, or it has no end.
    """
    calendars: list[Sifted] = []
    stack: list[str] = []
    block: Block | None = None
    for number, line in _unfolded(text):
        match = _NAME.match(line)
        if match is None:
            continue
        name = match[0].upper()
        if name == "BEGIN":
            kind = line.partition(":")[2].strip().upper()
            stack.append(kind)
            if kind == "VCALENDAR":
                calendars.append(Sifted())
            elif len(stack) == 2:
                block = Block(kind, number)
        elif name == "END":
            kind = line.partition(":")[2].strip().upper()
            if not stack or stack.pop() != kind:
                raise NotACalendarError(f"line {number}: END:{kind} ends nothing")
            if block is not None and len(stack) == 1:
                _put(calendars[-1], block, first, last)
                block = None
        if block is None:
            if name == "PRODID" and len(stack) == 1 and calendars:
                calendars[-1].prodid = line.partition(":")[2].strip()
        elif block.kind == "VTIMEZONE":
            if (name, len(stack)) != ("BEGIN", 2):
                block.lines.append((name, line))
        elif len(stack) == 2 and (name in EVENT_LINES or name == "FREEBUSY"):
            block.lines.append((name, line))
    if not calendars:
        raise NotACalendarError("there is no calendar in it")
    if stack:
        raise NotACalendarError("it is cut short")
    return calendars


def _unfolded(text: str) -> Iterator[tuple[int, str]]:
    """Content lines (RFC 5545 section 3.1) with the number of the line they begin on."""
    number = 1
    held: str | None = None
    held_at = 1
    for line in text.split("\n"):
        line = line.removesuffix("\r")
        if line[:1] in (" ", "\t") and held is not None:
            held += line[1:]
        else:
            if held:
                yield held_at, held
            held, held_at = line, number
        number += 1
    if held:
        yield held_at, held


def _put(calendar: Sifted, block: Block, first: date, last: date) -> None:
    if block.kind == "VTIMEZONE":
        calendar.zones.append(block)
    elif block.kind == "VFREEBUSY":
        calendar.taken.append(block)
    elif block.kind == "VEVENT" and not _surely_outside(block, first, last):
        calendar.events.append(block)


def _surely_outside(block: Block, first: date, last: date) -> bool:
    """A single event whose days are all long before or after; two days more for the zones."""
    if any(block.has(name) for name in ("RRULE", "RDATE", "RECURRENCE-ID", "DURATION")):
        return False
    start = _day(block, "DTSTART")
    end = _day(block, "DTEND") if block.has("DTEND") else start
    if start is None or end is None:
        return False
    margin = timedelta(days=2)
    return end < first - margin or start > last + margin


def _day(block: Block, name: str) -> date | None:
    line = next((text for found, text in block.lines if found == name), "")
    match = _DAY.search(line)
    if match is None:
        return None
    try:
        return date(int(match[1]), int(match[2]), int(match[3]))
    except ValueError:
        return None
