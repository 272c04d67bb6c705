"""Cautions come along wherever a step is shown: today, why, the calendar, answers for programs."""

from pathlib import Path

import pytest

from tests.commands.seasons import Desk

OWN = "Wear eye protection."
TRADE = "Dust harms the lungs"


@pytest.fixture
def dusty(desk: Desk) -> Desk:
    """The step that is cut today makes dust, and its boards are there."""
    desk.edit(f'caution = "{OWN}"', f'caution = "{OWN}"\n  makes = ["dust"]')
    desk.edit('after = ["board", "screws"]', 'after = ["screws"]')
    return desk


def test_answers_for_programs_have_them_in_order(dusty: Desk) -> None:
    (episode,) = dusty("check", "--json").json["episodes"]
    cautions = {row["id"]: row["cautions"] for row in episode["steps"]}
    own, trade = cautions["shelf.cut"]
    assert own == OWN
    assert trade.startswith(TRADE)
    assert cautions["shelf.hang"] == []


def test_today_shows_each_on_a_line_below_its_step(dusty: Desk) -> None:
    lines = [line.strip() for line in dusty("today").out.splitlines()]
    at = next(index for index, line in enumerate(lines) if "Cut parts" in line)
    assert f"caution: {OWN}" in lines[at + 1 : at + 4]
    assert any(line.startswith(f"caution: {TRADE}") for line in lines[at + 1 : at + 4])


def test_check_says_where_they_are(dusty: Desk) -> None:
    lines = dusty("check").out.splitlines()
    (line,) = [line for line in lines if "Builder: Shelf: Cut parts" in line]
    assert line.endswith("(caution: see `episodes today`)")


def test_why_ends_with_them(dusty: Desk) -> None:
    out = dusty("why", "shelf.cut").out
    assert f"Caution: {OWN}" in out
    assert f"Caution: {TRADE}" in out


def test_the_calendar_has_them_in_the_text_of_the_work(dusty: Desk, tmp_path: Path) -> None:
    file = tmp_path / "season.ics"
    assert dusty("calendar", "-o", str(file)).code == 0
    text = file.read_text(encoding="utf-8").replace("\r\n ", "").replace("\n ", "")
    assert f"Caution: {OWN}" in text
    assert f"Caution: {TRADE}" in text
