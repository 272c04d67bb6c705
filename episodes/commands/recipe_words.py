"""Recipes, sizes and hours as they are typed: `paint-walls:area=38,coats=2`, `sat 9-17`."""

import re
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, TypeVar

import click

if TYPE_CHECKING:
    from episodes.trade.builds import Build
    from episodes.trade.recipes import Recipe, Size

_T = TypeVar("_T")
_CLOCK = re.compile(r"([01]?\d|2[0-4])(?::([0-5]\d))?", re.ASCII)


def recipe_named(name: str) -> "Recipe":
    """The recipe of that id, or the only one whose id begins so.

    Raises:
        click.UsageError: none, or several; with what is near.
    """
    from episodes.files import recipe_words

    return _or_usage(lambda: recipe_words.recipe_named(name))


def build_of(text: str, units: str) -> "Build":
    """A recipe worked out, of `NAME` or `NAME:size=V,size=V`.

    Args:
        units: of numbers without one: `metric` or `us`.

    Raises:
        click.UsageError: no such recipe or size, or a number it cannot take.
    """
    from episodes.files import recipe_words

    return _or_usage(lambda: recipe_words.build_of(text, units))


def number_of(text: str, size: "Size", units: str) -> Fraction:
    """A size as typed, in the unit of its recipe: `38`, `12ft`, `120 sqft`, `30cm`.

    Raises:
        click.UsageError: not a number, or in a unit that this size is not measured in.
    """
    from episodes.files import recipe_words

    return _or_usage(lambda: recipe_words.number_of(text, size, units))


def _or_usage(act: Callable[[], _T]) -> _T:
    """What is asked for; what was typed wrong is the user's to type again."""
    from episodes.files.recipe_words import RecipeWordsError

    try:
        return act()
    except RecipeWordsError as error:
        raise click.UsageError(str(error)) from None


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
