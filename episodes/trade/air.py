"""Water in the air: how dry it is and how much it holds, from temperature and relative humidity.

Temperatures are degC, relative humidity is in percent. Saturation is taken over water, also below
freezing. The constants are those of FAO Irrigation and Drainage Paper 56 (Allen et al. 1998),
equation 11, after Tetens (1930) and Murray (1967); between 5 and 30 degC they lie within 0.1 % of
the ASHRAE Handbook's equation.
"""

from math import exp, log

_A = 17.27
_B = 237.3
_AT_FREEZING = 610.8

_GRAMS_KELVIN_A_JOULE = 2.1668
"""1000 over the gas constant of water vapour, 461.5 J/(kg K)."""


def saturation_pressure(celsius: float) -> float:
    """Pressure of saturated water vapour, Pa.

    >>> round(saturation_pressure(20))
    2338
    """
    return _AT_FREEZING * exp(_A * celsius / (celsius + _B))


def vapour_pressure_deficit(celsius: float, humidity: float) -> float:
    """How far the vapour is from saturation, Pa: what pulls water out of a wet film.

    >>> round(vapour_pressure_deficit(21, 50))
    1244
    """
    return saturation_pressure(celsius) * (1 - humidity / 100)


def dew_point(celsius: float, humidity: float) -> float:
    """The temperature at which this air begins to condense, degC.

    Raises:
        ValueError: humidity is not above 0; dry air has no dew point.

    >>> round(dew_point(14, 60), 2)
    6.37
    """
    if humidity <= 0:
        raise ValueError(f"air of {humidity} % humidity has no dew point")
    g = log(humidity / 100) + _A * celsius / (celsius + _B)
    return _B * g / (_A - g)


def absolute_humidity(celsius: float, humidity: float) -> float:
    """Water in the air, g/m3: what a moisture-curing product lives on.

    >>> round(absolute_humidity(21, 50), 2)
    9.16
    """
    vapour = saturation_pressure(celsius) * humidity / 100
    return _GRAMS_KELVIN_A_JOULE * vapour / (celsius + 273.15)


ABOVE_DEW_POINT = 3.0
"""K by which a surface must be warmer than the dew point while it is coated and dries: the rule
of painters for steel (published with ISO 12944-7 and, in the trade, ISO 8502-4; both read only as
quoted), used for all surfaces."""


def coldest_surface(celsius: float, humidity: float) -> float:
    """The lowest temperature of a surface that may be coated in this air, degC.

    Raises:
        ValueError: as `dew_point`.

    >>> round(coldest_surface(20, 80), 1)
    19.4
    """
    return dew_point(celsius, humidity) + ABOVE_DEW_POINT


def degrees(celsius: float, *, fahrenheit: bool = False) -> str:
    """A temperature for a person to read, to a tenth where it is not whole.

    >>> degrees(14.444), degrees(14.444, fahrenheit=True)
    ('14.4 °C', '58 °F')
    """
    value, unit = (celsius * 1.8 + 32, "F") if fahrenheit else (celsius, "C")
    # A tenth of a degree less than nothing reads as a sign with no number.
    return f"{round(value, 1) + 0.0:g} \N{DEGREE SIGN}{unit}"
