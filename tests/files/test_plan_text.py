"""Tables written as text read back as what was meant, whatever the words in them are."""

import tomllib
from datetime import date, time
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from episodes.files.plan_text import (
    WIDTH,
    Bare,
    Block,
    array_text,
    block_text,
    comment_words,
    section,
    written,
)

# No lone surrogates: a file could not hold them as UTF-8.
words = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
values: st.SearchStrategy[Any] = st.recursive(
    st.one_of(words, st.booleans(), st.integers(-(2**60), 2**60), st.dates(), st.times().map(
        lambda value: value.replace(microsecond=0)
    )),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(words, inner, max_size=4)
    ),
    max_leaves=8,
)  # fmt: skip


@given(values)
def test_a_written_value_reads_back(value: Any) -> None:
    assert tomllib.loads(f"x = {written(value)}\n")["x"] == value


@given(st.dictionaries(words, values, min_size=1, max_size=5), st.lists(words, max_size=3))
def test_a_block_reads_back_whatever_its_comments_say(
    entries: dict[str, Any], comments: list[str]
) -> None:
    block = Block(kind="job", entries=entries, comments=tuple(comments))
    assert tomllib.loads(block_text(block)) == {"job": [entries]}
    assert tomllib.loads(array_text("job", [block, block])) == {"job": [entries, entries]}


def test_a_list_of_tables_is_written_an_item_a_line() -> None:
    block = Block(kind="job", entries={"id": "a", "step": [{"id": "b"}, {"id": "c"}]})
    assert block_text(block).splitlines() == [
        "[[job]]", 'id = "a"', "step = [", '  { id = "b" },', '  { id = "c" },', "]",
    ]  # fmt: skip


def test_dates_times_and_bare_values_stand_without_quotes() -> None:
    assert written(date(2027, 5, 7)) == "2027-05-07"
    assert written(time(9)) == "09:00:00"
    assert written(Bare("09:00:00")) == "09:00:00"


@given(words)
def test_a_comment_stays_a_comment(text: str) -> None:
    assert tomllib.loads(f"# {comment_words(text)}\nx = 1\n") == {"x": 1}


def test_a_section_is_as_wide_as_the_page() -> None:
    line = section("what must come")
    assert line.startswith("# ---")
    assert len(line.rstrip("\n")) <= WIDTH
