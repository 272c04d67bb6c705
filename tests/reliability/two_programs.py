"""Two programs writing one season: nothing is lost, and of two edits of one thing one is told."""

import subprocess
import sys
import tempfile
import tomllib
from dataclasses import dataclass
from pathlib import Path

from tests.reliability.bombs import STUDIO

EPISODE = """\
title = "Hall"
[[job]]
id = "wall"
step = [
  { id = "one", hands = "1h" },
  { id = "two", hands = "1h" },
  { id = "both", hands = "1h" },
]
"""
PROGRAM = """
import sys
from pathlib import Path
from episodes.files.editing import ChangedMeanwhileError, set_fact
from episodes.files.saving import texts_of
import episodes.files.reading
folder, step, rounds = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
print("ready", flush=True)
for line in sys.stdin:
    number = int(line)
    seen = texts_of(folder)
    print("seen", flush=True)
    sys.stdin.readline()
    try:
        set_fact(folder, "2027-05-hall", "step", step, "cost", number, clock=30_200_000, seen=seen)
        print("written", flush=True)
    except ChangedMeanwhileError:
        print("told", flush=True)
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounds:
    """`lost`: edits of different things of which one is missing afterwards; `both`: rounds on the
    same thing in which both were written, `neither`: in which none was."""

    rounds: int
    lost: int
    both: int
    neither: int


class _Program:
    def __init__(self, folder: Path, step: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, str(folder), step, "0"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert self.hears() == "ready"

    def says(self, text: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(text + "\n")
        self.process.stdin.flush()

    def hears(self) -> str:
        assert self.process.stdout is not None
        return self.process.stdout.readline().strip()

    def ends(self) -> None:
        self.process.communicate()


def _race(programs: tuple[_Program, _Program], number: int) -> list[str]:
    """Both read, then both write at once; what each said."""
    for at, program in enumerate(programs):
        program.says(str(2 * number + at))
    for program in programs:
        assert program.hears() == "seen"
    for program in programs:
        program.says("go")
    return [program.hears() for program in programs]


def race(rounds: int) -> Rounds:
    """So many rounds on different things, and as many on the same."""
    lost = both = neither = 0
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "studio.toml").write_text(STUDIO, encoding="utf-8")
        path = folder / "2027-05-hall.toml"
        path.write_text(EPISODE, encoding="utf-8")
        apart = (_Program(folder, "wall.one"), _Program(folder, "wall.two"))
        for number in range(1, rounds + 1):
            said = _race(apart, number)
            steps = tomllib.loads(path.read_text(encoding="utf-8"))["job"][0]["step"]
            costs = [step.get("cost") for step in steps[:2]]
            lost += said != ["written", "written"] or costs != [2 * number, 2 * number + 1]
        same = (_Program(folder, "wall.both"), _Program(folder, "wall.both"))
        for number in range(1, rounds + 1):
            said = _race(same, number)
            both += said == ["written", "written"]
            neither += said == ["told", "told"]
        for program in (*apart, *same):
            program.ends()
    return Rounds(rounds=rounds, lost=lost, both=both, neither=neither)
