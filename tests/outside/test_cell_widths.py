"""Widths of cleaned text against the table that the terminal library measures with (rich.cells)."""

import sys
import unicodedata

import pytest
from rich.cells import cell_len

from episodes.exports.safe_text import cells, clean


@pytest.mark.slow
def test_every_character_that_is_let_through_is_as_wide_as_the_terminal_library_draws_it() -> None:
    wrong: list[str] = []
    seen = 0
    for point in range(0x20, sys.maxunicode + 1):
        character = chr(point)
        if unicodedata.category(character) in {"Cn", "Co", "Cs", "Cc", "Cf"}:
            continue
        shown = clean("x" + character)
        seen += 1
        if cells(shown) != cell_len(shown):
            wrong.append(f"U+{point:04X} {cells(shown)} {cell_len(shown)}")
    assert seen > 130_000
    assert wrong == []
