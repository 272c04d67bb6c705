"""Rules of the cleaning of text that somebody else may have written."""

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.exports.safe_text import ELLIPSIS, REPLACEMENT, cells, clean, cut

EVERYTHING = st.text(
    st.one_of(
        st.characters(),
        st.characters(exclude_categories=[], max_codepoint=0x10FFFF),
        st.sampled_from("\x00\x07\x1b\x7f\x85\x9b\xad\r\n\t ̣̀̈각각​‍‮️👍🏽🇩🇪𝌀"),
    )
)


@pytest.mark.parametrize(
    ("hostile", "shown"),
    [
        ("\x1b]0;pwned\x07", "␛]0;pwned␇"),
        ("\x1b[31mred\x1b[0m", "␛[31mred␛[0m"),
        ("\x9b31mred", f"{REPLACEMENT}31mred"),
        ("so\x0esi\x0f", "so␎si␏"),
        ("nul\x00", "nul␀"),
        ("rub\x7fout", "rub␡out"),
        ("next\x85line", "next line"),
    ],
)
def test_a_control_character_is_shown_and_never_passed_on(hostile: str, shown: str) -> None:
    assert clean(hostile) == shown


ZERO_WIDTH = ("\u200b", "\u200c", "\u200d", "\u2060", "\ufeff", "\u034f", "\u180e", "\u3164")
DIRECTIONS = ("\u200e", "\u202e", "\u2066", "\u2069", "\u061c")
VARIANTS_AND_TAGS = ("\u00ad", "\ufe0f", "\U000e0041", "\U000e0100")


@pytest.mark.parametrize("hidden", ZERO_WIDTH + DIRECTIONS + VARIANTS_AND_TAGS)
def test_what_cannot_be_seen_is_left_out(hidden: str) -> None:
    assert clean(f"a{hidden}b") == "ab"


@pytest.mark.parametrize("bad", ["\ue000", "\U000f0000", "\u0378", "\uffff"])
def test_private_and_unassigned_characters_become_the_replacement(bad: str) -> None:
    assert clean(f"a{bad}b") == f"a{REPLACEMENT}b"


def test_half_of_a_surrogate_pair_becomes_the_replacement() -> None:
    assert clean("a" + chr(0xD800) + chr(0xDFFF) + "b") == f"a{REPLACEMENT * 2}b"


@pytest.mark.parametrize(
    "blank",
    ["\t", "\n", "\r", "\r\n", "\v", "\f", "\u00a0", "\u2003", "\u3000", "\u2028", "\u2029"],
)
def test_a_blank_or_a_line_break_of_any_kind_becomes_one_space(blank: str) -> None:
    assert clean(f"a{blank}b") == "a b"


@pytest.mark.parametrize("line_break", ["\n", "\r", "\r\n", "\x85", "\u2028", "\u2029"])
def test_a_line_break_stays_one_where_lines_are_asked_for(line_break: str) -> None:
    assert clean(f"a\t{line_break}b", lines=True) == "a \nb"


def test_a_letter_keeps_two_marks_and_a_mark_without_a_letter_goes() -> None:
    assert clean("e" + "\u0301" * 40 + "x") == "e\u0301\u0301x"
    assert clean("\u0301\u0302title") == "title"
    assert clean("a\n\u0301b", lines=True) == "a\nb"


def test_letters_of_every_script_stay_as_they_are() -> None:
    for title in ("Küche", "木の机", "שולחן עץ", "طاولة", "मेज़", "โต๊ะ", "책상", "📦 boards"):
        assert clean(title) == title


def test_a_family_falls_apart_into_people_and_a_skin_tone_goes() -> None:
    assert clean("👨‍👩‍👧") == "👨👩👧"
    assert clean("👍🏽") == "👍"


def test_a_syllable_written_in_letters_becomes_the_syllable() -> None:
    assert clean("\u1112\u1161\u11ab") == "한"
    assert clean("\u1112\u200d\u1161") == "하"


def test_text_is_cut_by_cells_and_not_by_characters() -> None:
    assert clean("木の机と椅子", limit=7) == "木の机…"
    assert clean("木の机", limit=6) == "木の机"
    assert clean("木の机", limit=5) == "木の…"
    assert clean("bench", limit=5) == "bench"
    assert clean("benches", limit=5) == "benc…"
    assert clean("bench", limit=1) == ELLIPSIS
    assert clean("bench", limit=0) == ""


def test_a_cut_does_not_part_a_letter_from_its_mark() -> None:
    assert cut("re\u0301sume\u0301", 3) == "re\u0301…"


def test_half_a_million_characters_are_no_trouble() -> None:
    assert len(clean("\x1b\u202e" * 250_000)) == 250_000
    assert clean("木" * 500_000, limit=9) == "木木木木…"
    assert clean("\u200b" * 500_000 + "end", limit=9) == "end"


@given(EVERYTHING, st.integers(0, 30))
def test_a_limit_is_a_cut_of_the_whole(text: str, limit: int) -> None:
    assert clean(text, limit) == cut(clean(text), limit)


@given(EVERYTHING, st.booleans())
def test_nothing_that_acts_survives(text: str, lines: bool) -> None:
    shown = clean(text, lines=lines)
    for character in shown.replace("\n", "") if lines else shown:
        category = unicodedata.category(character)
        assert category not in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
        assert category != "Zs" or character == " "
    shown.encode()
    assert not re.search(r"[\u200b-\u200f\u202a-\u202e\u2066-\u2069\ufe00-\ufe0f]", shown)


@given(EVERYTHING, st.booleans(), st.none() | st.integers(0, 30))
def test_cleaning_twice_is_cleaning_once(text: str, lines: bool, limit: int | None) -> None:
    shown = clean(text, limit, lines)
    assert clean(shown, limit, lines) == shown


@given(EVERYTHING, st.integers(0, 30))
def test_the_result_never_takes_more_cells_than_allowed(text: str, limit: int) -> None:
    assert cells(clean(text, limit)) <= limit


@given(EVERYTHING)
def test_no_letter_carries_more_than_two_marks(text: str) -> None:
    run = 0
    for character in clean(text):
        run = run + 1 if unicodedata.category(character).startswith("M") else 0
        assert run <= 2
