"""A data file of the trade, of which only the tables that are asked for are parsed.

The files hold many tables of one kind (`[[product]]`, `[[caution]]`); a plan needs a few of them,
and reading TOML takes longer than all else that is done with them. So the text is cut at the
headings and searched for the ids; only a table that is wanted goes through the TOML reader. The
files are package data, written with the program and held to their form by a test.
"""

import re
from collections.abc import Iterator
from functools import cache
from pkgutil import get_data
from tomllib import loads
from typing import Any

_STRING = re.compile(r'"([^"]*)"')


class TradeTables:
    """The tables of one kind in one file of `episodes/trade/`, by id or by another word in them."""

    def __init__(self, file: str, kind: str) -> None:
        """Read the file and cut it.

        Args:
            file: its name in `episodes/trade/`.
            kind: the heading, without brackets, of the tables that are wanted.
        """
        data = get_data("episodes.trade", file)
        assert data is not None, f"{file} is part of the package"
        heading = f"[[{kind}]]"
        _, *blocks = data.decode("utf-8").split(f"\n{heading}\n")
        # What follows the last of them under a heading of its own is not part of it.
        self._blocks = [block.partition("\n[")[0] for block in blocks]
        self._by: dict[str, dict[str, list[int]]] = {}
        self._parsed: dict[int, dict[str, Any]] = {}

    def __len__(self) -> int:
        return len(self._blocks)

    def __iter__(self) -> Iterator[dict[str, Any]]:
        """Every table, in the order of the file."""
        return map(self.table, range(len(self)))

    def table(self, index: int) -> dict[str, Any]:
        """The table at this place in the file, counted from 0."""
        if index not in self._parsed:
            self._parsed[index] = loads(self._blocks[index])
        return self._parsed[index]

    def where(self, key: str, word: str) -> list[int]:
        """Places of the tables whose `key` is this word, or a list that has it."""
        if key not in self._by:
            line = re.compile(rf"^{key} = (.*)$", re.MULTILINE)
            found: dict[str, list[int]] = {}
            for index, block in enumerate(self._blocks):
                match = line.search(block)
                for each in _STRING.findall(match[1]) if match else ():
                    found.setdefault(each, []).append(index)
            self._by[key] = found
        return self._by[key].get(word, [])

    def place_of(self, name: str) -> int | None:
        """Place of the table that has this id, or goes by this name as well."""
        found = self.where("id", name) or self.where("aliases", name)
        return found[0] if found else None


@cache
def trade_tables(file: str, kind: str) -> TradeTables:
    """The tables, read once."""
    return TradeTables(file, kind)
