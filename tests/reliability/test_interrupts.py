"""Stopped from the keyboard at any moment: no traceback, and the terminal as it was."""

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.reliability import bombs
from tests.screens.terminal import Terminal

MOMENTS = [0.005, 0.02, 0.05, 0.1, 0.2, 0.4, 0.7]
STARTED = """
import sys
from episodes.__main__ import main
sys.argv = ["episodes", "check"]
print("up", flush=True)
main()
"""
"""The command from the moment on that Python itself is up: until then Ctrl-C is Python's own."""


@pytest.mark.parametrize("after", MOMENTS)
def test_a_command_stopped_at_any_moment_ends_without_a_traceback(
    after: float, tmp_path: Path
) -> None:
    bombs.write_apart("plan", "5,000 steps in a row", tmp_path / "season")
    with subprocess.Popen(
        [sys.executable, "-c", STARTED],
        cwd=tmp_path / "season", stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        assert process.stdout.readline() == "up\n"
        time.sleep(after * random.Random(after).uniform(0.8, 1.2))
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    assert "Traceback" not in out + err
    # 130 where the program ended itself, the signal where it was still being loaded.
    assert process.returncode in (130, -signal.SIGINT)


def state(pid: int) -> str:
    """The state of a process: `T` where it is stopped."""
    listed = ["ps", "-o", "state=", "-p", str(pid)]
    return subprocess.run(listed, capture_output=True, text=True, check=True).stdout.strip()[:1]


def test_a_screen_that_was_stopped_goes_on_and_one_of_a_single_cell_does_not_fall(
    tmp_path: Path,
) -> None:
    bombs.season(tmp_path / "season")
    with Terminal(["-m", "episodes"], cwd=tmp_path / "season", width=100, height=30) as terminal:
        terminal.wait_for("RELEASES")
        for stop in (signal.SIGSTOP, signal.SIGCONT):
            terminal.process.send_signal(stop)
        terminal.press("2", "release")
        # Ctrl+Z: the terminal is the shell's until the program is told to go on.
        terminal.send("\x1a")
        terminal.wait(lambda: b"\x1b[?1049l" in terminal.raw, "the shell's own screen")
        while state(terminal.process.pid) != "T":
            pass
        terminal.process.send_signal(signal.SIGCONT)
        terminal.press("3", "door")
        terminal.resize(1, 1)
        terminal.resize(100, 30)
        terminal.press("1", "RELEASES")
        terminal.send("q")
        assert terminal.end() == 0
    # The screen beside, the cursor and the mouse are given back.
    for given_back in (b"\x1b[?1049l", b"\x1b[?25h", b"\x1b[?1000l"):
        assert given_back in terminal.raw


def test_two_screens_on_one_season_both_work(tmp_path: Path) -> None:
    bombs.season(tmp_path / "season")
    with (
        Terminal(["-m", "episodes"], cwd=tmp_path / "season") as one,
        Terminal(["-m", "episodes"], cwd=tmp_path / "season") as two,
    ):
        for terminal in (one, two):
            terminal.wait_for("RELEASES")
        for terminal in (one, two):
            terminal.send("q")
            assert terminal.end() == 0
