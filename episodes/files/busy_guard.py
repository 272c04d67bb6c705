"""What a repeating event may ask for before anybody works it out.

A calendar file comes from somebody else, and a rule of one line can ask for more dates than there
is time. Each rule is judged by its text: how often, since when, how many dates a day; and by
whether it is sure to come again, since the library walks a rule that never comes true to the year
9999. All that is asked of one file is added up, so that a thousand costly rules are no way round.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any

FREQUENCIES = {"HOURLY": 1 / 24, "DAILY": 1.0, "WEEKLY": 7.0, "MONTHLY": 30.4, "YEARLY": 365.2}
"""Days between two dates of a rule."""

EARLIEST = date(1990, 1, 1)
"""For rules of every day or hour."""

LONGEST_EVENT = timedelta(days=400)
MOST_DATES = 5_000
MOST_COUNT = 100_000
MOST_TIMES_A_DAY = 24
EFFORT = 1_400_000
"""Microseconds of work that one file may ask for, by the costs below."""

COST_OF_A_DATE = 4
COST_TO_THE_END = {
    "YEARLY": 250_000,
    "MONTHLY": 350_000,
    "WEEKLY": 1_200_000,
    "DAILY": 3_000_000,
    "HOURLY": 7_000_000,
}
"""Microseconds until a rule that never comes true has been walked to the year 9999; measured."""

_WEEK = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_PLAIN_DAYS = frozenset(_WEEK)
_DAYS_TRIED = 5_000
"""Dates of a daily rule that are tried for one that it allows: decades of every second day."""


class LeftOutError(Exception):
    """Why an event is left out, to be said after its title."""


class Guard:
    """The effort left for one file, and where its rules end."""

    def __init__(self, end: datetime) -> None:
        self.end = end
        self.left = EFFORT

    def admit(self, event: Any) -> None:
        """Let an event through, its rules bounded by the end of the time looked at.

        Raises:
            LeftOutError: it asks for too much, or cannot be read.
        """
        start = event["DTSTART"].dt
        if length(event) > LONGEST_EVENT:
            raise LeftOutError("it is longer than 400 days")
        dates = sum(_count(event.get(name)) for name in ("RDATE", "EXDATE"))
        cost = dates * COST_OF_A_DATE
        rules = event.get("RRULE")
        if rules is not None:
            for rule in rules if isinstance(rules, list) else [rules]:
                cost += self._rule(rule, start)
        if cost > self.left:
            raise LeftOutError("this file's repeating events ask for too much time")
        self.left -= cost

    def _rule(self, rule: Any, start: date) -> int:
        """Bound one rule and return what working it out may cost."""
        frequency = str(_one(rule, "FREQ")).upper()
        if frequency not in FREQUENCIES:
            raise LeftOutError(f"it repeats {frequency.lower() or 'without saying how often'}")
        interval = _one(rule, "INTERVAL", 1)
        if not isinstance(interval, int) or interval < 1:
            raise LeftOutError(f"it repeats every {interval} times, which never ends")
        if "BYSECOND" in rule:
            raise LeftOutError("it repeats by seconds")
        times = len(_list(rule, "BYHOUR") or (0,)) * len(_list(rule, "BYMINUTE") or (0,))
        if times > MOST_TIMES_A_DAY:
            raise LeftOutError(f"it comes {times} times a day")
        if FREQUENCIES[frequency] <= 1 and _day(start) < EARLIEST:
            raise LeftOutError(f"it has repeated {frequency.lower()} since {_day(start)}")
        self._bound(rule, start)
        span = max((self.end.date() - _day(start)).days, 1)
        cost = int(span / FREQUENCIES[frequency] / interval * times * COST_OF_A_DATE) + 100
        if not comes_again(frequency, interval, rule, start, self.end.date()):
            cost += COST_TO_THE_END[frequency]
        return cost

    def _bound(self, rule: Any, start: date) -> None:
        """End the rule with the time looked at: worked out, an endless one would not end."""
        count = _one(rule, "COUNT", 0)
        until = _one(rule, "UNTIL", None)
        if "COUNT" in rule and isinstance(count, int) and 0 < count <= MOST_COUNT:
            return
        rule.pop("COUNT", None)
        if until is not None and _day(until) <= self.end.date():
            return
        if not isinstance(start, datetime):
            bound: date = self.end.date()
        elif start.tzinfo is None:
            bound = self.end.replace(tzinfo=None)
        else:
            bound = self.end
        rule["UNTIL"] = [bound]


def comes_again(
    frequency: str, interval: int, rule: Mapping[str, Any], start: date, end: date
) -> bool:
    """Whether a rule is sure to have another date before long; False where that is not plain.

    Args:
        end: the last day looked at; a date past it ends the walk.
    """
    parts = {name for name in rule if name.startswith("BY")} - {"BYHOUR", "BYMINUTE"}
    days = [str(day).upper() for day in _list(rule, "BYDAY")]
    month_days = [day for day in _list(rule, "BYMONTHDAY") if isinstance(day, int)]
    if not parts:
        return frequency != "MONTHLY" or interval == 1 or start.day <= 28
    if frequency == "DAILY" and parts <= {"BYDAY", "BYMONTH", "BYMONTHDAY"}:
        return _some_day(interval, rule, _day(start), end)
    if frequency in ("HOURLY", "DAILY"):
        return interval == 1 and parts <= {"BYDAY", "BYMONTH"} and _PLAIN_DAYS.issuperset(days)
    if frequency == "WEEKLY":
        return parts == {"BYDAY"} or (interval == 1 and parts <= {"BYDAY", "BYMONTH"})
    if parts == {"BYDAY"} or parts == {"BYDAY", "BYMONTH"}:
        weeks = {_week_of_month(day) for day in days}
        fits = weeks <= {0, 1, 2, 3, 4}
        return fits and (frequency == "YEARLY" or interval == 1 or "BYMONTH" not in parts)
    if parts == {"BYMONTHDAY"}:
        return frequency == "MONTHLY" and (
            interval == 1 or any(abs(day) <= 28 for day in month_days)
        )
    if frequency == "YEARLY" and parts == {"BYMONTH", "BYMONTHDAY"}:
        return any(abs(day) <= 28 for day in month_days)
    if frequency == "YEARLY" and parts == {"BYMONTH"}:
        return start.day <= 28
    if frequency == "MONTHLY" and parts == {"BYDAY", "BYSETPOS"}:
        places = [abs(place) for place in _list(rule, "BYSETPOS") if isinstance(place, int)]
        return _PLAIN_DAYS.issuperset(days) and max(places, default=99) <= 4 * len(days)
    return False


def _some_day(interval: int, rule: Mapping[str, Any], start: date, end: date) -> bool:
    """Whether a daily rule has a date past the end that its months, days and weekdays allow."""
    months = {month for month in _list(rule, "BYMONTH") if isinstance(month, int)}
    month_days = {day for day in _list(rule, "BYMONTHDAY") if isinstance(day, int)}
    days = {str(day).upper() for day in _list(rule, "BYDAY")}
    if not days <= _PLAIN_DAYS or interval > 366:
        return False
    step = timedelta(days=interval)
    day = start + max((end - start) // step + 1, 0) * step
    for _ in range(_DAYS_TRIED):
        if day.year > end.year + 30:
            return False
        last = (day.replace(day=28) + timedelta(days=4)).replace(day=1) - timedelta(days=1)
        if (
            (not months or day.month in months)
            and (not month_days or day.day in month_days or day.day - last.day - 1 in month_days)
            and (not days or _WEEK[day.weekday()] in days)
        ):
            return True
        day += step
    return False


def length(event: Any) -> timedelta:
    """How long one occurrence is, by the clock on the wall.

    Raises:
        LeftOutError: it ends before it starts.
    """
    start = event["DTSTART"].dt
    if "DTEND" in event:
        end = event["DTEND"].dt
        if isinstance(end, datetime) != isinstance(start, datetime):
            raise LeftOutError("it starts on a day and ends at a time")
        if isinstance(start, datetime) and (start.tzinfo is None) != (end.tzinfo is None):
            raise LeftOutError("its start and end are in different kinds of time")
        if isinstance(start, datetime) and start.tzinfo is not None:
            taken: timedelta = end.astimezone(UTC) - start.astimezone(UTC)
        else:
            taken = end - start
    elif "DURATION" in event:
        taken = event["DURATION"].dt
    else:
        taken = timedelta(0) if isinstance(start, datetime) else timedelta(days=1)
    if taken < timedelta(0):
        raise LeftOutError("it ends before it starts")
    return taken


def _week_of_month(day: str) -> int:
    """`2MO` is 2, `-1FR` is 1, `TU` is 0."""
    digits = day[:-2].lstrip("+-")
    return int(digits) if digits.isdigit() else 0


def _count(value: Any) -> int:
    if value is None:
        return 0
    return sum(len(part.dts) for part in (value if isinstance(value, list) else [value]))


def _list(rule: Mapping[str, Any], name: str) -> Sequence[Any]:
    value = rule.get(name)
    if value is None:
        return ()
    return value if isinstance(value, list) else (value,)


def _one(rule: Mapping[str, Any], name: str, default: Any = "") -> Any:
    values = _list(rule, name)
    return values[0] if values else default


def _day(moment: date) -> date:
    return moment.date() if isinstance(moment, datetime) else moment
