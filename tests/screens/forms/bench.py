"""A small season on the disk and the screens over it: forms are filled in as a user would."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from textual import events

from episodes.files.reading import read_season
from episodes.screens.app import EpisodesApp
from episodes.screens.engine import SeasonEngine
from episodes.screens.facts import SeasonFiles
from episodes.screens.forms.desk import Desk
from episodes.screens.forms.sheet import FormSheet
from episodes.screens.marks import UNICODE, Marks
from tests.screens.stand import Errands, Notebook, Stand, _event

LAUNDRY = "2027-05-laundry"
NOW = 30_092_460
"""2027-03-20 08:00 in Chicago."""
STUDIO = """\
name = "Rooms"
timezone = "America/Chicago"
as_of = 2027-03-20T08:00:00

[[person]]
id = "host"
title = "Host"
hours = { daily = ["09:00-21:00"] }

[[person]]
id = "builder"
title = "Builder"
hours = { daily = ["09:00-21:00"] }

[[space]]
id = "laundry"
title = "Laundry room"

[[space]]
id = "workshop"
title = "Garage workshop"

[[gear]]
id = "camera"

[[gear]]
id = "clamps"
count = 4

[[carrier]]
id = "post"
title = "Parcel post"
days = "mon-sat"
"""
EPISODE = """\
# The laundry room; boards first.
title = "Laundry room"
room = "laundry"
budget = 900

# ---------------------------------------------------------------- what comes
[[parcel]]
id = "lumber"
title = "Birch boards"   # not oak
carrier = "post"
lead = "3..4..6 workdays"

# ---------------------------------------------------------------- the work
[[job]]
id = "bench"
title = "Folding bench"
who = ["builder"]
where = "workshop"
step = [
  # on a Saturday
  { id = "cut", title = "Cut parts", hands = "2h..3h..6h", after = ["lumber"] }, # or three
  { id = "glue", title = "Glue up", hands = "1h" },
  { id = "set", title = "Glue sets", wait = "12h" },
  { id = "sand", title = "Sand", hands = "1h" },
]

[[job]]
id = "walls"
title = "Walls"
step = [
  { id = "wash", title = "Wash", hands = "1h" },
]

[[shot]]
id = "glue-up"
title = "The glue-up"
of = "bench.glue"
hands = "15min"

[[fallback]]
id = "express"
title = "Pay for express"
cost = 45
parcel = { lumber = "1..1..2 workdays" }
"""


class Bench(Stand):
    """The app over a season's folder."""

    folder: Path

    @property
    def file(self) -> Path:
        return self.folder / f"{LAUNDRY}.toml"

    @property
    def plan(self) -> str:
        return self.file.read_text(encoding="utf-8")

    async def type(self, text: str) -> str:
        """Types text letter by letter, and has it looked at without waiting for the pause."""
        for letter in text:
            self.app._driver.send_message(_event("space" if letter == " " else letter))
        await self.settle()
        await self.looked()
        return self.text

    @property
    def words(self) -> str:
        """What the sheet says, without its frame and line breaks."""
        inner = [row.partition("│")[2].rpartition("│")[0] for row in self.rows if "│" in row]
        return " ".join(" ".join(inner).replace("│", " ").replace(" ! ", " ").split())

    async def looked(self) -> None:
        sheet = self.app.screen
        if isinstance(sheet, FormSheet):
            sheet.look_now()
        await self.settle()

    async def paste(self, text: str) -> str:
        self.app._driver.send_message(events.Paste(text))
        await self.settle()
        await self.looked()
        return self.text

    async def field(self, label: str) -> str:
        """Goes down to a field; its row."""
        sheet = self.app.screen
        assert isinstance(sheet, FormSheet)
        names = [each.field.shown for each in sheet.form.fields]
        for _ in range((names.index(label) - sheet._fields.here) % len(names)):
            self.app._driver.send_message(_event("down"))
        await self.settle()
        return next(row for row in self.rows if f"›{label}" in row)

    async def fill(self, label: str, text: str) -> str:
        """Goes to a field, empties it and types."""
        await self.field(label)
        await self.press("ctrl+u")
        return await self.type(text)

    @property
    def in_form(self) -> bool:
        return len(self.app.screen_stack) > 1

    async def at(self, id: str) -> None:
        """Opens the run-up with the cursor on a row."""
        from episodes.screens.page import Target

        kinds = {"lumber": "parcel", "glue-up": "shot"}
        self.app.go("runup", Target(LAUNDRY, kinds.get(id, "step"), id))
        self.app.paint()
        await self.settle()


def season(folder: Path, **files: str) -> Path:
    """The small season in a folder, with other files by their name without .toml."""
    texts = {"studio": STUDIO, LAUNDRY: EPISODE, **files}
    for name, text in texts.items():
        path = folder / f"{name}.toml"
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(text.encode())
    return folder


@asynccontextmanager
async def bench(
    folder: Path, size: tuple[int, int] = (80, 24), *, marks: Marks = UNICODE
) -> AsyncIterator[Bench]:
    """Opens the screens over a season's folder."""

    def engine() -> SeasonEngine:
        return SeasonEngine(read_season(folder, clock=NOW))

    errands = Errands()
    # Nobody waits for odds here, so they are never counted.
    errands.held |= {"odds", "ways", "ideas"}
    app = EpisodesApp(
        engine(),
        SeasonFiles(folder, lambda: NOW, held=NOW),
        reload=engine,
        marks=marks,
        desk=Desk(folder, lambda: NOW),
        errands=errands,
    )
    errands.app = app
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        stand = Bench(app, pilot, Notebook())
        stand.folder = folder
        yield stand
    if app.broken is not None:
        raise app.broken
