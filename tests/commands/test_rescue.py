"""`rescue`: ways out in words and for programs; what the program offers of itself stands apart."""

import pytest

from tests.commands.seasons import STUDY, Desk

TOO_LATE = ('lead = "3 workdays"', 'lead = "30 workdays"')
FALLBACK = """
[[fallback]]
id = "{id}"
title = "{title}"
cost = {cost}
{change}
"""
YARD = FALLBACK.format(
    id="yard", title="Buy it at the yard", cost=45, change='parcel = { board = "2 workdays" }'
)
USELESS = FALLBACK.format(
    id="quick-cut", title="Cut quicker", cost=0, change='hands = { "shelf.cut" = "30min" }'
)
KEYS = {
    "fallbacks", "cost", "loses", "ready_by", "spare_min", "decide_by", "titles", "own", "on_time",
    "decide_exact", "delays", "cautions", "changes",
}  # fmt: skip


@pytest.fixture
def late(desk: Desk) -> Desk:
    """The season with a board that takes six weeks."""
    desk.edit(*TOO_LATE)
    return desk


def add(desk: Desk, text: str) -> None:
    place = desk.folder / f"{STUDY}.toml"
    place.write_text(place.read_text(encoding="utf-8") + text, encoding="utf-8")


def test_a_room_that_meets_needs_no_way_out_and_leaves_with_0(desk: Desk) -> None:
    answer = desk("rescue", "--no-odds")
    assert answer.code == 0
    assert "Nothing to save: the release is met." in answer.out
    assert desk("rescue", "--json", "--no-odds").json == {
        "episode": STUDY,
        "verdict": "meets",
        "proved": True,
        "ways": [],
        "suggestions": [],
        "stopped_early": False,
    }


def test_a_way_of_the_host_s_has_its_price_and_its_last_moment(late: Desk) -> None:
    add(late, USELESS + YARD)
    record = late("rescue", "--json", "--no-odds").json
    assert record["verdict"] == "slips"
    assert record["proved"] is True
    [way] = record["ways"]
    assert way.keys() == KEYS
    assert (way["fallbacks"], way["cost"], way["loses"], way["own"]) == (["yard"], 45, 0, False)
    assert way["spare_min"] >= 0
    assert way["on_time"] is None
    text = late("rescue", "--no-odds")
    assert text.code == 0
    assert "One way out; it must be decided by " in text.out
    assert "Buy it at the yard  45 USD  0/10" in text.out


def test_with_no_way_of_the_host_s_it_leaves_with_1_whatever_is_suggested(late: Desk) -> None:
    answer = late("rescue", "--no-odds")
    assert answer.code == 1
    assert "No way out is written down for it" in answer.out
    assert "Our suggestions, not in your file" in answer.out
    assert "Oak board: ask for it by express, 1 to 3 workdays" in answer.out
    record = late("rescue", "--json", "--no-odds").json
    assert record["ways"] == []
    assert record["proved"] is True
    [express] = record["suggestions"]
    assert express["fallbacks"] == ["express:board"]
    assert (express["cost"], express["loses"], express["own"]) == (None, None, True)
    assert express["changes"] == [{"parcel": {"board": "1..2..3 workdays"}}]


def test_suggestions_can_be_left_out(late: Desk) -> None:
    answer = late("rescue", "--no-odds", "--no-suggestions")
    assert answer.code == 1
    assert "suggestion" not in answer.out
    assert late("rescue", "--json", "--no-odds", "--no-suggestions").json["suggestions"] == []


def test_a_suggestion_written_down_as_it_says_saves_the_release(late: Desk) -> None:
    [express] = late("rescue", "--json", "--no-odds").json["suggestions"]
    [change] = express["changes"]
    add(late, FALLBACK.format(
        id="express", title="Express", cost=30,
        change=f'parcel = {{ board = "{change["parcel"]["board"]}" }}',
    ))  # fmt: skip
    answer = late("rescue", "--json", "--no-odds")
    assert answer.code == 0
    [way] = answer.json["ways"]
    assert way["fallbacks"] == ["express"]
    assert way["decide_by"] == express["decide_by"]
    assert way["spare_min"] == express["spare_min"]


def test_odds_of_each_way_are_those_of_the_season_with_the_way_taken(late: Desk) -> None:
    add(late, YARD)
    [way] = late("rescue", "--json").json["ways"]
    late.edit('lead = "30 workdays"', 'lead = "2 workdays"')
    [episode] = late("odds", "--json").json["episodes"]
    assert way["on_time"] == pytest.approx(episode["on_time"], abs=1e-9)


def test_late_shows_the_same_ways_and_suggestions(desk: Desk) -> None:
    add(desk, YARD)
    answer = desk("late", "board", "--arrives", "2027-05-20")
    assert answer.code == 1
    assert "Buy it at the yard" in answer.out
    record = desk("late", "board", "--arrives", "2027-05-20", "--json").json
    assert [way["fallbacks"] for way in record["ways"]] == [["yard"]]
    assert [way["fallbacks"] for way in record["suggestions"]] == [["express:board"]]


def test_the_same_question_gives_the_same_bytes(late: Desk) -> None:
    add(late, USELESS + YARD)
    assert late("rescue", "--json").out == late("rescue", "--json").out


def test_titles_reach_the_terminal_without_escape_codes(late: Desk) -> None:
    add(late, YARD.replace("Buy it at the yard", "Buy \\u001b[31mred\\u0007 [bold]it"))
    out = late("rescue", "--no-odds").out
    assert "\x1b" not in out
    assert "\x07" not in out


@pytest.mark.parametrize("seconds", ["0", "-3", "soon"])
def test_seconds_that_are_none_are_refused(late: Desk, seconds: str) -> None:
    answer = late("rescue", f"--prove={seconds}")
    assert answer.code == 2
    assert "--prove" in answer.err
