"""A program killed at random moments of saving: every file is the old one or the new one, whole."""

import os
import random
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from dataclasses import dataclass
from pathlib import Path

from episodes.files import journal
from tests.reliability.bombs import EPISODE, NAME, season

WRITER = """
import sys
from pathlib import Path
from episodes.files.editing import set_fact
import episodes.files.reading
folder, first = Path(sys.argv[1]), int(sys.argv[2])
for number in range(first, first + 100_000):
    set_fact(folder, "2027-05-hall", "step", "wall.paint", "cost", number, clock=30_200_000)
    if number == first:
        print("ready", flush=True)
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Killed:
    """`torn`: files that were neither; `debris`: temporary files left behind at the end."""

    kills: int
    writes: int
    torn: int
    journal_torn: int
    debris: int


def whole(text: str) -> int | None:
    """The number that the last whole write put into the file; None where it is no whole text."""
    number = None
    if text != EPISODE:
        try:
            number = tomllib.loads(text)["job"][0]["step"][0]["cost"]
        except (tomllib.TOMLDecodeError, KeyError, IndexError):
            return None
    expected = EPISODE if number is None else f"{EPISODE}cost = {number}\n"
    return (number or 0) if text == expected else None


def kill(times: int, seed: int = 1) -> Killed:
    """Start the writer, kill it after a random while, look; again and again."""
    chance = random.Random(seed)
    torn = journal_torn = 0
    last = 0
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "season"
        season(folder)
        for _ in range(times):
            with subprocess.Popen(
                [sys.executable, "-c", WRITER, str(folder), str(last + 1)],
                stdout=subprocess.PIPE,
            ) as writer:
                assert writer.stdout is not None
                writer.stdout.readline()
                time.sleep(chance.uniform(0.0, 0.12))
                os.kill(writer.pid, signal.SIGKILL)
            number = whole((folder / NAME).read_text(encoding="utf-8"))
            if number is None or number < last:
                torn += 1
            else:
                last = number
            changes = journal.changes(folder)
            # The file may be one write ahead of the journal, never behind it.
            if changes and whole(changes[-1].files[-1].after) is None:
                journal_torn += 1
        debris = len([path for path in folder.iterdir() if path.name.startswith(".2027")])
    return Killed(kills=times, writes=last, torn=torn, journal_torn=journal_torn, debris=debris)
