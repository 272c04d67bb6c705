"""When air forbids a coat: by what, by how much, in words, and what would mend it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from episodes.trade.air import degrees
from episodes.trade.drying import Air
from episodes.trade.products import Coating

Forbids = Literal["too-cold", "too-hot", "too-damp"]
_MEND: dict[Forbids, str] = {"too-cold": "heat", "too-hot": "cool", "too-damp": "dry"}


@dataclass(frozen=True, slots=True)
class Outside:
    """Air beyond a product's limit; `is_` and `limit` in degC, or percent for `too-damp`."""

    why: Forbids
    is_: float
    limit: float

    @property
    def by(self) -> float:
        """How far beyond, in K or points of humidity."""
        return abs(self.is_ - self.limit)


def outside(coating: Coating, air: Air) -> Outside | None:
    """What forbids laying the coat in this air; None where it may be laid. A limit is allowed."""
    lowest, highest = coating.lowest_celsius, coating.highest_celsius
    if lowest is not None and air.celsius < lowest:
        return Outside("too-cold", air.celsius, lowest)
    if highest is not None and air.celsius > highest:
        return Outside("too-hot", air.celsius, highest)
    dampest = coating.highest_humidity
    if dampest is not None and air.humidity > dampest:
        return Outside("too-damp", air.humidity, dampest)
    return None


def in_words(out: Outside, product: str, *, fahrenheit: bool = False) -> str:
    """`7 °C, 3 degrees too cold for exterior-stain, which needs 10 °C`.

    >>> in_words(Outside("too-damp", 85, 80), "floor-paint")
    '85 % humidity, 5 points too damp for floor-paint, which bears 80 %'
    """
    if out.why == "too-damp":
        return (
            f"{out.is_:g} % humidity, {_number(out.by, 'point')} too damp for {product}, "
            f"which bears {out.limit:g} %"
        )
    by = _number(out.by * (1.8 if fahrenheit else 1), "degree")
    verb = "needs" if out.why == "too-cold" else "bears"
    return (
        f"{degrees(out.is_, fahrenheit=fahrenheit)}, {by} {out.why.replace('-', ' ')} for "
        f"{product}, which {verb} {degrees(out.limit, fahrenheit=fahrenheit)}"
    )


def mends(whys: Iterable[Forbids], space: str) -> str:
    """The three ways out: the air of the space, another space, another product."""
    verbs = " or ".join(dict.fromkeys(_MEND[why] for why in whys)) or "heat or dry"
    return (
        f"{verbs.capitalize()} {space} and write its new air (air, air_by_month), do it in "
        "another space (where), or take a product that bears it (coat)."
    )


def _number(value: float, unit: str) -> str:
    # What is less than a tenth beyond a limit is not nothing beyond it.
    shown = max(round(value, 1), 0.1)
    return f"{shown:g} {unit}" + ("" if shown == 1 else "s")
