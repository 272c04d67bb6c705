"""A little of what `python -m tests.reliability` does at full size."""

import tempfile
from pathlib import Path

import pytest

from tests.reliability import bombs, fuzz, kills, same_bytes, two_programs
from tests.reliability.judged import Judged, run

A_FEW_PLANS = (
    "arrays nested 100,000 deep", "a NUL in the middle", "a line of 7 MB", "5,000 steps in a row",
    "a circle of two steps", "as_of in the missing hour",
)  # fmt: skip
A_FEW_CALENDARS = ("every minute, without end", "no end of the calendar", "escape codes in a title")
SLOWER = 4.0
"""Other tests run beside these: time is judged by the full run, here only hanging is."""


def test_a_program_killed_while_saving_leaves_whole_files() -> None:
    killed = kills.kill(3)
    assert killed.writes > 0
    assert (killed.torn, killed.journal_torn) == (0, 0)
    assert killed.debris <= 1


def test_a_torn_file_would_be_noticed() -> None:
    assert kills.whole(bombs.EPISODE) == 0
    assert kills.whole(f"{bombs.EPISODE}cost = 7\n") == 7
    assert kills.whole(bombs.EPISODE[:-3]) is None
    assert kills.whole(f"{bombs.EPISODE}cost = 7\ncost = 7\n") is None


def test_two_programs_lose_nothing_and_one_of_two_is_told() -> None:
    raced = two_programs.race(4)
    assert (raced.lost, raced.both, raced.neither) == (0, 0, 0)


@pytest.mark.parametrize("name", A_FEW_PLANS)
def test_an_odd_plan_ends_in_a_sentence_or_an_answer(name: str, tmp_path: Path) -> None:
    bombs.write_apart("plan", name, tmp_path / "season")
    judged = run(["check"], tmp_path / "season")
    assert judged.faults(seconds=5 * SLOWER) == []


@pytest.mark.parametrize("name", A_FEW_CALENDARS)
def test_an_odd_calendar_ends_in_a_sentence_or_an_answer(name: str, tmp_path: Path) -> None:
    bombs.write_apart("calendar", name, tmp_path / "season")
    judged = run(["check"], tmp_path / "season")
    assert judged.faults(seconds=2 * SLOWER, megabytes=200) == []
    assert "host.ics" in judged.err or "left out" in judged.out


def test_a_broken_demo_ends_in_faults_or_an_answer() -> None:
    cases = [fuzz.judge(seed) for seed in range(12)]
    assert [case for case in cases if case.faults and "s" not in case.faults[0][-1]] == []
    assert {case.code for case in cases} <= {0, 1, 2, 3}
    assert any(case.code == 2 for case in cases)


def test_breaking_the_demo_really_breaks_it() -> None:
    assert sum(fuzz.broken(seed) != fuzz.DEMO for seed in range(50)) >= 48


def test_the_same_question_has_the_same_bytes_elsewhere() -> None:
    assert same_bytes.differing((("check", "--json"),), few=True) == []


@pytest.mark.parametrize(
    ("judged", "fault"),
    [
        ({"code": 4}, "left with 4"),
        ({"code": None}, "left with None"),
        ({"err": "Traceback (most recent call last)"}, "traceback"),
        ({"out": "\x1b[31m"}, "control characters"),
        ({"code": 2}, "no sentence"),
        ({"seconds": 9.0}, "9.0 s"),
        ({"megabytes": 900.0}, "900 MB"),
    ],
)
def test_each_way_of_going_wrong_is_noticed(judged: dict[str, object], fault: str) -> None:
    usual = {"code": 0, "seconds": 0.1, "megabytes": 40.0, "out": "", "err": ""}
    assert Judged(**{**usual, **judged}).faults() == [fault]  # type: ignore[arg-type]


def test_seasons_are_written_where_they_are_asked_for() -> None:
    with tempfile.TemporaryDirectory() as place:
        bombs.write_apart("calendar", "an interval of 0", Path(place) / "x")
        assert "INTERVAL=0" in (Path(place) / "x" / "host.ics").read_text(encoding="utf-8")
