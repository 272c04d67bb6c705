"""Recipes and their sizes as they are typed: `paint-walls:area=38,coats=2`, `12ft`."""

import re
from collections.abc import Mapping
from difflib import get_close_matches
from fractions import Fraction

from episodes.files.recipe_files import load_recipes
from episodes.problems import EpisodesError
from episodes.trade.builds import Build, SizeError, build
from episodes.trade.recipes import Recipe, Size

_NUMBER = re.compile(r"(\d+(?:\.\d+)?)\s*([a-z0-9]*)", re.ASCII)
_LENGTHS = {
    "m": Fraction(1),
    "cm": Fraction(1, 100),
    "mm": Fraction(1, 1000),
    "in": Fraction(254, 10_000),
    "ft": Fraction(3048, 10_000),
}
"""Metres in each unit; inch and foot exactly (international yard of 1959)."""
_AREAS = {
    "m2": Fraction(1),
    "ft2": Fraction(3048, 10_000) ** 2,
    "sqft": Fraction(3048, 10_000) ** 2,
}
_IN_US = {"m": "ft", "m2": "ft2", "cm": "in", "mm": "in"}
"""What a number without a unit is meant in where the studio's units are `us`."""


class RecipeWordsError(EpisodesError):
    """No such recipe or size, or a number that it cannot take; says what would do."""


def recipe_named(name: str) -> Recipe:
    """The recipe of that id, or the only one whose id begins so.

    Raises:
        RecipeWordsError: none, or several; with what is near.
    """
    recipes = load_recipes()
    if name in recipes:
        return recipes[name]
    begun = [id for id in recipes if name and id.startswith(name)]
    if len(begun) == 1:
        return recipes[begun[0]]
    if begun:
        raise RecipeWordsError(f'"{name}" could be {", ".join(begun)}')
    near = get_close_matches(name, recipes, n=1)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    raise RecipeWordsError(f'no recipe is called "{name}"{hint} `episodes recipes` lists them')


def build_of(text: str, units: str) -> Build:
    """A recipe worked out, of `NAME` or `NAME:size=V,size=V`.

    Args:
        units: of numbers without one: `metric` or `us`.

    Raises:
        RecipeWordsError: no such recipe or size, or a number it cannot take.
    """
    name, _, rest = text.partition(":")
    recipe = recipe_named(name.strip())
    given: dict[str, str] = {}
    for part in filter(None, (piece.strip() for piece in rest.split(","))):
        id, equals, number = part.partition("=")
        if not equals:
            raise RecipeWordsError(f'"{part}" is no size; write {recipe.id}:size=number')
        given[id.strip()] = number
    return sized(recipe, given, units)


def sized(recipe: Recipe, given: Mapping[str, str], units: str) -> Build:
    """A recipe worked out for sizes as they are typed; arguments and errors as `build_of`."""
    sizes: dict[str, Fraction] = {}
    for id, number in given.items():
        size = next((size for size in recipe.sizes if size.id == id), None)
        if size is None:
            has = ", ".join(each.id for each in recipe.sizes) or "none"
            raise RecipeWordsError(f'{recipe.id} has no size "{id}"; it has: {has}')
        sizes[id] = number_of(number, size, units)
    try:
        return build(recipe, sizes)
    except SizeError as error:
        raise RecipeWordsError(str(error)) from None


def number_of(text: str, size: Size, units: str) -> Fraction:
    """A size as typed, in the unit of its recipe: `38`, `12ft`, `120 sqft`, `30cm`.

    Raises:
        RecipeWordsError: not a number, or in a unit that this size is not measured in.
    """
    match = _NUMBER.fullmatch(text.strip().lower())
    if match is None:
        raise RecipeWordsError(f'{size.id}: "{text.strip()}" is no number')
    number, unit = Fraction(match[1]), match[2]
    table: Mapping[str, Fraction] = (
        _AREAS if size.unit in _AREAS else _LENGTHS if size.unit in _LENGTHS else {}
    )
    if not unit and units == "us":
        unit = _IN_US.get(size.unit, "")
    if not unit or unit == size.unit:
        return number
    if unit not in table:
        known = ", ".join(table) or "none"
        raise RecipeWordsError(f'{size.id}: "{unit}" is no unit for it; units: {known}')
    return number * table[unit] / table[size.unit]


def builds_of(text: str, units: str) -> list[Build]:
    """Several recipes, between semicolons or blanks: `paint-walls:area=38; cubbies:n=4`.

    Raises:
        RecipeWordsError: as `build_of`.
    """
    return [build_of(word, units) for word in re.split(r"[\s;]+", text.strip()) if word]
