"""`recipes`: the list, one recipe worked out, and the same for programs."""

import json
from fractions import Fraction
from pathlib import Path

import pytest

from episodes.cli import run
from episodes.commands.recipe_words import build_of, computer_zone, hours_of, number_of
from episodes.files.recipe_files import FILES, load_recipes

Capture = pytest.CaptureFixture[str]


def test_the_list_has_every_recipe_under_its_group(capsys: Capture) -> None:
    assert run(["recipes"]) == 0
    text = capsys.readouterr().out
    for group in FILES.values():
        assert f"\n{group}\n" in text
    for id in load_recipes():
        assert f"\n  {id}" in text
    assert "paint-walls:area=38m2,coats=2" in text


def test_one_recipe_shows_steps_shots_shopping_cautions_and_sources(capsys: Capture) -> None:
    assert run(["recipes", "applied-moulding:frames=3"]) == 0
    text = capsys.readouterr().out
    assert text.startswith("Rectangles of applied moulding (applied-moulding)\n")
    for part in ("Sizes", "Steps", "To film", "To buy", "Take care", "Where the numbers come from"):
        assert f"\n{part}\n" in text
    assert "900 + 900 + 600 mm" in text, "the cut list"
    assert "5 x stick of moulding" in text, "four by the cut list and one spare"
    assert "Your local code, your lease and the product's own sheet come before this." in text
    assert "common practice, no published source" in text


def test_the_list_and_a_recipe_for_programs(capsys: Capture) -> None:
    assert run(["recipes", "--json"]) == 0
    listed = json.loads(capsys.readouterr().out)
    assert [recipe["id"] for recipe in listed["recipes"]] == list(load_recipes())
    assert run(["recipes", "paint-walls:area=38,edge=42", "--json"]) == 0
    one = json.loads(capsys.readouterr().out)
    coat = next(step for step in one["steps"] if step["id"] == "coat-1")
    assert coat["hands_min"] == [95, 135, 240]
    assert one["buy"][0]["amount"] == 10
    assert one["sizes"] == {"area": 38, "edge": 42, "coats": 2}


def test_every_key_of_a_recipe_is_on_the_page_for_programs(capsys: Capture) -> None:
    assert run(["recipes", "cabinet-doors", "--json"]) == 0
    one = json.loads(capsys.readouterr().out)
    page = (Path(__file__).parents[2] / "docs" / "json.md").read_text(encoding="utf-8")
    section = page.partition("\n## recipes\n")[2].partition("\n## ")[0]
    printed = set(one) | {
        key for part in ("steps", "shots", "buy") for row in one[part] for key in row
    }
    assert sorted(key for key in printed if f"`{key}`" not in section) == []


def test_a_name_may_be_shortened_as_long_as_one_recipe_begins_so(capsys: Capture) -> None:
    assert run(["recipes", "wallp"]) == 0
    assert "(wallpaper)" in capsys.readouterr().out
    assert run(["recipes", "paint"]) == 2
    assert '"paint" could be paint-walls, paint-ceiling' in capsys.readouterr().err
    assert run(["recipes", "wallpapr"]) == 2
    assert 'did you mean "wallpaper"?' in capsys.readouterr().err


# The international yard and pound agreement of 1959: a foot is 0.3048 m, an inch 0.0254 m.
@pytest.mark.parametrize(
    ("typed", "units", "metres"),
    [("2", "metric", "2"), ("2m", "us", "2"), ("10 ft", "metric", "3.048"), ("10", "us", "3.048"),
     ("100in", "metric", "2.54"), ("250 cm", "metric", "2.5"), ("1200mm", "us", "1.2")],
)  # fmt: skip
def test_lengths_are_understood_in_several_units(typed: str, units: str, metres: str) -> None:
    size = next(size for size in load_recipes()["wood-top"].sizes if size.id == "length")
    assert number_of(typed, size, units) == Fraction(metres)


def test_areas_and_millimetres_too() -> None:
    area = next(size for size in load_recipes()["paint-walls"].sizes if size.id == "area")
    assert number_of("100 sqft", area, "metric") == Fraction("9.290304")
    tile = next(size for size in load_recipes()["tile-backsplash"].sizes if size.id == "tile_w")
    assert number_of("3in", tile, "metric") == Fraction("76.2")
    built = build_of("paint-walls:area=20,coats=1", "metric")
    assert [step.id for step in built.steps] == ["spot-prime", "coat-1", "dab"]


@pytest.mark.parametrize(
    ("typed", "week"),
    [
        ("mon-fri 18-21:30, sat 9-17", {"mon-fri": ["18:00-21:30"], "sat": ["09:00-17:00"]}),
        ("Daily 9-12 13:15-17", {"daily": ["09:00-12:00", "13:15-17:00"]}),
        ("fri 22-2", {"fri": ["22:00-02:00"]}),
    ],
)
def test_hours_are_read_as_they_are_said(typed: str, week: dict[str, list[str]]) -> None:
    assert hours_of(typed) == week


@pytest.mark.parametrize("typed", ["", "mon", "mon 9", "noon 9-10", "mon 9-25", "mon 9-9",
                                   "mon 9-10, mon 11-12"])  # fmt: skip
def test_hours_that_are_none_are_refused_in_words(typed: str) -> None:
    with pytest.raises(ValueError, match=r".{10}"):
        hours_of(typed)


def test_the_computer_tells_its_time_zone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "Europe/Lisbon")
    assert computer_zone() == "Europe/Lisbon"
    monkeypatch.setenv("TZ", "Nowhere/At-all")
    assert computer_zone() != "Nowhere/At-all"
