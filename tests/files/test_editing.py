"""One value changes and every other character stays: comments, order, blanks, line endings."""

import tomllib
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from episodes.files.editing import Edit, EditError, edited

EPISODE = """\
title = "Laundry room"   # the June one
room = "laundry"

# boards first
[[parcel]]
id = "lumber"
lead = "5 workdays"   # they said four

# then the work
[[job]]
id = "bench"
title = "Folding bench"

  # cut on a Saturday
  [[job.step]]
  id = "cut"
  hands = "2h"  # or three

  # glue with two people
  [[job.step]]
  id = "glue"
  hands = "40min"
  done = 2027-04-02 # at last

[[parcel]]
id = "screws"
lead = "2 workdays"

[[job]]
id = "paint"
step = [
  { id = "coat-1", hands = "1h" }, # first
  { id = "coat-2", hands = "1h", after = ["coat-1", { step = "bench.cut", gap = "2h" }] },
]
"""

INLINE = """\
parcel = [
  # promised twice already
  { id = "lumber", lead = "5 workdays", promised = 2027-04-12 },
  { id = "screws", lead = "2 workdays" },  # from the drawer?
]
"""

STUDIO = """\
name = "Rooms"
[[person]]
id = "builder"
off = [
  "2027-03-20", # fair
  "2027-03-28"  # birthday
]
[[person]]
id = "host"
off = ["2027-01-01",]
[[person]]
id = "helper"
"""


def lines_changed(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines gone and lines come, as a difference of the two texts."""
    import difflib

    rows = list(difflib.ndiff(before.splitlines(keepends=True), after.splitlines(keepends=True)))
    return [r[2:] for r in rows if r[0] == "-"], [r[2:] for r in rows if r[0] == "+"]


def edit(text: str, kind: Any, id: str, key: str, value: object, *, add: bool = False) -> str:
    return edited(text, [Edit(kind=kind, id=id, key=key, value=value, add=add)], file="f.toml")


def test_a_new_key_stands_behind_the_tables_last_one_and_before_the_next_ones_comment() -> None:
    after = edit(EPISODE, "parcel", "lumber", "arrived", datetime(2027, 4, 11, 17, 0))
    assert lines_changed(EPISODE, after) == ([], ["arrived = 2027-04-11T17:00:00\n"])
    assert 'lead = "5 workdays"   # they said four\narrived = ' in after


def test_a_new_key_of_an_indented_step_is_indented_like_it() -> None:
    after = edit(EPISODE, "step", "bench.cut", "done", date(2027, 4, 3))
    assert lines_changed(EPISODE, after) == ([], ["  done = 2027-04-03\n"])


def test_a_key_of_a_job_stands_before_its_steps() -> None:
    after = edit(EPISODE, "job", "bench", "dropped", date(2027, 4, 3))
    assert '"Folding bench"\ndropped = 2027-04-03\n' in after
    assert tomllib.loads(after)["job"][0]["dropped"] == date(2027, 4, 3)


def test_a_key_that_is_there_is_replaced_and_its_comment_kept() -> None:
    after = edit(EPISODE, "step", "bench.glue", "done", date(2027, 4, 5))
    assert lines_changed(EPISODE, after) == (
        ["  done = 2027-04-02 # at last\n"],
        ["  done = 2027-04-05 # at last\n"],
    )


def test_a_removed_key_takes_its_line_along_but_not_its_comment() -> None:
    after = edit(EPISODE, "step", "bench.glue", "done", None)
    assert lines_changed(EPISODE, after) == (
        ["  done = 2027-04-02 # at last\n"],
        ["  # at last\n"],
    )
    assert edit(EPISODE, "parcel", "screws", "lead", None).count("\n") == EPISODE.count("\n") - 1


def test_removing_a_key_that_is_not_there_changes_nothing() -> None:
    assert edit(EPISODE, "parcel", "screws", "arrived", None) == EPISODE


def test_arrays_of_tables_that_take_turns_stay_where_they_are() -> None:
    after = edit(EPISODE, "parcel", "screws", "ordered", date(2027, 4, 1))
    assert lines_changed(EPISODE, after) == ([], ["ordered = 2027-04-01\n"])
    assert after.index('[[parcel]]\nid = "screws"') < after.index('id = "paint"')


def test_a_step_written_as_an_inline_table_stays_one() -> None:
    after = edit(EPISODE, "step", "paint.coat-1", "done", date(2027, 4, 9))
    assert '  { id = "coat-1", hands = "1h", done = 2027-04-09 }, # first\n' in after
    after = edit(EPISODE, "step", "paint.coat-2", "done", date(2027, 4, 9))
    assert 'gap = "2h" }], done = 2027-04-09 },\n' in after


def test_an_inline_parcel_is_edited_in_its_row() -> None:
    after = edit(INLINE, "parcel", "lumber", "promised", date(2027, 4, 28))
    assert "promised = 2027-04-28 }," in after
    after = edit(INLINE, "parcel", "lumber", "promised", None)
    assert '{ id = "lumber", lead = "5 workdays" },' in after
    after = edit(INLINE, "parcel", "lumber", "id", None)
    assert '{ lead = "5 workdays", promised = 2027-04-12 },' in after


def test_line_endings_stay_as_they_are() -> None:
    text = EPISODE.replace("\n", "\r\n")
    after = edit(text, "parcel", "lumber", "arrived", date(2027, 4, 11))
    assert "\n" not in after.replace("\r\n", "")
    assert lines_changed(text, after) == ([], ["arrived = 2027-04-11\r\n"])
    gone = edit(text, "parcel", "screws", "lead", None)
    assert "\n" not in gone.replace("\r\n", "")


def test_a_file_without_a_last_line_break_can_be_added_to() -> None:
    text = '[[shot]]\nid = "before"\nhands = "20min"'
    assert edit(text, "shot", "before", "taken", date(2027, 4, 2)) == text + "\ntaken = 2027-04-02"


def test_an_episode_key_stands_with_the_other_keys_on_top() -> None:
    after = edit(EPISODE, "episode", "", "budget", 900)
    assert after.startswith(
        'title = "Laundry room"   # the June one\nroom = "laundry"\nbudget = 900\n'
    )
    assert edit('[[shot]]\nid="a"\n', "episode", "", "budget", 900).startswith("budget = 900\n[[")


def test_a_day_off_goes_to_the_end_of_the_list_in_the_lists_own_layout() -> None:
    after = edit(STUDIO, "person", "builder", "off", "2027-04-15", add=True)
    assert '  "2027-03-28",  # birthday\n  "2027-04-15"\n]\n' in after
    after = edit(STUDIO, "person", "host", "off", "2027-04-15", add=True)
    assert 'off = ["2027-01-01", "2027-04-15",]\n' in after
    after = edit(STUDIO, "person", "helper", "off", "2027-04-15", add=True)
    assert 'id = "helper"\noff = ["2027-04-15"]\n' in after


def test_a_list_whose_last_item_has_a_comma_and_a_comment_gets_a_line_of_its_own() -> None:
    text = STUDIO.replace('"2027-03-28"  #', '"2027-03-28",  #')
    after = edit(text, "person", "builder", "off", "2027-04-15", add=True)
    assert '  "2027-03-28",  # birthday\n  "2027-04-15",\n]\n' in after


def test_a_list_without_comments_gets_a_line_of_its_own() -> None:
    text = '[[person]]\nid = "a"\noff = [\n\t"2027-03-28"\n]\n'
    after = edit(text, "person", "a", "off", "2027-04-15", add=True)
    assert after == '[[person]]\nid = "a"\noff = [\n\t"2027-03-28",\n\t"2027-04-15"\n]\n'


@pytest.mark.parametrize(
    ("value", "written"),
    [
        ('a "b"\n\x1b', r'"a \"b\"\n\u001b"'),
        (True, "true"),
        (45.5, "45.5"),
        (datetime(2027, 11, 7, 6, 30, tzinfo=UTC), "2027-11-07T06:30:00+00:00"),
        (("host", "builder"), '["host", "builder"]'),
    ],
)
def test_values_of_every_kind_are_written_as_toml(value: object, written: str) -> None:
    after = edit(EPISODE, "parcel", "lumber", "x", value)
    assert f"\nx = {written}\n" in after.replace("Z\n", "+00:00\n")
    tomllib.loads(after)


def test_what_is_not_there_cannot_be_edited() -> None:
    for kind, id in [("step", "bench.polish"), ("step", "shed.cut"), ("parcel", "glue")]:
        with pytest.raises(EditError, match=rf'f\.toml has no {kind} "{id}"'):
            edit(EPISODE, kind, id, "done", date(2027, 4, 3))


def test_a_key_written_dotted_is_left_to_the_user() -> None:
    text = '[[parcel]]\nid = "a"\nx.y = 1\n'
    with pytest.raises(EditError, match="by hand"):
        edit(text, "parcel", "a", "x", 2)


def test_any_fact_on_any_step_of_the_demo_touches_one_line_of_one_file() -> None:
    files = sorted((Path(__file__).parents[2] / "episodes" / "demo").glob("2*.toml"))
    assert files
    for file in files:
        text = file.read_text(encoding="utf-8")
        data = tomllib.loads(text)
        ids = [("step", f"{j['id']}.{s['id']}") for j in data["job"] for s in j["step"]][::7]
        ids += [("parcel", p["id"]) for p in data["parcel"]][::3]
        for kind, id in ids:
            after = edit(text, kind, id, "x", "fact")
            gone, come = lines_changed(text, after)
            assert (len(gone), len(come)) in {(0, 1), (1, 1)}, id
            assert edit(after, kind, id, "x", None) == text
