"""Water in the air: signs, limits, and one figure against another."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.trade.air import (
    absolute_humidity,
    dew_point,
    saturation_pressure,
    vapour_pressure_deficit,
)

celsius = st.floats(-20, 45)
humidity = st.floats(1, 100)


@given(celsius, celsius)
def test_warmer_air_can_hold_more_water(one: float, two: float) -> None:
    if two - one > 1e-6:
        assert saturation_pressure(one) < saturation_pressure(two)


@given(celsius, humidity)
def test_at_its_dew_point_air_is_saturated_with_the_water_it_holds(c: float, h: float) -> None:
    assert saturation_pressure(dew_point(c, h)) == pytest.approx(
        saturation_pressure(c) * h / 100, rel=1e-9
    )
    assert dew_point(c, h) <= c + 1e-9


@given(celsius)
def test_saturated_air_takes_up_no_water_and_its_dew_point_is_its_temperature(c: float) -> None:
    assert vapour_pressure_deficit(c, 100) == 0
    assert dew_point(c, 100) == pytest.approx(c, abs=1e-9)


@given(celsius, humidity)
def test_what_the_air_holds_and_what_it_lacks_make_up_saturation(c: float, h: float) -> None:
    held = saturation_pressure(c) - vapour_pressure_deficit(c, h)
    # Ideal gas: density = pressure / (461.5 J/(kg K) x kelvin), in g/m3.
    assert absolute_humidity(c, h) == pytest.approx(1000 * held / (461.5 * (c + 273.15)), rel=1e-4)


@pytest.mark.parametrize("h", [0, -1])
def test_air_without_water_has_no_dew_point(h: float) -> None:
    with pytest.raises(ValueError, match="no dew point"):
        dew_point(20, h)
