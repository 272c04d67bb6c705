"""Sunrise and sunset against a textbook, an almanac's table and another program.

Sources: J. Meeus, *Astronomical Algorithms*, 2nd ed. 1998, examples 25.a and 28.b (figures as
several public programs quote them); the US Naval Observatory's table for 2023 beside this file;
the astral package.
"""

from datetime import UTC, date, datetime, timedelta
from math import degrees
from pathlib import Path

import pytest
from astral import Observer, SunDirection
from astral.sun import sunrise, sunset, time_at_elevation

from episodes.calendars.daylight import daylight, sun_at
from episodes.calendars.local_time import zone

TABLE = Path(__file__).with_name("usno_sunrise_2023_n3657_w11231.txt")
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def utc(moment: datetime) -> float:
    """Minutes since 1970."""
    return (moment - EPOCH) / timedelta(minutes=1)


def test_the_sun_stands_where_the_textbook_has_it() -> None:
    declination, ahead = sun_at(utc(datetime(1992, 10, 13, tzinfo=UTC)))
    assert degrees(declination) == pytest.approx(-7.78507, abs=0.0005)
    assert ahead == pytest.approx(13 + 42.7 / 60, abs=0.01)


def printed() -> dict[date, tuple[int, int]]:
    """UTC minutes of sunrise and sunset of each day of the table, whose zone is UTC-7."""
    days: dict[date, tuple[int, int]] = {}
    for line in TABLE.read_text(encoding="ascii").splitlines():
        if not line[:2].isdigit():
            continue
        for month in range(1, 13):
            rise, _, down = line[11 * month - 7 : 11 * month + 2].partition(" ")
            if not rise:
                continue
            day = date(2023, month, int(line[:2]))
            midnight = (day - date(1970, 1, 1)).days * 1440 + 7 * 60
            days[day] = tuple(midnight + int(t[:2]) * 60 + int(t[2:]) for t in (rise, down))
    return days


def test_daylight_is_within_a_minute_of_the_naval_observatorys_table() -> None:
    table = printed()
    assert len(table) == 365
    start, end = min(table.values())[0] - 300, max(table.values())[1] + 300
    light = daylight(zone("America/Phoenix"), 36.95, -112.52, start, end)
    assert len(light) == 365
    for (rises, sets), (opens, closes) in zip(sorted(table.values()), light, strict=True):
        # The table rounds to the nearest minute; daylight is whole minutes of light.
        assert rises - 1 <= opens <= rises + 1
        assert sets - 1 <= closes <= sets + 1


PLACES = [
    ("America/Chicago", 41.9, -87.6),
    ("Europe/London", 51.5, -0.1),
    ("Europe/Oslo", 59.9, 10.7),
    ("Australia/Sydney", -33.9, 151.2),
    ("America/Guayaquil", 0.0, -78.5),
    ("Pacific/Auckland", -45.9, 170.5),
    ("Pacific/Honolulu", 21.3, -157.9),
]


@pytest.mark.parametrize(("name", "latitude", "longitude"), PLACES)
def test_another_program_has_the_same_sunrise_and_sunset_to_a_minute(
    name: str, latitude: float, longitude: float
) -> None:
    here = zone(name)
    info = here.local(0).tzinfo
    observer = Observer(latitude, longitude)
    first = date(2027, 1, 1)
    light = daylight(here, latitude, longitude, here.utc(first, 0), here.utc(date(2028, 1, 1), 0))
    assert len(light) == 365
    for number, (opens, closes) in enumerate(light):
        day = first + timedelta(days=number)
        rises, sets = (utc(find(observer, day, tzinfo=info)) for find in (sunrise, sunset))
        assert -0.05 <= opens - rises <= 1.05
        assert -0.05 <= sets - closes <= 1.05


def test_the_almanacs_rounder_refraction_makes_a_day_at_most_two_minutes_longer() -> None:
    # The sun's centre 50' below the horizon, straight: what almanacs call sunrise.
    here = zone("Europe/Oslo")
    observer = Observer(59.9, 10.7)
    light = daylight(here, 59.9, 10.7, here.utc(date(2027, 1, 1), 0), here.utc(date(2028, 1, 1), 0))
    for number, (opens, closes) in enumerate(light):
        day = date(2027, 1, 1) + timedelta(days=number)
        rises, sets = (
            utc(time_at_elevation(observer, -50 / 60, day, direction, UTC, False))
            for direction in (SunDirection.RISING, SunDirection.SETTING)
        )
        assert 0 < opens - rises < 2
        assert 0 < sets - closes < 2
