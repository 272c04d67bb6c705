"""The data files of the trade, cut at their headings: the same tables as read in one piece."""

import tomllib
from importlib.resources import files
from typing import Any

import pytest

from episodes.files.trade_tables import TradeTables

FILES = [("products.toml", "product"), ("cautions.toml", "caution")]


def whole(file: str, kind: str) -> list[dict[str, Any]]:
    text = files("episodes.trade").joinpath(file).read_text(encoding="utf-8")
    tables: list[dict[str, Any]] = tomllib.loads(text)[kind]
    return tables


@pytest.mark.parametrize(("file", "kind"), FILES)
def test_cut_at_the_headings_a_file_says_what_it_says_in_one_piece(file: str, kind: str) -> None:
    assert list(TradeTables(file, kind)) == whole(file, kind)


@pytest.mark.parametrize(("file", "kind"), FILES)
@pytest.mark.parametrize("key", ["id", "aliases", "makes", "does"])
def test_a_word_is_found_in_every_table_that_has_it(file: str, kind: str, key: str) -> None:
    tables = TradeTables(file, kind)
    having: dict[str, list[int]] = {}
    for index, table in enumerate(whole(file, kind)):
        value = table.get(key, [])
        for word in [value] if isinstance(value, str) else value:
            having.setdefault(word, []).append(index)
    assert {word: tables.where(key, word) for word in having} == having
    assert tables.where(key, "moon-dust") == []


def test_of_many_tables_only_those_asked_for_are_parsed(monkeypatch: pytest.MonkeyPatch) -> None:
    parsed: list[str] = []

    def counting(text: str) -> dict[str, Any]:
        parsed.append(text)
        return tomllib.loads(text)

    monkeypatch.setattr("episodes.files.trade_tables.loads", counting)
    tables = TradeTables("products.toml", "product")
    place = tables.place_of("hardwax-oil")
    assert place is not None
    assert tables.table(place)["title"] == "Hardwax oil"
    assert tables.table(place) is tables.table(place)
    assert len(parsed) == 1


def test_a_table_goes_by_its_id_before_the_alias_of_another() -> None:
    tables = TradeTables("products.toml", "product")
    for index, table in enumerate(tables):
        assert tables.place_of(table["id"]) == index
        for alias in table.get("aliases", ()):
            assert tables.place_of(alias) == index
