"""Local wall time to UTC minutes and back: the only place that knows of time zones.

Everything else counts whole UTC minutes since 1970-01-01. A wall time that a clock change skips
is the instant of that change; one that comes twice is the first of the two. Nothing is ever
computed in local time: lengths over a clock change come out right because both ends are turned
into UTC first.

Nearly every day runs at one offset from midnight to midnight. The UTC minute of its midnight is
then all that is needed, and it is kept; only the few days next to a clock change take the slow way.
"""

from datetime import date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

MINUTES_A_DAY = 1440
_EPOCH_DAY = date(1970, 1, 1).toordinal()
_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 (a wall time that has no zone yet)
_BLOCK = 64
"""Days are looked up this many at a time."""

# The first and last days whose neighbours `datetime` can still express in every zone. Days beyond
# run at the offset of the nearest of these: a bound in the year 9999 is as good as any other.
_FIRST_DAY = date(1, 1, 3).toordinal()
_LAST_DAY = date(9999, 12, 28).toordinal()

_NOT_IANA = ("posix/", "right/", "localtime", "posixrules", "Factory")
"""What else lies in a system's zone folder: that machine's own links, clocks of leap seconds."""


class Zone:
    """A time zone by its IANA name. Get one from `zone`, which keeps them."""

    __slots__ = ("_info", "_midnights", "name")

    def __init__(self, name: str, info: ZoneInfo) -> None:
        self.name = name
        self._info = info
        self._midnights: dict[int, int | None] = {}

    def __repr__(self) -> str:
        return f"zone({self.name!r})"

    def utc(self, day: date, minute: int) -> int:
        """UTC minute of a wall time: `minute` after 00:00 of `day`.

        Minutes outside 0..1439 are on the wall of a neighbouring day (1440 is the next day's
        00:00). A skipped wall time is the instant of the clock change, a repeated one the first;
        instants between two whole minutes (offsets of the 19th century) round up.
        """
        days, minute = divmod(minute, MINUTES_A_DAY)
        ordinal = day.toordinal() + days
        midnight = self.plain_midnight(ordinal)
        return self._slow(ordinal, minute) if midnight is None else midnight + minute

    def plain_midnight(self, ordinal: int) -> int | None:
        """UTC minute of 00:00 of a day (by `date.toordinal`) whose wall never jumps, else None."""
        try:
            return self._midnights[ordinal]
        except KeyError:
            self._look_up(ordinal)
            return self._midnights[ordinal]

    def local(self, utc_minute: int) -> datetime:
        """The aware local time of a UTC minute."""
        return datetime.fromtimestamp(utc_minute * 60, self._info)

    def day(self, utc_minute: int) -> date:
        """The local day that a UTC minute lies in."""
        return datetime.fromtimestamp(utc_minute * 60, self._info).date()

    def days(self, start: int, end: int) -> list[date]:
        """The local days that have a minute in `[start, end)`, in order."""
        if start >= end:
            return []
        first, last = self.day(start).toordinal(), self.day(end - 1).toordinal()
        return [
            date.fromordinal(ordinal)
            for ordinal in range(first, last + 1)
            if self.plain_midnight(ordinal) is not None or self._exists(ordinal)
        ]

    def _exists(self, ordinal: int) -> bool:
        """False for a day that a move across the date line skipped whole."""
        day = date.fromordinal(ordinal)
        return self.utc(day, 0) < self.utc(day, MINUTES_A_DAY)

    def _look_up(self, ordinal: int) -> None:
        first = ordinal - ordinal % _BLOCK
        if first < _FIRST_DAY or first + _BLOCK > _LAST_DAY:
            self._midnights[ordinal] = self._plain(ordinal, ordinal + 1)[0]
        else:
            block = self._plain(first, first + _BLOCK)
            self._midnights.update(zip(range(first, first + _BLOCK), block, strict=True))

    def _plain(self, first: int, end: int) -> list[int | None]:
        """`plain_midnight` for the days [first, end), one pass over their midnights.

        A day is plain when both its midnights exist once, at one and the same offset. Two changes
        inside one day that undo each other would not be seen; no zone has ever done that (a test
        goes through the zone data).
        """
        result: list[int | None] = []
        offset_before = self._offset_at_midnight(first)
        for ordinal in range(first, end):
            offset_after = self._offset_at_midnight(ordinal + 1)
            if offset_before is None or offset_before != offset_after:
                result.append(None)
            else:
                result.append((ordinal - _EPOCH_DAY) * MINUTES_A_DAY - offset_before)
            offset_before = offset_after
        return result

    def _offset_at_midnight(self, ordinal: int) -> int | None:
        """Minutes east of Greenwich at 00:00; None where that is skipped, repeated or not whole."""
        wall = datetime.fromordinal(min(max(ordinal, _FIRST_DAY), _LAST_DAY))
        offset = self._info.utcoffset(wall)
        if offset is None or offset != self._info.utcoffset(wall.replace(fold=1)):
            return None
        minutes, rest = divmod(offset.days * 86_400 + offset.seconds, 60)
        return None if rest else minutes

    def _slow(self, ordinal: int, minute: int) -> int:
        seconds = (ordinal - _EPOCH_DAY) * 86_400 + minute * 60
        wall = datetime.fromordinal(min(max(ordinal, _FIRST_DAY), _LAST_DAY))
        wall += timedelta(minutes=minute)
        first = _seconds(self._info.utcoffset(wall))
        second = _seconds(self._info.utcoffset(wall.replace(fold=1)))
        if first >= second:  # as usual, or the first of two
            return -((first - seconds) // 60)
        return -(-self._change_between(seconds - second, seconds - first) // 60)

    def _change_between(self, before: int, after: int) -> int:
        """The instant (UTC seconds) in (before, after] at which the clocks went forward."""
        old = _seconds(datetime.fromtimestamp(before, self._info).utcoffset())
        while after - before > 1:
            middle = (before + after) // 2
            if _seconds(datetime.fromtimestamp(middle, self._info).utcoffset()) == old:
                before = middle
            else:
                after = middle
        return after


def _seconds(offset: timedelta | None) -> int:
    return 0 if offset is None else offset.days * 86_400 + offset.seconds


@lru_cache(maxsize=64)
def zone(name: str) -> Zone:
    """The zone of an IANA name such as `America/Chicago`.

    Raises:
        ValueError: no such zone; the message names the nearest one.
    """
    if not name.startswith(_NOT_IANA):
        try:
            return Zone(name, ZoneInfo(name))
        except (KeyError, ValueError, OSError):
            pass
    raise ValueError(f'"{name}" is no time zone; write an IANA name such as "{_nearest(name)}"')


def _nearest(name: str) -> str:
    from difflib import get_close_matches
    from zoneinfo import available_timezones

    known = sorted(available_timezones())
    return (get_close_matches(name, known, 1) or ["America/Chicago"])[0]
