"""Water-borne drying against the gypsum trade's table for joint compound.

Source: the drying table printed in the gypsum handbooks (one coat of drying-type compound, hours
by temperature and relative humidity), from memory: the page itself could not be had. What could
be read, a drywall finishing council's sheet on joint compound drying times, agrees as far as it
goes: humidity dominates, and a 1/16 inch coat takes from 2 h to 5 days, 17 to 19 h in its middle
band. The table falls in with vapour pressures so closely that it may have been computed from
them, so it is weak evidence for the law itself and good evidence for the program's arithmetic.
"""

from collections.abc import Callable
from math import log, sqrt

import pytest

from episodes.files.products import load_products
from episodes.trade.drying import DryingCurve, slowness

FAHRENHEIT = (32, 40, 50, 60, 70, 80, 100)
HOURS = {
    0: (38, 28, 19, 13, 9, 6, 3),
    20: (48, 34, 23, 16, 11, 8, 4),
    40: (60, 44, 29, 20, 14, 10, 5),
    50: (72, 48, 36, 24, 17, 12, 6),
    60: (84, 60, 42, 29, 20, 14, 8),
    70: (108, 84, 54, 38, 26, 19, 10),
    80: (168, 114, 78, 54, 38, 27, 14),
    85: (240, 144, 96, 72, 48, 34, 18),
    90: (312, 216, 144, 108, 72, 49, 26),
    98: (1272, 912, 624, 432, 288, 216, 108),
}
Law = Callable[[float, float], float]


def water(celsius: float, humidity: float) -> float:
    # The table goes on below half of the tin's time, where the program stops.
    return slowness("water", 2.0, celsius, humidity, least=0)


def temperature_only(celsius: float, humidity: float) -> float:
    return slowness("oxidation", 2.0, celsius, humidity, least=0)


def humidity_only(celsius: float, humidity: float) -> float:
    return 50 / (100 - humidity)


def moisture(celsius: float, humidity: float) -> float:
    return slowness("moisture", 1.5, celsius, max(humidity, 1), least=0)


def clock(celsius: float, humidity: float) -> float:
    return 1.0


def ratios(law: Law, humidities: range, fahrenheit: range) -> list[float]:
    """Predicted over printed hours, 17 h at 70 degF and 50 % taken as given."""
    reference = law((70 - 32) / 1.8, 50)
    return [
        17 * law((f - 32) / 1.8, h) / reference / hours
        for h, row in HOURS.items()
        for f, hours in zip(FAHRENHEIT, row, strict=True)
        if h in humidities and f in fahrenheit
    ]


def spread(found: list[float]) -> float:
    """Root mean square of the logarithm: 0.05 is about 5 %."""
    return sqrt(sum(log(each) ** 2 for each in found) / len(found))


def test_where_people_work_the_law_is_within_a_tenth_of_the_table() -> None:
    found = ratios(water, range(20, 71), range(50, 81))
    assert len(found) == 20
    assert min(found) > 0.93
    assert max(found) < 1.10
    assert spread(found) < 0.055


def test_up_to_the_limits_of_products_the_law_errs_to_the_long_side_by_a_quarter_at_most() -> None:
    found = ratios(water, range(91), range(101))
    assert len(found) == 63
    assert min(found) > 0.88
    assert max(found) < 1.26
    assert spread(found) < 0.11
    damp = ratios(water, range(80, 91), range(50, 101))
    assert min(damp) > 0.99


@pytest.mark.parametrize("law", [temperature_only, humidity_only, moisture, clock])
def test_no_other_law_comes_near_the_table(law: Law) -> None:
    found = ratios(law, range(20, 71), range(50, 81))
    assert spread(found) > 4 * spread(ratios(water, range(20, 71), range(50, 81)))
    assert not (min(found) > 0.93 and max(found) < 1.10)


@pytest.mark.parametrize(("fahrenheit", "humidity"), [(60, 60), (70, 70), (50, 50), (80, 80)])
def test_the_table_of_products_makes_a_coat_of_compound_as_long_as_the_trade_s(
    fahrenheit: int, humidity: int
) -> None:
    coating = load_products()["drying-compound"].coating
    assert coating.dries_by == "water"
    factor = slowness("water", coating.q10, (fahrenheit - 32) / 1.8, humidity)
    dry = DryingCurve([(0, factor)]).over(0, coating.times["recoat"].likely)
    printed = HOURS[humidity][FAHRENHEIT.index(fahrenheit)] * 60
    assert dry == pytest.approx(printed, rel=0.13)
