"""Whole jobs from outside: keys on a terminal, and the files are then what `check` reads."""

from pathlib import Path

import pytest

from episodes.answers.check import check
from episodes.answers.rows import EpisodeAnswer
from episodes.files.reading import read_season
from tests.screens.terminal import Terminal

ROOM = "2027-05-den"
STUDIO = """\
name = "Rooms"
timezone = "America/Chicago"
release = { on = "first friday" }
as_of = 2027-04-01T08:00:00

[[person]]
id = "host"
hours = { daily = ["18:00-21:00"] }
"""
PLAN = """\
# mine
title = "Den"
parcel = [
  { id = "boards", title = "Boards", lead = "10d", ordered = 2027-03-30, promised = 2027-05-08 },
]

[[job]]
id = "shelf"
title = "Shelf"
step = [{ id = "cut", title = "Cut the boards", hands = "2h", after = ["boards"] }]

[[fallback]]
id = "near"
title = "Buy the boards nearby"
cost = 40
parcel = { boards = "2d" }
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (tmp_path / f"{ROOM}.toml").write_text(PLAN, encoding="utf-8")
    return tmp_path


def on(folder: Path, width: int, height: int) -> Terminal:
    return Terminal(["-m", "episodes", "--season", str(folder)], width=width, height=height)


def den(folder: Path) -> EpisodeAnswer:
    return check(read_season(folder, clock=0)).episode(ROOM)


def words(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize(("width", "height"), [(80, 24), (100, 30)])
def test_a_slip_is_healed_by_a_way_out_and_taken_back(folder, width, height):
    file = folder / f"{ROOM}.toml"
    written = file.read_bytes()
    with on(folder, width, height) as terminal:
        terminal.wait_for("RELEASES")
        assert "SLIPS" in terminal.rows[1]
        terminal.press("4", "Buy the boards nearby")
        terminal.wait(lambda: "Space try" in words(terminal.rows[-1]), "the key to try it")
        terminal.send(" ")
        terminal.wait(lambda: "(TRYING)" in terminal.rows[1], "TRYING")
        assert "MEETS" in terminal.rows[1]
        terminal.wait(lambda: "Enter write it" in words(terminal.rows[-1]), "the key to write it")
        assert file.read_bytes() == written
        promised = terminal.rows[1]
        terminal.press("\r", "Written: way out taken: Buy the boards nearby")
        after = den(folder)
        assert after.verdict == "meets"
        assert after.parcel("boards").cost == 40
        spare = promised.split("MEETS")[1].split("(TRYING)")[0].strip()
        terminal.wait(lambda: spare in terminal.rows[1], "what was promised")
        assert "TRYING" not in terminal.rows[1]
        terminal.press("u", "Taken back")
        assert file.read_bytes() == written
        terminal.send("q")
        assert terminal.end() == 0
