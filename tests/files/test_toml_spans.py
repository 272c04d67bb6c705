"""Where things stand in a TOML text: what is found there reads as the parser reads the whole."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.files.toml_spans import Value, find, tables_of

TRICKY = r'''
a.b . "c.d" = 1 # dotted, with a dot in quotes
"quoted key" = 'lit # no comment'
'#' = "sign"
empty = {}
none = []
multi = """
one ] } , # not a comment \" still
"quoted" """
raw = """"inside quotes""""
literal = QQQ
C:\dir\ # still text QQQ
many = [ # comment ]
  "a", # one, two
  { x = 1, y = [1, [2, 3]] },
  1979-05-27 07:32:00, # a date with a blank
]
[table]
when = 07:32:00
[table.sub."dotted.name"]
n = 1_000
[[list]]
v = inf
[list.inner]
deep = true
[[list.items]]
k = "first"
[[other]]
v = 1
[[list]]
v = 0x0f0
'''.replace("QQQ", "'" * 3)


def every_value(
    data: Any, path: tuple[str | int, ...] = ()
) -> list[tuple[tuple[str | int, ...], Any]]:
    """(path, value) of all that is neither table nor array."""
    if isinstance(data, dict):
        return [pair for key, value in data.items() for pair in every_value(value, (*path, key))]
    if isinstance(data, list):
        return [pair for at, value in enumerate(data) for pair in every_value(value, (*path, at))]
    return [(path, data)]


def assert_found_as_read(text: str) -> None:
    tables = tables_of(text)
    values = every_value(tomllib.loads(text, parse_float=str))
    assert values
    for path, value in values:
        place = find(tables, path)
        assert isinstance(place, Value), path
        alone = tomllib.loads(f"x = {text[place.start : place.end]}", parse_float=str)["x"]
        assert alone == value, path


@pytest.mark.parametrize("text", [TRICKY, TRICKY.replace("\n", "\r\n")], ids=["LF", "CRLF"])
def test_every_value_is_found_where_it_stands(text: str) -> None:
    assert_found_as_read(text)


def test_every_value_of_the_demo_season_is_found_where_it_stands() -> None:
    files = sorted((Path(__file__).parents[2] / "episodes" / "demo").rglob("*.toml"))
    assert files
    for file in files:
        assert_found_as_read(file.read_text(encoding="utf-8"))


@given(
    st.dictionaries(
        st.text(min_size=1, max_size=8),
        st.one_of(st.text(max_size=20), st.integers(-9, 9), st.booleans(), st.dates(), st.times()),
        min_size=1,
        max_size=6,
    )
)
def test_whatever_the_document_library_writes_is_found(values: dict[str, Any]) -> None:
    import tomlkit

    assert_found_as_read(tomlkit.dumps({"list": [values, values], "table": values}))


def test_what_is_not_there_is_not_found() -> None:
    tables = tables_of(TRICKY)
    assert find(tables, ("list", 7)) is None
    assert find(tables, ("many", 9, "x")) is None
    assert find(tables, ("table", "nothing")) is None


def test_a_text_that_is_not_toml_is_refused() -> None:
    with pytest.raises(ValueError, match="="):
        tables_of("just words")
