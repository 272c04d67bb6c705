"""Recipes, sizes and hours as they are typed: `paint-walls:area=38,coats=2`, `sat 9-17`."""

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from episodes.trade.builds import Build
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
_CLOCK = re.compile(r"([01]?\d|2[0-4])(?::([0-5]\d))?", re.ASCII)


def recipe_named(name: str) -> "Recipe":
    """The recipe of that id, or the only one whose id begins so.

    Raises:
        click.UsageError: none, or several; with what is near.
    """
    from difflib import get_close_matches

    from episodes.files.recipe_files import load_recipes

    recipes = load_recipes()
    if name in recipes:
        return recipes[name]
    begun = [id for id in recipes if name and id.startswith(name)]
    if len(begun) == 1:
        return recipes[begun[0]]
    if begun:
        raise click.UsageError(f'"{name}" could be {", ".join(begun)}')
    near = get_close_matches(name, recipes, n=1)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    raise click.UsageError(f'no recipe is called "{name}"{hint} `episodes recipes` lists them')


def build_of(text: str, units: str) -> "Build":
    """A recipe worked out, of `NAME` or `NAME:size=V,size=V`.

    Args:
        units: of numbers without one: `metric` or `us`.

    Raises:
        click.UsageError: no such recipe or size, or a number it cannot take.
    """
    from episodes.trade.builds import SizeError, build

    name, _, rest = text.partition(":")
    recipe = recipe_named(name.strip())
    given: dict[str, Fraction] = {}
    for part in filter(None, (piece.strip() for piece in rest.split(","))):
        id, equals, number = part.partition("=")
        if not equals:
            raise click.UsageError(f'"{part}" is no size; write {recipe.id}:size=number')
        size = next((size for size in recipe.sizes if size.id == id.strip()), None)
        if size is None:
            has = ", ".join(each.id for each in recipe.sizes) or "none"
            raise click.UsageError(f'{recipe.id} has no size "{id.strip()}"; it has: {has}')
        given[size.id] = number_of(number, size, units)
    try:
        return build(recipe, given)
    except SizeError as error:
        raise click.UsageError(str(error)) from None


def number_of(text: str, size: "Size", units: str) -> Fraction:
    """A size as typed, in the unit of its recipe: `38`, `12ft`, `120 sqft`, `30cm`.

    Raises:
        click.UsageError: not a number, or in a unit that this size is not measured in.
    """
    match = _NUMBER.fullmatch(text.strip().lower())
    if match is None:
        raise click.UsageError(f'{size.id}: "{text.strip()}" is no number')
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
        raise click.UsageError(f'{size.id}: "{unit}" is no unit for it; units: {known}')
    return number * table[unit] / table[size.unit]


def hours_of(text: str) -> dict[str, list[str]]:
    """Hours of a week as a plan writes them, of `mon-fri 18-21:30, sat 9-12 13-17`.

    Raises:
        ValueError: not such hours; the message says what would be.
    """
    from episodes.calendars.week import parse_week_hours

    week: dict[str, list[str]] = {}
    for part in filter(None, (piece.strip() for piece in text.lower().split(","))):
        days, *windows = part.split()
        if not windows:
            raise ValueError(f'"{part}" has no hours; write "mon-fri 18:00-21:30, sat 9-17"')
        if days in week:
            raise ValueError(f'"{days}" comes twice')
        week[days] = [_window(window) for window in windows]
    if not week:
        raise ValueError('no hours; write "mon-fri 18:00-21:30, sat 9-17"')
    parse_week_hours(week)
    return week


def _window(text: str) -> str:
    ends = [_CLOCK.fullmatch(end) for end in text.split("-")]
    if len(ends) != 2 or ends[0] is None or ends[1] is None:
        raise ValueError(f'"{text}" is no window of hours; write 18:00-21:30 or 9-17')
    return "-".join(f"{int(end[1]):02d}:{end[2] or '00'}" for end in ends if end is not None)


def hours_words(week: Mapping[str, Sequence[str]]) -> str:
    """Hours as they would be typed."""
    return ", ".join(f"{days} {' '.join(windows)}" for days, windows in week.items())


def computer_zone() -> str:
    """The time zone of this computer by its IANA name; UTC where it does not tell."""
    import os
    from pathlib import Path

    from episodes.calendars.local_time import zone

    told = [os.environ.get("TZ", "").lstrip(":")]
    try:
        told.append(Path("/etc/timezone").read_text(encoding="utf-8").strip())
    except (OSError, UnicodeDecodeError):
        told.append("")
    try:
        told.append(os.readlink("/etc/localtime").partition("zoneinfo/")[2])
    except OSError:
        told.append("")
    for name in filter(None, told):
        try:
            return zone(name).name
        except ValueError:
            continue
    return "UTC"
