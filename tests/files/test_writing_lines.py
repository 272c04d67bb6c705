"""Lines as steps: what a person writes down becomes what the file says, and nothing is lost."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from episodes.amounts import parse_estimate
from episodes.files.plan_text import written
from episodes.files.writing_lines import Known, free_id, length_of, step_of, steps_of

KNOWN = Known(
    people={"builder": "Builder", "host": "Host"},
    spaces={"workshop": "Garage workshop"},
    gear={"clamps": "Bar clamps"},
)


@pytest.mark.parametrize(
    ("line", "entries"),
    [
        ("Cut parts  2h..3h..6h", {"hands": "2h..3h..6h"}),
        ("Cut parts\t2h\tbuilder", {"hands": "2h", "who": ["builder"]}),
        ("- [ ] Cut parts 30-45 min", {"hands": "30min..45min"}),
        ("1. Cut parts (1 h 30)", {"hands": "1h30"}),
        ("* Cut parts: 45min", {"hands": "45min"}),
        ("Cut parts, ~2h to 3h30", {"hands": "2h..3h30"}),
        ("Cut parts; 1.5 h; Builder and host", {"hands": "1h30", "who": ["builder", "host"]}),
        ("Cut parts, wait 2d", {"wait": "2d"}),
        ("Cut parts, 20 minutes, @Garage workshop", {"hands": "20min", "where": "workshop"}),
        ("Cut parts, 1h, with clamps", {"hands": "1h", "gear": ["clamps"]}),
        ("Cut parts, 1h, after lumber", {"hands": "1h", "after": ["lumber"]}),
        (
            "Cut parts, 1h, after glue gap 2h",
            {"hands": "1h", "after": [{"step": "glue", "gap": "2h"}]},
        ),
        ("Cut parts, 1h, coat danish-oil", {"hands": "1h", "coat": "danish-oil"}),
    ],
)
def test_a_line_is_read_as_it_is_meant(line, entries):
    step = step_of(line, KNOWN)
    assert step is not None
    assert step.entries == {"id": "cut-parts", "title": "Cut parts", **entries}
    assert not step.guessed
    assert not step.unread


@pytest.mark.parametrize("title", ["Coat 2", "Buy 3 m of trim", "Call at 10", "Fit rail 3m"])
def test_numbers_of_a_title_are_no_length(title):
    step = step_of(title, KNOWN)
    assert step is not None
    assert step.entries["title"] == title
    assert step.guessed
    assert parse_estimate(step.entries["hands"]).likely == 60


def test_a_dash_before_a_length_parts_it_from_a_number_in_the_title():
    step = step_of("Coat 2 - 30min", KNOWN)
    assert step is not None
    assert step.entries == {"id": "coat-2", "title": "Coat 2", "hands": "30min"}


def test_what_is_not_understood_is_kept_as_the_note_and_told():
    step = step_of("Ring the shop, maybe Tuesday, 10min, ask for oak", KNOWN)
    assert step is not None
    assert step.unread == ["maybe Tuesday", "ask for oak"]
    assert step.entries["note"] == "maybe Tuesday, ask for oak"


def test_lines_without_a_word_are_no_steps_and_ids_are_numbered():
    steps = steps_of("Cut\n\n---\n   \nCut\n* [x]\n", KNOWN, taken=["cut"])
    assert [step.id for step in steps] == ["cut-2", "cut-3"]


@pytest.mark.parametrize("text", ["2x", "", "h", "2h..1h", "1.5d", "3m", "2 days 4", "-"])
def test_what_is_no_length_is_none(text):
    assert length_of(text) is None


def test_an_id_is_one_whatever_the_title():
    assert free_id("Ölen & Wachsen!", ()) == "olen-wachsen"
    assert free_id("…", ()) == "step"
    assert len(free_id("very " * 40, ())) <= 32


@given(st.text(max_size=60))
@settings(max_examples=150, deadline=None)
def test_any_line_gives_a_step_that_can_be_written_and_read_back(text):
    for step in steps_of(text, KNOWN):
        read = tomllib.loads(f"x = {written(step.entries)}")["x"]
        assert read == step.entries
        assert ("hands" in read) != ("wait" in read)


def test_a_line_of_blanks_or_commas_without_end_takes_no_time():
    for text in (" " * 20_000 + "x", "," * 20_000, "a " * 10_000, "1" * 20_000, "2h.." * 5_000):
        steps_of(text, KNOWN)
