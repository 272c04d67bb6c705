"""The materials table: `episodes/trade/products.toml` read into products.

Package data, written with the program and held to its form by a test; so this reads it without
the care that a user's file gets, and of the many products only those that are named.
"""

from functools import cache

from episodes.amounts import Estimate, parse_estimate, parse_length
from episodes.files.cautions import cautions_of
from episodes.files.trade_tables import trade_tables
from episodes.trade.products import STAGES, Coating, Product, Stage

_FILE = "products.toml"


@cache
def load_products() -> dict[str, Product]:
    """Every product class by its id, in the order of the table."""
    every = map(_product, range(len(trade_tables(_FILE, "product"))))
    return {product.id: product for product in every}


def product_named(name: str) -> Product | None:
    """The product of this id, or the one that goes by this name as well; None if none does."""
    place = trade_tables(_FILE, "product").place_of(name)
    return None if place is None else _product(place)


@cache
def _product(place: int) -> Product:
    table = trade_tables(_FILE, "product").table(place)
    tags = table.get("cautions", ())
    times: dict[Stage, Estimate] = {
        stage: parse_estimate(table[stage]) for stage in STAGES if stage in table
    }
    window_until = None
    if "window" in table:
        window_until, second = (parse_length(side) for side in table["window"])
        times["recoat"] = Estimate(second, second, second)
    makes = table.get("makes", ())
    coating = Coating(
        product=table["id"],
        title=table["title"],
        times=times,
        recoat_by=parse_length(table["recoat_by"]) if "recoat_by" in table else None,
        window_until=window_until,
        dries_by=table["dries_by"],
        q10=table.get("q10", 2.0),
        lowest_celsius=table.get("min_celsius"),
        highest_celsius=table.get("max_celsius"),
        highest_humidity=table.get("max_humidity"),
        fumes="fumes" in makes,
        dusty="dust" in makes,
        cautions=cautions_of(tags),
    )
    return Product(
        id=table["id"],
        title=table["title"],
        kind=table["kind"],
        coating=coating,
        coats=table.get("coats"),
        m2_per_litre=table.get("m2_per_litre"),
        sand_between=table.get("sand_between"),
        cautions=tuple(tags),
        source=dict(table["source"]),
        note=table.get("note", ""),
        fumes_for=parse_length(table["fumes_for"]) if "fumes_for" in table else None,
        aliases=tuple(table.get("aliases", ())),
    )
