"""The trade's offers for a slip, from the package's own tables, read when one is looked for."""

from functools import cache

from episodes.amounts import Lead
from episodes.files.cautions import caution_named
from episodes.files.products import product_named
from episodes.files.recipe_files import load_comings
from episodes.files.trade_tables import trade_tables
from episodes.trade.exchanges import Offers
from episodes.trade.products import Product

_FILE = "exchanges.toml"


@cache
def load_offers() -> Offers:
    """Products that may be exchanged, how quick express is, the caution for heaters."""
    return Offers(
        exchanges=tuple(
            tuple(_product(id) for id in table["products"])
            for table in trade_tables(_FILE, "exchange")
        ),
        express=Lead(load_comings()["express"].amount, workdays=True),
        heater=caution_named("heater"),
    )


def _product(id: str) -> Product:
    product = product_named(id)
    assert product is not None, f"{id} is in the table of products"
    return product
