"""The pages as plain text, compared with the pictures kept beside this file.

After a wanted change: `EPISODES_NEW_PICTURES=1 python -m pytest tests/screens/test_pictures.py`,
then look at the difference before it is committed.
"""

import os
import re
from pathlib import Path

import pytest

from episodes.screens.app import EpisodesApp
from episodes.screens.picture import svg_of
from tests.screens.hand_engine import HandEngine
from tests.screens.stand import SIZES, Notebook, stand

PICTURES = Path(__file__).parent / "pictures"
PAGES = {
    "tonight": (),
    "run-up": ("2", "j", "j", "j", "enter", "right"),
    "camera": ("5",),
    "ways-out": ("2", "R", "4", "space"),
    "next-room": ("6",),
    "look-back": ("7",),
    "load": ("8",),
    "find": ("slash", "b", "o"),
    "palette": ("3", "ctrl+p"),
    "door": ("3", "right", "right", "right"),
}


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("page", PAGES)
async def test_the_page_looks_as_in_its_picture(page, size):
    async with stand(size=size) as app:
        text = await app.press(*PAGES[page]) + "\n"
    picture = PICTURES / f"{page}-{size[0]}x{size[1]}.txt"
    if os.environ.get("EPISODES_NEW_PICTURES"):
        picture.parent.mkdir(exist_ok=True)
        picture.write_text(text, encoding="utf-8")
    assert text == picture.read_text(encoding="utf-8")


async def test_the_picture_for_the_documentation_fetches_nothing_from_anywhere():
    engine = HandEngine()
    app = EpisodesApp(engine, Notebook(), reload=lambda: engine)
    svg = await svg_of(app, ("2",))
    assert "Folding" in svg
    assert set(re.findall(r"https?://[^\"\s)]+", svg)) == {"http://www.w3.org/2000/svg"}
    assert "@import" not in svg
    assert "url(" not in re.sub(r"url\(#[\w-]+\)", "", svg)
