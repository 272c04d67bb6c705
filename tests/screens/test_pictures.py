"""The pages as plain text, compared with the pictures kept beside this file.

After a wanted change: `EPISODES_NEW_PICTURES=1 python -m pytest tests/screens/test_pictures.py`,
then look at the difference before it is committed.
"""

import os
from pathlib import Path

import pytest

from tests.screens.stand import SIZES, stand

PICTURES = Path(__file__).parent / "pictures"
PAGES = {
    "tonight": (),
    "run-up": ("2", "j", "j", "j", "enter", "right"),
    "camera": ("4",),
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
