"""Tables that open in a spreadsheet with nothing run, and in Markdown with nothing marked up."""

import csv
import io
import re

from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from episodes.exports.cells import Cell, Table, bare, defused, to_csv, to_markdown
from episodes.exports.safe_text import clean

FORMULA = "=+-@\uff1d\uff0b\uff0d\uff20"
nasty = st.text(
    st.one_of(st.sampled_from([*"=+-@;,\"'|\t\r\n \\`*_[]<>&~#", "\ufeff", "\uff1d"]),
              st.characters()),
    max_size=30,
)  # fmt: skip


def read(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


@given(st.lists(nasty, min_size=1, max_size=4))
@example(["=cmd|' /C calc'!A0"])
@example(['a";=1+1'])
@example(["\t=1", "\r=1", "-1+1", "@SUM(A1)"])
def test_any_text_comes_back_as_it_was_cleaned_and_never_as_a_formula(texts: list[str]) -> None:
    table = Table(columns=tuple(f"c{n}" for n in range(len(texts))), rows=(tuple(texts),))
    _, row = read(to_csv(table))
    assert [bare(cell) for cell in row] == [clean(text) for text in texts]
    for cell in row:
        assert not cell.lstrip(" \"'").startswith(tuple(FORMULA)) or cell.startswith("'")


@given(st.lists(nasty, min_size=1, max_size=4))
def test_a_program_that_cuts_cells_at_semicolons_finds_no_formula_either(texts: list[str]) -> None:
    table = Table(columns=tuple(f"c{n}" for n in range(len(texts))), rows=(tuple(texts),))
    _, *lines = to_csv(table).split("\r\n")
    for line in lines:
        for piece in re.split(r"[;\t]", line)[1:]:
            assert not piece.lstrip(' "').startswith(tuple(FORMULA))


@given(nasty)
def test_defusing_is_undone_whatever_the_text(text: str) -> None:
    assert bare(defused(text)) == clean(text)


@given(
    st.one_of(
        st.integers(-(10**12), 10**12),
        st.floats(-1e9, 1e9, allow_nan=False).map(lambda value: round(value, 2)),
    )
)
def test_numbers_stay_numbers_negative_ones_too(value: float) -> None:
    _, (cell,) = read(to_csv(Table(columns=("n",), rows=((value,),))))
    assert float(cell) == value


def test_lines_end_as_rfc_4180_says_and_cells_are_quoted_where_they_must_be() -> None:
    table = Table(columns=("a", "b"), rows=(("x, y", 'say "so"'), (None, True)))
    assert to_csv(table) == 'a,b\r\n"x, y","say ""so"""\r\n,yes\r\n'


cells = st.one_of(st.none(), st.booleans(), st.integers(-999, 999), nasty)


@given(st.lists(st.tuples(cells, cells, cells), min_size=1, max_size=4))
@example([("a|b", "\\|", "`x|y`")])
@settings(max_examples=25)
def test_a_markdown_reader_finds_every_cell_as_plain_text(rows: list[tuple[Cell, ...]]) -> None:
    table = Table(columns=("one", "t_w_o", "three"), rows=tuple(rows))
    tokens = MarkdownIt("commonmark").enable("table").parse(to_markdown(table))
    inlines = [token for token in tokens if token.type == "inline"]
    assert len(inlines) == 3 * (1 + len(rows))
    for token in inlines:
        assert {child.type for child in token.children or ()} <= {"text", "text_special"}
    shown = ["".join(child.content for child in token.children or ()) for token in inlines]
    wanted = [_shown(cell) for row in (table.columns, *table.rows) for cell in row]
    # A reader takes blanks at a cell's ends away.
    assert [text.strip() for text in shown] == [text.strip() for text in wanted]


def _shown(cell: Cell) -> str:
    if isinstance(cell, str):
        return clean(cell)
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return "" if cell is None else str(cell)
