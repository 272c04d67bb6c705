"""A picture of a page as SVG, drawn by the app itself, for the documentation.

`python -m episodes.screens.picture SEASON FILE.svg [KEY ...]` opens the season without a terminal,
presses the keys and draws what is seen then. Nothing in the picture points outside: the fonts that
the library would fetch are left out, the reader's own monospaced one is used.
"""

import asyncio
import re
import sys
from pathlib import Path

from episodes.screens.app import EpisodesApp

SIZE = (100, 30)
_LEFT_OUT = (
    (re.compile(r"@font-face\s*\{[^}]*\}\s*"), ""),
    (re.compile(r"<!--.*?-->\s*", re.DOTALL), ""),
    (re.compile(r"font-family: [^;]*;"), "font-family: monospace;"),
    (re.compile(r"<circle[^>]*/>\s*"), ""),
)
"""What the library draws beside the screen: fonts from elsewhere, remarks, a window's buttons."""


async def svg_of(app: EpisodesApp, keys: tuple[str, ...], size: tuple[int, int] = SIZE) -> str:
    """The page after these keys (Textual's names), as SVG that needs nothing from elsewhere."""
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await pilot.press(*keys)
        await pilot.pause()
        drawn = app.export_screenshot(title="episodes")
    for pattern, instead in _LEFT_OUT:
        drawn = pattern.sub(instead, drawn)
    return drawn


def main(arguments: list[str]) -> int:
    """Writes the picture; the season must name the moment it is read from (`as_of`)."""
    from episodes.files.reading import read_season
    from episodes.screens.engine import SeasonEngine
    from episodes.screens.facts import SeasonFiles

    season_path, file, *keys = arguments
    season = read_season(Path(season_path), clock=0)
    engine = SeasonEngine(season)
    files = SeasonFiles(Path(season_path), lambda: season.now, now=season.now)
    app = EpisodesApp(engine, files, reload=lambda: engine)
    Path(file).write_text(asyncio.run(svg_of(app, tuple(keys))), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
