"""Steps, parcels and jobs are added, moved, renamed and removed; the rest of the text stays."""

import tomllib

import pytest

from episodes.files.editing import EditError
from episodes.files.saving import texts_of
from episodes.files.writing import (
    AddLink,
    AddStep,
    AddTable,
    MoveStep,
    Put,
    Remove,
    Rename,
    changed,
    names_in,
    save,
)
from episodes.problems import PlanError
from tests.files.written_season import EPISODE, FILE, STUDIO, TEXTS, ids, lines, of_file, read


@pytest.fixture
def texts() -> dict[str, str]:
    return dict(TEXTS)


# ---------------------------------------------------------------------------- adding


def test_a_step_goes_behind_the_one_named_in_the_form_that_the_job_has(texts):
    step = {"id": "sweep", "hands": "20min"}
    assert of_file(texts, AddStep(job="bench", entries=step, after="glue")) == (
        [],
        ["  [[job.step]]\n", '  id = "sweep"\n', '  hands = "20min"\n', "\n"],
    )
    after = changed(texts, FILE, [AddStep(job="bench", entries=step, after="glue")])[FILE]
    assert "# with two people\n\n  [[job.step]]" in after
    assert '"20min"\n\n  # sets overnight\n' in after
    assert of_file(texts, AddStep(job="paint", entries=step, after="coat-1")) == (
        [],
        ['  { id = "sweep", hands = "20min" },\n'],
    )


@pytest.mark.parametrize(("after", "place"), [("", 0), (None, -1), ("coat-1", 1)])
def test_a_step_can_be_first_last_or_between(texts, after, place):
    step = {"id": "sweep", "hands": "20min"}
    made = changed(texts, FILE, [AddStep(job="paint", entries=step, after=after)])[FILE]
    assert ids(made, 1)[place] == "sweep"
    assert "# white" in made
    assert "# last" in made


def test_an_array_on_one_line_stays_on_it(texts):
    step = {"id": "sweep", "hands": "20min"}
    made = changed(texts, "2027-06-porch.toml", [AddStep(job="deck", entries=step, after="lay")])
    assert (
        '["2027-05-laundry:bench.glue"] }, { id = "sweep", hands = "20min" }, { id = "oil"'
        in (made["2027-06-porch.toml"])
    )


@pytest.mark.parametrize("after", ["", "a", "b", "c", None])
def test_several_steps_on_a_line_of_a_longer_array_stay_so(after):
    text = """\
[[job]]
id = "deck"
step = [
  { id = "a", hands = "2h" }, { id = "b", hands = "1h" },
  # the last
  { id = "c", hands = "1h" }, # oil
]
"""
    texts = {"studio.toml": STUDIO, "2027-06-porch.toml": text}
    new = AddStep(job="deck", entries={"id": "new", "hands": "5min"}, after=after)
    made = changed(texts, "2027-06-porch.toml", [new])["2027-06-porch.toml"]
    expected = ["a", "b", "c"]
    expected.insert({"": 0, "a": 1, "b": 2, "c": 3, None: 3}[after], "new")
    assert ids(made, 0) == expected
    assert made.replace(", { id", ",\n  { id").count("\n  { id") == 4
    for step in ("a", "b", "c"):
        gone = changed(texts, "2027-06-porch.toml", [Remove(kind="step", id=f"deck.{step}")])
        assert ids(gone["2027-06-porch.toml"], 0) == [each for each in "abc" if each != step]
        for behind in ("", "a", "b", "c"):
            if behind != step:
                move = MoveStep(id=f"deck.{step}", job="deck", after=behind)
                moved = changed(texts, "2027-06-porch.toml", [move])["2027-06-porch.toml"]
                order = [each for each in "abc" if each != step]
                order.insert(order.index(behind) + 1 if behind else 0, step)
                assert ids(moved, 0) == order
                assert moved.count("# the last") == moved.count("# oil") == 1


def test_a_step_that_would_take_a_name_over_leaves_the_old_meaning_spelled_out(texts):
    texts[FILE] = texts[FILE].replace('after = ["coat-1"', 'after = ["lumber", "coat-1"')
    step = {"id": "lumber", "hands": "20min"}
    after = changed(texts, FILE, [AddStep(job="paint", entries=step, after="")])
    assert '"2027-05-laundry:lumber", "coat-1"' in after[FILE]
    last = next(s for s in read(after).episode("2027-05-laundry").jobs[1].steps if s.id[-1] == "2")
    assert [each.target.kind for each in last.after or ()] == ["parcel", "step", "step"]


def test_hostile_text_is_stored_so_that_it_reads_back_the_same(texts):
    evil = (
        'a"b\\c\x1b[31m\x9b2J\x00\x7f\u202e\u2028 {x} # no\n[job]\ttab \U0001f469\u200d\U0001f4bb'
    )
    step = {"id": "evil", "title": evil, "hands": "20min", "note": "'''\"\"\""}
    for job in ("bench", "paint"):
        after = changed(texts, FILE, [AddStep(job=job, entries=step, after=None)])[FILE]
        made = next(j for j in tomllib.loads(after)["job"] if j["id"] == job)["step"][-1]
        assert made == step
        assert not set(after) & {"\x1b", "\x9b", "\x00", "\x7f", "\u202e", "\u2028"}
    put = changed(texts, FILE, [Put(kind="step", id="bench.cut", key="title", value=evil)])[FILE]
    assert tomllib.loads(put)["job"][0]["step"][0]["title"] == evil


def test_a_link_with_a_gap_is_added_to_the_list(texts):
    link = {"step": "screws", "gap": "2h"}
    gone, come = of_file(texts, AddLink(kind="step", id="bench.sand", key="also_after", value=link))
    assert (gone, come) == ([], ['  also_after = [{ step = "screws", gap = "2h" }]\n'])


# ---------------------------------------------------------------------------- moving


def test_a_step_moves_with_its_comments_and_nothing_else_changes(texts):
    after = changed(texts, FILE, [MoveStep(id="bench.set", job="bench", after="cut")])[FILE]
    assert ids(after, 0) == ["cut", "set", "glue", "sand"]
    assert '  # sets overnight\n  [[job.step]]\n  id = "set"\n' in after
    assert sorted(after.splitlines()) == sorted(EPISODE.splitlines())
    back = changed(
        {**texts, FILE: after}, FILE, [MoveStep(id="bench.set", job="bench", after="glue")]
    )
    assert back[FILE] == EPISODE


def test_a_step_of_an_inline_array_takes_the_comment_above_it_and_behind_it_along(texts):
    after = changed(texts, FILE, [MoveStep(id="paint.coat-1", job="paint", after="coat-2")])[FILE]
    assert after.endswith(EPISODE[EPISODE.index("[[shot]]") :])
    assert '# last\n  # white\n  { id = "coat-1", hands = "1h" }, # first\n]' in after


def test_into_another_job_names_follow_and_local_ones_are_written_out(texts):
    moved = MoveStep(id="bench.glue", job="paint", after="")
    after = changed(texts, FILE, [moved])
    read(after)
    assert 'of = "paint.glue"' in after[FILE]
    assert 'drop = ["bench.sand", "paint.glue"]' in after[FILE]
    assert '{ step = "glue", gap = "2h" }' in after[FILE]
    assert "2027-05-laundry:paint.glue" in after["2027-06-porch.toml"]
    assert '  # with two people\n  { id = "glue", hands = "1h" },\n' in after[FILE]
    back = changed(texts, FILE, [MoveStep(id="paint.coat-2", job="bench", after=None)])
    made = tomllib.loads(back[FILE])["job"][0]["step"][-1]
    assert made["after"] == ["paint.coat-1", {"step": "bench.glue", "gap": "2h"}]
    assert "# last" in back[FILE]


def test_the_only_step_of_a_job_stays(texts):
    without = changed(texts, FILE, [Remove(kind="step", id="paint.coat-2")])
    with pytest.raises(EditError, match="only step"):
        changed(without, FILE, [MoveStep(id="paint.coat-1", job="bench")])


# ---------------------------------------------------------------------------- renaming


def test_a_new_id_is_written_wherever_the_old_one_stood(texts):
    after = changed(texts, FILE, [Rename(kind="job", id="bench", new="table")])
    read(after)
    assert "bench" not in after[FILE].replace("the bench folds", "")
    assert "2027-05-laundry:table.glue" in after["2027-06-porch.toml"]
    assert lines(texts["studio.toml"], after["studio.toml"]) == ([], [])
    after = changed(texts, FILE, [Rename(kind="parcel", id="screws", new="nails")])
    assert '{ step = "nails", gap = "2h" }' in after[FILE]
    after = changed(texts, FILE, [Rename(kind="step", id="bench.cut", new="saw")])
    assert 'hands = { "bench.saw" = "1h" }' in after[FILE]
    assert 'after = ["bench.saw"]' in after[FILE]


def test_an_id_that_is_borne_is_for_the_reader_to_refuse(texts):
    after = changed(texts, FILE, [Rename(kind="parcel", id="screws", new="lumber")])
    with pytest.raises(PlanError, match="is taken on line"):
        read(after)


def test_all_who_name_a_thing_are_found(texts):
    found = names_in(texts, FILE, "step", "bench.glue")
    assert [(each.id, each.key) for each in found] == [
        ("paint.coat-2", "after"), ("glue-up", "of"), ("quick", "drop"), ("deck.lay", "after"),
    ]  # fmt: skip


def test_line_endings_stay_whatever_is_done(texts):
    texts = {name: text.replace("\n", "\r\n") for name, text in texts.items()}
    for op in (
        AddStep(job="bench", entries={"id": "x", "hands": "1h"}, after="cut"),
        AddStep(job="paint", entries={"id": "x", "hands": "1h"}, after="coat-1"),
        AddTable(kind="parcel", entries={"id": "x", "lead": "1d"}),
        MoveStep(id="bench.set", job="bench", after=""),
        MoveStep(id="bench.set", job="paint"),
        MoveStep(id="paint.coat-1", job="bench"),
        Remove(kind="step", id="bench.glue"),
        Rename(kind="job", id="bench", new="table"),
    ):
        after = changed(texts, FILE, [op])
        read(after)
        assert all("\n" not in text.replace("\r\n", "") for text in after.values()), op


# ---------------------------------------------------------------------------- saving


def test_a_change_of_several_files_is_one_undo(texts, tmp_path):
    from episodes.files.journal import changes, redo, undo

    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    save(tmp_path, FILE, [Rename(kind="step", id="bench.glue", new="join")], "Glue: id", clock=0)
    after = texts_of(tmp_path)
    assert "laundry:bench.join" in after["2027-06-porch.toml"]
    assert [change.said for change in changes(tmp_path)] == ["Glue: id"]
    undo(tmp_path)
    assert texts_of(tmp_path) == texts
    redo(tmp_path)
    assert texts_of(tmp_path) == after


def test_what_somebody_else_changed_meanwhile_elsewhere_stays(texts, tmp_path):
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    by_hand = EPISODE.replace("or three", "or four")
    (tmp_path / FILE).write_text(by_hand, encoding="utf-8")
    save(tmp_path, FILE, [Put(kind="step", id="bench.sand", key="hands", value="2h")], "x", clock=0)
    kept = (tmp_path / FILE).read_text(encoding="utf-8")
    assert kept == by_hand.replace('id = "sand"\n  hands = "1h"', 'id = "sand"\n  hands = "2h"')


def test_a_change_that_cannot_be_read_is_not_written(texts, tmp_path):
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(PlanError, match="is not a length"):
        save(
            tmp_path,
            FILE,
            [Put(kind="step", id="bench.sand", key="hands", value="2x")],
            "x",
            clock=0,
        )
    assert texts_of(tmp_path) == texts
