"""How much water wood holds once it has come to rest in some air: why boards must settle.

The equation is the two-hydrate sorption model of Hailwood and Horrobin (1946) with the
coefficients that Simpson fitted (USDA Forest Service, Research Paper FPL 190, 1973, and Research
Note FPL-RN-0268, 1998), as the Wood Handbook (chapter 4) prints it for degF. The coefficients
were compared with public implementations that name these papers. The fit's published error
against the older table is under 0.13 percentage points on average and 0.9 at most.

How long a board takes to get there is not in it, and nothing simple is.
"""

DRIEST, DAMPEST = 10.0, 95.0
"""Relative humidity in percent between which the equation is taken at its word."""


def equilibrium_moisture_content(celsius: float, humidity: float) -> float:
    """Moisture content of wood at rest in this air, percent of its dry mass.

    Args:
        celsius: temperature of the air, degC.
        humidity: relative humidity, percent.

    Raises:
        ValueError: the humidity lies outside `DRIEST` to `DAMPEST`.

    >>> round(equilibrium_moisture_content(21, 50), 2)
    9.25
    """
    if not DRIEST <= humidity <= DAMPEST:
        raise ValueError(f"nothing is known of wood at {humidity:g} % humidity")
    t = celsius * 1.8 + 32
    w = 330 + 0.452 * t + 0.00415 * t**2
    k = 0.791 + 4.63e-4 * t - 8.44e-7 * t**2
    k1 = 6.34 + 7.75e-4 * t - 9.35e-5 * t**2
    k2 = 1.09 + 2.84e-2 * t - 9.04e-5 * t**2
    kh = k * humidity / 100
    hydrate = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + hydrate)
