"""Values as they are typed: what is shown reads back as what the file has."""

from datetime import date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.files import writing_names
from episodes.files import writing_words as words
from episodes.files.faults import Faults
from episodes.files.reading_fallbacks import _CHANGES as CHANGES_READ
from episodes.files.schema_episode import FallbackTable
from episodes.files.source import load
from episodes.files.writing_removal import _CHANGES

NAMES = st.from_regex(r"[a-z][a-z0-9.-]{0,8}", fullmatch=True)
LENGTHS = st.sampled_from(["2h", "45min", "1h30", "2d"])


@pytest.mark.parametrize(
    ("form", "text", "value"),
    [
        (words.WHO, "host, builder", ["host", "builder"]),
        (words.WHO, "any_of host, builder", {"any_of": ["host", "builder"]}),
        (words.WHO, "nobody", []),
        (words.COUNTS, "camera", ["camera"]),
        (words.COUNTS, "clamps = 4, camera = 1", {"clamps": 4, "camera": 1}),
        (words.LINKS, "lumber, glue gap 2h", ["lumber", {"step": "glue", "gap": "2h"}]),
        (
            words.LINKS,
            "spray within 1h or_after 24h",
            [{"step": "spray", "within": "1h", "or_after": "24h"}],
        ),
        (words.NUMBER, "12.5", 12.5),
        (words.NUMBER, "-3", -3),
        (words.NUMBER, "lots", "lots"),
        (words.MOMENT, "2027-04-02", date(2027, 4, 2)),
        (words.MOMENT, "2027-04-02 18:30", datetime(2027, 4, 2, 18, 30)),
        (words.MOMENT, "release-14d", "release-14d"),
        (words.MOMENT, "2027-05", "2027-05"),
        (words.FLAG, "true", True),
        (words.FLAG, "perhaps", "perhaps"),
        (
            words.PAIRS,
            "touch = 1h, window = 1h and 24h",
            {"touch": "1h", "window": ["1h", "24h"]},
        ),
        (words.ORDERS, "lumber = 1..2..3 workdays", {"lumber": "1..2..3 workdays"}),
        (
            words.ORDERS,
            "lumber = 2 workdays by post",
            {"lumber": {"lead": "2 workdays", "carrier": "post"}},
        ),
        (
            words.EXTRA,
            "builder 2027-04-25 09:00-17:00",
            [{"person": "builder", "at": "2027-04-25 09:00-17:00"}],
        ),
        (words.AIR, "shed celsius 20 humidity 50", {"shed": {"celsius": 20, "humidity": 50}}),
        (words.WHOS, "bench.cut = host and builder", {"bench.cut": ["host", "builder"]}),
        (words.TEXT, " as it is, = # ", " as it is, = # "),
    ],
)
def test_a_value_and_its_text_stand_for_one_another(form, text, value):
    assert form.value(text) == value
    assert form.text(value) == text


@given(st.lists(st.tuples(NAMES, st.none() | LENGTHS, st.none() | LENGTHS), min_size=1, max_size=4))
def test_every_list_of_links_reads_back(rows):
    value = [
        {"step": name, **({"gap": gap} if gap else {}), **({"within": within} if within else {})}
        if gap or within
        else name
        for name, gap, within in rows
    ]
    assert words.LINKS.value(words.LINKS.text(value)) == value


@given(st.datetimes(min_value=datetime(1990, 1, 1), max_value=datetime(2200, 1, 1)))
def test_every_instant_reads_back(moment):
    assert words.MOMENT.value(words.MOMENT.text(moment)) == moment


@given(st.text(), st.sampled_from([words.WHO, words.COUNTS, words.LINKS, words.MOMENT, words.AIR,
                                   words.PAIRS, words.ORDERS, words.EXTRA, words.WHOS,
                                   words.NUMBER, words.FLAG, words.NAMES]))  # fmt: skip
def test_no_text_is_too_odd_to_be_typed(text, form):
    form.text(form.value(text))


def test_an_odd_value_of_a_file_is_shown_whatever_it_is():
    for value in (True, 3, 2.5, "x", date(2027, 4, 2), time(9), ["a", {"b": [1]}], {"a": {"b": 1}}):
        for form in (words.WHO, words.LINKS, words.PAIRS, words.ORDERS, words.EXTRA, words.AIR):
            assert isinstance(form.text(value), str)


# ------------------------------------------------------------------ what the names' search knows


def test_every_table_of_a_way_out_that_is_keyed_by_names_is_searched_for_them():
    fields = FallbackTable.model_fields.items()
    keyed = {name for name, field in fields if "dict[" in str(field.annotation)}
    assert keyed - {"air", "x"} == set(writing_names._KEYED)
    assert set(_CHANGES) == set(CHANGES_READ)


def test_a_fault_knows_the_key_that_it_stands_at():
    text = '[[job]]\nid = "a"\nstep = [{ id = "b", hands = "1h", gear = ["c"] }]\n'
    source = load.__wrapped__ if hasattr(load, "__wrapped__") else load
    read = source(None, "f.toml", text, Faults())  # type: ignore[arg-type]
    assert read is not None
    places = {
        ("job", 0, "step", 0, "gear", "c"): "gear",
        ("job", 0, "step", 0): "",
        ("job", 0, "after", 0): "after",
        ("title",): "title",
        ("shot", 2, "who"): "who",
    }
    assert {path: read.place(path).key for path in places} == places
