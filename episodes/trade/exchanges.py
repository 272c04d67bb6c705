"""What the trade has to offer when something holds a release up.

The values live in `exchanges.toml`, `carriers.toml` and `cautions.toml` (read by `files`).
"""

from dataclasses import dataclass

from episodes.amounts import Lead
from episodes.trade.cautions import Caution
from episodes.trade.products import Product


@dataclass(frozen=True, slots=True, kw_only=True)
class Offers:
    """What a suggestion may draw on.

    Attributes:
        exchanges: groups of products that do one another's job on a whole surface.
        express: how long an express parcel usually takes.
        heater: the caution for heating a place.
    """

    exchanges: tuple[tuple[Product, ...], ...] = ()
    express: Lead | None = None
    heater: Caution | None = None

    def instead_of(self, product: str) -> tuple[Product, ...]:
        """The other products that do this one's job, in the order of the table."""
        return tuple(
            other
            for group in self.exchanges
            if any(each.id == product or product in each.aliases for each in group)
            for other in group
            if other.id != product and product not in other.aliases
        )


NOTHING = Offers()
