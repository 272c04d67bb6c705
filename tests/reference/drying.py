"""Drying in the air of a space, added up month by month.

Laws as the plan format and the materials table give them: water by the vapour pressure deficit
(saturation pressure with the constants of FAO Irrigation and Drainage Paper 56), reactions and
solvents by a factor per ten kelvin, moisture by absolute humidity and that factor.
"""

import math
from dataclasses import dataclass
from datetime import date
from typing import Any

from tests.reference import values
from tests.reference.clock import Clock

STAGES = ("touch", "recoat", "handle", "cure")
REFERENCE = (21.0, 50.0)


def saturation(celsius: float) -> float:
    """Saturation vapour pressure in pascals."""
    return 610.8 * math.exp(17.27 * celsius / (celsius + 237.3))


def slowness(law: str, q10: float, celsius: float, humidity: float) -> float:
    """Elapsed time per reference time in that air, never below one half."""
    cold: float = q10 ** ((REFERENCE[0] - celsius) / 10)
    if law == "none":
        return 1.0
    if law in ("oxidation", "reaction", "solvent"):
        return max(0.5, cold)
    if law == "moisture":
        held = [
            saturation(temp) * wet / (temp + 273.15)
            for temp, wet in (REFERENCE, (celsius, humidity))
        ]
        return max(0.5, held[0] / held[1] * cold)
    deficit = [saturation(temp) * (100 - wet) for temp, wet in (REFERENCE, (celsius, humidity))]
    return math.inf if deficit[1] <= 0 else max(0.5, deficit[0] / deficit[1])


class Air:
    """The air of one space, by the local month."""

    def __init__(self, clock: Clock, space: dict[str, Any] | None) -> None:
        self.clock = clock
        base = (space or {}).get("air", {})
        warm, wet = values.celsius(base), base.get("humidity")
        default = (21.0 if warm is None else warm, 50.0 if wet is None else float(wet))
        self.months = dict.fromkeys(range(1, 13), default)
        tables = (space or {}).get("air_by_month", {})
        # A single month is narrower than a range and replaces it.
        for key in sorted(tables, key=lambda key: "-" not in key):
            for month in values.month_numbers(key):
                warm, wet = values.celsius(tables[key]), tables[key].get("humidity")
                self.months[month] = (
                    default[0] if warm is None else warm,
                    default[1] if wet is None else float(wet),
                )

    def month(self, minute: int) -> tuple[tuple[float, float], int]:
        """Air at a minute and the minute at which the local month ends."""
        day = self.clock.day(minute)
        later = date(day.year + day.month // 12, day.month % 12 + 1, 1)
        return self.months[day.month], self.clock.at(later, 0)


@dataclass
class Coat:
    """What a coat of a step does in its air: stages in reference minutes, limits, fumes."""

    product: str
    stages: dict[str, int]
    recoat_by: int | None
    until: int | None
    law: str
    q10: float
    limits: tuple[float | None, float | None, float | None]
    fumes: bool
    dusty: bool
    air: Air

    def over(self, finish: int, stage: str) -> int:
        """When a stage of a coat finished at `finish` is over."""
        left = float(self.stages[stage])
        at = finish
        while True:
            (temp, wet), end = self.air.month(at)
            factor = slowness(self.law, self.q10, temp, wet)
            if stage == "recoat" and self.until is not None:
                factor = max(1.0, factor)
            if left * factor <= end - at + 1e-7:
                return at + math.ceil(left * factor - 1e-7)
            left -= (end - at) / factor
            at = end

    def allowed(self, start: int, end: int) -> bool:
        """Whether every minute of `[start, end)` lies in a month in which it may be laid."""
        return self.first_closed(start, end) is None

    def first_closed(self, start: int, end: int) -> tuple[int, int] | None:
        """The first month that touches `[start, end)` and is closed to this coat."""
        coldest, hottest, dampest = self.limits
        at = start
        while at < end:
            (temp, wet), until = self.air.month(at)
            cold = coldest is not None and temp < coldest - 1e-9
            hot = hottest is not None and temp > hottest + 1e-9
            damp = dampest is not None and wet > dampest + 1e-9
            if cold or hot or damp:
                day = self.air.clock.day(at)
                return self.air.clock.at(date(day.year, day.month, 1), 0), until
            at = until
        return None


def coat(step: dict[str, Any], product: dict[str, Any] | None, air: Air) -> Coat:
    """The coat of a step: `dries` on the step overrides the table's times, law and limits."""
    table = step.get("dries") or product or {}
    own = "dries" in step
    stages = {stage: values.likely(table[stage]) for stage in STAGES if stage in table}
    until = None
    if "window" in table:
        until = values.minutes(table["window"][0])
        stages["recoat"] = values.likely(table["window"][1])
    limits = (table.get("min_celsius"), table.get("max_celsius"), table.get("max_humidity"))
    made = (product or {}).get("makes", [])
    return Coat(
        product=step["coat"],
        stages=stages,
        recoat_by=values.minutes(table["recoat_by"]) if "recoat_by" in table else None,
        until=until,
        law="none" if own else table["dries_by"],
        q10=float(table.get("q10", 2.0)),
        limits=(None, None, None) if own else limits,
        fumes="fumes" in made,
        dusty="dust" in made and not own,
        air=air,
    )
