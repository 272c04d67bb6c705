"""A line being edited: the cursor stands on letters, what is drawn is never what it must not be."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from episodes.exports.safe_text import clean
from episodes.screens.forms.editor import LONGEST, Editor
from episodes.screens.forms.fields import Field, Offer, Typed

KEYS = ["left", "right", "home", "end", "ctrl+left", "ctrl+right", "backspace", "delete",
        "ctrl+w", "ctrl+u", "ctrl+k"]  # fmt: skip


def after(text: str, *keys: str) -> tuple[str, int]:
    editor = Editor(text)
    for key in keys:
        assert editor.press(key)
    return editor.text, editor.at


@pytest.mark.parametrize(
    ("keys", "text", "at"),
    [
        (("backspace",), "Glue u", 6),
        (("left", "left", "backspace"), "Glueup", 4),
        (("ctrl+w",), "Glue ", 5),
        (("home", "delete"), "lue up", 0),
        (("home", "ctrl+right"), "Glue up", 4),
        (("ctrl+left", "ctrl+k"), "Glue ", 5),
        (("ctrl+u",), "", 0),
        (("home", "left", "backspace"), "Glue up", 0),
    ],
)
def test_keys_do_what_they_do_in_every_line(keys, text, at):
    assert after("Glue up", *keys) == (text, at)


def test_a_mark_goes_with_its_letter():
    assert after("cafe\u0301", "backspace") == ("caf", 3)


@given(st.text(max_size=40), st.lists(st.sampled_from(KEYS), max_size=8), st.integers(3, 30))
def test_what_is_seen_fits_holds_the_cursor_and_could_do_nothing(text, keys, width):
    editor = Editor(text)
    assert editor.text == text
    for key in keys:
        editor.press(key)
    before, under, behind = editor.seen(width)
    assert under
    assert sum(map(cell_len, (before, under, behind))) <= max(width, 2)
    seen = before + under + behind
    assert all(clean(char) == char or not clean(char) for char in seen if char != "␊")
    assert not any(ord(char) < 32 or 0x7F <= ord(char) < 0xA0 for char in seen)


def test_more_than_a_field_takes_is_not_put_in():
    editor = Editor("x")
    assert not editor.insert("y" * LONGEST)
    assert editor.text == "x"


def test_completing_goes_on_to_the_next_offer_and_stands_once_something_is_typed():
    offers = [Offer("clamps"), Offer("clasp"), Offer("camera")]
    typed = Typed(Field(key="gear", offers=lambda: offers, many=True), None)
    typed.editor.set("camera, cla")
    assert [each.word for each in typed.offered] == ["clamps", "clasp"]
    assert typed.complete()
    assert typed.text == "camera, clamps"
    assert typed.complete()
    assert typed.text == "camera, clasp"
    typed.settle()
    assert not typed.offered
    assert not typed.complete()


def test_a_field_that_was_not_touched_keeps_the_files_own_value():
    from episodes.files.writing_words import TEXT

    typed = Typed(Field(key="note", form=TEXT), "two\nlines")
    assert (typed.value, typed.changed, typed.text) == ("two\nlines", False, "two\nlines")
    typed.editor.set("one")
    assert typed.changed
    typed.put_back()
    assert not typed.changed
