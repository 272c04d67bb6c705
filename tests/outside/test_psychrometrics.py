"""Water in the air against published tables and the ASHRAE equations.

Sources: FAO Irrigation and Drainage Paper 56 (Allen et al. 1998): example 3 (15.0 and 24.5 degC,
as a public manual reprints it) and table 2.3 (10 to 30 degC, from memory); ASHRAE Handbook of
Fundamentals, chapter 1, as psychrolib 2.5 computes it.
"""

import psychrolib
import pytest

from episodes.trade.air import (
    absolute_humidity,
    dew_point,
    saturation_pressure,
    vapour_pressure_deficit,
)
from episodes.trade.drying import slowness

psychrolib.SetUnitSystem(psychrolib.SI)

AIRS = [(c, h) for c in (5, 8, 10, 14, 18, 21, 23, 25, 28, 30) for h in (30, 40, 50, 60, 70, 80)]


@pytest.mark.parametrize(
    ("celsius", "kilopascal"),
    [(15.0, 1.705), (24.5, 3.075), (10, 1.228), (20, 2.338), (25, 3.168), (30, 4.243)],
)
def test_saturation_is_that_of_the_fao_paper(celsius: float, kilopascal: float) -> None:
    assert saturation_pressure(celsius) / 1000 == pytest.approx(kilopascal, abs=0.0006)


@pytest.mark.parametrize("celsius", range(5, 31))
def test_saturation_is_that_of_ashrae_to_a_thousandth(celsius: int) -> None:
    assert saturation_pressure(celsius) == pytest.approx(
        psychrolib.GetSatVapPres(celsius), rel=0.001
    )


@pytest.mark.parametrize(("celsius", "humidity"), AIRS)
def test_the_dew_point_is_that_of_ashrae_above_freezing(celsius: int, humidity: int) -> None:
    theirs = psychrolib.GetTDewPointFromRelHum(celsius, humidity / 100)
    if theirs > 0.5:
        assert dew_point(celsius, humidity) == pytest.approx(theirs, abs=0.025)
    else:  # over ice theirs is another curve
        assert dew_point(celsius, humidity) < 0.6


@pytest.mark.parametrize(("celsius", "humidity"), AIRS)
def test_the_water_in_the_air_is_that_of_ashrae(celsius: int, humidity: int) -> None:
    vapour = psychrolib.GetVapPresFromRelHum(celsius, humidity / 100)
    # Vapour as an ideal gas, 8.314 J/(mol K) and 18.015 g/mol.
    theirs = vapour * 18.015 / (8.314 * (celsius + 273.15))
    assert absolute_humidity(celsius, humidity) == pytest.approx(theirs, rel=0.002)


@pytest.mark.parametrize(("celsius", "humidity"), AIRS)
def test_water_dries_by_the_ratio_of_the_deficits_of_ashrae(celsius: int, humidity: int) -> None:
    def deficit(c: float, h: float) -> float:
        saturated: float = psychrolib.GetSatVapPres(c)
        return saturated * (1 - h / 100)

    assert vapour_pressure_deficit(celsius, humidity) == pytest.approx(
        deficit(celsius, humidity), rel=0.001
    )
    ratio = max(0.5, deficit(21, 50) / deficit(celsius, humidity))
    assert slowness("water", 2.0, celsius, humidity) == pytest.approx(ratio, rel=0.001)


@pytest.mark.parametrize(
    ("air", "water", "cold_2", "cold_17", "moisture"),
    [
        ((23, 50), 0.8852, 0.8706, 0.8993, 0.822),
        ((25, 50), 0.7851, 0.7579, 0.8088, 0.677),
        ((18, 55), 1.3388, 1.2311, 1.1726, 1.224),
        ((14, 60), 1.9447, 1.6245, 1.4498, 1.681),
        ((8, 70), 3.8638, 2.4623, 1.9934, 2.681),
        ((10, 80), 5.0633, 2.1435, 1.7926, 1.903),
        ((21, 80), 2.5, 1, 1, 0.625),
        ((28, 40), 0.5483, 0.6156, 0.6897, 0.634),
        ((21, 20), 0.625, 1, 1, 2.5),
    ],
)
def test_the_factors_are_those_worked_out_beside_the_materials_table(
    air: tuple[float, float], water: float, cold_2: float, cold_17: float, moisture: float
) -> None:
    # Computed once with the formulas alone, outside this program.
    assert slowness("water", 2.0, *air) == pytest.approx(water, abs=0.0001)
    assert slowness("oxidation", 2.0, *air) == pytest.approx(cold_2, abs=0.0001)
    assert slowness("reaction", 1.7, *air) == pytest.approx(cold_17, abs=0.0001)
    assert slowness("moisture", 1.5, *air) == pytest.approx(moisture, abs=0.001)
