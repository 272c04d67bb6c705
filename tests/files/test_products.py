"""The materials table keeps to its form: every value readable, in order, and with its source."""

import tomllib
from importlib.resources import files
from itertools import pairwise

import pytest

from episodes.files.products import load_cautions, load_products, product_named
from episodes.trade.products import STAGES, Product

PRODUCTS = load_products()
TABLE = tomllib.loads(
    files("episodes.trade").joinpath("products.toml").read_text(encoding="utf-8")
)["product"]
KEYS = {
    *("id", "aliases", "title", "kind", *STAGES, "recoat_by", "window", "dries_by", "q10"),
    *("min_celsius", "max_celsius", "max_humidity", "coats", "m2_per_litre", "makes"),
    *("fumes_for", "sand_between", "cautions", "note", "source"),
}
each_product = pytest.mark.parametrize("product", PRODUCTS.values(), ids=PRODUCTS)


def test_the_table_has_only_keys_that_are_read() -> None:
    assert {key for table in TABLE for key in table} <= KEYS
    assert len(TABLE) == len(PRODUCTS) >= 60


@each_product
def test_stages_come_in_their_order(product: Product) -> None:
    times = product.coating.times
    assert {"touch", "recoat", "handle", "cure"} == set(times)
    stages = [times[stage] for stage in STAGES]
    if product.coating.window_until is not None:
        stages.remove(times["recoat"])
        assert product.coating.window_until < times["recoat"].likely
    for earlier, later in pairwise(stages):
        assert earlier.low <= later.low
        assert earlier.likely <= later.likely
        assert earlier.high <= later.high
    if product.coating.recoat_by is not None:
        assert product.coating.recoat_by >= times["recoat"].high


@each_product
def test_limits_of_air_are_those_of_a_house(product: Product) -> None:
    coating = product.coating
    assert coating.lowest_celsius is not None
    assert -20 <= coating.lowest_celsius <= 20
    assert coating.highest_celsius is None or 25 <= coating.highest_celsius <= 40
    assert coating.highest_humidity is None or 60 <= coating.highest_humidity <= 95
    assert 1.0 <= coating.q10 <= 3.0
    assert coating.dries_by in {"water", "moisture", "oxidation", "reaction", "solvent", "none"}


@each_product
def test_every_value_names_its_source(product: Product) -> None:
    wanted = {"times", "limits"}
    if product.coats or product.m2_per_litre or product.sand_between:
        wanted.add("use")
    assert set(product.source) == wanted
    for source in product.source.values():
        assert source.startswith(("published: ", "from memory", "common practice"))


@each_product
def test_every_caution_has_words(product: Product) -> None:
    assert set(product.cautions) <= set(load_cautions())


def test_no_caution_is_left_without_a_product() -> None:
    assert set(load_cautions()) == {tag for each in PRODUCTS.values() for tag in each.cautions}


def test_a_product_is_found_by_its_other_names_and_no_name_is_borne_twice() -> None:
    aliases = [alias for product in PRODUCTS.values() for alias in product.aliases]
    assert len(set(aliases)) == len(aliases) > 5
    assert not set(aliases) & set(PRODUCTS)
    found = product_named("acrylic-caulk")
    assert found is PRODUCTS["latex-caulk"]
    assert product_named("moon-dust") is None
