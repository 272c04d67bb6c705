"""The materials table: `episodes/trade/products.toml` read into products.

Package data, written with the program and held to its form by a test; so this reads it without
the care that a user's file gets.
"""

from functools import cache
from importlib.resources import files
from tomllib import loads
from typing import Any

from episodes.amounts import Estimate, parse_estimate, parse_length
from episodes.trade.products import STAGES, Coating, Product, Stage


@cache
def _table() -> dict[str, Any]:
    text = files("episodes.trade").joinpath("products.toml").read_text(encoding="utf-8")
    return loads(text)


@cache
def load_products() -> dict[str, Product]:
    """Every product class by its id, in the order of the table."""
    return {table["id"]: _product(table) for table in _table()["product"]}


@cache
def load_cautions() -> dict[str, str]:
    """What each caution tag of a product says, a sentence for the person who does the work."""
    return dict(_table()["cautions"])


def product_named(name: str) -> Product | None:
    """The product of this id, or the one that goes by this name as well; None if none does."""
    return load_products().get(name) or _by_alias().get(name)


@cache
def _by_alias() -> dict[str, Product]:
    return {alias: product for product in load_products().values() for alias in product.aliases}


def _product(table: dict[str, Any]) -> Product:
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
    )
    return Product(
        id=table["id"],
        title=table["title"],
        kind=table["kind"],
        coating=coating,
        coats=table.get("coats"),
        m2_per_litre=table.get("m2_per_litre"),
        sand_between=table.get("sand_between"),
        cautions=tuple(table.get("cautions", ())),
        source=dict(table["source"]),
        note=table.get("note", ""),
        fumes_for=parse_length(table["fumes_for"]) if "fumes_for" in table else None,
        aliases=tuple(table.get("aliases", ())),
    )
