"""Draws `docs/screen.svg`: the screen on the demo season, by the app itself.

Run from the project's folder after the screens or the demo have changed:

    .venv/bin/python docs/picture.py
"""

import asyncio
import re
import shutil
import tempfile
from pathlib import Path

from episodes.files.reading import read_season
from episodes.screens.app import EpisodesApp
from episodes.screens.engine import SeasonEngine
from episodes.screens.facts import SeasonFiles

HERE = Path(__file__).parent
DEMO = HERE.parent / "episodes" / "demo"
SIZE = (100, 30)
KEYS = ("2",)
"""Pressed before the picture is taken."""


async def draw(folder: Path) -> str:
    """The screen as an SVG, fonts left to whoever shows it."""
    season = read_season(folder, clock=0)
    files = SeasonFiles(folder, lambda: season.now, now=None, held=season.now)
    app = EpisodesApp(
        SeasonEngine(season), files, reload=lambda: SeasonEngine(season), room="2027-05-home-office"
    )
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        for key in KEYS:
            await pilot.press(key)
            await pilot.pause()
        picture = app.export_screenshot(title="episodes")
    # The export names fonts on some server and itself; any monospaced font will do.
    picture = re.sub(r"<!--.*?-->\s*", "", picture, flags=re.DOTALL)
    picture = re.sub(r"@font-face \{.*?\}\s*", "", picture, flags=re.DOTALL)
    return re.sub(r"Fira Code", "ui-monospace, Menlo, Consolas", picture)


def main() -> None:
    """Draws the picture from a copy of the demo, which stays as it is."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "friday"
        shutil.copytree(DEMO, folder)
        picture = asyncio.run(draw(folder))
    lines = [line.rstrip() for line in picture.splitlines()]
    (HERE / "screen.svg").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
