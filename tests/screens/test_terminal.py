"""From outside, as a user has it: the command on a terminal, keys in, screen and files seen."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.screens.terminal import ROOT, Terminal, colours

DEMO = ROOT / "episodes" / "demo"
OFFICE = "2027-05-home-office.toml"
RIGHT, LEFT, ESC = "\x1b[C", "\x1b[D", "\x1b"


@pytest.fixture
def season(tmp_path: Path) -> Path:
    folder = tmp_path / "season"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("__*"))
    return folder


def on_season(folder: Path, *options: str, **more) -> Terminal:
    return Terminal(["-m", "episodes", "--season", str(folder), *options], **more)


def head(terminal: Terminal) -> str:
    return terminal.rows[1]


def test_a_late_delivery_is_tried_put_back_kept_and_undone_on_the_demo(season):
    file = season / OFFICE
    written = file.read_bytes()
    with on_season(season, width=100, height=30) as terminal:
        terminal.wait_for("RELEASES")
        assert re.search(r"(MEETS|SLIPS)", head(terminal))
        terminal.press("2", "release")
        assert re.search(r"(MEETS|SLIPS)", head(terminal))
        terminal.press("3", "comes to the door")
        terminal.send("G")
        # The foot must be that of the last row before keys are counted from there.
        terminal.wait(lambda: "Plants for four planters" in terminal.rows[-3], "the last row")
        while "Ash boards" not in terminal.rows[-3]:
            before = terminal.rows[-3]
            terminal.send("k")
            terminal.wait(lambda old=before: terminal.rows[-3] != old, "another row")
        assert "SLIPS" in head(terminal)
        for _ in range(8):
            terminal.send(LEFT)
        terminal.wait(lambda: "MEETS" in head(terminal) and "TRYING" in head(terminal), "MEETS")
        assert file.read_bytes() == written
        terminal.send(ESC)
        terminal.wait(lambda: "SLIPS" in head(terminal), "SLIPS again")
        assert "TRYING" not in head(terminal)
        assert file.read_bytes() == written

        for _ in range(8):
            terminal.send(LEFT)
        terminal.wait(lambda: "MEETS" in head(terminal), "MEETS")
        terminal.press("\r", "Ash boards for the desk top promised")
        assert file.read_bytes() != written
        assert "TRYING" not in head(terminal)
        terminal.press("u", "Taken back")
        assert file.read_bytes() == written
        terminal.press("x", "Calendar written")
        assert (season / "plan.ics").read_bytes().startswith(b"BEGIN:VCALENDAR")
        terminal.send("q")
        assert terminal.end() == 0
    assert b"\x1b[?1049l" in terminal.raw, "the screen of before is back"


def test_hostile_titles_no_colour_ascii_and_resizing_on_one_terminal(season):
    file = season / OFFICE
    text = file.read_text(encoding="utf-8")
    hostile = r"\u001b]0;pwned\u0007\u001b[2J\u009b31m[bold]x[/b] \u202etxt"
    file.write_text(text.replace("Ash boards for the desk top", hostile), encoding="utf-8")
    with on_season(season, "--ascii", width=100, height=30, env={"NO_COLOR": "1"}) as terminal:
        terminal.wait_for("RELEASES")
        for key, mark in (("2", "release|"), ("f", "open hours"), ("3", "comes to the door")):
            screen = terminal.press(key, mark)
            shown = screen.replace("\u241b", "").replace("\u2407", "").replace("\ufffd", "")
            assert shown.isascii(), {char for char in shown if not char.isascii()}
        assert "]0;pwned" in terminal.press("G", "pwned")
        terminal.resize(30, 8)
        terminal.wait_for("needs 60x15")
        terminal.resize(100, 30)
        terminal.wait_for("comes to the door")
        terminal.send("q")
        assert terminal.end() == 0
    raw = terminal.raw
    assert b"\x1b]0;pwned" not in raw
    assert b"\xc2\x9b" not in raw
    assert "\u202e".encode() not in raw
    assert colours(raw) == set()


def test_colours_are_the_terminal_s_own_sixteen():
    with Terminal(["-m", "tests.screens.by_hand"]) as terminal:
        terminal.wait_for("RELEASES")
        terminal.press("2", "release")
        terminal.send("q")
        assert terminal.end() == 0
    found = colours(terminal.raw)
    assert found, "drying and transit are coloured where colour is wanted"
    assert found <= {*map(str, range(30, 38)), *map(str, range(90, 98))}


def test_a_fault_of_the_program_says_one_line_and_nothing_of_the_plan():
    with Terminal(["-m", "tests.screens.by_hand", "broken"], width=200) as terminal:
        terminal.wait_for("RELEASES")
        terminal.press("3", "comes to the door")
        terminal.send(RIGHT)
        assert terminal.end() == 3
    after = terminal.raw.rpartition(b"\x1b[?1049l")[2].decode()
    assert "episodes: the screens broke (RuntimeError at by_hand.py" in after
    assert "Traceback" not in terminal.raw.decode()
    assert "secret" not in after


@pytest.mark.parametrize(
    ("code", "words"),
    [("", "need a terminal"), ("sys.stdin = sys.stdout = sys.stderr = Tty()", "TERM=dumb")],
)
def test_without_a_terminal_that_can_draw_it_says_so_and_leaves_with_2(code, words, tmp_path):
    script = f"""
import io, sys
from pathlib import Path
real = sys.stderr
class Tty(io.StringIO):
    def isatty(self): return True
    def write(self, text): return real.write(text)
{code}
from episodes.screens.launch import run
code = run(Path("."), clock=0, now=None, ascii=False)
assert "textual" not in sys.modules
raise SystemExit(code)
"""
    done = subprocess.run(
        [sys.executable, "-c", script],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env={"PATH": "", "PYTHONPATH": str(ROOT), "TERM": "dumb"},
        cwd=tmp_path,
        timeout=20,
        check=False,
    )
    assert done.returncode == 2
    assert words in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
