"""Wall time against the zone data itself, against another reader of it, and against two laws.

Sources: the compiled zone files (TZif, RFC 8536, sections 3.1 and 3.2) read byte by byte here;
python-dateutil's own reader; the US Energy Policy Act of 2005, section 110 (second Sunday of March
to first Sunday of November, 02:00 local); Directive 2000/84/EC of the European Parliament (last
Sundays of March and October, 01:00 UTC).
"""

import struct
from bisect import bisect_right
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from zoneinfo import TZPATH, available_timezones

import pytest
from dateutil import tz

from episodes.calendars.local_time import zone

EPOCH_DAY = date(1970, 1, 1).toordinal()
FROM, TO = 1970, 2037
NAMES = sorted(
    name for name in available_timezones() if name not in ("Factory", "localtime", "posixrules")
)


def zone_file(name: str) -> bytes:
    for folder in TZPATH:
        if (path := Path(folder) / name).is_file():
            return path.read_bytes()
    return files("tzdata").joinpath("zoneinfo", *name.split("/")).read_bytes()


# Many names are links to the same zone: each zone is looked at once.
ZONES = sorted({zone_file(name): name for name in reversed(NAMES)}.values())


@cache
def changes(name: str) -> tuple[list[int], list[int]]:
    """Instants (UTC seconds) at which the offset changes, and the offsets before and after."""
    data = zone_file(name)
    assert data[:4] == b"TZif"
    counts = struct.unpack(">6l", data[20:44])
    isut, isstd, leaps, times, types, chars = counts
    # The first block has 32-bit times; the second, after it, 64-bit ones.
    data = data[44 + times * 5 + types * 6 + chars + leaps * 8 + isstd + isut :]
    isut, isstd, leaps, times, types, chars = struct.unpack(">6l", data[20:44])
    data = data[44:]
    at = struct.unpack(f">{times}q", data[: times * 8])
    kinds = data[times * 8 : times * 9]
    records = data[times * 9 : times * 9 + types * 6]
    offsets = [struct.unpack(">l", records[k * 6 : k * 6 + 4])[0] for k in range(types)]
    instants: list[int] = []
    values: list[int] = [offsets[0]]
    for instant, kind in zip(at, kinds, strict=True):
        if offsets[kind] != values[-1]:
            instants.append(instant)
            values.append(offsets[kind])
    return instants, values


def year_of(seconds: int) -> int:
    return (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)).year


def changes_in_our_time(name: str) -> Iterator[tuple[int, int, int]]:
    """(instant, offset before, offset after) of each change that the zone data lists by 2037."""
    instants, offsets = changes(name)
    for index, instant in enumerate(instants):
        if FROM <= year_of(instant) <= TO:
            yield instant, offsets[index], offsets[index + 1]


def wall(seconds: int) -> tuple[date, int, int]:
    """Day, minute and second that a clock of that many seconds since 1970 shows."""
    days, rest = divmod(seconds, 86_400)
    return date.fromordinal(EPOCH_DAY + days), rest // 60, rest % 60


def expected(name: str, seconds: int) -> int:
    """UTC minute of a wall time (seconds since 1970 on the wall) by the changes alone."""
    instants, offsets = changes(name)
    index = bisect_right(instants, seconds - max(offsets) - 1)
    while index < len(instants) and seconds - offsets[index] >= instants[index]:
        index += 1
        if seconds - offsets[index] < instants[index - 1]:
            return -(-instants[index - 1] // 60)  # skipped: the change itself
    return -((offsets[index] - seconds) // 60)


@pytest.mark.parametrize("part", range(4))
def test_around_every_change_of_every_zone_wall_times_are_as_the_zone_data_says(part: int) -> None:
    looked_at = 0
    for name in ZONES[part::4]:
        here = zone(name)
        for instant, before, after in changes_in_our_time(name):
            low, high = sorted((instant + before, instant + after))
            for at in (low - 60, low, low + 60, (low + high) // 2, high - 60, high, high + 60):
                day, minute, second = wall(at)
                if second:
                    continue
                assert here.utc(day, minute) == expected(name, at), (name, day, minute)
                assert here.utc(day - timedelta(days=1), minute + 1440) == here.utc(day, minute)
                looked_at += 1
    assert looked_at > 1_000


def test_no_zone_has_two_changes_inside_one_day_that_undo_each_other() -> None:
    # What lets a day be called plain by its two midnights alone.
    for name in ZONES:
        every = list(changes_in_our_time(name))
        for (one, before, _), (two, _, after) in pairwise(every):
            same_day = (one + before) // 86_400 == (two + before) // 86_400
            assert not (same_day and before == after), name


@pytest.mark.parametrize(
    "name", ["America/Chicago", "Europe/Berlin", "Australia/Sydney", "America/Sao_Paulo"]
)
def test_another_reader_of_the_zone_data_says_the_same(name: str) -> None:
    here, other = zone(name), tz.gettz(name)
    assert other is not None
    for day in range(366):
        for minute in (0, 61, 725, 1439):
            that_day = date(2027, 1, 1) + timedelta(days=day)
            shown = datetime.combine(that_day, datetime.min.time(), other)
            shown += timedelta(minutes=minute)
            if not tz.datetime_exists(shown):
                continue
            assert here.utc(that_day, minute) * 60 == shown.timestamp()


def sunday(year: int, month: int, nth: int) -> date:
    """The nth Sunday of a month by counting, -1 for the last."""
    days = [date(year, month, number) for number in range(1, 31 + (month in (3, 10)))]
    return [day for day in days if day.weekday() == 6][nth - 1 if nth > 0 else nth]


@pytest.mark.parametrize("year", range(2007, 2038))
def test_clocks_in_the_us_change_as_the_energy_policy_act_has_it(year: int) -> None:
    here = zone("America/Chicago")
    spring, autumn = sunday(year, 3, 2), sunday(year, 11, 1)
    assert here.utc(spring, 120) == here.utc(spring, 180) == here.utc(spring, 119) + 1
    assert here.utc(spring, 119) == here.utc(spring, 0) + 119
    assert here.utc(autumn, 120) == here.utc(autumn, 119) + 61
    assert here.utc(autumn, 119) == here.utc(autumn, 0) + 119


@pytest.mark.parametrize("year", range(2002, 2038))
def test_clocks_in_the_eu_change_as_the_directive_has_it(year: int) -> None:
    for name, hours in (("Europe/Lisbon", 0), ("Europe/Berlin", 1), ("Europe/Helsinki", 2)):
        here = zone(name)
        for day, before in ((sunday(year, 3, -1), hours), (sunday(year, 10, -1), hours + 1)):
            change = (day.toordinal() - EPOCH_DAY) * 1440 + 60
            offsets = [here.local(change + by).utcoffset() for by in (-1, 0)]
            after = hours + 1 if before == hours else hours
            assert offsets == [timedelta(hours=before), timedelta(hours=after)]
