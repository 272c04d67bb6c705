"""A small season in a folder, and the command run in this process.

Invented; Chicago, read on Wednesday 14 April 2027 at 18:00. One room that meets its release.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from episodes.cli import run

STUDIO = """\
name = "Second Coat"
timezone = "America/Chicago"
release = { on = "first friday", at = 09:00:00 }
currency = "USD"
as_of = 2027-04-14T18:00:00   # a Wednesday

[[person]]
id = "host"
title = "Host"
hours = { mon-fri = ["18:00-21:30"], sat-sun = ["09:00-17:00"] }

[[person]]
id = "builder"
title = "Builder"
hours = { mon-fri = ["18:00-21:30"], sat-sun = ["09:00-17:00"] }

[[space]]
id = "study"
title = "Study"

[[gear]]
id = "clamps"
title = "Clamps"
count = 6

[[carrier]]
id = "post"
title = "Parcel post"
days = "mon-sat"
cutoff = 14:00:00
"""

EPISODE = """\
title = "Study"
release = "2027-05"
room = "study"
budget = 300

# what must come
[[parcel]]
id = "board"
title = "Oak board"
carrier = "post"
lead = "3 workdays"
cost = 80   # a guess
return_within = "30d"

[[parcel]]
id = "screws"
title = "Screws"
carrier = "post"
lead = "2 workdays"
ordered = 2027-04-08
arrived = 2027-04-10T12:00:00
paid = 6.50

# the work
[[job]]
id = "shelf"
title = "Shelf"
who = ["builder"]
  # parts first
  [[job.step]]
  id = "cut"
  title = "Cut parts"
  hands = "1h..2h..3h"
  after = ["board", "screws"]
  caution = "Wear eye protection."
  [[job.step]]
  id = "glue"
  title = "Glue up"
  hands = "1h"
  gear = { clamps = 4 }
  [[job.step]]
  id = "set"
  title = "Glue sets"
  wait = "12h"
  gear = { clamps = 4 }
  [[job.step]]
  id = "hang"
  title = "Hang it"
  hands = "1h"

[[shot]]
id = "before"
title = "Before: from the door"
of = "shelf"
when = "before"
hands = "20min"
once = true

[[shot]]
id = "reveal"
title = "Reveal"
of = "shelf"
hands = "30min"
"""

STUDY = "2027-05-study"


@dataclass(frozen=True)
class Answer:
    """What a command printed and left with."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        import json

        return json.loads(self.out)


class Desk:
    """A season's folder with a command line beside it."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self._capsys = capsys

    def __call__(self, *words: str, season: bool = True) -> Answer:
        place = ["--season", str(self.folder)] if season else []
        code = run([*words, *place])
        out, err = self._capsys.readouterr()
        return Answer(code, out, err)

    @property
    def file(self) -> Path:
        return self.folder / f"{STUDY}.toml"

    @property
    def text(self) -> str:
        return self.file.read_text(encoding="utf-8")

    def edit(self, old: str, new: str, file: str = f"{STUDY}.toml") -> None:
        path = self.folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
