"""A time zone as a calendar file must carry it: every change of the clocks in the years used.

RFC 5545 section 3.6.5. Written from the zone data itself, one observance a change, so that no
rule is guessed (some zones follow no rule). The library's own form is not used: release 7.3.2
puts the onset of summer time an hour late, and its order of several zones hangs on the hash seed.

An observance begins at the local time of the offset before it, TZOFFSETFROM. The first one
reaches back to 1970 with the offset that holds when the years begin, so that it covers them.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

BASE = datetime(1970, 1, 1)  # noqa: DTZ001 - a local time by definition
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change of the clocks: the first UTC minute of the new offset, and both offsets."""

    at: datetime
    before: timedelta
    after: timedelta
    name: str


def changes(zone: ZoneInfo, first_year: int, last_year: int) -> tuple[Change, ...]:
    """All changes of the offset from UTC within these years (UTC), in order.

    Found by looking at each day's two ends and halving the stretch between where they differ; two
    changes within one day that cancel out would be missed, and are in no zone since 1970.
    """
    found: list[Change] = []
    day = datetime(first_year, 1, 1, tzinfo=UTC)
    end = datetime(last_year + 1, 1, 1, tzinfo=UTC)
    offset = _offset(zone, day)
    while day < end:
        following = day + timedelta(days=1)
        new = _offset(zone, following)
        if new != offset:
            low, high = day, following
            while high - low > MINUTE:
                middle = low + (high - low) // (2 * MINUTE) * MINUTE
                if _offset(zone, middle) == offset:
                    low = middle
                else:
                    high = middle
            name = high.astimezone(zone).tzname() or zone.key
            found.append(Change(at=high, before=offset, after=new, name=name))
            offset = new
        day = following
    return tuple(found)


def timezone_component(zone: ZoneInfo, first_year: int, last_year: int) -> Timezone:
    """The VTIMEZONE of a zone, right for every instant within these years (UTC)."""
    component = Timezone()
    component.add("TZID", zone.key)
    start = datetime(first_year, 1, 1, tzinfo=UTC)
    base = _offset(zone, start)
    name = start.astimezone(zone).tzname() or zone.key
    component.add_component(_observance(TimezoneStandard(), BASE, base, base, name))
    for change in changes(zone, first_year, last_year):
        forward = change.after > change.before
        # Which of the two names an observance bears decides nothing; readers go by the offsets.
        kind = TimezoneDaylight() if forward else TimezoneStandard()
        onset = (change.at + change.before).replace(tzinfo=None)
        component.add_component(_observance(kind, onset, change.before, change.after, change.name))
    return component


def _observance(
    kind: TimezoneStandard | TimezoneDaylight,
    onset: datetime,
    before: timedelta,
    after: timedelta,
    name: str,
) -> TimezoneStandard | TimezoneDaylight:
    kind.add("DTSTART", onset)
    kind.add("TZOFFSETFROM", before)
    kind.add("TZOFFSETTO", after)
    kind.add("TZNAME", name)
    return kind


def _offset(zone: ZoneInfo, instant: datetime) -> timedelta:
    offset = instant.astimezone(zone).utcoffset()
    assert offset is not None
    return offset
