"""The recipes and the usual ways for things to come: `episodes/trade/` read into records.

Package data, written with the program and held to its form by tests; so this reads it without
the care that a user's file gets. A word that has no place there still ends in an error, not in
silence.
"""

from collections.abc import Iterable, Mapping
from datetime import time
from functools import cache
from importlib.resources import files
from tomllib import loads
from typing import Any

from episodes.amounts import parse_lead
from episodes.trade.formulas import exact
from episodes.trade.recipes import (
    FIRST_TIME,
    Buy,
    Carrier,
    Coming,
    Link,
    Recipe,
    RecipeShot,
    RecipeStep,
    Size,
)

FILES = {
    "opening": "Opening jobs",
    "walls": "Walls and ceiling",
    "wood": "Wood work",
    "old-pieces": "Old pieces made new",
    "windows": "Windows, cloth, light",
    "floors": "Tile and floors",
    "closing": "Around every build",
}
"""The files of recipes in the order in which they are listed, each with the name of its group."""
AROUND = (
    "befores",
    "clear-room",
    "clean-and-style",
    "reveal-shoot",
    "string-out",
    "edit-and-publish",
    "after-release",
)
"""What every episode has, unless it is asked for bare."""


@cache
def load_recipes() -> dict[str, Recipe]:
    """Every recipe by its id, in the order of the files."""
    return {
        table["id"]: _recipe(table, group)
        for name, group in FILES.items()
        for table in _read(f"recipes/{name}.toml")["recipe"]
    }


@cache
def load_carriers() -> dict[str, Carrier]:
    """Every usual carrier by its id."""
    return {table["id"]: _carrier(table) for table in _read("carriers.toml")["carrier"]}


@cache
def load_comings() -> dict[str, Coming]:
    """Every usual way for things to come by its id."""
    return {table["id"]: _coming(table) for table in _read("carriers.toml")["coming"]}


def _read(name: str) -> dict[str, Any]:
    return loads(
        files("episodes.trade").joinpath(name).read_text(encoding="utf-8"), parse_float=str
    )


def _recipe(table: dict[str, Any], group: str) -> Recipe:
    table = dict(table)
    low, likely, high = table.pop("range", FIRST_TIME)
    return Recipe(
        group=group,
        spot=table.pop("spot", "room"),
        sizes=tuple(_size(size) for size in table.pop("size")),
        steps=tuple(_step(step) for step in table.pop("step")),
        shots=tuple(_shot(shot) for shot in table.pop("shot", ())),
        buys=tuple(_buy(buy) for buy in table.pop("buy", ())),
        span=(exact(low), exact(likely), exact(high)),
        brings=tuple(table.pop("brings", ())),
        **table,
    )


def _size(table: Mapping[str, Any]) -> Size:
    rest = {key: table[key] for key in table.keys() - {"default", "from", "to", "source"}}
    return Size(
        default=exact(table["default"]),
        lowest=exact(table["from"]),
        highest=exact(table["to"]),
        **rest,
    )


def _step(table: dict[str, Any]) -> RecipeStep:
    table = dict(table)
    after = table.pop("after", None)
    gear = table.pop("gear", ())
    pairs = gear.items() if isinstance(gear, dict) else ((id, "1") for id in gear)
    return RecipeStep(
        after=None if after is None else tuple(Link(**link) for link in after),
        gear=tuple(pairs),
        **_tuples(table, ("tools", "makes", "needs_air", "does", "cautions")),
    )


def _shot(table: dict[str, Any]) -> RecipeShot:
    return RecipeShot(**_tuples(table, ("needs_air", "cautions")))


def _buy(table: dict[str, Any]) -> Buy:
    table = dict(table)
    return Buy(
        needed_for=table.pop("for"),
        pieces=tuple((count, length) for count, length in table.pop("pieces", ())),
        **table,
    )


def _carrier(table: dict[str, Any]) -> Carrier:
    table = dict(table)
    cutoff = table.pop("cutoff", None)
    return Carrier(
        cutoff=None if cutoff is None else _minute(cutoff),
        arrives_at=_minute(table.pop("arrives_at")),
        also=tuple(table.pop("also")),
        **table,
    )


def _coming(table: dict[str, Any]) -> Coming:
    return Coming(
        id=table["id"],
        title=table["title"],
        parcel_kind=table["kind"],
        carrier=table.get("carrier"),
        lead=table["lead"],
        amount=parse_lead(table["lead"]).amount,
        return_within=table.get("return_within"),
        note=table.get("note", ""),
        source=dict(table["source"]),
    )


def _minute(value: time) -> int:
    return value.hour * 60 + value.minute


def _tuples(table: Mapping[str, Any], keys: Iterable[str]) -> dict[str, Any]:
    """The table with its lists as tuples."""
    return {key: tuple(value) if key in keys else value for key, value in table.items()}
