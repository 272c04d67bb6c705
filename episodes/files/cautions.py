"""The trade's cautions: `episodes/trade/cautions.toml`, and which of them a step brings on.

A caution is brought on by a product's own list, by what a step makes (dust, fumes, noise) and by
words that it `does`. Titles are never looked at: a word in one proves nothing.
"""

from collections.abc import Iterable
from functools import cache
from pkgutil import get_data
from tomllib import loads

from episodes.files.trade_tables import trade_tables
from episodes.trade.cautions import Caution

_FILE = "cautions.toml"


def caution_named(name: str) -> Caution | None:
    """The caution of this id, or one that goes by this name as well; None if none does."""
    place = trade_tables(_FILE, "caution").place_of(name)
    return None if place is None else _caution(place)


def cautions_of(names: Iterable[str]) -> tuple[Caution, ...]:
    """Those of the names that are cautions, each once; what is mere advice is left out."""
    found = (caution_named(name) for name in names)
    return tuple(dict.fromkeys(each for each in found if each is not None))


def brought_on_by(makes: Iterable[str], does: Iterable[str]) -> tuple[Caution, ...]:
    """The cautions for work that makes and does these, weightiest first."""
    tables = trade_tables(_FILE, "caution")
    places = {place for word in makes for place in tables.where("makes", word)}
    places |= {place for word in does for place in tables.where("does", word)}
    return tuple(map(_caution, sorted(places)))


@cache
def load_cautions() -> dict[str, Caution]:
    """Every caution by its id, weightiest first."""
    every = map(_caution, range(len(trade_tables(_FILE, "caution"))))
    return {each.id: each for each in every}


@cache
def load_advice() -> dict[str, str]:
    """What is worth knowing of a product and hurts nobody: tag to sentence."""
    data = get_data("episodes.trade", _FILE)
    assert data is not None, f"{_FILE} is part of the package"
    return dict(loads(data.decode("utf-8"))["advice"])


@cache
def _caution(place: int) -> Caution:
    table = trade_tables(_FILE, "caution").table(place)
    return Caution(
        id=table["id"],
        text=table["text"],
        weight=place,
        authority=table["authority"],
        basis=table["basis"],
        licensed=table.get("licensed", ""),
    )
