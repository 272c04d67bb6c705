"""Tables for other programs: comma-separated values that no spreadsheet runs, and Markdown.

CSV is that of RFC 4180: CRLF, a comma between cells, quotes where a cell needs them. Numbers are
numbers with a point, moments `2027-04-15 18:00` by the studio's clock, flags `yes` and `no`. Text
that a spreadsheet would take for a formula (it begins with = + - @, or with the same characters in
full width) gets an apostrophe before it, and so does what only looks like one once the cell is cut
at a semicolon, as programs do whose list separator it is. `bare` takes the apostrophes off again.
"""

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass

from episodes.exports.safe_text import clean

Cell = str | int | float | bool | None

MARK = "\ufeff"
"""Byte order mark: without it some spreadsheets read UTF-8 as something else. Files begin with it,
what goes down a pipe does not."""

_FORMULA = "=+\\-@\uff1d\uff0b\uff0d\uff20\u2212"
_BEGINS = re.compile(rf"(?P<lead>^|;)(?P<rest>[\s\"']*[{_FORMULA}])")
_DEFUSED = re.compile(rf"(?P<lead>^|;)'(?P<rest>[\s\"']*[{_FORMULA}])")
_MARKDOWN = re.compile(r"([\\`*_\[\]|~])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under named columns; every row has a cell for each column."""

    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def defused(text: str) -> str:
    """Cleaned text that no spreadsheet takes for a formula.

    >>> defused("=1+1"), defused("2 x 4"), defused("a; -b"), defused("'=x")
    ("'=1+1", '2 x 4', "a;' -b", "''=x")
    """
    return _BEGINS.sub(r"\g<lead>'\g<rest>", clean(text))


def bare(text: str) -> str:
    """The cleaned text that `defused` was given.

    >>> bare("'=1+1"), bare("'90s lamp")
    ('=1+1', "'90s lamp")
    """
    return _DEFUSED.sub(r"\g<lead>\g<rest>", text)


def to_csv(table: Table) -> str:
    """The table as comma-separated values, without a byte order mark."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(table.columns)
    for row in table.rows:
        writer.writerow([_csv_cell(cell) for cell in row])
    return out.getvalue()


def _csv_cell(cell: Cell) -> str:
    return defused(cell) if isinstance(cell, str) else _plain(cell)


def _plain(cell: bool | int | float | None) -> str:
    """A number as a spreadsheet reads it, a flag in a word, nothing for what is not known."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        cell = round(cell, 6)
        return str(int(cell)) if cell == int(cell) else repr(cell)
    return str(cell)


def to_markdown(table: Table) -> str:
    """The table in Markdown, numbers to the right; nothing in a cell acts as markup."""
    numbers = [
        any(_is_number(row[at]) for row in table.rows)
        and all(row[at] is None or _is_number(row[at]) for row in table.rows)
        for at in range(len(table.columns))
    ]
    lines = [
        _line(escaped(column) for column in table.columns),
        _line("---:" if number else "---" for number in numbers),
    ]
    lines += [
        _line(escaped(cell) if isinstance(cell, str) else _plain(cell) for cell in row)
        for row in table.rows
    ]
    return "\n".join(lines) + "\n"


def _is_number(cell: Cell) -> bool:
    return isinstance(cell, int | float) and not isinstance(cell, bool)


def _line(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


def escaped(text: str) -> str:
    """Cleaned text for Markdown, in which no character means anything but itself."""
    plain = clean(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return _MARKDOWN.sub(r"\\\1", plain)
