"""A room without a month: tried in one, given one, and put back."""

from pathlib import Path

import pytest

from episodes.files import journal
from episodes.files.editing import EditError
from episodes.files.ideas import in_month, promote
from episodes.files.reading import read_season
from episodes.files.saving import StaleFileError
from episodes.model.season import Season
from episodes.problems import PlanError

STUDIO = """\
name = "Rooms"
timezone = "America/Chicago"
release = { on = "first friday" }
as_of = 2027-04-01T08:00:00

[[person]]
id = "host"
hours = { daily = ["18:00-21:00"] }
"""
IDEA = """\
# a room for the bicycles
title = "Shed"
release = "2027-11"      # some day
job = [{ id = "hooks", step = [{ id = "fix", hands = "2h", not_before = "release-14d" }] }]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "ideas").mkdir()
    (tmp_path / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (tmp_path / "ideas" / "shed.toml").write_text(IDEA, encoding="utf-8")
    return tmp_path


def read(folder: Path) -> Season:
    return read_season(folder, clock=0)


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.toml")
    }


def test_an_idea_becomes_the_episode_of_a_month_with_the_same_text_but_its_release(folder):
    promote(folder, "shed", "2027-07", "Shed in July", clock=0)
    assert set(files(folder)) == {"studio.toml", "2027-07-shed.toml"}
    text = (folder / "2027-07-shed.toml").read_text(encoding="utf-8")
    assert text.splitlines()[:3] == ["# a room for the bicycles", 'title = "Shed"', "# some day"]
    season = read(folder)
    assert season.ideas == ()
    (episode,) = season.episodes
    assert episode.id == "2027-07-shed"
    (step,) = episode.jobs[0].steps
    assert step.not_before is not None
    assert (episode.release - step.not_before) // 1440 == 14


def test_undo_puts_the_idea_back_and_redo_gives_it_its_month_again(folder):
    before = files(folder)
    promote(folder, "shed", "2027-07", "Shed in July", clock=0)
    after = files(folder)
    assert journal.undo(folder) == "Shed in July"
    assert files(folder) == before
    assert journal.redo(folder) == "Shed in July"
    assert files(folder) == after


def test_an_undo_keeps_what_was_edited_since(folder):
    promote(folder, "shed", "2027-07", "Shed in July", clock=0)
    file = folder / "2027-07-shed.toml"
    file.write_text(file.read_text(encoding="utf-8") + "budget = 20\n", encoding="utf-8")
    there = files(folder)
    with pytest.raises(StaleFileError):
        journal.undo(folder)
    assert files(folder) == there


def test_nothing_moves_where_an_episode_of_that_name_is_there_or_it_cannot_be_read(folder):
    other = folder / "2027-07-shed.toml"
    other.write_text('title = "Other"\njob = []\n', encoding="utf-8")
    there = files(folder)
    with pytest.raises((StaleFileError, PlanError)):
        promote(folder, "shed", "2027-07", "Shed in July", clock=0)
    assert files(folder) == there
    other.unlink()
    idea = folder / "ideas" / "shed.toml"
    idea.write_text(IDEA.replace("2h", "2 hours"), encoding="utf-8")
    there = files(folder)
    with pytest.raises(PlanError):
        promote(folder, "shed", "2027-07", "Shed in July", clock=0)
    assert files(folder) == there
    assert journal.changes(folder) == ()


def test_an_idea_that_is_not_there_is_said(folder):
    with pytest.raises(EditError, match="is not there any more"):
        promote(folder, "barn", "2027-07", "Barn in July", clock=0)


def test_an_idea_tried_in_a_month_has_its_dates_counted_from_that_release(folder):
    season = read(folder)
    tried = in_month(folder, season, clock=0)("shed", "2027-08")
    (step,) = tried.jobs[0].steps
    assert step.not_before is not None
    assert (tried.release - step.not_before) // 1440 == 14
    assert tried.release > season.ideas[0].release - 120 * 1440
    assert tried.release != season.ideas[0].release
