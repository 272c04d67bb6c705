"""The pages as lines of text: what a screen reader or a pipe gets."""

import subprocess
import sys
from pathlib import Path

import pytest

from episodes.files.reading import read_season
from episodes.screens.plain import PAGES, Plain
from tests.screens.terminal import ROOT, Terminal
from tests.screens.test_journeys import PLAN, STUDIO

ROOM = "2027-05-den"


@pytest.fixture
def season(tmp_path: Path) -> Path:
    (tmp_path / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (tmp_path / f"{ROOM}.toml").write_text(
        PLAN.replace('"Boards"', r'"Boards \u001b[2J\u202e"'), encoding="utf-8"
    )
    return tmp_path


WORDS = {
    "tonight": "Den, Fri 7 May 09:00: SLIPS by",
    "runup": "Shelf: Cut the boards, work, Sat 8 May 18:00-20:00, host, TAUT. Waits for Boards",
    "door": "promised, in hand Sat 8 May 18:00, meets up to Thu 6 May 19:00, TOO LATE.",
    "ways": "Buy the boards nearby",
    "camera": "film",
    "next": "No idea to compare",
    "lookback": "Nothing to look back on yet",
    "load": "host: 0 min planned of 108 h open",
}


def test_each_page_says_its_part_in_lines_that_nothing_can_drive_a_terminal_with(season):
    pages = Plain(read_season(season, clock=0))
    for name in PAGES:
        text = pages.page(name)
        assert WORDS[name] in text, text
        assert all(char == "\n" or char.isprintable() for char in text)
        assert "Read as of Thu 1 Apr 2027 08:00." in text.splitlines()[0]


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "episodes", *words],
        capture_output=True, text=True, check=False, timeout=60, cwd=ROOT,
        stdin=subprocess.DEVNULL,
    )  # fmt: skip


def test_the_command_prints_a_page_and_refuses_one_that_is_none(season):
    done = run("--season", str(season), "--plain", "door")
    assert (done.returncode, done.stderr) == (0, "")
    assert WORDS["door"] in done.stdout
    wrong = run("--season", str(season), "--plain", "cellar")
    assert wrong.returncode == 2
    assert '"cellar" is no page; there are tonight, runup' in wrong.stderr


def test_at_a_terminal_pages_and_commands_are_asked_for_line_by_line(season):
    argv = ["-m", "episodes", "--season", str(season), "--plain"]
    with Terminal(argv, width=120, height=50, env={"TERM": "dumb"}) as terminal:
        terminal.wait_for("\n>")
        terminal.press("3\n", "TOO LATE")
        file = season / f"{ROOM}.toml"
        terminal.send("arrived boards\n")
        terminal.wait(lambda: "arrived = " in file.read_text(encoding="utf-8"), "the fact")
        terminal.press("nonsense\n", 'there is no command "nonsense"')
        terminal.press('done "\n', "No closing quotation")
        terminal.send("q\n")
        assert terminal.end() == 0
