"""The commands that write: what stands in the file afterwards, and what is said about it."""

import os
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.commands.seasons import EPISODE, STUDIO, STUDY, Desk


def written(desk: Desk, kind: str, id: str) -> dict[str, Any]:
    """The table of one thing as it stands in the file, without what was there before."""
    job, _, step = id.partition(".")

    def table(text: str) -> dict[str, Any]:
        data = tomllib.loads(text)
        found = next(row for row in data[kind if kind != "step" else "job"] if row["id"] == job)
        if kind == "step":
            found = next(row for row in found["step"] if row["id"] == step)
        return {key: str(value) for key, value in found.items()}

    old = table(EPISODE)
    return {key: value for key, value in table(desk.text).items() if old.get(key) != value}


@pytest.mark.parametrize(
    ("words", "kind", "id", "keys"),
    [
        ("ordered board", "parcel", "board", {"ordered": "2027-04-14 18:00:00"}),
        ("ordered board --at mon", "parcel", "board", {"ordered": "2027-04-12"}),
        ("ordered board --at mon --promised sat --paid 82.5", "parcel", "board",
         {"ordered": "2027-04-12", "promised": "2027-04-17", "paid": "82.5"}),
        ("ordered screws --promised thu", "parcel", "screws", {"promised": "2027-04-15"}),
        ("arrived board --at 17:20 --paid 80", "parcel", "board",
         {"arrived": "2027-04-14 17:20:00", "paid": "80"}),
        ("returned screws --refunded 6.5", "parcel", "screws",
         {"returned": "2027-04-14 18:00:00", "refunded": "6.5"}),
        ("failed screws wrong", "parcel", "screws", {"failed": "wrong"}),
        ("failed board damaged --at 17:00", "parcel", "board",
         {"arrived": "2027-04-14 17:00:00", "failed": "damaged"}),
        ("dropped screws", "parcel", "screws", {"dropped": "2027-04-14"}),
        ("started cut --at 17:30", "step", "shelf.cut", {"started": "2027-04-14 17:30:00"}),
        ("left cut 1h", "step", "shelf.cut", {"left": "1h", "started": "2027-04-14 18:00:00"}),
        ("left cut 90min --at yesterday", "step", "shelf.cut",
         {"left": "1h30", "started": "2027-04-13"}),
        ("done cut", "step", "shelf.cut", {"done": "2027-04-14 18:00:00"}),
        ("done cut --at yesterday --took 2h30", "step", "shelf.cut",
         {"done": "2027-04-13", "took": "2h30"}),
        ("failed hang --at 17:00", "step", "shelf.hang", {"failed": "2027-04-14 17:00:00"}),
        ("dropped shelf.hang --at mon", "step", "shelf.hang", {"dropped": "2027-04-12"}),
        ("dropped shelf", "job", "shelf", {"dropped": "2027-04-14"}),
        ("taken before --at 17:00 --backed-up", "shot", "before",
         {"taken": "2027-04-14 17:00:00", "backed_up": "True"}),
        ("done before --at 17:00", "shot", "before", {"taken": "2027-04-14 17:00:00"}),
        ("dropped reveal", "shot", "reveal", {"dropped": "2027-04-14"}),
    ],
)  # fmt: skip
def test_a_fact_stands_in_the_file_and_nothing_else_changed(
    desk: Desk, words: str, kind: str, id: str, keys: dict[str, str]
) -> None:
    answer = desk(*words.split())
    assert answer.code == 0, answer.err
    assert written(desk, kind, id) == keys
    kept = [line for line in EPISODE.splitlines() if line not in desk.text.splitlines()]
    assert kept == []
    assert len(desk.text.splitlines()) == len(EPISODE.splitlines()) + len(keys)
    assert answer.err == ""


def test_a_fact_says_what_it_means(desk: Desk) -> None:
    desk("arrived", "board", "--at", "mon")
    desk("taken", "before", "--at", "mon", "--backed-up")
    desk("done", "cut", "--at", "16:00")
    answer = desk("done", "glue")
    assert answer.out.splitlines() == [
        "Glue up: done 18:00. Clamps free Thu 15 Apr 06:00; next: Hang it, Thu 15 Apr 18:00.",
        "Study still meets Fri 7 May 09:00 with 21 d 13 h to spare.",
    ]


def test_a_fact_that_breaks_something_says_so_at_once(desk: Desk) -> None:
    answer = desk("done", "cut")
    assert 'error: "Before: from the door" can\'t be taken any more' in answer.out
    assert 'warning: "shelf.cut" is done, but "board"' in answer.out


def test_a_shot_taken_again_needs_a_copy_again(desk: Desk) -> None:
    desk("taken", "before", "--at", "16:00", "--backed-up")
    desk("lost", "before", "--at", "17:00")
    assert written(desk, "shot", "before") == {
        "taken": "2027-04-14 16:00:00", "backed_up": "True", "lost": "2027-04-14",
    }  # fmt: skip
    desk("taken", "before")
    assert written(desk, "shot", "before") == {"taken": "2027-04-14 18:00:00"}
    desk("taken", "before", "--backed-up")
    assert written(desk, "shot", "before") == {
        "taken": "2027-04-14 18:00:00", "backed_up": "True",
    }  # fmt: skip


def test_a_step_that_failed_comes_again_until_it_is_done_again(desk: Desk) -> None:
    def state() -> str:
        steps = desk("check", "--json").json["episodes"][0]["steps"]
        return next(row["state"] for row in steps if row["id"] == "shelf.cut")

    desk("done", "cut", "--at", "16:00")
    assert state() == "done"
    desk("failed", "cut", "--at", "17:00")
    assert state() == "open"
    desk("started", "cut", "--at", "17:30")
    assert state() == "started"
    desk("done", "cut")
    assert state() == "done"
    assert written(desk, "step", "shelf.cut")["failed"] == "2027-04-14 17:00:00"


def test_work_in_the_very_minute_of_the_failure_takes_the_failure_back(desk: Desk) -> None:
    desk("done", "cut", "--at", "16:00")
    desk("failed", "cut")
    desk("done", "cut")
    assert written(desk, "step", "shelf.cut") == {"done": "2027-04-14 18:00:00"}


def test_a_day_off_goes_into_the_studio(desk: Desk) -> None:
    answer = desk("off", "build", "thu..sun")
    assert answer.out.startswith("Builder: off 2027-04-15..2027-04-18.")
    studio = (desk.folder / "studio.toml").read_text(encoding="utf-8")
    assert 'off = ["2027-04-15..2027-04-18"]' in studio
    desk("off", "builder", "2027-04-20 18:00-20:00")
    studio = (desk.folder / "studio.toml").read_text(encoding="utf-8")
    assert 'off = ["2027-04-15..2027-04-18", "2027-04-20 18:00-20:00"]' in studio
    desk("undo")
    desk("undo")
    assert (desk.folder / "studio.toml").read_text(encoding="utf-8") == STUDIO


def test_undo_and_redo_walk_through_what_was_written_byte_for_byte(desk: Desk) -> None:
    texts = [desk.text]
    for words in ("arrived board --at 17:00", "taken before", "left cut 1h"):
        assert desk(*words.split()).code == 0
        texts.append(desk.text)
    for text in reversed(texts[:-1]):
        assert desk("undo").code == 0
        assert desk.text == text
    answer = desk("undo")
    assert (answer.code, answer.err) == (3, "episodes: there is nothing to undo here\n")
    assert desk("redo").out.startswith("Done again: Oak board: arrived Wed 14 Apr 17:00.")
    assert desk.text == texts[1]


def test_undo_says_what_it_took_back_with_its_day(desk: Desk) -> None:
    desk("done", "before")
    assert desk("undo").out.startswith("Undone: Before: from the door: taken Wed 14 Apr 18:00.")


def test_undo_leaves_a_file_alone_that_was_edited_since(desk: Desk) -> None:
    desk("taken", "before")
    desk.edit("budget = 300", "budget = 400")
    text = desk.text
    answer = desk("undo")
    assert answer.code == 3
    assert f"{STUDY}.toml was edited since" in answer.err
    assert desk.text == text


def test_a_fact_in_json_says_what_was_written_and_what_became_of_it(desk: Desk) -> None:
    answer = desk("arrived", "board", "--json").json
    assert answer["said"] == "Oak board: arrived 18:00"
    episode = answer["episodes"][0]
    assert (episode["id"], episode["verdict"]) == (STUDY, "meets")
    assert episode["spare_min"] > episode["spare_before_min"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("done nothing", 'Nothing in this season is called "nothing"'),
        ("done board", '"board" is a parcel; for that there is: ordered, arrived'),
        ("arrived cut", '"shelf.cut" is a step; for that there is: started, left, done'),
        ("taken hang", '"shelf.hang" is a step'),
        ("done release", "Nothing in this season"),
        ("done cut --at 19:00", "later than now (18:00)"),
        ("done cut --at tomorrow", "has not come yet"),
        ("done cut --at never", "is not a moment"),
        ("left cut 2d", "hands-on time"),
        ("left cut lots", "is not a length of time"),
        ("done before --took 1h", "--took is for steps"),
        ("failed screws", "say how it failed: damaged, wrong, short"),
        ("failed cut wrong", "is a step; wrong is for parcels"),
        ("off nobody thu", "there is: host, builder"),
        ("off host whenever", "whenever"),
        ("off host 2027-04-18..2027-04-15", "2027-04-18"),
        ("ordered board --paid -3", "-3"),
    ],
)
def test_what_cannot_be_written_says_why_and_writes_nothing(
    desk: Desk, words: str, said: str
) -> None:
    answer = desk(*words.split())
    assert (answer.code, answer.out) == (2, "")
    assert said in answer.err
    assert desk.text == EPISODE
    assert (desk.folder / "studio.toml").read_text(encoding="utf-8") == STUDIO


def test_a_fact_that_would_make_the_season_unreadable_is_refused_with_the_fault(
    desk: Desk,
) -> None:
    # A parcel without a lead lives from its promise; a failed one would have to be ordered again.
    desk.edit('lead = "2 workdays"\n', "")
    text = desk.text
    answer = desk("failed", "screws", "wrong")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.splitlines()[0] == (
        "episodes: nothing was written; with this the season could not be read:"
    )
    assert "has no `lead`" in answer.err
    assert desk.text == text
    assert desk("undo").code == 3


def test_a_season_that_cannot_be_read_is_not_written_to(desk: Desk) -> None:
    desk.edit('room = "study"', 'room = "studdy"')
    text = desk.text
    answer = desk("done", "cut")
    assert answer.code == 2
    assert "studdy" in answer.err
    assert desk.text == text


def test_a_folder_that_cannot_be_written_is_one_line_and_exit_3(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device", str(desk.file))

    monkeypatch.setattr("episodes.files.editing.save", full)
    answer = desk("done", "before")
    assert answer.code == 3
    assert answer.err.startswith(f"episodes: {desk.file.name} could not be written (No space left")
    assert answer.err.count("\n") == 1
    assert desk.text == EPISODE


def test_two_programs_that_write_at_once_lose_nothing(desk: Desk) -> None:
    root = str(Path(__file__).parents[2])
    running = [
        subprocess.Popen(
            [sys.executable, "-m", "episodes", *words, "--season", str(desk.folder)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": root},
        )
        for words in (("taken", "before"), ("arrived", "board"), ("off", "host", "thu"))
    ]
    for process in running:
        _, err = process.communicate(timeout=60)
        assert (process.returncode, err) == (0, b"")
    assert set(written(desk, "shot", "before")) == {"taken"}
    assert set(written(desk, "parcel", "board")) == {"arrived"}
    for _ in running:
        assert desk("undo").code == 0
    assert desk.text == EPISODE
    assert (desk.folder / "studio.toml").read_text(encoding="utf-8") == STUDIO
