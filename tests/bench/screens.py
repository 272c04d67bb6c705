"""What a key costs on the screens, seen from outside: a pseudo-terminal, keys in, bytes out.

    python -m tests.bench screens

Bars: the first picture of the demo at most half a second after that of an empty app of the same
library, timed in turn with it; a key on a band of 300 rows drawn within 50 ms, and an arrival moved
in a season of 150 steps answered within 100 ms, each in 95 of 100 presses. Times are those of this
machine under its load.
"""

import select
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from episodes.commands.demo import write_demo
from tests.screens.terminal import Terminal

DOWN, RIGHT, LEFT = "\x1b[B", "\x1b[C", "\x1b[D"
QUIET = 0.05
"""Seconds without a byte after which a picture is taken for drawn."""
EMPTY = """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("EMPTY APP")
Empty(ansi_color=True).run()
"""
STUDIO = """
name = "Bench"
timezone = "America/Chicago"
release = { on = "first friday" }
as_of = 2027-03-01T08:00:00
[[person]]
id = "host"
hours = { mon-fri = ["17:00-22:00"], sat-sun = ["08:00-18:00"] }
[[person]]
id = "builder"
hours = { mon-fri = ["17:00-22:00"], sat-sun = ["08:00-18:00"] }
[[carrier]]
id = "post"
days = "mon-sat"
"""


def write_season(folder: Path, steps: int) -> None:
    """One room of that many steps in jobs of ten, a box for each job."""
    lines = ['title = "Bench room"', "release = 2027-12-03"]
    for job in range(steps // 10):
        lines += [
            "[[parcel]]", f'id = "box-{job}"', f'title = "Box {job}"', 'carrier = "post"',
            f'lead = "{job % 9 + 2} workdays"',
            "[[job]]", f'id = "job-{job}"', f'title = "Piece {job}"',
            f'who = ["{("host", "builder")[job % 2]}"]',
        ]  # fmt: skip
        for step in range(10):
            after = f', after = ["box-{job}"]' if not step else ""
            lines.append(
                f'[[job.step]]\nid = "s{step}"\ntitle = "Step {step}"\nhands = "45min"'
                + after.replace(", ", "\n")
            )
    (folder / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (folder / "2027-12-bench.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")


def drawn(terminal: Terminal) -> float:
    """Reads until nothing more comes; the moment of the last byte."""
    last = perf_counter()
    while select.select([terminal._leader], [], [], QUIET)[0]:
        terminal._read(last + 60)
        last = perf_counter()
    return last


def pressed(terminal: Terminal, key: str) -> tuple[float, float]:
    """Seconds from a key to the first and to the last byte that it draws."""
    began = perf_counter()
    terminal.send(key)
    select.select([terminal._leader], [], [], 10)
    first = perf_counter()
    return first - began, max(drawn(terminal), first) - began


def answered(terminal: Terminal, key: str) -> float:
    """Seconds from a key to another verdict, counted out, on the line of the verdict."""
    before = terminal.rows[1].split("  odds")[0]
    began = perf_counter()
    terminal.send(key)

    def another() -> bool:
        now = terminal.rows[1]
        return "counting" not in now and now.split("  odds")[0] != before

    terminal.wait(another, "another verdict")
    took = perf_counter() - began
    drawn(terminal)
    return took


def first_picture(argv: list[str], text: str) -> float:
    began = perf_counter()
    with Terminal(argv, width=100, height=30) as terminal:
        terminal.wait_for(text)
        return perf_counter() - began


def on(folder: Path) -> Terminal:
    return Terminal(["-m", "episodes", "--season", str(folder)], width=100, height=30)


def p95(values: list[float]) -> float:
    return quantiles(values, n=20)[-1]


def row(name: str, values: list[float], bar: float) -> dict[str, Any]:
    """A row of the table: the median beside the 95th percentile that the bar is for."""
    high = p95(values)
    return {
        "what": f"{name}, 95th percentile (median {median(values) * 1000:.0f} ms)",
        "seconds": high,
        "value": round(high * 1000),
        "bar": f"<= {bar * 1000:.0f} ms",
    }


def keys_on_the_band(folder: Path) -> list[tuple[str, list[float], float]]:
    write_season(folder, 300)
    with on(folder) as terminal:
        terminal.wait_for("RELEASES")
        terminal.press("2", "release")
        terminal.press("f", "Box 11")
        drawn(terminal)
        down = [pressed(terminal, DOWN)[1] for _ in range(100)]
        page = [pressed(terminal, "\x1b[6~")[1] for _ in range(10)]
        step = [pressed(terminal, key)[1] for key in (RIGHT, LEFT) * 20]
        zoom = [pressed(terminal, key)[1] for key in "+-" * 10]
    return [
        ("band of 300 rows: down", down, 0.05), ("band: a page down", page, 0.05),
        ("band: step along a line", step, 0.05), ("band: zoom", zoom, 0.05),
    ]  # fmt: skip


def keys_at_the_door(folder: Path) -> list[tuple[str, list[float], float]]:
    write_season(folder, 150)
    with on(folder) as terminal:
        terminal.wait_for("RELEASES")
        terminal.press("3", "comes to the door")
        drawn(terminal)
        moved = [pressed(terminal, key)[1] for key in (RIGHT, LEFT) * 25]
        terminal.send("G")
        drawn(terminal)
        verdicts = [answered(terminal, RIGHT if turn % 2 else LEFT) for turn in range(40)]
    return [
        ("door, 150 steps: key to all drawn", moved, 0.1),
        ("door, 150 steps: key to another verdict", verdicts, 0.1),
    ]


def measure() -> list[dict[str, Any]]:
    """First picture, keys on the band, keys at the door."""
    with TemporaryDirectory() as name:
        demo = Path(name) / "demo"
        write_demo(demo)
        pairs = [
            (
                first_picture(["-m", "episodes", "--season", str(demo)], "RELEASES"),
                first_picture(["-c", EMPTY], "EMPTY APP"),
            )
            for _ in range(7)
        ]
    ours, empty = (min(times) for times in zip(*pairs, strict=True))
    found: list[dict[str, Any]] = [
        {
            "what": f"first picture over an empty app ({ours:.2f} s and {empty:.2f} s)",
            "seconds": ours - empty,
            "value": round((ours - empty) * 1000),
            "bar": "<= 500 ms",
        }
    ]
    for part in (keys_on_the_band, keys_at_the_door):
        with TemporaryDirectory() as name:
            found += [row(*each) for each in part(Path(name))]
    return found
