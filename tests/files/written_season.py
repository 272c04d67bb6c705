"""A season of text that plans are changed on, and what a change did to its lines."""

import difflib
import tomllib
from pathlib import Path

from episodes.files.reading import read_season
from episodes.files.writing import Op, changed
from episodes.model.season import Season

FILE = "2027-05-laundry.toml"
STUDIO = """\
name = "Rooms"
timezone = "America/Chicago"
as_of = 2027-03-20T08:00:00

[[person]]
id = "host"
hours = { daily = ["09:00-21:00"] }

[[space]]
id = "laundry"

[[gear]]
id = "camera"
"""
EPISODE = """\
# The laundry, with love.
title = "Laundry room"
room = "laundry"

# ---------------------------------------------------------------- what comes
[[parcel]]
id = "lumber"   # birch
lead = "3d"

# screws from the corner shop
[[parcel]]
id = "screws"
lead = "1d"

# ---------------------------------------------------------------- the work
# the bench folds
[[job]]
id = "bench"

  # cut on a Saturday
  [[job.step]]
  id = "cut"
  hands = "2h"   # or three
  after = ["lumber", { step = "screws", gap = "2h" }]

  [[job.step]]
  id = "glue"
  hands = "1h"
  # with two people

  # sets overnight
  [[job.step]]
  id = "set"
  wait = "12h"

  [[job.step]]
  id = "sand"
  hands = "1h"

[[job]]
id = "paint"
after = ["bench.cut"]
step = [
  # white
  { id = "coat-1", hands = "1h" }, # first
  { id = "coat-2", hands = "1h", after = ["coat-1", { step = "bench.glue", gap = "2h" }] }, # last
]

[[shot]]
id = "glue-up"
of = "bench.glue"
hands = "10min"

[[fallback]]
id = "quick"
drop = ["bench.sand", "bench.glue"]
hands = { "bench.cut" = "1h" }
"""
PORCH = """\
[[job]]
id = "deck"
step = [{ id = "lay", hands = "2h", after = ["2027-05-laundry:bench.glue"] }, { id = "oil", \
wait = "1h" }]
"""


TEXTS = {"studio.toml": STUDIO, FILE: EPISODE, "2027-06-porch.toml": PORCH}


def read(texts: dict[str, str]) -> Season:
    folder = Path("/season-that-is-nowhere")
    return read_season(
        folder / "studio.toml", clock=0, overrides={folder / n: t for n, t in texts.items()}
    )


def lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines gone and lines come."""
    rows = list(difflib.ndiff(before.splitlines(keepends=True), after.splitlines(keepends=True)))
    return [r[2:] for r in rows if r[0] == "-"], [r[2:] for r in rows if r[0] == "+"]


def of_file(texts: dict[str, str], *ops: Op) -> tuple[list[str], list[str]]:
    """What the changes do to the lines of the episode; the season is read with them."""
    after = changed(texts, FILE, ops)
    read(after)
    return lines(texts[FILE], after[FILE])


def ids(text: str, job: int) -> list[str]:
    return [step["id"] for step in tomllib.loads(text)["job"][job]["step"]]
