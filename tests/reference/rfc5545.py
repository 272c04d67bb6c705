"""A strict reader of calendar files, written from RFC 5545, 7986 and 9253 and nothing else.

It shares no code with the writer and uses no calendar library. `read` names every fault it finds
with the section it breaks, and gives back the components with their times as instants, worked out
from the VTIMEZONE in the file. Beyond the standards it holds a file to what the project asks of
itself: IANA zone names whose offsets agree with the zone data, no floating times, no METHOD.

Section numbers are those of RFC 5545 unless another is named.
"""

import re
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo, available_timezones

from tests.reference import rfc9253

CONTROL = re.compile(rb"[\x00-\x08\x0a-\x1f\x7f]")
NAME = re.compile(r"(?:[A-Za-z0-9-]+)")
PARAMETER = re.compile(r';([A-Za-z0-9-]+)=((?:"[^"\x00-\x08\x0a-\x1f\x7f]*"|[^";:,])*)')
DATE_TIME = re.compile(r"(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)(Z?)")
DURATION = re.compile(r"([+-])?P(?:(\d+)W|(?:(\d+)D)?(?:T(?:(\d+)H)?(?:(\d+)M)?(?:(\d+)S)?)?)")
OFFSET = re.compile(r"([+-])(\d\d)(\d\d)(\d\d)?")
TEXTS = frozenset(
    ("SUMMARY", "LOCATION", "DESCRIPTION", "NAME", "X-WR-CALNAME", "PRODID", "UID", "TZNAME")
)
COMPONENTS = {
    "VCALENDAR": frozenset({"VEVENT", "VTODO", "VTIMEZONE"}),
    "VEVENT": frozenset({"VALARM"}),
    "VTODO": frozenset({"VALARM"}),
    "VTIMEZONE": frozenset({"STANDARD", "DAYLIGHT"}),
    "VALARM": frozenset(),
    "STANDARD": frozenset(),
    "DAYLIGHT": frozenset(),
}
COLOURS = frozenset({"teal", "navy", "maroon", "olive", "purple", "green", "gray", "black"})
"""Some names of CSS3, as RFC 7986 section 5.9 asks."""

STATUS = {
    "VEVENT": frozenset({"TENTATIVE", "CONFIRMED", "CANCELLED"}),
    "VTODO": frozenset({"NEEDS-ACTION", "COMPLETED", "IN-PROCESS", "CANCELLED"}),
}


@dataclass
class Property:
    name: str
    parameters: dict[str, str]
    value: str
    line: int

    @property
    def text(self) -> str:
        """The value of a TEXT, unescaped (3.3.11)."""
        return re.sub(
            r"\\(.)",
            lambda match: "\n" if match[1] in "nN" else match[1],
            self.value,
            flags=re.DOTALL,
        )

    @property
    def texts(self) -> list[str]:
        """The values of a list of TEXT, unescaped."""
        return [
            re.sub(r"\\(.)", lambda match: "\n" if match[1] in "nN" else match[1], part)
            for part in re.findall(r"(?:\\.|[^,\\])+", self.value)
        ]


@dataclass
class Component:
    name: str
    line: int
    properties: list[Property] = field(default_factory=list)
    parts: list["Component"] = field(default_factory=list)
    start: datetime | None = None
    end: datetime | None = None
    """Instants in UTC; for a VTODO both are when it is due."""

    def all(self, name: str) -> list[Property]:
        return [entry for entry in self.properties if entry.name == name]

    def get(self, name: str) -> Property | None:
        return next(iter(self.all(name)), None)

    def text(self, name: str) -> str:
        found = self.get(name)
        return "" if found is None else found.text


@dataclass
class File:
    faults: list[str]
    calendar: Component | None

    @property
    def entries(self) -> list[Component]:
        """Events and tasks."""
        if self.calendar is None:
            return []
        return [part for part in self.calendar.parts if part.name in STATUS]

    @property
    def live(self) -> list[Component]:
        return [entry for entry in self.entries if entry.text("STATUS") != "CANCELLED"]


class Reader:
    def __init__(self, data: bytes) -> None:
        self.faults: list[str] = []
        self.zones: dict[str, list[tuple[datetime, timedelta, timedelta]]] = {}
        self.calendar: Component | None = None
        self._components(self._lines(data))
        if self.calendar is not None:
            self._calendar(self.calendar)

    def fault(self, line: int, section: str, what: str) -> None:
        self.faults.append(f"line {line}: {what} ({section})")

    # ------------------------------------------------------------ octets, 3.1

    def _lines(self, data: bytes) -> list[tuple[int, str]]:
        """Unfolded content lines with the number of their first octet line."""
        if not data.endswith(b"\r\n"):
            self.fault(0, "3.1", "the last line has no CRLF")
        unfolded: list[tuple[int, bytes]] = []
        for number, raw in enumerate(data.split(b"\r\n")[:-1], start=1):
            if len(raw) > 75:
                self.fault(number, "3.1", f"{len(raw)} octets on a line")
            if CONTROL.search(raw):
                self.fault(number, "3.1", "a control character, or a line break alone")
            if raw[:1] in (b" ", b"\t"):
                if not unfolded:
                    self.fault(number, "3.1", "a folded line with nothing before it")
                    continue
                first, before = unfolded[-1]
                unfolded[-1] = (first, before + raw[1:])
            else:
                if not raw:
                    self.fault(number, "3.1", "an empty line")
                unfolded.append((number, raw))
            try:
                raw.decode()
            except UnicodeDecodeError:
                # Allowed by 3.1, but shown broken by readers that decode line by line.
                self.fault(number, "3.1", "a fold splits a character")
        result: list[tuple[int, str]] = []
        for number, raw in unfolded:
            try:
                result.append((number, raw.decode()))
            except UnicodeDecodeError:
                self.fault(number, "3.1.4", "not UTF-8")
        return result

    def _components(self, lines: list[tuple[int, str]]) -> None:
        stack: list[Component] = []
        for number, line in lines:
            found = self._property(number, line)
            if found is None:
                continue
            if found.name == "BEGIN":
                component = Component(found.value, number)
                if stack:
                    if found.value not in COMPONENTS.get(stack[-1].name, frozenset()):
                        self.fault(number, "3.6", f"{found.value} inside {stack[-1].name}")
                    stack[-1].parts.append(component)
                elif self.calendar is not None or found.value != "VCALENDAR":
                    self.fault(number, "3.4", "more than one VCALENDAR, or something beside it")
                else:
                    self.calendar = component
                stack.append(component)
            elif found.name == "END":
                if not stack or stack[-1].name != found.value:
                    self.fault(number, "3.6", f"END:{found.value} ends nothing")
                else:
                    stack.pop()
            elif not stack:
                self.fault(number, "3.4", "a property outside the calendar")
            else:
                stack[-1].properties.append(found)
        if stack:
            self.fault(stack[-1].line, "3.6", f"{stack[-1].name} has no end")

    def _property(self, number: int, line: str) -> Property | None:
        name = NAME.match(line)
        if name is None:
            self.fault(number, "3.1", f"no property name: {line[:30]!r}")
            return None
        at = name.end()
        parameters: dict[str, str] = {}
        while match := PARAMETER.match(line, at):
            key = match[1].upper()
            if key in parameters:
                self.fault(number, "3.2", f"parameter {key} twice")
            parameters[key] = match[2].strip('"')
            at = match.end()
        if line[at : at + 1] != ":":
            self.fault(number, "3.1", f"no colon: {line[:30]!r}")
            return None
        return Property(name[0].upper(), parameters, line[at + 1 :], number)

    # ------------------------------------------------------------ components

    def _calendar(self, calendar: Component) -> None:
        self._once(calendar, "PRODID", "3.7.3")
        self._once(calendar, "VERSION", "3.7.4")
        if calendar.text("VERSION") != "2.0":
            self.fault(calendar.line, "3.7.4", "VERSION is not 2.0")
        self._once(calendar, "NAME", "RFC 7986 5.1", needed=False)
        if calendar.get("METHOD") is not None:
            self.fault(calendar.line, "RFC 4791 4.1", "METHOD in a file that is subscribed to")
        self._once(calendar, "COLOR", "RFC 7986 5.9", needed=False)
        colour = calendar.get("COLOR")
        if colour is not None and colour.value not in COLOURS:
            self.fault(colour.line, "RFC 7986 5.9", f"COLOR {colour.value}")
        for name in ("UID", "LAST-MODIFIED", "URL", "SOURCE"):
            self._once(calendar, name, "RFC 7986 5", needed=False)
        refresh = calendar.get("REFRESH-INTERVAL")
        if refresh is not None:
            if refresh.parameters.get("VALUE") != "DURATION":
                self.fault(refresh.line, "RFC 7986 5.7", "REFRESH-INTERVAL without VALUE=DURATION")
            if (self.duration(refresh) or timedelta()) <= timedelta():
                self.fault(refresh.line, "RFC 7986 5.7", "REFRESH-INTERVAL is not positive")
        if not calendar.parts:
            self.fault(calendar.line, "3.6", "a calendar with no component")
        for part in calendar.parts:
            if part.name == "VTIMEZONE":
                self._zone(part)
        seen: set[str] = set()
        for part in calendar.parts:
            if part.name in STATUS:
                self._entry(part)
                uid = part.text("UID")
                if uid in seen:
                    self.fault(part.line, "3.8.4.7", f"UID {uid} twice")
                seen.add(uid)
        entries = {part.text("UID"): part for part in calendar.parts if part.name in STATUS}
        for part in calendar.parts:
            rfc9253.look(self, part, entries)
        self._texts(calendar)

    def _texts(self, component: Component) -> None:
        for entry in component.properties:
            listed = entry.name == "CATEGORIES"
            if entry.name not in TEXTS and not listed:
                continue
            bare = r"(?:\\[\\;,nN]|[^\\;,]" + (r"|,)*" if listed else r")*")
            if not re.fullmatch(bare, entry.value, flags=re.DOTALL):
                self.fault(entry.line, "3.3.11", f"{entry.name} is not escaped")
        for part in component.parts:
            self._texts(part)

    def _entry(self, entry: Component) -> None:
        section = "3.6.1" if entry.name == "VEVENT" else "3.6.2"
        for name in ("UID", "DTSTAMP", "SUMMARY", "STATUS", "SEQUENCE"):
            self._once(entry, name, section)
        for name in ("LOCATION", "DESCRIPTION", "TRANSP", "LAST-MODIFIED", "CATEGORIES"):
            self._once(entry, name, section, needed=False)
        if not entry.text("SUMMARY").strip():
            self.fault(entry.line, "3.8.1.12", "SUMMARY is empty")
        if entry.text("STATUS") not in STATUS[entry.name]:
            self.fault(entry.line, "3.8.1.11", f"STATUS {entry.text('STATUS')}")
        if not re.fullmatch(r"\d+", entry.text("SEQUENCE")):
            self.fault(entry.line, "3.8.7.4", f"SEQUENCE {entry.text('SEQUENCE')}")
        for name in ("DTSTAMP", "LAST-MODIFIED", "COMPLETED"):
            for stamp in entry.all(name):
                if not stamp.value.endswith("Z") or "TZID" in stamp.parameters:
                    self.fault(stamp.line, "3.8.7.2", f"{name} is not in UTC")
                self._instant(stamp)
        if entry.name == "VEVENT":
            self._event_times(entry)
        else:
            self._once(entry, "DUE", "3.8.2.3")
            due = entry.get("DUE")
            entry.start = entry.end = None if due is None else self._instant(due)
        for alarm in entry.parts:
            self._alarm(alarm, entry)

    def _event_times(self, entry: Component) -> None:
        self._once(entry, "DTSTART", "3.6.1")
        self._once(entry, "DTEND", "3.6.1")
        if entry.text("TRANSP") not in ("OPAQUE", "TRANSPARENT"):
            self.fault(entry.line, "3.8.2.7", f"TRANSP {entry.text('TRANSP')}")
        start, end = entry.get("DTSTART"), entry.get("DTEND")
        if start is None or end is None:
            return
        entry.start, entry.end = self._instant(start), self._instant(end)
        if entry.start is not None and entry.end is not None and entry.end <= entry.start:
            self.fault(entry.line, "3.8.2.2", "DTEND is not later than DTSTART")

    def _alarm(self, alarm: Component, entry: Component) -> None:
        self._once(alarm, "ACTION", "3.6.6")
        self._once(alarm, "TRIGGER", "3.6.6")
        self._once(alarm, "DESCRIPTION", "3.6.6")
        if alarm.text("ACTION") != "DISPLAY":
            self.fault(alarm.line, "3.8.6.1", f"ACTION {alarm.text('ACTION')}")
        if not alarm.text("DESCRIPTION").strip():
            self.fault(alarm.line, "3.6.6", "an alarm that says nothing")
        trigger = alarm.get("TRIGGER")
        if trigger is None:
            return
        self.duration(trigger)
        related = trigger.parameters.get("RELATED", "START")
        needed = {"START": ("DTSTART",), "END": ("DTEND", "DUE")}.get(related)
        if needed is None or not any(entry.get(name) for name in needed):
            self.fault(trigger.line, "3.8.6.3", f"an alarm before a missing {related}")

    # ------------------------------------------------------------ zones, 3.6.5

    def _zone(self, zone: Component) -> None:
        self._once(zone, "TZID", "3.6.5")
        name = zone.text("TZID")
        if name in self.zones:
            self.fault(zone.line, "3.6.5", f"TZID {name} twice")
        if name not in available_timezones():
            self.fault(zone.line, "project", f"{name} is not an IANA name")
        if not zone.parts:
            self.fault(zone.line, "3.6.5", "no STANDARD or DAYLIGHT")
        observances: list[tuple[datetime, timedelta, timedelta]] = []
        for part in zone.parts:
            for needed in ("DTSTART", "TZOFFSETFROM", "TZOFFSETTO"):
                self._once(part, needed, "3.6.5")
            start = part.get("DTSTART")
            before, after = part.get("TZOFFSETFROM"), part.get("TZOFFSETTO")
            if start is None or before is None or after is None:
                continue
            if start.value.endswith("Z") or "TZID" in start.parameters:
                self.fault(start.line, "3.6.5", "the onset is not a local time")
            onset = self._wall(start)
            offsets = self._offset(before), self._offset(after)
            if onset is not None and offsets[0] is not None and offsets[1] is not None:
                observances.append((onset, offsets[0], offsets[1]))
        # Onsets in UTC: the local time of the offset before.
        observances.sort(key=lambda one: one[0] - one[1])
        for earlier, later in pairwise(observances):
            if earlier[2] != later[1]:
                self.fault(zone.line, "3.6.5", f"{name}: offsets of its changes do not meet")
        self.zones[name] = observances

    def _offset(self, entry: Property) -> timedelta | None:
        match = OFFSET.fullmatch(entry.value)
        if match is None or entry.value in ("-0000", "-000000"):
            self.fault(entry.line, "3.3.14", f"offset {entry.value}")
            return None
        hours, minutes, seconds = int(match[2]), int(match[3]), int(match[4] or 0)
        size = timedelta(hours=hours, minutes=minutes, seconds=seconds)
        return -size if match[1] == "-" else size

    # ------------------------------------------------------------ values

    def _wall(self, entry: Property) -> datetime | None:
        match = DATE_TIME.fullmatch(entry.value)
        if match is None:
            self.fault(entry.line, "3.3.5", f"{entry.name} {entry.value} is not a date and time")
            return None
        try:
            return datetime.strptime(match[0].rstrip("Z"), "%Y%m%dT%H%M%S")
        except ValueError:
            self.fault(entry.line, "3.3.5", f"{entry.name} {entry.value} does not exist")
            return None

    def _instant(self, entry: Property) -> datetime | None:
        """A DATE-TIME as an instant, by the VTIMEZONE in the file (3.3.5, 3.6.5)."""
        wall = self._wall(entry)
        if wall is None:
            return None
        name = entry.parameters.get("TZID")
        if entry.value.endswith("Z"):
            if name is not None:
                self.fault(entry.line, "3.2.19", "TZID on a time in UTC")
            return wall.replace(tzinfo=UTC)
        if name is None:
            self.fault(entry.line, "project", f"{entry.name} floats")
            return None
        if name not in self.zones:
            self.fault(entry.line, "3.2.19", f"no VTIMEZONE for {name}")
            return None
        # A local time that exists twice means the first (3.3.5).
        candidates = []
        for index, (onset, before, after) in enumerate(self.zones[name]):
            instant = wall - after
            from_here = onset - before
            following = self.zones[name][index + 1 :]
            until = following[0][0] - following[0][1] if following else datetime.max
            if from_here <= instant < until:
                candidates.append(instant)
        if not candidates:
            self.fault(entry.line, "3.6.5", f"{entry.name} {entry.value} exists on no clock there")
            return None
        instant = min(candidates).replace(tzinfo=UTC)
        shown = instant.astimezone(ZoneInfo(name))
        if shown.replace(tzinfo=None) != wall or shown.fold:
            self.fault(
                entry.line, "project", f"{entry.name}: the file's {name} is not the zone data's"
            )
        return instant

    def duration(self, entry: Property) -> timedelta | None:
        match = DURATION.fullmatch(entry.value)
        if match is None or entry.value.endswith(("P", "T")):
            self.fault(entry.line, "3.3.6", f"{entry.name} {entry.value} is not a duration")
            return None
        weeks, days, hours, minutes, seconds = (int(match[index] or 0) for index in range(2, 7))
        size = timedelta(weeks=weeks, days=days, hours=hours, minutes=minutes, seconds=seconds)
        return -size if match[1] == "-" else size

    def _once(self, component: Component, name: str, section: str, needed: bool = True) -> None:
        count = len(component.all(name))
        if count > 1 or (needed and not count):
            self.fault(component.line, section, f"{name} {count} times in {component.name}")


def read(data: bytes) -> File:
    """Every fault of a calendar file, and what it says."""
    reader = Reader(data)
    return File(reader.faults, reader.calendar)
