"""A product that is brushed, rolled or wiped on, and how long until what.

The values live in `products.toml` (read by `files`), each with its source; here is only their
form. All times run from the end of the work, in the reference air of 21 degC and 50 %.
"""

from dataclasses import dataclass
from typing import Literal

from episodes.amounts import Estimate
from episodes.trade.cautions import Caution

DriesBy = Literal["water", "moisture", "oxidation", "reaction", "solvent", "none"]
Stage = Literal["touch", "recoat", "handle", "cure"]
STAGES: tuple[Stage, ...] = ("touch", "recoat", "handle", "cure")


@dataclass(frozen=True, slots=True, kw_only=True)
class Coating:
    """What a coat does after its last stroke.

    Attributes:
        product: id in the materials table ("" where only `dries` on the step speaks).
        title: the product in words.
        times: minutes from the coat's finish to each stage it has, in reference air.
        recoat_by: longest time to the next coat in minutes, as printed; None for no limit.
        window_until: first side of a two-sided recoat window in minutes, as printed; the second
            side is the recoat stage.
        dries_by: the law of drying; `none` runs by the clock.
        q10: factor of speed per 10 K for the laws that use temperature.
        lowest_celsius, highest_celsius, highest_humidity: air in which it may be laid, from the
            coat's start until touch dry; None for no limit.
        fumes: gives off fumes from its start until touch dry.
        dusty: makes dust while it is worked.
        cautions: what of it can hurt someone.
    """

    product: str
    title: str
    times: dict[Stage, Estimate]
    recoat_by: int | None = None
    window_until: int | None = None
    dries_by: DriesBy = "none"
    q10: float = 2.0
    lowest_celsius: float | None = None
    highest_celsius: float | None = None
    highest_humidity: float | None = None
    fumes: bool = False
    dusty: bool = False
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """One class of products (never a brand), as the materials table has it."""

    id: str
    title: str
    kind: str
    coating: Coating
    coats: int | None = None
    m2_per_litre: float | None = None
    sand_between: int | None = None
    cautions: tuple[str, ...] = ()
    """Ids of cautions and tags of advice, as the table has them."""
    source: dict[str, str]
    note: str = ""
    fumes_for: int | None = None
    """Minutes for which it can be smelt: advice to people, plans nothing."""
    aliases: tuple[str, ...] = ()
    """Other ids by which a `coat` may name it."""
