"""Draws the pictures of the documentation: the screen on the demo season, by the app itself.

Run from the project's folder after the screens or the demo have changed:

    .venv/bin/python docs/picture.py

`docs/screen.svg` is the picture of README, `docs/pictures/` has a page each. Nothing in them points
outside.
"""

import asyncio
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from episodes.files.reading import read_season
from episodes.screens.app import EpisodesApp
from episodes.screens.engine import SeasonEngine
from episodes.screens.facts import SeasonFiles
from episodes.screens.picture import svg_of

HERE = Path(__file__).parent
DEMO = HERE.parent / "episodes" / "demo"
ROOM = "2027-05-home-office"
PAGES: dict[str, tuple[str, ...]] = {
    "screen.svg": ("2",),
    "pictures/tonight.svg": (),
    "pictures/door.svg": ("3", "G", "k", "k", "k", "k", "k", "k", "k", "k", "k"),
    "pictures/ways-out.svg": ("4", "space"),
    "pictures/next-room.svg": ("6",),
    "pictures/load.svg": ("8",),
}
"""Files and the keys that are pressed before the picture is taken."""


class AtOnce:
    """Long questions answered where they are asked: a picture can wait."""

    def __init__(self) -> None:
        self.app: EpisodesApp | None = None

    def ask(
        self,
        name: str,
        question: Callable[[], object],
        then: Callable[[object], None],
        *,
        after: float = 0.0,
        urgent: bool = True,
    ) -> None:
        answer = question()
        assert self.app is not None
        self.app.call_later(then, answer)

    def close(self) -> None:
        """Nothing goes on."""


def draw(folder: Path, keys: tuple[str, ...]) -> str:
    """The screen after these keys as an SVG, fonts left to whoever shows it."""
    season = read_season(folder, clock=0)
    files = SeasonFiles(folder, lambda: season.now, now=None, held=season.now)
    engine = SeasonEngine(season, folder)
    errands = AtOnce()
    app = EpisodesApp(engine, files, reload=lambda: engine, room=ROOM, errands=errands)
    errands.app = app
    picture = asyncio.run(svg_of(app, keys))
    return "\n".join(line.rstrip() for line in picture.splitlines()) + "\n"


def main() -> None:
    """Draws the pictures from a copy of the demo, which stays as it is."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "friday"
        shutil.copytree(DEMO, folder)
        for name, keys in PAGES.items():
            file = HERE / name
            file.parent.mkdir(exist_ok=True)
            file.write_text(draw(folder, keys), encoding="utf-8")


if __name__ == "__main__":
    main()
