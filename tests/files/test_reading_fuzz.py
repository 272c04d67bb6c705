"""Whatever a plan file holds, reading it gives a season or faults in words, nothing else.

The demo season is taken apart: values are put in each other's place or replaced by what does not
belong there, lines and letters go missing, come twice, or change places.
"""

import contextlib
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.files.reading import read_season
from episodes.files.toml_spans import Entry, Value, tables_of
from episodes.problems import PlanError

NAMES = ("studio", "2027-04-entry-hall", "2027-05-home-office", "2027-06-porch")
DEMO = {
    name: files("episodes").joinpath("demo", f"{name}.toml").read_text(encoding="utf-8")
    for name in NAMES
}
CLOCK = 30_092_460
JUNK = (
    *("3", "-1", "0", "1.5", "inf", "nan", "true", "1" + "0" * 30, "0x" + "f" * 2_000),
    *('""', '"host"', '"2h"', '"2h..1h"', '"release"', '"release-9999w"', '"mon-fri"', '":"'),
    *('"2027-05-home-office:desk"', '"bench.cut"', '"."', '"\\u0000"', '"\\u001b[31m"', '"é"'),
    *("[]", "[[]]", '[""]', '["host", "host"]', "[1]", "[{}]", '["release"]', "[2027-01-01]"),
    *("{}", "{ x = 1 }", "{ any_of = [] }", '{ step = "a" }', '{ id = "a" }', "{ a = { b = 1 } }"),
    *("2027-03-20", "1990-01-01", "2200-12-31", "0001-01-01", "9999-12-31T23:59:59Z"),
    *("2027-03-14T02:30:00", "2027-03-20T08:00:00.5+14:00", "00:00:00", "23:59:59.9"),
)


def _spans(text: str) -> list[tuple[int, int]]:
    """Where every value of a text stands, the inner ones too."""
    spans: list[tuple[int, int]] = []

    def walk(entries: list[Entry]) -> None:
        for entry in entries:
            spans.append((entry.start, entry.start + len(entry.key[0])))
            look_into(entry.value)

    def look_into(value: Value) -> None:
        spans.append((value.start, value.end))
        for item in value.items or ():
            look_into(item)
        walk(value.entries or [])

    for table in tables_of(text):
        walk(table.entries)
    return spans


SPANS = {name: _spans(text) for name, text in DEMO.items()}


@st.composite
def broken_demos(draw: st.DrawFn) -> dict[str, str]:
    texts = dict(DEMO)
    for name in draw(st.sets(st.sampled_from(NAMES), min_size=1, max_size=2)):
        text = texts[name]
        spans = draw(st.lists(st.sampled_from(SPANS[name]), min_size=1, max_size=4, unique=True))
        end = len(text)
        for start, stop in sorted(spans, reverse=True):
            if stop <= end:
                other = st.sampled_from(SPANS[name]).map(lambda span, t=DEMO[name]: t[slice(*span)])
                text = text[:start] + draw(st.sampled_from(JUNK) | other) + text[stop:]
                end = start
        texts[name] = text
    return texts


@st.composite
def shuffled_demos(draw: st.DrawFn) -> dict[str, str]:
    name = draw(st.sampled_from(NAMES))
    lines = DEMO[name].split("\n")
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, len(lines) - 1))
        to = draw(st.integers(0, len(lines) - 1))
        match draw(st.integers(0, 3)):
            case 0:
                del lines[at]
            case 1:
                lines.insert(to, lines[at])
            case 2:
                lines[at], lines[to] = lines[to], lines[at]
            case 3:
                cut = draw(st.integers(0, len(lines[at])))
                lines[at] = lines[at][:cut] + draw(st.text(max_size=3)) + lines[at][cut + 1 :]
        lines = lines or [""]
    return {**DEMO, name: "\n".join(lines)}


def _reads_or_is_refused(folder: Path, texts: dict[str, str]) -> None:
    overrides = {folder / f"{name}.toml": text for name, text in texts.items()}
    try:
        season = read_season(folder, clock=CLOCK, overrides=overrides)
    except PlanError as error:
        problems = error.problems
        assert any(problem.level == "error" for problem in problems)
    else:
        problems = season.problems
        assert all(problem.level != "error" for problem in problems)
        assert len(season.episodes) == 3
    assert len(set(problems)) == len(problems)
    for problem in problems:
        assert str(problem).isprintable()
        assert len(str(problem)) < 1_500
        if problem.where is not None:
            text = texts[problem.where.file.removesuffix(".toml")]
            assert 0 <= problem.where.line <= text.count("\n") + 1


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("season")


@given(texts=broken_demos())
def test_values_out_of_place_are_faults_in_words(folder: Path, texts: dict[str, str]) -> None:
    _reads_or_is_refused(folder, texts)


@given(texts=shuffled_demos())
def test_lines_out_of_place_are_faults_in_words(folder: Path, texts: dict[str, str]) -> None:
    _reads_or_is_refused(folder, texts)


@given(junk=st.binary(max_size=200))
def test_bytes_of_any_kind_are_faults_in_words(
    tmp_path_factory: pytest.TempPathFactory, junk: bytes
) -> None:
    folder = tmp_path_factory.mktemp("junk")
    (folder / "studio.toml").write_text(DEMO["studio"], encoding="utf-8")
    (folder / "2027-05-junk.toml").write_bytes(junk)
    with contextlib.suppress(PlanError):
        read_season(folder, clock=CLOCK)
