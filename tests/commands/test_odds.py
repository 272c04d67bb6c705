"""`odds`: in words and for programs, the same bytes for the same seed in any process."""

import json
import os
import subprocess
import sys

import pytest

from episodes.exports.text_odds import in_words
from tests.commands.seasons import STUDY, Desk

QUICK = ("--samples", "500")


def test_odds_are_said_in_words_with_the_order_kept(desk: Desk) -> None:
    answer = desk("odds", *QUICK)
    assert answer.code == 0
    assert answer.err == ""
    first, _, second = answer.out.splitlines()[:3]
    assert first == "Read as of Wed 14 Apr 2027 18:00."
    assert second.startswith("Study: ")
    assert " to be out by Fri 7 May 09:00" in second
    assert second.endswith(", this order kept.")
    assert "^ release" in answer.out


def test_odds_leave_with_0_though_the_release_is_missed(desk: Desk) -> None:
    desk.edit('lead = "3 workdays"', 'lead = "30 workdays"')
    answer = desk("odds", *QUICK)
    assert answer.code == 0
    assert "under 1 in 100" in answer.out


def test_json_has_the_names_of_the_plan_format(desk: Desk) -> None:
    record = desk("odds", "--json", *QUICK).json
    episode = record["episodes"][0]
    assert episode["id"] == STUDY
    assert (episode["samples"], episode["seed"]) == (500, 1)
    assert 0 <= episode["on_time"] <= 1
    assert 0 < episode["standard_error"] < 0.03
    assert set(episode["ready"]) == {"p10", "p50", "p80", "p90", "p95"}
    assert episode["criticality"]
    for parcel in episode["parcels"]:
        assert set(parcel["order_by"]) == {"p50", "p80", "p95"}
        assert 0 <= parcel["cap"] <= 1
    assert episode["on_time"] <= episode["ceiling"] <= 1
    assert episode["verdict"] in ("meets", "slips")
    for driver in episode["drivers"]:
        assert set(driver) >= {"episode", "id", "title", "kind", "gain", "likely_min", "arrives"}


def test_samples_and_seed_of_the_command_line_beat_the_files(desk: Desk) -> None:
    record = desk("odds", "--json", "--samples", "400", "--seed", "7").json
    assert (record["episodes"][0]["samples"], record["episodes"][0]["seed"]) == (400, 7)


@pytest.mark.parametrize("words", [("--samples", "5"), ("--samples", "many"), ("--seed", "-1")])
def test_samples_and_seeds_that_are_none_are_refused(desk: Desk, words: tuple[str, str]) -> None:
    answer = desk("odds", *words)
    assert answer.code == 2
    assert words[0] in answer.err


def test_the_same_seed_gives_the_same_bytes_in_another_process(desk: Desk) -> None:
    """Whatever the order of Python's sets and dictionaries of strings."""
    said = set()
    for hash_seed in ("0", "1", "4711"):
        ran = subprocess.run(
            [sys.executable, "-m", "episodes", "odds", "--season", str(desk.folder), "--json",
             *QUICK],
            capture_output=True, text=True, timeout=120, check=True,
            env={**os.environ, "PYTHONHASHSEED": hash_seed},
        )  # fmt: skip
        said.add(ran.stdout)
    assert len(said) == 1
    assert json.loads(said.pop())["episodes"]


def test_another_seed_gives_other_samples(desk: Desk) -> None:
    one, two = (desk("odds", "--json", "--seed", seed, *QUICK).json for seed in ("1", "2"))
    for record in (one, two):
        record["episodes"][0].pop("seed")
    assert one != two


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.934, "93 in 100"), (0.935, "94 in 100"), (0.9949, "99 in 100"),
        (0.995, "over 99 in 100"), (1.0, "over 99 in 100"), (0.005, "1 in 100"),
        (0.004, "under 1 in 100"), (0.0, "under 1 in 100"),
    ],
)  # fmt: skip
def test_a_share_never_reads_as_certain(share: float, words: str) -> None:
    assert in_words(share) == words


def test_orders_with_sure_have_a_moment_for_that_share(desk: Desk) -> None:
    plain = desk("orders", "--json").json["orders"]
    sure = desk("orders", "--sure", "60", "--json").json["orders"]
    assert [{**row, "sure_by": 0, "sure_cap": 0} for row in plain] == [
        {**row, "sure_by": 0, "sure_cap": 0} for row in sure
    ]
    asked = [row for row in sure if row["state"] == "open"]
    assert asked
    for row in asked:
        assert 0 <= row["sure_cap"] <= 1
        assert (row["sure_by"] is None) or row["sure_cap"] >= 0.6
    text = desk("orders", "--sure", "60").out
    assert "60 in 100" in text


@pytest.mark.parametrize("sure", ["0", "100", "most"])
def test_a_share_that_is_none_is_refused(desk: Desk, sure: str) -> None:
    answer = desk("orders", "--sure", sure)
    assert answer.code == 2
    assert "--sure" in answer.err
