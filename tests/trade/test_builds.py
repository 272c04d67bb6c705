"""A recipe worked out: ranges, repeats, shopping, refusals; its sums against geometry."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.amounts import Estimate
from episodes.files.recipe_files import load_recipes
from episodes.trade import geometry
from episodes.trade.builds import Build, SizeError, build, range_of, sizes_for
from episodes.trade.recipes import FIRST_TIME, Recipe, RecipeStep, Size

RECIPES = load_recipes()


def sized(name: str, **sizes: float) -> Build:
    return build(RECIPES[name], {key: Fraction(str(value)) for key, value in sizes.items()})


def bought(built: Build, id: str) -> float:
    return float(next(each.amount for each in built.purchases if each.buy.id == id))


def small(*steps: RecipeStep, note: str = "") -> Recipe:
    size = Size(
        id="coats", title="coats", unit="count",
        default=Fraction(2), lowest=Fraction(0), highest=Fraction(9),
    )  # fmt: skip
    return Recipe(
        id="test", title="Test", group="Tests", job="test", spot="room", rank=1,
        sizes=(size,), steps=steps, note=note, source={},
    )  # fmt: skip


def test_a_formula_becomes_a_range_to_five_minutes() -> None:
    # 20 + 1.9 x 38 + 42 = 134.2 minutes
    first = sized("paint-walls", area=38, edge=42).steps[1]
    assert first.id == "coat-1"
    assert first.hands == Estimate(95, 135, 240)


@given(st.fractions(0, 10_000))
def test_a_range_is_in_order_and_never_nothing(minutes: Fraction) -> None:
    found = range_of(minutes, FIRST_TIME)
    assert 5 <= found.low <= found.likely <= found.high
    assert all(value % 5 == 0 for value in (found.low, found.likely, found.high))
    assert abs(found.likely - max(minutes, 5)) <= Fraction(5, 2) or found.likely == 5


def test_neighbours_that_repeat_alike_take_turns() -> None:
    recipe = small(
        RecipeStep(id="coat-1", title="1", hands="10"),
        RecipeStep(id="scuff-{n}", title="Before {n}", hands="5", repeat="coats - 1"),
        RecipeStep(id="coat-{n}", title="Coat {n}", hands="10", repeat="coats - 1"),
        RecipeStep(id="last", title="Last", hands="10"),
    )
    three = build(recipe, {"coats": Fraction(3)})
    assert [step.id for step in three.steps] == [
        "coat-1", "scuff-2", "coat-2", "scuff-3", "coat-3", "last",
    ]  # fmt: skip
    assert three.steps[4].recipe.title == "Coat 3"
    assert [step.id for step in build(recipe, {"coats": Fraction(1)}).steps] == ["coat-1", "last"]


def test_a_step_falls_out_where_its_condition_is_zero() -> None:
    recipe = small(
        RecipeStep(id="plain", title="Plain", hands="10"),
        RecipeStep(id="extra", title="Extra", hands="10", only_if="coats - 2"),
    )
    assert [step.id for step in build(recipe).steps] == ["plain"]
    assert len(build(recipe, {"coats": Fraction(4)}).steps) == 2


def test_texts_have_their_formulas_worked_out() -> None:
    recipe = small(RecipeStep(id="a", title="A", hands="10"), note="{coats * 2} in all")
    assert build(recipe).note == "4 in all"


@pytest.mark.parametrize(
    ("name", "sizes", "said"),
    [
        ("paint-walls", {"are": 3}, 'no size "are"; it has: area, edge, coats'),
        ("paint-walls", {"area": 0}, "area=0 is not between 1 and 300 m2"),
        ("paint-walls", {"coats": 2.5}, "must be a whole number"),
        ("paint-walls", {"coats": 50}, "is not between"),
        ("wallpaper", {"height": 4, "roll_l": 5, "repeat": 1, "roll_w": 1}, ""),
    ],
)
def test_sizes_that_cannot_be_are_refused_in_words(
    name: str, sizes: dict[str, float], said: str
) -> None:
    if said:
        with pytest.raises(SizeError, match=said.replace("?", r"\?")):
            sized(name, **sizes)
    else:
        assert bought(sized(name, **sizes), "rolls") == 5


def test_sizes_that_do_not_go_together_are_refused_in_words() -> None:
    recipe = small(RecipeStep(id="a", title="A", hands="10 / (coats - 2)"))
    with pytest.raises(SizeError, match="division by zero"):
        build(recipe)
    assert build(recipe, {"coats": Fraction(3)}).hands.likely == 10


def test_given_sizes_stand_and_the_others_take_their_defaults() -> None:
    sizes = sizes_for(RECIPES["paint-walls"], {"area": Fraction(20)})
    assert sizes == {"area": 20, "edge": 42, "coats": 2}


def test_hours_grow_with_the_room() -> None:
    hours = [sized("paint-walls", area=area).hands.likely for area in (10, 20, 40, 80)]
    assert all(less < more for less, more in pairwise(hours))


# The shopping list against the same sums of `geometry`, which has its own published cases.


@pytest.mark.parametrize(("frames", "w", "h"), [(3, 0.6, 0.9), (6, 0.6, 0.9), (5, 1.1, 2.3)])
def test_moulding_is_bought_by_the_cut_list(frames: int, w: float, h: float) -> None:
    sticks = geometry.cut_list([w, w, h, h] * frames, 2.44)
    built = sized("applied-moulding", frames=frames, w=w, h=h)
    assert bought(built, "sticks") == len(sticks) + 1


@pytest.mark.parametrize("repeat", [0, 0.32, 0.64])
def test_wallpaper_is_bought_by_whole_strips_and_repeats(repeat: float) -> None:
    built = sized("wallpaper", width=15.6, height=2.4, repeat=repeat)
    rolls = geometry.wallpaper_rolls(15.6, 2.4, 0.53, 10.05, repeat)
    assert bought(built, "rolls") == rolls + 1


def test_curtain_cloth_is_widths_times_cut_drops() -> None:
    cloth = 2 * geometry.curtain_widths(2, 2) * geometry.cut_drop(2.3)
    assert bought(sized("curtains", windows=2, rod=2, drop=2.3), "cloth") == pytest.approx(cloth)


def test_grout_is_the_makers_formula() -> None:
    per_m2 = geometry.grout_kg_per_m2(0.15, 0.075, 0.008, 0.002)
    wanted = round(per_m2 * 2.4 * 0.5 * 1.1, 2)
    assert bought(sized("tile-backsplash"), "grout-mix") == pytest.approx(wanted, abs=0.005)
    assert bought(sized("tile-backsplash"), "tiles") == 113


def test_a_shelf_note_says_the_sag_of_the_beam_formula() -> None:
    span = 1.0 / 2
    sag = geometry.shelf_sag(span, 0.28, 0.027, 294, 9e9) * 1000
    assert f"about {sag:.2f} mm" in sized("wall-shelf", length=1.2).note


def test_a_peg_rail_note_spaces_its_pegs_with_half_a_gap_at_the_ends() -> None:
    assert "every 200 mm, the first 100 mm" in sized("peg-rail", length=1.8, pegs=9).note


def test_battens_leave_equal_gaps() -> None:
    gap = geometry.equal_gaps(3.66, 7, 0.064, ends=False) * 1000
    assert f"{gap:.0f} mm" in sized("board-and-batten").note


def test_an_angled_corner_gets_its_saw_setting() -> None:
    for corner in (60, 90, 135):
        note = sized("angled-moulding", corner=corner).note
        assert f"stands at {geometry.mitre(corner):g}." in note


def test_paint_comes_in_whole_tins() -> None:
    for area, litres in ((38, 10), (11, 2.5), (12, 5)):
        assert bought(sized("paint-walls", area=area, coats=2), "paint") == litres


def test_a_build_is_the_same_however_often_it_is_worked_out() -> None:
    recipe = RECIPES["cabinet-doors"]
    assert build(recipe) == build(replace(recipe))
