"""The season's files from the screens: what is written, taken back, and seen to have changed."""

from datetime import datetime
from pathlib import Path

import pytest

from episodes.screens.facts import Fact, NotWritten, SeasonFiles, wall_time
from tests.screens.season_by_hand import ZONE, at

STUDIO = """
name = "Second Coat"
timezone = "America/Chicago"
[[person]]
id = "host"
hours = { daily = ["09:00-21:00"] }
"""
EPISODE = """# my plan
[[job]]
id = "clear"
  [[job.step]]
  id = "box"        # the shelves first
  hands = "1h"

[[parcel]]
id = "tiles"
lead = "2d"
"""
NOW = at("04-13", "17:30")
DONE = Fact(
    episode="2027-05-room",
    kind="step",
    id="clear.box",
    key="done",
    value=datetime(2027, 4, 13, 17, 30),
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "studio.toml").write_text(STUDIO)
    (tmp_path / "2027-05-room.toml").write_text(EPISODE)
    return tmp_path


@pytest.fixture
def files(folder: Path) -> SeasonFiles:
    return SeasonFiles(folder, lambda: NOW)


def test_done_and_undo_leave_the_file_byte_for_byte(files, folder):
    file = folder / "2027-05-room.toml"
    before = file.read_bytes()
    files.write([DONE], "Box done")
    assert b"done = 2027-04-13T17:30:00" in file.read_bytes()
    assert b"# the shelves first" in file.read_bytes()
    assert files.undo() == "Box done"
    assert file.read_bytes() == before
    assert files.redo() == "Box done"
    assert b"done = " in file.read_bytes()


def test_several_facts_of_an_episode_are_one_change(files, folder):
    promised = Fact(episode="2027-05-room", kind="parcel", id="tiles", key="promised",
                    value=datetime(2027, 4, 20, 18, 0))  # fmt: skip
    before = (folder / "2027-05-room.toml").read_bytes()
    files.write([DONE, promised], "both")
    files.undo()
    assert (folder / "2027-05-room.toml").read_bytes() == before


def test_a_fact_that_the_season_cannot_have_is_refused_in_words(files, folder):
    later = Fact(episode="2027-05-room", kind="step", id="clear.box", key="done",
                 value=datetime(2027, 4, 20, 9, 0))  # fmt: skip
    before = (folder / "2027-05-room.toml").read_bytes()
    with pytest.raises(NotWritten) as refused:
        files.write([later], "too early")
    assert "2027-05-room.toml:" in str(refused.value)
    assert "\n" not in str(refused.value)
    assert (folder / "2027-05-room.toml").read_bytes() == before


def test_nothing_to_undo_is_said(files):
    with pytest.raises(NotWritten, match="nothing to undo"):
        files.undo()


def test_a_change_of_a_file_a_new_one_and_a_removed_one_are_seen(files, folder):
    assert not files.changed()
    file = folder / "2027-05-room.toml"
    file.write_text(EPISODE + "\n")
    assert files.changed()
    files.seen()
    assert not files.changed()
    (folder / "2027-06-hall.toml").write_text(EPISODE)
    assert files.changed()
    files.seen()
    (folder / "2027-06-hall.toml").unlink()
    assert files.changed()


def test_the_calendar_goes_beside_the_plan_and_is_not_taken_for_a_change(files, folder):
    assert files.calendar_there() is None
    where = files.put_calendar(b"BEGIN:VCALENDAR\r\n")
    assert Path(where) == folder / "plan.ics"
    assert files.calendar_there() == b"BEGIN:VCALENDAR\r\n"
    assert not files.changed()


def test_the_moment_is_the_clock_s_unless_the_season_is_held_at_one(folder):
    assert SeasonFiles(folder, lambda: NOW).moment() == NOW
    assert SeasonFiles(folder, lambda: NOW, held=5).moment() == 5
    assert SeasonFiles(folder, lambda: NOW, now=7, held=5).moment() == 7


def test_a_moment_is_written_as_wall_time_with_an_offset_only_where_the_wall_shows_it_twice():
    assert wall_time(at("04-13", "17:30"), ZONE).isoformat() == "2027-04-13T17:30:00"
    # Clocks in Chicago go back on 7 November 2027: 01:30 comes twice, an hour apart.
    first = at("11-07", "01:30")
    assert wall_time(first, ZONE).isoformat() == "2027-11-07T01:30:00"
    assert wall_time(first + 60, ZONE).isoformat() == "2027-11-07T01:30:00-06:00"
