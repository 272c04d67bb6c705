"""When, as it is typed: `19:00`, `yesterday`, `sat 10:30`, `2027-04-14`, `2027-04-14T19:00`.

A weekday is the last such day for a fact and the next one for what is still to come. A time alone
is today's. A day alone stays a day, so that the plan's own rule for bare dates applies to it.
"""

import re
from datetime import date, datetime, time, timedelta

from episodes.calendars.local_time import Zone, zone
from episodes.calendars.week import parse_day_off

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)", re.ASCII)
_FIRST_YEAR, _LAST_YEAR = 1990, 2199
HOW = (
    "write 19:00, today, yesterday, a weekday (sat 10:30), a date (2027-04-14) "
    "or an instant (2027-04-14T19:00)"
)


def parse_instant(text: str, zone_name: str) -> int:
    """UTC minute of an ISO date or instant, local to the zone unless it has an offset.

    Seconds round up; a bare date is its start.

    Raises:
        ValueError: not such a moment; the message says what would be one.
    """
    try:
        here = zone(zone_name)
    except ValueError:
        # The reader will say which line names that zone.
        here = zone("UTC")
    try:
        when = datetime.fromisoformat(text.strip())
    except ValueError:
        raise ValueError(
            f'"{text}" is not a moment; write 2027-04-14T18:00, with an offset if it is not local'
        ) from None
    return _minute(when, here)


class Moments:
    """Moments as typed by somebody in this zone at this minute."""

    def __init__(self, here: Zone, now: int) -> None:
        self.here = here
        self.now = now
        self.today = here.day(now)

    def past(self, text: str) -> date | datetime:
        """When something happened, as it is written into a plan.

        Raises:
            ValueError: not a moment, or later than now.
        """
        day, clock, exact = self._parts(text)
        if exact is not None:
            minute = exact
        elif clock is None:
            if isinstance(day, int):
                day = self.today - timedelta(days=(self.today.weekday() - day) % 7)
            if day > self.today:
                raise ValueError(f'"{text}" has not come yet; a fact is written when it happened')
            return day
        else:
            minute = self._last(day, clock)
        if minute > self.now:
            raise ValueError(
                f'"{text}" is later than now ({self.here.local(self.now):%H:%M}); a fact is '
                "written when it happened; of the day before, write: yesterday "
                f"{self.here.local(minute):%H:%M}"
            )
        return self.written(minute)

    def coming(self, text: str) -> date | datetime:
        """When something is expected, as it is written into a plan.

        Raises:
            ValueError: not a moment.
        """
        day, clock, exact = self._parts(text)
        if exact is not None:
            return self.written(exact)
        if isinstance(day, int):
            day = self.today + timedelta(days=(day - self.today.weekday() - 1) % 7 + 1)
        return day if clock is None else self.written(self.here.utc(day, clock))

    def days_off(self, text: str) -> str:
        """Days off as the plan writes them: a day, `A..B`, or `A 18:00-20:00`.

        Raises:
            ValueError: not such days.
        """
        first, dots, last = text.strip().partition("..")
        if dots:
            written = f"{self._coming_day(first)}..{self._coming_day(last)}"
        else:
            day, _, window = first.partition(" ")
            written = f"{self._coming_day(day)} {window.strip()}".rstrip()
        parse_day_off(written)
        return written

    def written(self, minute: int) -> datetime:
        """A moment as wall time; with its offset only where the wall shows that time twice."""
        local = self.here.local(minute)
        plain = local.replace(tzinfo=None, fold=0)
        if self.here.utc(plain.date(), plain.hour * 60 + plain.minute) == minute:
            return plain
        return datetime.fromisoformat(local.isoformat())

    def _coming_day(self, text: str) -> date:
        """A day from today on; a weekday that is today's is today."""
        day, clock, exact = self._parts(text)
        if clock is not None or exact is not None:
            raise ValueError(
                f'"{text}" is not a day; write 2027-04-15, 2027-04-15..2027-04-18, thu, '
                'or "2027-04-15 18:00-20:00"'
            )
        if isinstance(day, int):
            return self.today + timedelta(days=(day - self.today.weekday()) % 7)
        return day

    def _last(self, day: date | int, clock: int) -> int:
        """The last such day and time that is not still to come; a date's is that one."""
        if not isinstance(day, int):
            return self.here.utc(day, clock)
        found = self.today - timedelta(days=(self.today.weekday() - day) % 7)
        minute = self.here.utc(found, clock)
        return minute if minute <= self.now else self.here.utc(found - timedelta(days=7), clock)

    def _parts(self, text: str) -> tuple[date | int, int | None, int | None]:
        """(day or weekday, minute of the day or None, exact UTC minute or None)."""
        words = text.strip().lower()
        if words == "now":
            return self.today, None, self.now
        if clock := _CLOCK.fullmatch(words):
            return self.today, _minutes(clock), None
        name, _, rest = words.partition(" ")
        day = self._named_day(name)
        if day is not None:
            if not rest.strip():
                return day, None, None
            if clock := _CLOCK.fullmatch(rest.strip()):
                return day, _minutes(clock), None
            raise ValueError(f'"{text}" is not a moment; {HOW}')
        try:
            if "t" not in words and ":" not in words:
                found = date.fromisoformat(words)
                if not _FIRST_YEAR <= found.year <= _LAST_YEAR:
                    raise ValueError
                return found, None, None
            return self.today, None, _minute(datetime.fromisoformat(words.upper()), self.here)
        except ValueError:
            raise ValueError(f'"{text}" is not a moment; {HOW}') from None

    def _named_day(self, name: str) -> date | int | None:
        """A day by name: today's neighbours as dates, weekdays as numbers from Monday."""
        near = {"today": 0, "yesterday": -1, "tomorrow": 1}
        if name in near:
            return self.today + timedelta(days=near[name])
        if len(name) >= 2:
            for number, weekday in enumerate(_WEEKDAYS):
                if weekday.startswith(name):
                    return number
        return None


def _minutes(clock: re.Match[str]) -> int:
    return int(clock[1]) * 60 + int(clock[2])


def _minute(when: datetime, here: Zone) -> int:
    """UTC minute of an instant, seconds rounded up; local to `here` without an offset."""
    if not _FIRST_YEAR <= when.year <= _LAST_YEAR:
        raise ValueError(f"the year {when.year} is not between {_FIRST_YEAR} and {_LAST_YEAR}")
    up = 1 if when.second or when.microsecond else 0
    if when.tzinfo is not None:
        return int(when.timestamp() // 60) + up
    whole: time = when.time()
    return here.utc(when.date(), whole.hour * 60 + whole.minute) + up
