"""Dates as written to UTC minutes: bounds, facts, releases.

A bare date is its start as a lower bound and its end (24:00) as an upper one; seconds round up as
a lower bound and down as an upper one, so that no bound is ever looser than written. Facts never
lie after now: one of today reads as now at the latest, one of a later day raises ValueError.
"""

from datetime import UTC, date, datetime, time, timedelta

from episodes.amounts import MINUTES_A_DAY
from episodes.calendars.local_time import Zone
from episodes.files.values import FromRelease, Moment

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
LAST_MINUTE = MINUTES_A_DAY - 1


def minute_of_day(value: time, *, up: bool = False) -> int:
    """Minutes after midnight of a time of day; seconds round down, or `up`."""
    return value.hour * 60 + value.minute + (1 if up and (value.second or value.microsecond) else 0)


def instant(zone: Zone, value: datetime, *, up: bool) -> int:
    """UTC minute of a date-time; without an offset it is the zone's local time."""
    if value.tzinfo is not None:
        whole, rest = divmod(value - _EPOCH, timedelta(minutes=1))
        return whole + (1 if up and rest else 0)
    return zone.utc(value.date(), minute_of_day(value.time(), up=up))


def lower(zone: Zone, value: Moment, release: int) -> int:
    """UTC minute of a bound that something may not come before."""
    return _bound(zone, value, release, up=True)


def upper(zone: Zone, value: Moment, release: int) -> int:
    """UTC minute of a bound that something may not come after."""
    return _bound(zone, value, release, up=False)


def _bound(zone: Zone, value: Moment, release: int, *, up: bool) -> int:
    if isinstance(value, FromRelease):
        if value.days is None:
            return release + value.minutes
        value = zone.day(release) + timedelta(days=value.days)
    if isinstance(value, datetime):
        return instant(zone, value, up=up)
    return zone.utc(value, 0 if up else MINUTES_A_DAY)


def local_day(zone: Zone, value: date | datetime) -> date:
    """The studio's day on which a fact was written."""
    if isinstance(value, datetime):
        return value.date() if value.tzinfo is None else zone.day(instant(zone, value, up=False))
    return value


def fact(
    zone: Zone,
    value: date | datetime,
    now: int,
    *,
    minute: int = MINUTES_A_DAY,
    of_today_is_now: bool = True,
) -> int:
    """UTC minute of something that has happened.

    Args:
        now: nothing has happened after it.
        minute: of the local day, where only the day is written.
        of_today_is_now: a moment of today that is still to come reads as now; else it is a fault.

    Raises:
        ValueError: it is still to come.
    """
    if local_day(zone, value) > zone.day(now):
        raise ValueError("is still to come")
    if isinstance(value, datetime):
        at = instant(zone, value, up=True)
        if at > now and not of_today_is_now:
            raise ValueError("is later than now")
    else:
        at = zone.utc(value, minute)
    return min(at, now)


def expected(zone: Zone, value: date | datetime, arrives_at: int) -> int:
    """UTC minute of a promised arrival; a day alone is that day at `arrives_at`."""
    if isinstance(value, datetime):
        return instant(zone, value, up=True)
    return zone.utc(value, arrives_at)
