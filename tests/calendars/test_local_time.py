"""Wall time to UTC and back: skipped hours, repeated hours, odd zones, far years."""

import subprocess
import sys
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.calendars.local_time import zone

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
CHICAGO = zone("America/Chicago")
SPRING, AUTUMN = date(2027, 3, 14), date(2027, 11, 7)
"""Clocks go from 02:00 to 03:00, and from 02:00 back to 01:00."""

ZONES = (
    "America/Chicago",
    "Europe/Dublin",  # winter time is the deviation
    "Australia/Lord_Howe",  # half an hour of summer time
    "Asia/Kathmandu",  # +05:45
    "America/Havana",  # changes at midnight
    "Africa/Cairo",
    "America/Nuuk",  # changes on the evening before
    "Africa/Casablanca",  # out of summer time for a month a year
    "Pacific/Apia",
    "UTC",
)


def utc(text: str) -> int:
    return (datetime.fromisoformat(text).replace(tzinfo=UTC) - EPOCH) // timedelta(minutes=1)


def minute(text: str) -> int:
    hours, minutes = text.split(":")
    return int(hours) * 60 + int(minutes)


def test_an_ordinary_wall_time_is_read_at_its_offset() -> None:
    assert CHICAGO.utc(date(2027, 1, 15), minute("18:30")) == utc("2027-01-16T00:30")
    assert CHICAGO.utc(date(2027, 7, 15), minute("18:30")) == utc("2027-07-15T23:30")


@pytest.mark.parametrize("wall", ["02:00", "02:01", "02:30", "02:59", "03:00"])
def test_a_wall_time_that_does_not_exist_is_the_instant_of_the_clock_change(wall: str) -> None:
    assert CHICAGO.utc(SPRING, minute(wall)) == utc("2027-03-14T08:00")


@pytest.mark.parametrize(
    ("wall", "instant"),
    [
        ("00:59", "2027-11-07T05:59"),
        ("01:00", "2027-11-07T06:00"),
        ("01:59", "2027-11-07T06:59"),
        ("02:00", "2027-11-07T08:00"),
    ],
)
def test_a_wall_time_that_comes_twice_is_the_first(wall: str, instant: str) -> None:
    assert CHICAGO.utc(AUTUMN, minute(wall)) == utc(instant)


def test_a_day_with_a_clock_change_is_an_hour_shorter_or_longer() -> None:
    assert CHICAGO.utc(SPRING, 1440) - CHICAGO.utc(SPRING, 0) == 23 * 60
    assert CHICAGO.utc(AUTUMN, 1440) - CHICAGO.utc(AUTUMN, 0) == 25 * 60


@pytest.mark.parametrize("name", ZONES)
def test_minutes_past_midnight_are_on_the_wall_of_the_next_day(name: str) -> None:
    here = zone(name)
    for day in (SPRING - timedelta(days=1), SPRING, AUTUMN - timedelta(days=1), AUTUMN):
        for past in (0, 30, 90, 120, 150, 1439, 1440):
            assert here.utc(day, 1440 + past) == here.utc(day + timedelta(days=1), past)


def test_a_midnight_that_does_not_exist_is_the_instant_of_the_clock_change() -> None:
    # In Havana clocks went from 00:00 to 01:00 on 2024-03-10, at 05:00 UTC.
    havana = zone("America/Havana")
    for day, wall in ((date(2024, 3, 9), "24:00"), (date(2024, 3, 10), "00:40")):
        assert havana.utc(day, minute(wall)) == utc("2024-03-10T05:00")


def test_a_day_that_was_skipped_whole_is_one_instant_and_no_day() -> None:
    apia = zone("Pacific/Apia")  # 2011-12-30 did not happen there
    skipped = date(2011, 12, 30)
    assert {apia.utc(skipped, m) for m in range(0, 1441, 60)} == {utc("2011-12-30T10:00")}
    around = apia.days(utc("2011-12-29T12:00"), utc("2012-01-01T12:00"))
    assert around == [date(2011, 12, 29), date(2011, 12, 31), date(2012, 1, 1), date(2012, 1, 2)]


@given(st.sampled_from(ZONES), st.dates(date(1990, 1, 1), date(2037, 12, 31)), st.integers(0, 2880))
def test_wall_times_never_run_backwards(name: str, day: date, wall: int) -> None:
    here = zone(name)
    at = here.utc(day, wall)
    assert at <= here.utc(day, wall + 1) <= at + 1 + 24 * 60
    assert here.utc(day, 0) <= here.utc(day + timedelta(days=1), 0)


@given(st.sampled_from(ZONES), st.integers(10_519_200, 36_000_000))
def test_what_the_wall_shows_is_read_back_as_that_minute_or_the_first_like_it(
    name: str, at: int
) -> None:
    here = zone(name)
    shown = here.local(at)
    back = here.utc(shown.date(), shown.hour * 60 + shown.minute)
    assert here.day(at) == shown.date()
    if shown.fold:
        assert back < at
        assert here.local(back).replace(tzinfo=None) == shown.replace(tzinfo=None, fold=0)
    else:
        assert back == at


def test_days_are_those_with_a_minute_in_the_span() -> None:
    first = CHICAGO.utc(date(2027, 5, 1), 0)
    assert CHICAGO.days(first, first + 1) == [date(2027, 5, 1)]
    assert CHICAGO.days(first - 1, first + 1440) == [date(2027, 4, 30), date(2027, 5, 1)]
    assert CHICAGO.days(first, first + 1441) == [date(2027, 5, 1), date(2027, 5, 2)]
    assert CHICAGO.days(first, first) == []


@pytest.mark.parametrize("day", [date.min, date.max])
@pytest.mark.parametrize("name", ["America/Chicago", "Pacific/Apia", "Pacific/Kiritimati"])
def test_the_first_and_the_last_day_of_the_calendar_are_a_day_long(name: str, day: date) -> None:
    here = zone(name)
    assert here.utc(day, 1440) - here.utc(day, 0) == 1440
    assert here.utc(day, 2880) - here.utc(day, 1440) == 1440


@pytest.mark.parametrize(
    ("wrong", "near"),
    [
        ("America/Chigaco", "America/Chicago"),
        ("Europe/Berln", "Europe/Berlin"),
        ("", "America/Chicago"),
        ("America", ""),
        ("../../etc/passwd", ""),
        ("/etc/localtime", ""),
        ("right/America/Chicago", "America/Chicago"),
        ("a\0b", ""),
    ],
)
def test_an_unknown_zone_is_named_with_the_nearest_known_one(wrong: str, near: str) -> None:
    with pytest.raises(ValueError, match="is no time zone; write an IANA name") as caught:
        zone(wrong)
    assert f'"{near}' in str(caught.value)


def test_a_zone_is_kept() -> None:
    assert zone("America/Chicago") is zone("America/Chicago")
    assert repr(CHICAGO) == "zone('America/Chicago')"


def test_only_a_wrong_name_pays_for_the_search_of_a_near_one() -> None:
    code = (
        "import sys\n"
        "from episodes.calendars.local_time import zone\n"
        "zone('America/Chicago')\n"
        "print('difflib' in sys.modules)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"
