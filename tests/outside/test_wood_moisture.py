"""Wood at rest and the dew point rule against published figures.

Sources, each with how it was read: (1) examples printed beside a calculator that names USDA
Forest Service Research Note FPL-RN-0268 (Simpson 1998), read; (2) a check value of the equation
at 140 degF, read in a page on it; (3) the Wood Handbook's table 4-2, from memory; (4) the dew
point rule, a surface at least 3 K above the dew point, as a coatings page quotes it with
ISO 8502-4, dew points by psychrolib 2.5 (ASHRAE).
"""

import psychrolib
import pytest

from episodes.trade.air import coldest_surface
from episodes.trade.wood import equilibrium_moisture_content

psychrolib.SetUnitSystem(psychrolib.SI)


def at_rest(fahrenheit: float, humidity: float) -> float:
    return equilibrium_moisture_content((fahrenheit - 32) / 1.8, humidity)


@pytest.mark.parametrize(
    ("fahrenheit", "humidity", "percent"),
    [(70, 25, 5.3), (70, 60, 11.1), (70, 84, 17.6), (70, 87, 19.0), (140, 55, 8.4)],
)
def test_wood_at_rest_is_as_moist_as_published_within_the_fit_s_own_error(
    fahrenheit: int, humidity: int, percent: float
) -> None:
    assert at_rest(fahrenheit, humidity) == pytest.approx(percent, abs=0.14)


@pytest.mark.parametrize(
    ("fahrenheit", "humidity", "percent"),
    [(30, 20, 4.6), (70, 30, 6.2), (70, 50, 9.2), (70, 65, 12.0), (70, 80, 16.0)],
)
def test_wood_at_rest_is_that_of_the_wood_handbook_s_table_as_remembered(
    fahrenheit: int, humidity: int, percent: float
) -> None:
    assert at_rest(fahrenheit, humidity) == pytest.approx(percent, abs=0.06)


@pytest.mark.parametrize("celsius", range(0, 36, 5))
@pytest.mark.parametrize("humidity", range(10, 91, 10))
def test_the_form_in_celsius_gives_the_same(celsius: int, humidity: int) -> None:
    """The same paper's coefficients for degC, from memory: typed apart from the others."""
    t, h = float(celsius), humidity / 100
    w = 349 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    one, two = k * h, k1 * k2 * (k * h) ** 2
    expected = 1800 / w * (one / (1 - one) + (k1 * one + 2 * two) / (1 + k1 * one + two))
    assert equilibrium_moisture_content(t, humidity) == pytest.approx(expected, abs=0.03)


def test_damper_air_makes_damper_wood_and_warmer_air_drier_wood() -> None:
    for celsius in range(0, 36, 5):
        series = [equilibrium_moisture_content(celsius, h) for h in range(10, 96)]
        assert series == sorted(series)
    for humidity in range(20, 91, 10):
        by_heat = [equilibrium_moisture_content(c, humidity) for c in range(15, 41)]
        assert by_heat == sorted(by_heat, reverse=True)


@pytest.mark.parametrize("humidity", [0, 9.9, 95.1, 100])
def test_outside_what_the_fit_was_made_for_nothing_is_said(humidity: float) -> None:
    with pytest.raises(ValueError, match="nothing is known"):
        equilibrium_moisture_content(20, humidity)


@pytest.mark.parametrize("celsius", range(5, 31, 5))
@pytest.mark.parametrize("humidity", [50, 65, 80])
def test_a_surface_is_coated_only_three_kelvin_above_the_dew_point(
    celsius: int, humidity: int
) -> None:
    theirs = psychrolib.GetTDewPointFromRelHum(celsius, humidity / 100)
    if theirs > 0.5:
        assert coldest_surface(celsius, humidity) == pytest.approx(theirs + 3, abs=0.025)


@pytest.mark.parametrize(
    ("celsius", "humidity", "wall", "may"),
    [(20, 80, 18.0, False), (20, 80, 19.5, True), (21, 50, 13.3, True), (10, 80, 9.5, False)],
)
def test_a_wall_two_kelvin_colder_than_damp_air_is_not_coated(
    celsius: float, humidity: float, wall: float, may: bool
) -> None:
    assert (wall >= coldest_surface(celsius, humidity)) is may
