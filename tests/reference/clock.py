"""Minutes: the wall clock of a zone, and hours as bitmaps with one byte a minute.

An instant is a whole number of minutes since 1970 in UTC. A bitmap covers the horizon
`[first, last)`; outside of it everything counts as closed.
"""

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from tests.reference import values


def utc_minute(moment: datetime, *, up: bool) -> int:
    """An aware datetime as UTC minutes, seconds rounded up or down."""
    seconds = (moment - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(seconds=1)
    return -(-seconds // 60) if up else seconds // 60


class Clock:
    """The wall clock of one zone."""

    def __init__(self, zone: str) -> None:
        self.zone = ZoneInfo(zone)
        self.at = lru_cache(maxsize=None)(self._at)

    def local(self, minute: int) -> datetime:
        return datetime.fromtimestamp(minute * 60, self.zone)

    def day(self, minute: int) -> date:
        return self.local(minute).date()

    def _at(self, day: date, minute: int) -> int:
        """UTC minute of a wall minute of a day: the first of two, the clock change for none."""
        wall = datetime(day.year, day.month, day.day) + timedelta(minutes=minute)
        guess = utc_minute(wall.replace(tzinfo=self.zone, fold=0), up=False)
        if self.local(guess).replace(tzinfo=None) == wall:
            return guess
        # The wall time is skipped: the first minute that shows a later one.
        return next(
            minute
            for minute in range(guess - 24 * 60, guess + 24 * 60)
            if self.local(minute).replace(tzinfo=None) > wall
        )

    def days(self, first: int, last: int) -> list[date]:
        """The local days that touch `[first, last)`, and the one before."""
        start = self.day(first) - timedelta(days=1)
        return [start + timedelta(days=step) for step in range((self.day(last) - start).days + 1)]


class Hours:
    """Open minutes of `[first, last)`, a byte each."""

    def __init__(self, first: int, last: int, bits: bytes | bytearray) -> None:
        self.first, self.last, self.bits = first, last, bytes(bits)

    def is_open(self, minute: int) -> bool:
        return self.first <= minute < self.last and self.bits[minute - self.first] == 1

    def next_open(self, minute: int) -> int | None:
        found = self.bits.find(1, max(0, minute - self.first))
        return None if found < 0 else found + self.first

    def next_closed(self, minute: int) -> int:
        found = self.bits.find(0, max(0, minute - self.first))
        return self.last if found < 0 else found + self.first

    def last_open(self, before: int) -> int | None:
        """The last open minute that begins before `before`."""
        found = self.bits.rfind(1, 0, max(0, before - self.first))
        return None if found < 0 else found + self.first

    def opening_start(self, minute: int) -> int:
        """First minute of the opening that holds `minute`."""
        return self.bits.rfind(0, 0, minute - self.first) + 1 + self.first

    def count(self, start: int, end: int) -> int:
        """Open minutes in `[start, end)`, negative where end < start."""
        if end < start:
            return -self.count(end, start)
        return self.bits.count(1, max(0, start - self.first), max(0, end - self.first))

    def stretches(self, start: int, end: int) -> list[tuple[int, int]]:
        """The openings within `[start, end)`."""
        found = []
        while (opening := self.next_open(start)) is not None and opening < end:
            start = self.next_closed(opening)
            found.append((opening, min(start, end)))
        return found

    def both(self, other: "Hours") -> "Hours":
        mine, theirs = int.from_bytes(self.bits, "little"), int.from_bytes(other.bits, "little")
        return Hours(self.first, self.last, (mine & theirs).to_bytes(len(self.bits), "little"))

    def work(self, earliest: int, length: int, *, one_go: bool) -> tuple[int, int] | None:
        """First start from `earliest` on and its finish after `length` open minutes."""
        start = self.next_open(earliest)
        while start is not None:
            end = self.next_closed(start)
            if not one_go:
                return None if (finish := self._finish(start, length)) is None else (start, finish)
            if end - start >= length:
                return start, start + length
            start = self.next_open(end)
        return None

    def _finish(self, start: int, length: int) -> int | None:
        at: int | None = start
        while at is not None:
            end = self.next_closed(at)
            if end - at >= length:
                return at + length
            length -= end - at
            at = self.next_open(end)
        return None

    def work_back(
        self, start_by: int, finish_by: int, length: int, *, one_go: bool
    ) -> tuple[int, int] | None:
        """Last open start not after `start_by` whose work is over by `finish_by`."""
        end, left = finish_by, length
        if one_go and start_by < finish_by:
            end = min(finish_by, max(start_by, self.next_closed(start_by)))
        while (minute := self.last_open(end)) is not None:
            opening = self.opening_start(minute)
            if one_go:
                start = min(minute + 1 - length, start_by)
                if start >= opening:
                    return start, start + length
            elif minute + 1 - opening >= left:
                last = self.last_open(min(minute + 1 - left, start_by) + 1)
                finish = None if last is None else self._finish(last, length)
                return None if last is None or finish is None else (last, finish)
            else:
                left -= minute + 1 - opening
            end = opening
        return None


def blank(first: int, last: int) -> bytearray:
    return bytearray(last - first)


def paint(bits: bytearray, first: int, start: int, end: int, value: int) -> None:
    """Set `[start, end)` of a bitmap that begins at `first`."""
    low, high = max(0, start - first), min(len(bits), end - first)
    if high > low:
        bits[low:high] = bytes([value]) * (high - low)


def weekly(
    clock: Clock,
    first: int,
    last: int,
    hours: dict[str, list[str]] | None,
    *,
    off: Iterable[str] = (),
    extra: Iterable[str] = (),
    holidays: frozenset[date] = frozenset(),
    busy: Iterable[tuple[int, int]] = (),
) -> Hours:
    """Hours of a week over the horizon: `extra` beats days off, `busy` beats `extra`."""
    bits = blank(first, last)
    whole, partial = values.days_off(list(off))
    week = None if hours is None else values.week_hours(hours)
    for day in clock.days(first, last):
        if day in whole or day in holidays:
            continue
        for start, end in [(0, 1440)] if week is None else week[day.weekday()]:
            paint(bits, first, clock.at(day, start), clock.at(day, end), 1)
    for day, (start, end) in partial:
        paint(bits, first, clock.at(day, start), clock.at(day, end), 0)
    for text in extra:
        start, end = values.window(text.split(" ")[1])
        day = date.fromisoformat(text.split(" ")[0])
        paint(bits, first, clock.at(day, start), clock.at(day, end), 1)
    for start, end in busy:
        paint(bits, first, start, end, 0)
    return Hours(first, last, bits)


def daylight(
    clock: Clock, first: int, last: int, place: dict[str, float] | None, *, dark: bool
) -> Hours:
    """Sunrise to sunset to the safe side, 09:00-16:00 without a place; or all the rest."""
    bits = blank(first, last)
    for day in clock.days(first, last):
        if place is None:
            start, end = clock.at(day, 9 * 60), clock.at(day, 16 * 60)
        else:
            start, end = _sun(clock, day, place)
        paint(bits, first, start, end, 1)
    return Hours(first, last, bytes(1 - bit for bit in bits) if dark else bits)


def _sun(clock: Clock, day: date, place: dict[str, float]) -> tuple[int, int]:
    from astral import Observer
    from astral.sun import sunrise, sunset

    observer = Observer(place["latitude"], place["longitude"])
    return (
        utc_minute(sunrise(observer, date=day, tzinfo=clock.zone), up=True),
        utc_minute(sunset(observer, date=day, tzinfo=clock.zone), up=False),
    )
