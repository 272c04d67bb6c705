"""How long a coat takes in the air of its days, and in which air it may be laid.

A stage is over when its progress is: each minute counts as much of the reference time as the air
of that minute allows. So drying is a calendar with speeds, and has the same pair of inverses as
working time, exact for all whole minutes:

    over(f, n) <= t   <=>   f <= latest(t, n)

Taking the whole time from the air of the first day instead would let a coat that is finished one
minute later be dry hours earlier.

The laws (reference air 21 degC, 50 %):
    water       evaporation follows the vapour pressure deficit (Dalton 1802)
    oxidation, reaction, solvent    q10 a factor of speed per 10 K (Arrhenius, near room air)
    moisture    speed follows the water in the air, and q10
    none        the clock
"""

from bisect import bisect_right
from collections.abc import Sequence
from datetime import date
from itertools import pairwise
from math import inf, isinf
from typing import Protocol, TypeVar

from episodes.trade.air import absolute_humidity, vapour_pressure_deficit
from episodes.trade.products import DriesBy

REFERENCE_CELSIUS = 21.0
REFERENCE_HUMIDITY = 50.0
LEAST_SLOWNESS = 0.5
"""No air makes less of a printed time than half: nothing published says that films keep up."""

NEVER = 1 << 40
"""Later than any minute of any plan; the same minute as the calendars' own."""

LONG_AGO = -NEVER

_MINUTE = 1 << 50
"""Progress of one minute in reference air. Speeds are whole shares of it, so sums are exact."""

_ENOUGH = _MINUTE // 1_000_000
"""A millionth of a minute short is over: what a speed written in floating point can be wrong by
must not cost a whole minute (24 h at a factor of 2.5 are 60 h, not 60 h and a minute)."""


class Air(Protocol):
    """Temperature in degC and relative humidity in percent."""

    @property
    def celsius(self) -> float: ...
    @property
    def humidity(self) -> float: ...


class Zone(Protocol):
    """What is asked of a time zone here: where local days begin, which day a minute is in."""

    def utc(self, day: date, minute: int) -> int: ...
    def day(self, utc_minute: int) -> date: ...


_A = TypeVar("_A")


def slowness(
    dries_by: DriesBy,
    q10: float,
    celsius: float,
    humidity: float,
    *,
    least: float = LEAST_SLOWNESS,
) -> float:
    """Elapsed time over reference time in this air: 1 in reference air, 2 where it takes double.

    Infinite where nothing dries: water in saturated air, moisture cure in air without any.

    Args:
        least: never below this; 1 for what no air shortens, such as the second side of a
            two-sided recoat window.

    >>> round(slowness("water", 2.0, 14, 60), 4), slowness("oxidation", 2.0, 11, 50)
    (1.9447, 2.0)
    """
    if dries_by == "none":
        return 1.0
    if dries_by == "water":
        factor = _ratio(
            vapour_pressure_deficit(REFERENCE_CELSIUS, REFERENCE_HUMIDITY),
            vapour_pressure_deficit(celsius, humidity),
        )
    else:
        factor = q10 ** ((REFERENCE_CELSIUS - celsius) / 10)
        if dries_by == "moisture":
            factor *= _ratio(
                absolute_humidity(REFERENCE_CELSIUS, REFERENCE_HUMIDITY),
                absolute_humidity(celsius, humidity),
            )
    return max(least, factor)


def _ratio(reference: float, here: float) -> float:
    return reference / here if here > 0 else inf


class DryingCurve:
    """Progress of drying over time, where the air changes from piece to piece."""

    __slots__ = ("_done", "_rates", "_starts")

    def __init__(self, pieces: Sequence[tuple[int, float]]) -> None:
        """Build the curve.

        Args:
            pieces: (UTC minute from which it holds, slowness), rising; at least one. The last
                holds forever, the first also before its start.
        """
        self._starts = [start for start, _ in pieces]
        self._rates = [0 if isinf(factor) else _rate(float(factor)) for _, factor in pieces]
        done = [0]
        for (start, end), rate in zip(pairwise(self._starts), self._rates, strict=False):
            done.append(done[-1] + (end - start) * rate)
        self._done = done

    def over(self, finish: int, minutes: int) -> int:
        """When a stage of `minutes` in reference air is over, the coat finished at `finish`.

        Rounded up to the minute once, at the end. NEVER if it does not dry.
        """
        if minutes <= 0:
            return finish
        if finish >= NEVER:
            return NEVER
        goal = self._progress(finish) + minutes * _MINUTE - _ENOUGH
        index = max(bisect_right(self._done, goal - 1) - 1, 0)
        rate = self._rates[index]
        if rate == 0:  # only where the last piece does not dry, or all before the second
            return NEVER
        return min(self._starts[index] - (self._done[index] - goal) // rate, NEVER)

    def latest(self, over: int, minutes: int) -> int:
        """The latest finish of the coat from which the stage is over by `over`, or LONG_AGO."""
        if minutes <= 0:
            return over
        if over >= NEVER:
            return NEVER
        if over <= LONG_AGO:
            return LONG_AGO
        goal = self._progress(over) - minutes * _MINUTE + _ENOUGH
        index = max(bisect_right(self._done, goal) - 1, 0)
        rate = self._rates[index]
        if rate == 0:
            return LONG_AGO
        return max(self._starts[index] + (goal - self._done[index]) // rate, LONG_AGO)

    def _progress(self, minute: int) -> int:
        index = max(bisect_right(self._starts, minute) - 1, 0)
        return self._done[index] + (minute - self._starts[index]) * self._rates[index]


def _rate(factor: float) -> int:
    over, under = factor.as_integer_ratio()
    return (2 * _MINUTE * under + over) // (2 * over)  # to the nearest, without a float between


def air_pieces(
    zone: Zone, air_by_month: Sequence[_A], start: int, end: int
) -> list[tuple[int, int, _A]]:
    """The air of a space over `[start, end)`: (from, to, air), changing at local midnights.

    Args:
        air_by_month: twelve, January first. Neighbours that are equal come out as one piece.
    """
    pieces: list[tuple[int, int, _A]] = []
    at = start
    day = zone.day(start)
    while at < end:
        air = air_by_month[day.month - 1]
        year, month = day.year + day.month // 12, day.month % 12 + 1
        day = date(year, month, 1)
        until = min(zone.utc(day, 0), end)
        if pieces and pieces[-1][2] == air:
            pieces[-1] = (pieces[-1][0], until, air)
        elif at < until:
            pieces.append((at, until, air))
        at = until
    return pieces


def allowed_stretches(
    pieces: Sequence[tuple[int, int, Air]],
    lowest_celsius: float | None,
    highest_celsius: float | None,
    highest_humidity: float | None,
) -> list[tuple[int, int]]:
    """The stretches whose air is within the limits of a product, each limit itself allowed."""
    stretches: list[tuple[int, int]] = []
    for start, end, air in pieces:
        if (
            (lowest_celsius is not None and air.celsius < lowest_celsius)
            or (highest_celsius is not None and air.celsius > highest_celsius)
            or (highest_humidity is not None and air.humidity > highest_humidity)
        ):
            continue
        if stretches and stretches[-1][1] == start:
            stretches[-1] = (stretches[-1][0], end)
        else:
            stretches.append((start, end))
    return stretches
