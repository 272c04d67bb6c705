"""The earlier file is the memory: what of it stays, what has changed, what is gone.

A calendar that follows a file tells a change by SEQUENCE and the stamps (RFC 5545 sections
3.8.7.1 to 3.8.7.4). Both are kept in the file itself: a component that says the same as the
earlier one takes over its stamps and is the same bytes again; a changed one counts SEQUENCE up.
What is gone stays as cancelled, or the reader would keep showing it, until it is long past.
"""

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from icalendar import Calendar, Component, vText

from episodes.exports.ical_entries import DAY, Earlier
from episodes.problems import EpisodesError

PRODID = "-//episodes//calendar 1//EN"
"""Without the program's version: an upgrade must not change a file."""

KEEP_CANCELLED = 90 * DAY
"""How long past its end a cancelled entry stays, minutes."""

BUSY = "Busy"
_STAMPS = ("DTSTAMP", "LAST-MODIFIED", "SEQUENCE")
_TELLING = ("LOCATION", "DESCRIPTION", "CATEGORIES", "RELATED-TO")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class EarlierFileError(EpisodesError):
    """What stands at the place of the calendar file is not a file of ours; it is left alone."""


@dataclass(frozen=True, slots=True)
class Counts:
    """What a new file changes against the earlier one."""

    new: int = 0
    moved: int = 0
    changed: int = 0
    cancelled: int = 0
    unchanged: int = 0

    def __str__(self) -> str:
        """`3 new, 2 moved, 1 cancelled, 41 unchanged`; what there is none of is left out."""
        parts = [
            f"{getattr(self, word)} {word}"
            for word in ("new", "moved", "changed", "cancelled", "unchanged")
            if getattr(self, word)
        ]
        return ", ".join(parts) or "nothing to put in"


def read_earlier(data: bytes) -> dict[str, Component]:
    """The events and tasks of an earlier file by UID.

    Raises:
        EarlierFileError: not a calendar, not ours, or damaged since.
    """
    try:
        text = data.decode()
        if not _whole(text):
            raise ValueError("cut short")
        calendars = Calendar.from_ical(text, multiple=True)
    except (ValueError, KeyError, IndexError, RecursionError):
        raise EarlierFileError("it is not a calendar file that can be read") from None
    if len(calendars) != 1 or calendars[0].name != "VCALENDAR":
        raise EarlierFileError("it is not one calendar")
    calendar = calendars[0]
    if str(calendar.get("PRODID", "")) != PRODID:
        raise EarlierFileError("another program wrote it")
    found: dict[str, Component] = {}
    for component in calendar.subcomponents:
        if component.name == "VTIMEZONE":
            continue
        uid = str(component.get("UID", ""))
        if component.name not in ("VEVENT", "VTODO") or not uid or uid in found:
            raise EarlierFileError("it has been changed by hand or by another program")
        try:
            span_of(component)
            sequence_of(component)
        except (KeyError, ValueError, TypeError, AttributeError, OverflowError):
            raise EarlierFileError(
                f"its entry {uid[:40]} has been changed by hand or by another program"
            ) from None
        if component.errors:
            raise EarlierFileError("some of its entries cannot be read")
        found[uid] = component
    return found


def _whole(text: str) -> bool:
    """Whether each BEGIN has its END: the library takes a file that was cut short as it is."""
    open_parts: list[str] = []
    for line in text.replace("\r\n", "\n").split("\n"):
        if line.startswith("BEGIN:"):
            open_parts.append(line.removeprefix("BEGIN:"))
        elif line.startswith("END:") and (
            not open_parts or open_parts.pop() != line.removeprefix("END:")
        ):
            return False
    return bool(text.strip()) and not open_parts


def known(components: Mapping[str, Component]) -> dict[str, Earlier]:
    """When the entries of the earlier file are, for those who make the new ones."""
    return {
        uid: Earlier(*span_of(component), is_live(component))
        for uid, component in components.items()
    }


def is_live(component: Component) -> bool:
    return str(component.get("STATUS", "")) != "CANCELLED"


def span_of(component: Component) -> tuple[int, int]:
    """Start and end in UTC minutes; a task's are both when it is due."""
    if component.name == "VTODO":
        due = _minute(component, "DUE")
        return due, due
    return _minute(component, "DTSTART"), _minute(component, "DTEND")


def sequence_of(component: Component) -> int:
    return int(str(component["SEQUENCE"]))


def _minute(component: Component, name: str) -> int:
    value = getattr(component[name], "dt", None)
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise ValueError(f"{name} is not an instant")
    return (value - _EPOCH) // timedelta(minutes=1)


class Merge:
    """The new components against the earlier ones, at `now` (UTC minute)."""

    def __init__(self, earlier: Mapping[str, Component], now: int, private: bool) -> None:
        self.earlier = earlier
        self.now = now
        self.stamp = _EPOCH + timedelta(minutes=now)
        self.private = private
        self.counts = Counts()

    def merge(
        self,
        fresh: Iterable[Component],
        kept: Mapping[str, Sequence[vText]],
        unasked: frozenset[str],
    ) -> list[Component]:
        """All components of the new file, by UID.

        Args:
            fresh: the components wanted, without stamps.
            kept: UIDs of earlier ones that are over and stay as they are, with their relations.
            unasked: UIDs of earlier ones that this answer says nothing about.
        """
        result: dict[str, Component] = {}
        for component in fresh:
            uid = str(component["UID"])
            result[uid] = self._stamped(component, self.earlier.get(uid))
        past = {uid for uid, old in self.earlier.items() if self._long_past(old)}
        staying = result.keys() | kept.keys() | (unasked - past)
        for uid, old in self.earlier.items():
            if uid in result:
                continue
            left = self._left_over(uid, old, kept, unasked, staying)
            if left is not None:
                result[uid] = left
        # By UID, so that a move changes its own lines and nobody else's place.
        return [result[uid] for uid in sorted(result)]

    def _stamped(self, component: Component, old: Component | None) -> Component:
        if old is None:
            self._stamp(component, 0)
            self._count("new")
        elif _says(component) == _says(old):
            for name in _STAMPS:
                component[name] = old[name]
            self._count("unchanged")
        else:
            self._stamp(component, sequence_of(old) + 1)
            if not is_live(old):
                self._count("new")
            elif span_of(component) != span_of(old):
                self._count("moved")
            else:
                self._count("changed")
        return component

    def _left_over(
        self,
        uid: str,
        old: Component,
        kept: Mapping[str, Sequence[vText]],
        unasked: frozenset[str],
        staying: Set[str],
    ) -> Component | None:
        """An earlier component that the new plan does not have; None once it can go."""
        if uid in kept:
            return self._again(old, _at_rest(old, kept[uid]), "unchanged")
        if self._long_past(old):
            return None
        if not is_live(old):
            return self._again(old, _copy(old), None)
        if uid in unasked:
            return self._again(old, _related(_copy(old), _relations(old, staying)), "unchanged")
        self._count("cancelled")
        return self._again(old, _cancelled(old), None)

    def _long_past(self, old: Component) -> bool:
        return span_of(old)[1] + KEEP_CANCELLED < self.now

    def _again(self, old: Component, new: Component, counted: str | None) -> Component:
        if self.private:
            _hush(new)
        if counted is not None:
            self._count(counted if _says(new) == _says(old) else "changed")
        if _says(new) != _says(old):
            self._stamp(new, sequence_of(old) + 1)
        return new

    def _stamp(self, component: Component, sequence: int) -> None:
        for name in _STAMPS:
            component.pop(name, None)
        component.add("SEQUENCE", sequence)
        component.add("DTSTAMP", self.stamp)
        component.add("LAST-MODIFIED", self.stamp)

    def _count(self, word: str) -> None:
        self.counts = replace(self.counts, **{word: getattr(self.counts, word) + 1})


def _says(component: Component) -> bytes:
    """What a component says, its stamps aside."""
    bare = _copy(component)
    for name in _STAMPS:
        bare.pop(name, None)
    said: bytes = bare.to_ical()
    return said


def _copy(component: Component) -> Component:
    # Values are never changed in place, only replaced: one level is deep enough.
    twin = type(component)()
    for name, value in component.items():
        twin[name] = value
    twin.subcomponents = list(component.subcomponents)
    return twin


def _related(component: Component, relations: Sequence[vText]) -> Component:
    """The same component with these relations and no others."""
    component.pop("RELATED-TO", None)
    for relation in relations:
        component.add("RELATED-TO", relation)
    return component


def _relations(old: Component, staying: Set[str]) -> list[vText]:
    """A component's relations to what the file still holds."""
    found = old.get("RELATED-TO", [])
    return [each for each in (found if isinstance(found, list) else [found]) if each in staying]


def _at_rest(old: Component, relations: Sequence[vText]) -> Component:
    """An entry that is over: no alarm, no doubt."""
    component = _related(_copy(old), relations)
    component.subcomponents = []
    if str(component.get("STATUS")) == "TENTATIVE":
        component["STATUS"] = vText("CONFIRMED")
    return component


def _cancelled(old: Component) -> Component:
    component = _copy(old)
    component.subcomponents = []
    component["STATUS"] = vText("CANCELLED")
    if component.name == "VEVENT":
        component["TRANSP"] = vText("TRANSPARENT")
    for name in ("COMPLETED", "RELATED-TO"):
        component.pop(name, None)
    return component


def _hush(component: Component) -> None:
    component["SUMMARY"] = vText(BUSY)
    for name in _TELLING:
        component.pop(name, None)
    component.subcomponents = []
