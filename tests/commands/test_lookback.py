"""`lookback`: what was guessed against what it took, and one suggestion at a time."""

from pathlib import Path

import pytest

from tests.commands.seasons import STUDIO, Desk

HALL = """\
title = "Hall"
budget = 300
released = 2027-04-02T09:00:00

[[parcel]]
id = "a"
carrier = "post"
lead = "4..6..12 workdays"
ordered = 2027-03-01
arrived = 2027-03-10
paid = 30

[[parcel]]
id = "b"
carrier = "post"
lead = "4..6..12 workdays"
ordered = 2027-03-01
arrived = 2027-03-11

[[parcel]]
id = "c"
carrier = "post"
lead = "4..6..12 workdays"
ordered = 2027-03-04
arrived = 2027-03-16

[[job]]
id = "bench"
who = ["builder"]
makes = ["dust"]
step = [
  { id = "cut", hands = "2h..3h..6h", done = 2027-03-14, took = "4h12" },
  { id = "rip", hands = "1h..2h..4h", done = 2027-03-15, took = "2h30" },
  { id = "sand", hands = "1h", started = 2027-03-16T10:00:00, done = 2027-03-16 11:36:00 },
  { id = "wipe", hands = "10min", done = 2027-03-16, took = "2min" },
  { id = "plug", hands = "1h", started = 2027-03-16T10:00:00, done = 2027-03-17 },
]
"""
PORCH = """\
title = "Porch"

[[parcel]]
id = "tiles"
carrier = "post"
lead = "4..6..12 workdays"

[[job]]
id = "floor"
who = ["builder"]
  # how the boards are cut
  [[job.step]]
  id = "cut"
  hands = "2h..3h..6h"   # a first guess
  makes = ["dust"]
  after = ["tiles"]

  [[job.step]]
  id = "paint"
  hands = "1h..2h..3h"

  [[job.step]]
  id = "look"
  who = ["host"]
  hands = "1h..2h..3h"
"""


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    (tmp_path / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (tmp_path / "2027-04-hall.toml").write_text(HALL, encoding="utf-8")
    (tmp_path / "2027-06-porch.toml").write_text(PORCH, encoding="utf-8")
    return Desk(tmp_path, capsys)


def test_work_is_compared_by_person_and_kind(desk: Desk) -> None:
    answer = desk("lookback", "--json")
    assert answer.code == 0
    [work] = [group for group in answer.json["groups"] if group["who"] == "builder"]
    # 4 h 12, 2 h 30 and, from begun to done on one day, 1 h 36; guessed 3 h, 2 h and 1 h.
    assert (work["kind"], work["n"]) == ("cutting and sanding", 3)
    assert (work["guessed"], work["took"]) == (360, 498)


def test_a_carrier_is_compared_in_its_own_working_days(desk: Desk) -> None:
    answer = desk("lookback", "--json")
    came = {took["id"]: took["took"] for took in answer.json["records"] if took["workdays"]}
    # Mondays to Saturdays: 1 March to Wed 10th is 8 of them, to Thu 11th 9, 4th to Tue 16th 10.
    assert came == {"a": 8, "b": 9, "c": 10}


def test_what_says_nothing_is_passed_over_or_is_no_record(desk: Desk) -> None:
    records = {took["id"]: took for took in desk("lookback", "--json").json["records"]}
    assert records["bench.wipe"]["passed_over"] == "under 5 minutes"
    assert "bench.plug" not in records  # done on a day, at no hour


def test_three_records_suggest_a_range_and_fewer_none(desk: Desk) -> None:
    found = {s["id"]: s for s in desk("lookback", "--json").json["suggestions"]}
    assert set(found) == {"floor.cut", "floor.paint", "tiles"}
    assert found["floor.cut"]["n"] == 3
    assert found["floor.cut"]["kind"] == "cutting and sanding"
    assert found["floor.paint"]["kind"] == "all work"
    low, likely, high = found["floor.cut"]["proposed"]
    assert 120 < low < 180 < likely < 252
    assert likely < high


def test_nothing_is_written_without_take(desk: Desk) -> None:
    desk("lookback")
    assert (desk.folder / "2027-06-porch.toml").read_text(encoding="utf-8") == PORCH


def test_taking_one_writes_its_range_and_keeps_the_first_guess_and_the_comments(
    desk: Desk,
) -> None:
    proposed = next(
        s for s in desk("lookback", "--json").json["suggestions"] if s["id"] == "floor.cut"
    )
    assert desk("lookback", "--take", "floor.cut").code == 0
    text = (desk.folder / "2027-06-porch.toml").read_text(encoding="utf-8")
    lines = set(text.splitlines()) ^ set(PORCH.splitlines())
    assert len(lines) == 3
    assert '  guessed = "2h..3h..6h"' in lines
    assert any(line.endswith("# a first guess") for line in lines)
    # The first guess is what is learned with, so the suggestion is not made again.
    again = desk("lookback", "--json").json["suggestions"]
    assert "floor.cut" not in {s["id"] for s in again}
    assert proposed["first_guess"] == [120, 180, 360]


def test_taking_can_be_undone(desk: Desk) -> None:
    desk("lookback", "--take", "tiles")
    assert "guessed" in (desk.folder / "2027-06-porch.toml").read_text(encoding="utf-8")
    desk("undo")
    assert (desk.folder / "2027-06-porch.toml").read_text(encoding="utf-8") == PORCH


def test_a_name_without_a_suggestion_is_refused(desk: Desk) -> None:
    answer = desk("lookback", "--take", "look")
    assert answer.code == 2
    assert "no range is suggested" in answer.err


def test_the_text_ends_with_the_line_to_type(desk: Desk) -> None:
    out = desk("lookback").out
    assert "1.41 times" in out
    assert out.rstrip().endswith("episodes lookback --take 2027-06-porch:floor.cut")


def test_a_season_without_records_says_what_makes_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (tmp_path / "2027-06-porch.toml").write_text(PORCH, encoding="utf-8")
    answer = Desk(tmp_path, capsys)("lookback")
    assert "Nothing to look back on yet" in answer.out
