"""The materials table keeps to its form: every value readable, in order, and with its source."""

import re
import tomllib
from dataclasses import replace
from importlib.resources import files
from itertools import pairwise
from typing import Any

import pytest

from episodes.amounts import Estimate
from episodes.files.cautions import caution_named, load_advice
from episodes.files.products import load_products, product_named
from episodes.trade.products import STAGES, Coating, Product, Stage

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


def disorder(coating: Coating) -> list[str]:
    """What of a coat's times cannot be: each range rising, the stages in their order."""
    times = coating.times
    found = [f"no {stage}" for stage in STAGES if stage not in times]
    stages = [stage for stage in STAGES if stage in times]
    found += [
        f"{stage} falls"
        for stage in stages
        if not 0 < times[stage].low <= times[stage].likely <= times[stage].high
    ]
    if coating.window_until is not None and "recoat" in stages:
        # A spray is handled long before the second side of its window.
        stages.remove("recoat")
        if not 0 < coating.window_until < times["recoat"].low:
            found.append("a window without a middle")
    found += [
        f"{later} before {earlier}"
        for earlier, later in pairwise(stages)
        for side in ("low", "likely", "high")
        if getattr(times[earlier], side) > getattr(times[later], side)
    ]
    if coating.recoat_by is not None and coating.recoat_by < times["recoat"].high:
        found.append("recoat_by before recoat")
    return found


@each_product
def test_stages_come_in_their_order(product: Product) -> None:
    assert disorder(product.coating) == []


@pytest.mark.parametrize(
    ("id", "change"),
    [
        ("wall-paint", {"touch": Estimate(30, 500, 600)}),
        ("wall-paint", {"recoat": Estimate(120, 240, 6000)}),
        ("wall-paint", {"cure": Estimate(10, 30_240, 43_200)}),
        ("wall-paint", {"touch": Estimate(60, 30, 120)}),
        ("wall-paint", {"handle": None}),
        ("waterborne-polyurethane", {"recoat": Estimate(120, 150, 1441)}),
        ("aerosol-enamel", {"recoat": Estimate(60, 2880, 2880)}),
    ],
)
def test_an_order_that_cannot_be_is_found(id: str, change: dict[Stage, Estimate | None]) -> None:
    coating = PRODUCTS[id].coating
    times = {stage: time for stage, time in {**coating.times, **change}.items() if time}
    assert disorder(replace(coating, times=times)) != []


@each_product
def test_limits_of_air_are_those_of_a_house(product: Product) -> None:
    coating = product.coating
    assert coating.lowest_celsius is not None
    assert -20 <= coating.lowest_celsius <= 21
    assert coating.highest_celsius is None or 25 <= coating.highest_celsius <= 40
    assert coating.highest_humidity is None or 60 <= coating.highest_humidity <= 95
    assert 1.0 <= coating.q10 <= 3.0
    assert coating.dries_by in {"water", "moisture", "oxidation", "reaction", "solvent", "none"}


LABEL = re.compile(r"published: .+|common practice, no published source(: .+)?|from memory: .+")


def unlabelled(table: dict[str, Any]) -> list[str]:
    """What of a product's values has no source, or a source in no known words."""
    wanted = {"times", "limits"}
    if table.keys() & {"coats", "m2_per_litre", "sand_between"}:
        wanted.add("use")
    source = table.get("source", {})
    return sorted(wanted ^ source.keys()) + [
        part for text in source.values() for part in text.split("; ") if not LABEL.fullmatch(part)
    ]


@pytest.mark.parametrize("table", TABLE, ids=lambda table: table["id"])
def test_every_value_names_its_source(table: dict[str, Any]) -> None:
    assert unlabelled(table) == []


@pytest.mark.parametrize(
    "source",
    [
        {"times": "published: guides"},
        {"times": "published: guides", "limits": "everybody knows"},
        {"times": "published: guides; cure from the tin", "limits": "from memory: all"},
        {"times": "published: ", "limits": "from memory: all"},
        {"times": "from memory", "limits": "from memory: all"},
    ],
)
def test_a_value_without_a_source_is_found(source: dict[str, str]) -> None:
    assert unlabelled({"id": "new", "touch": "1h", "source": source})


# What titles are made of, in lower case: what things are and what they are for. A name that
# somebody owns is none of these, and a new word here is looked at.
TITLE_WORDS = """
acrylic adhesive aerosol alkyd and blocking boiled bonding borne cabinet carpet casein cast
caulk cement chalk clear coat compound concrete construction contact cyanoacrylate danish
double drying enamel epoxy exterior fabric fast filler filling film finish five floor foam
for furniture fusible glue grout gypsum hardwax hem hide hot in joint lacquer latex leveller
levelling lightweight lime limewash linseed masonry mastic matte milk minute minutes mixed
modified mortar mounting nitrocellulose oil one or paint part paste peel penetrating piece
plaster polyurethane pour primer pure pva rapid ready sealant sealer self set setting
shellac sided silicone size skim slow small spray stain stick table tape thin thinset tile
top trim tung two type varnish wall wallpaper water waterborne wax web wiping wood
"""
CAPITALS = {"Danish", "German", "PVA", "ASTM", "Wood", "Handbook", "RH", "C", "F"}
"""Words that may be written with a capital inside a sentence."""


def owned_names(table: dict[str, Any]) -> list[str]:
    """Words of a product that look like the name of one maker's product."""
    said = [table.get("note", ""), *table["source"].values()]
    inside = [
        word
        for text in said
        for word in re.findall(r"(?<=[^.:;\s(] )[A-Z]\w*", text)
        if word not in CAPITALS
    ]
    words = re.findall(r"[A-Za-z]+", " ".join((table["title"], *table.get("aliases", ()))))
    ids = table["id"].split("-")
    known = TITLE_WORDS.split()
    strange = [word for word in (*words, *ids) if word.lower() not in known]
    return inside + strange + re.findall("[\u00a9\u00ae\u2122]", str(table))


@pytest.mark.parametrize("table", TABLE, ids=lambda table: table["id"])
def test_no_product_bears_a_name_that_somebody_owns(table: dict[str, Any]) -> None:
    assert owned_names(table) == []


@pytest.mark.parametrize(
    "table",
    [
        {"id": "flooralux", "title": "Water-borne floor varnish", "source": {}},
        {"id": "floor-varnish", "title": "Flooralux varnish", "source": {}},
        {"id": "varnish", "title": "Varnish", "note": "as Flooralux says", "source": {}},
        {"id": "varnish", "title": "Varnish", "source": {"times": "published: the Lux sheet"}},
        {"id": "varnish", "title": "Varnish\u2122", "source": {}},
    ],
)
def test_a_name_that_somebody_owns_is_found(table: dict[str, Any]) -> None:
    assert owned_names(table)


@each_product
def test_every_caution_has_words(product: Product) -> None:
    advice = load_advice()
    assert [tag for tag in product.cautions if not caution_named(tag) and tag not in advice] == []


@each_product
def test_what_gives_off_fumes_says_to_air_the_room(product: Product) -> None:
    said = {caution.id for caution in product.coating.cautions}
    assert ("ventilate" in said) or not product.coating.fumes


def test_no_advice_is_left_without_a_product() -> None:
    tags = {tag for each in PRODUCTS.values() for tag in each.cautions}
    assert sorted(load_advice().keys() - tags) == []


def test_a_product_is_found_by_its_other_names_and_no_name_is_borne_twice() -> None:
    aliases = [alias for product in PRODUCTS.values() for alias in product.aliases]
    assert len(set(aliases)) == len(aliases) > 5
    assert not set(aliases) & set(PRODUCTS)
    found = product_named("acrylic-caulk")
    assert found is PRODUCTS["latex-caulk"]
    assert product_named("moon-dust") is None
