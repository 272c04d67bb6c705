"""Daylight: whole minutes of light, days at the poles, the hours without a place."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.calendars.daylight import darkness, daylight
from episodes.calendars.local_time import zone
from episodes.calendars.openings import Openings

CHICAGO = zone("America/Chicago")
OSLO = zone("Europe/Oslo")


def year(name: str = "America/Chicago") -> tuple[int, int]:
    here = zone(name)
    return here.utc(date(2027, 1, 1), 0), here.utc(date(2028, 1, 1), 0)


@pytest.mark.parametrize(("latitude", "longitude"), [(None, None), (41.9, None), (None, -87.6)])
def test_without_a_place_daylight_is_nine_to_four_on_the_wall(
    latitude: float | None, longitude: float | None
) -> None:
    light = daylight(CHICAGO, latitude, longitude, *year())
    assert len(light) == 365
    for start, end in light:
        opens, closes = CHICAGO.local(start), CHICAGO.local(end)
        assert (opens.hour, opens.minute, closes.hour, closes.minute) == (9, 0, 16, 0)


def test_there_is_one_stretch_of_daylight_a_day_between_the_poles() -> None:
    light = daylight(CHICAGO, 41.9, -87.6, *year())
    assert len(light) == 365
    assert [CHICAGO.day(start) for start in light.starts] == CHICAGO.days(*year())
    assert 9 * 60 < min(end - start for start, end in light) < 9 * 60 + 15
    assert 15 * 60 < light.longest < 15 * 60 + 20


def test_daylight_and_darkness_are_all_the_time_there_is_and_never_at_once() -> None:
    span = year()
    for place in ((41.9, -87.6), (69.6, 18.9), (None, None)):
        light, dark = daylight(CHICAGO, *place, *span), darkness(CHICAGO, *place, *span)
        assert light | dark == Openings([span])
        assert len(light & dark) == 0


def test_where_the_sun_does_not_set_daylight_lasts_for_weeks_without_a_gap() -> None:
    # Tromso's midnight sun: late May to late July; its winter night: late November to mid January
    # (common knowledge there; the exact days depend on the hills).
    light = daylight(OSLO, 69.65, 18.96, *year("Europe/Oslo"))
    long = [(OSLO.day(a), OSLO.day(b)) for a, b in light if b - a > 2 * 1440]
    assert len(long) == 1
    assert date(2027, 5, 16) <= long[0][0] <= date(2027, 5, 21)
    assert date(2027, 7, 22) <= long[0][1] <= date(2027, 7, 28)
    dark = darkness(OSLO, 69.65, 18.96, *year("Europe/Oslo"))
    night = max((b, a) for a, b in dark if b - a > 2 * 1440)
    assert date(2027, 11, 24) <= OSLO.day(night[1]) <= date(2027, 11, 29)
    first = dark.ends[0]
    assert date(2027, 1, 13) <= OSLO.day(first) <= date(2027, 1, 18)


@pytest.mark.parametrize(("pole", "stretches"), [(90.0, 1), (-90.0, 2)])
def test_at_a_pole_the_year_is_one_day_and_one_night(pole: float, stretches: int) -> None:
    light = daylight(zone("UTC"), pole, 0.0, *year("UTC"))
    assert len(light) == stretches  # in the south the day lasts over the turn of the year
    assert 180 * 1440 < light.total < 192 * 1440


@given(
    st.floats(-65, 65),
    st.floats(-180, 180),
    st.integers(0, 525_600),
    st.integers(1, 3 * 1440),
)
def test_a_short_look_sees_what_a_long_one_sees(
    latitude: float, longitude: float, offset: int, length: int
) -> None:
    start = year("UTC")[0] + offset
    short = daylight(CHICAGO, latitude, longitude, start, start + length)
    wide = daylight(CHICAGO, latitude, longitude, start - 4000, start + length + 4000)
    assert short == wide.clipped(start, start + length)


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_over_a_year_any_place_has_about_half_of_it_in_light(
    latitude: float, longitude: float
) -> None:
    light = daylight(zone("UTC"), latitude, longitude, *year("UTC"))
    # A little more than half: air bends light and the sun is no point; more so near the poles.
    assert 0.49 < light.total / (365 * 1440) < 0.535


def test_no_time_has_no_daylight() -> None:
    start = year()[0]
    assert len(daylight(CHICAGO, 41.9, -87.6, start, start)) == 0
    assert len(darkness(CHICAGO, 41.9, -87.6, start, start)) == 0
