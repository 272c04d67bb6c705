"""`go` keeps a plan; `drift` says how far the room has moved since, and why."""

import json
from pathlib import Path

import pytest

from episodes.exports.text_drift import in_parts
from tests.commands.seasons import EPISODE, STUDIO, STUDY, Desk


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    (tmp_path / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (tmp_path / f"{STUDY}.toml").write_text(EPISODE, encoding="utf-8")
    return Desk(tmp_path, capsys)


def test_right_after_go_nothing_has_drifted(desk: Desk) -> None:
    assert "is kept as it stands" in desk("go").out
    room = desk("drift", "--json").json["rooms"][0]
    assert room["drift_min"] == 0
    assert room["causes"] == []
    assert "None of the spare time gone, none of the work done" in desk("drift").out


def test_go_changes_no_plan_file(desk: Desk) -> None:
    desk("go")
    assert desk.text == EPISODE


def test_a_late_parcel_is_named_and_the_causes_add_up(desk: Desk) -> None:
    desk("go")
    desk("ordered", "board", "--promised", "2027-04-26")
    room = desk("drift", "--json").json["rooms"][0]
    assert room["drift_min"] > 0
    assert room["causes"][0]["id"] == "board"
    assert room["causes"][0]["kind"] == "comes"
    assert sum(cause["minutes"] for cause in room["causes"]) == room["drift_min"]
    assert "Oak board: comes" in desk("drift").out


def test_a_step_that_takes_longer_and_one_that_was_added_are_told_apart(desk: Desk) -> None:
    desk("go")
    desk.edit('hands = "1h..2h..3h"', 'hands = "20h"')
    desk.edit(
        '  [[job.step]]\n  id = "hang"',
        '  [[job.step]]\n  id = "oil"\n  hands = "9h"\n  [[job.step]]\n  id = "hang"',
    )
    room = desk("drift", "--json").json["rooms"][0]
    kinds = {cause["id"]: cause["kind"] for cause in room["causes"]}
    assert kinds["shelf.cut"] == "longer"
    assert kinds["shelf.oil"] == "added"
    assert room["added"] == ["shelf.oil"]
    assert sum(cause["minutes"] for cause in room["causes"]) == room["drift_min"]


def test_the_work_done_is_counted_in_the_lengths_of_go(desk: Desk) -> None:
    desk("go")
    desk("arrived", "board")
    desk("taken", "before")
    desk("done", "cut", "--took", "5h")
    room = desk("drift", "--json").json["rooms"][0]
    # Cut 2 h, glue 1 h, hang 1 h, two shots of 20 and 30 minutes.
    assert (room["work_min"], room["work_done_min"]) == (290, 140)


def test_go_is_said_once_unless_again(desk: Desk) -> None:
    desk("go")
    desk("ordered", "board", "--promised", "2027-04-26")
    refused = desk("go")
    assert refused.code == 2
    assert "--again" in refused.err
    assert desk("go", "--again").code == 0
    assert desk("drift", "--json").json["rooms"][0]["drift_min"] == 0


def test_without_go_drift_says_how_to_begin(desk: Desk) -> None:
    answer = desk("drift")
    assert answer.code == 2
    assert "episodes go" in answer.err


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"format": 1}', '{"format": 2, "rows": []}'])
def test_a_record_that_is_none_names_its_file(desk: Desk, text: str) -> None:
    desk("go")
    (desk.folder / ".episodes" / "go" / f"{STUDY}.json").write_text(text, encoding="utf-8")
    answer = desk("drift")
    assert answer.code == 3
    assert f".episodes/go/{STUDY}.json" in answer.err
    assert "Traceback" not in answer.err


def test_a_kept_plan_is_plain_json(desk: Desk) -> None:
    desk("go")
    kept = json.loads(
        (desk.folder / ".episodes" / "go" / f"{STUDY}.json").read_text(encoding="utf-8")
    )
    assert kept["episode"] == STUDY
    assert {row["id"] for row in kept["rows"]} >= {"board", "shelf.cut", "reveal"}


@pytest.mark.parametrize(
    ("share", "word"),
    [(0.0, "none"), (0.1, "a tenth"), (0.25, "a quarter"), (1 / 3, "a third"), (0.5, "half"),
     (2 / 3, "two thirds"), (0.75, "three quarters"), (0.9, "nearly all"), (1.0, "all")],
)  # fmt: skip
def test_shares_are_said_in_words(share: float, word: str) -> None:
    assert in_parts(share) == word
