"""`compare`: what it prints, and that a fault in ideas/ stops it alone."""

from pathlib import Path

import pytest

from tests.answers.test_compare import PORCH, write
from tests.commands.seasons import Desk


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    return Desk(write(tmp_path, 30), capsys)


def test_json_has_the_names_of_the_plan_format(desk: Desk) -> None:
    answer = desk("compare", "--json")
    assert answer.code == 0
    [idea] = answer.json["ideas"]
    assert idea["id"] == "porch"
    assert idea["earliest_release"] == "2027-07-02T09:00:00-05:00"
    assert set(idea["next_release"]) >= {"verdict", "spare_min", "on_time"}
    assert idea["next_release"]["verdict"] == "slips"
    assert idea["hands_min"]
    assert idea["cost"] == 90
    assert isinstance(idea["delays_others_min"], int)


def test_the_text_says_when_it_can_be_out_and_what_it_costs(desk: Desk) -> None:
    out = desk("compare").out
    assert "Porch can be out Fri 2 Jul 09:00" in out
    assert "The next free one, Fri 7 May 09:00, it slips by" in out
    assert "Cost: 90" in out
    assert "in 100" in out
    assert "in 100" not in desk("compare", "--no-odds").out


def test_dates_counted_from_the_release_move_with_the_month_tried(
    desk: Desk, tmp_path: Path
) -> None:
    """Not before three weeks ahead of the release: in any month it is ready after that."""
    text = PORCH.format(lead=3, extra='may_start = "release-21d"')
    (tmp_path / "ideas" / "porch.toml").write_text(text, encoding="utf-8")
    [idea] = desk("compare", "--json", "--no-odds").json["ideas"]
    assert idea["earliest_release"] == "2027-05-07T09:00:00-05:00"
    assert idea["earliest"]["ready_by"] > "2027-04-16"
    write(tmp_path, 30, 'release = "2027-05"\nmay_start = "release-21d"')
    [idea] = desk("compare", "--json", "--no-odds").json["ideas"]
    assert idea["earliest_release"] == "2027-07-02T09:00:00-05:00"
    assert idea["earliest"]["ready_by"] > "2027-06-11"


def test_a_fault_in_an_idea_stops_compare_and_not_check(desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "ideas" / "bad.toml").write_text('titel = "x"\n', encoding="utf-8")
    assert desk("check").code == 0
    answer = desk("compare")
    assert answer.code == 2
    assert "ideas/bad.toml:1" in answer.err
    assert answer.out == ""


def test_a_season_without_ideas_says_where_they_go(desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "ideas" / "porch.toml").unlink()
    assert "ideas/NAME.toml" in desk("compare").out
