"""From outside, on a terminal: the plan is written with keys; the file is what `check` reads."""

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from episodes.answers.check import check
from episodes.files.reading import read_season
from tests.screens.forms.bench import EPISODE, LAUNDRY, NOW, season
from tests.screens.terminal import Terminal

ENTER, ESC, DOWN, UP = "\r", "\x1b", "\x1b[B", "\x1b[A"
EMPTY = "\x15"
"""Ctrl+u, which empties a field."""
EVIL = "\u202eevil\u200b [bold]x[/bold] \u009b31m ~"


def pasted(text: str) -> str:
    """Text as a terminal sends it that marks what is pasted."""
    return f"\x1b[200~{text}\x1b[201~"


@contextmanager
def sitting(folder: Path, width: int, height: int) -> Iterator[Terminal]:
    """The screens on a terminal, left with q."""
    argv = ["-m", "episodes", "--season", str(folder)]
    env = {"XDG_STATE_HOME": str(folder / "state")}
    with Terminal(argv, width=width, height=height, env=env) as terminal:
        terminal.wait_for("RELEASES")
        yield terminal
        terminal.send("q")
        assert terminal.end() == 0


def plan(folder: Path) -> str:
    return (folder / f"{LAUNDRY}.toml").read_text(encoding="utf-8")


def steps(folder: Path) -> list[str]:
    return [step["id"] for step in tomllib.loads(plan(folder))["job"][0]["step"]]


def select(terminal: Terminal, title: str) -> None:
    """Puts the cursor of the run-up on a step of the bench."""
    terminal.press("/", "find")
    terminal.press(title, f"Folding bench: {title}")
    terminal.send(ENTER)
    foot = f" Folding bench: {title}"
    terminal.wait(lambda: terminal.rows[-3].startswith(foot), foot)


def choose(terminal: Terminal, letter: str, then: str) -> None:
    """Opens the list of what can be written, and chooses from it."""
    terminal.press("i", "Into the plan")
    terminal.press(letter, then)


def take_back(terminal: Terminal, folder: Path, states: list[str]) -> None:
    """One `u` a change, down to the first state."""
    for before in states[-2::-1]:
        terminal.send("u")
        terminal.wait(lambda text=before: plan(folder) == text, "one change taken back")
    terminal.wait_for("Taken back:")


def test_everything_is_written_with_keys_taken_back_and_written_again_by_another_sitting(tmp_path):
    folder = season(tmp_path)
    states = [plan(folder)]

    def written(keys: str, then: str) -> None:
        terminal.press(keys, f"Written: {then}")
        states.append(plan(folder))

    with sitting(folder, 100, 30) as terminal:
        select(terminal, "Glue up")
        terminal.press("E", "Step of Folding bench")
        terminal.press(f"{DOWN}{DOWN}{EMPTY}two hours", "is not a length of")
        written(f"{EMPTY}2h{ENTER}", "Glue up: hands.")
        choose(terminal, "s", "New step of Folding bench, after Glue up")
        written(f"Wipe off{DOWN}{DOWN}10min{ENTER}", "Wipe off: new step.")
        terminal.press(pasted("Plane 1h\rRound over, 20min, host"), "round-over: 20min")
        written(ENTER, "Folding bench: 2 new steps.")
        terminal.press("M", "Where does Plane go?")
        written(f"{UP}{ENTER}", "Plane: moved, after Glue up.")
        choose(terminal, "p", "New: what must come")
        written(f"Saw blade{ENTER}", "Saw blade: new box.")
        choose(terminal, "t", "New: what is filmed")
        written(f"Dust{ENTER}", "Dust: new shot.")
        select(terminal, "Plane")
        choose(terminal, "w", "Plane waits for ..")
        written(f"walls.wash{DOWN}2h{ENTER}", "Plane: waits for walls.wash gap 2h")
        terminal.press("X", "Remove Plane?")
        written(ENTER, "Plane: removed")

        assert steps(folder) == ["cut", "glue", "wipe-off", "round-over", "set", "sand"]
        answer = check(read_season(folder, clock=NOW)).episode(LAUNDRY)
        assert {"bench.wipe-off", "saw-blade"} <= {row.id for row in answer.steps}
        assert all(line in plan(folder) for line in ("# on a Saturday", "# or three", "# not oak"))
        assert len(set(states)) == len(states)
        take_back(terminal, folder, states)
        assert plan(folder) == EPISODE
    with sitting(folder, 100, 30) as terminal:
        for after in states[1:]:
            terminal.send("U")
            terminal.wait(lambda text=after: plan(folder) == text, "one change written again")


def test_on_80_by_24_too_and_what_is_pasted_never_reaches_the_terminal_as_codes(tmp_path):
    folder = season(tmp_path)
    states = [plan(folder)]
    with sitting(folder, 80, 24) as terminal:
        select(terminal, "Glue up")
        terminal.press("E", "Step of Folding bench")
        terminal.press(EMPTY + pasted(EVIL), "[bold]x[/bold]")
        terminal.press(ENTER, "Written:")
        states.append(plan(folder))
        assert tomllib.loads(plan(folder))["job"][0]["step"][1]["title"] == EVIL
        choose(terminal, "s", "New step of Folding bench")
        terminal.press(f"Wipe{DOWN}{DOWN}10min{ENTER}", "Written: Wipe: new step.")
        states.append(plan(folder))
        terminal.press("?", "Everywhere")
        for shown in ("E  ", "i  ", "M  ", "X  "):
            while f" {shown}" not in terminal.text:
                before = terminal.text
                terminal.send(DOWN)
                terminal.wait(lambda old=before: terminal.text != old, f"the key {shown}")
        terminal.send("q")
        terminal.wait(lambda: "Everywhere" not in terminal.text, "the page again")
        take_back(terminal, folder, states)
        assert plan(folder) == EPISODE
    assert b"\xc2\x9b" not in terminal.raw
    assert "\u202e".encode() not in terminal.raw
    assert "\u200b".encode() not in terminal.raw
