"""Recipes and carriers keep to their form: values readable, in bounds, each with its source."""

import re
import tomllib
from fractions import Fraction
from importlib.resources import files

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from episodes.amounts import parse_estimate, parse_lead, parse_length
from episodes.calendars.week import parse_weekdays
from episodes.files.cautions import caution_named
from episodes.files.new_studio import GEAR_TITLES
from episodes.files.products import load_products
from episodes.files.recipe_files import (
    AROUND,
    FILES,
    load_carriers,
    load_comings,
    load_recipes,
)
from episodes.trade.builds import build
from episodes.trade.formulas import names_in
from episodes.trade.recipes import Recipe

RECIPES = load_recipes()
FOLDER = files("episodes.trade").joinpath("recipes")
TABLES = {
    table["id"]: table
    for name in FILES
    for table in tomllib.loads(FOLDER.joinpath(f"{name}.toml").read_text("utf-8"))["recipe"]
}
LABEL = re.compile(
    r"published: .{10,}|from memory(: .+)?|common practice, no published source(: .+)?"
)
LENGTH = re.compile(r"\d")
AIR = {"dust", "fumes", "noise"}
each_recipe = pytest.mark.parametrize("recipe", RECIPES.values(), ids=RECIPES)


def test_there_are_the_typical_builds_and_the_work_around_them() -> None:
    builds = [id for id, recipe in RECIPES.items() if id not in AROUND]
    assert len(builds) >= 30
    assert len(TABLES) == len(RECIPES)
    assert set(AROUND) < set(RECIPES)
    assert {path.name for path in FOLDER.iterdir() if path.name.endswith(".toml")} == {
        f"{name}.toml" for name in FILES
    }


@each_recipe
def test_every_kind_of_value_has_a_source_with_its_label(recipe: Recipe) -> None:
    wanted = {"sizes"}
    if any(step.hands for step in recipe.steps):
        wanted.add("hands")
    if any(step.wait for step in recipe.steps):
        wanted.add("waits")
    if recipe.shots:
        wanted.add("shots")
    if recipe.buys:
        wanted.add("buy")
    if any(buy.settle for buy in recipe.buys):
        wanted.add("settle")
    table = TABLES[recipe.id]
    if "range" in table:
        wanted.add("range")
    assert set(recipe.source) == wanted
    own = [row["source"] for key in ("size", "buy", "step") for row in table.get(key, ())
           if "source" in row]  # fmt: skip
    for label in (*recipe.source.values(), *own):
        assert LABEL.match(label), label


@each_recipe
def test_the_usual_size_can_be_built(recipe: Recipe) -> None:
    built = build(recipe)
    ids = [step.id for step in built.steps]
    assert len(set(ids)) == len(ids)
    shots = [shot.id for shot in built.shots]
    assert len(set(shots)) == len(shots)
    for step in built.steps:
        assert (step.hands is None) != (step.recipe.wait is None)
        if step.recipe.wait is not None:
            parse_estimate(step.recipe.wait)
    for purchase in built.purchases:
        assert purchase.amount > 0
        assert purchase.buy.needed_for in ids
        assert purchase.buy.after in (None, *ids)
        if purchase.buy.settle is not None:
            parse_estimate(purchase.buy.settle)
    text = " ".join([built.note, *(step.recipe.title for step in built.steps)])
    assert "{" not in text


@each_recipe
@settings(max_examples=8)
@given(data=st.data())
def test_any_sizes_within_bounds_can_be_built(recipe: Recipe, data: st.DataObject) -> None:
    given_sizes = {}
    for size in recipe.sizes:
        share = Fraction(data.draw(st.integers(0, 20)), 20)
        value = size.lowest + (size.highest - size.lowest) * share
        given_sizes[size.id] = Fraction(round(value)) if size.unit in ("count", "min") else value
    built = build(recipe, given_sizes)
    assert all(step.hands is None or step.hands.likely >= 5 for step in built.steps)


@each_recipe
def test_what_a_recipe_names_is_there(recipe: Recipe) -> None:
    built = build(recipe)
    ids = {step.id for step in built.steps}
    for step in built.steps:
        if step.recipe.coat is not None:
            assert step.recipe.coat in load_products(), step.recipe.coat
        for tag in step.recipe.cautions:
            assert caution_named(tag) is not None, tag
        for link in step.recipe.after or ():
            assert link.step in ids | {"release"}
        assert set(step.recipe.makes) <= AIR
        assert {id for id, _ in step.gear} <= set(GEAR_TITLES)
    for shot in built.shots:
        assert shot.recipe.of in ("", *ids)
        for tag in shot.recipe.cautions:
            assert caution_named(tag) is not None, tag
    for purchase in built.purchases:
        assert purchase.buy.kind in load_comings()
    for id in recipe.brings:
        assert id in RECIPES


@each_recipe
def test_one_camera_can_take_all_its_shots(recipe: Recipe) -> None:
    """Two shots during one step could never be taken with one camera."""
    during = [shot.recipe.of for shot in build(recipe).shots if shot.recipe.when == "during"]
    assert len(during) == len(set(during))
    for step in build(recipe).steps:
        assert step.id not in during or not {"camera"} & {id for id, _ in step.gear}


@each_recipe
def test_every_size_is_used_and_stands_within_its_bounds(recipe: Recipe) -> None:
    formulas = [step.hands or "" for step in recipe.steps]
    formulas += [it for step in recipe.steps for it in (step.repeat, step.only_if) if it]
    formulas += [count for step in recipe.steps for _, count in step.gear]
    formulas += [it for shot in recipe.shots for it in (shot.hands, shot.repeat) if it]
    formulas += [buy.count or "" for buy in recipe.buys]
    formulas += [it for buy in recipe.buys for pair in buy.pieces for it in pair]
    texts = [recipe.note, *(buy.title for buy in recipe.buys)]
    formulas += [it for text in texts for it in re.findall(r"\{([^{}]+)\}", text)]
    used = frozenset().union(*(names_in(formula) for formula in formulas if formula))
    for size in recipe.sizes:
        assert size.id in used, size.id
        assert size.lowest <= size.default <= size.highest
    assert used <= {size.id for size in recipe.sizes} | {"n"}


def test_work_that_can_hurt_brings_its_caution_on() -> None:
    def words(name: str, step: str) -> set[str]:
        return set(next(s for s in RECIPES[name].steps if s.id == step).does)

    assert "sawing" in words("applied-moulding", "cut")
    assert "wiring" in words("light-swap", "new-on")
    assert "oiling" in words("hidden-bracket-shelf", "oil-1")
    assert "paint-stripper" in words("furniture-strip-oil", "strip")
    assert "tile-cutting" in words("tile-backsplash", "cuts")
    assert all(
        step.who == "licensed" for step in RECIPES["light-swap"].steps if "wiring" in step.does
    )


def test_a_step_that_saws_makes_dust_and_noise() -> None:
    for recipe in RECIPES.values():
        for step in recipe.steps:
            if "sawing" in step.does:
                assert {"noise", "dust"} <= set(step.makes), f"{recipe.id}.{step.id}"


def test_carriers_and_ways_to_come_have_readable_values_and_sources() -> None:
    carriers, comings = load_carriers(), load_comings()
    for carrier in carriers.values():
        assert parse_weekdays(carrier.days)
        assert LABEL.match(carrier.source)
        assert 0 <= carrier.arrives_at < 1440
    names = [name for carrier in carriers.values() for name in (carrier.id, *carrier.also)]
    assert len(set(names)) == len(names)
    for coming in comings.values():
        lead = parse_lead(coming.lead)
        assert lead.amount == coming.amount
        assert lead.workdays == (coming.carrier is not None)
        assert coming.carrier is None or coming.carrier in carriers
        assert coming.parcel_kind in {"delivery", "pickup", "made", "answer"}
        wanted = {"lead"} | ({"return_within"} if coming.return_within else set())
        assert set(coming.source) == wanted
        assert all(LABEL.match(label) for label in coming.source.values())
        if coming.return_within:
            parse_length(coming.return_within)
    assert {"parcel", "freight", "made-to-order", "store", "cut-to-length", "second-hand",
            "landlord"} <= set(comings)  # fmt: skip
