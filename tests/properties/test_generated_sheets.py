"""Seasons made up by a seed, on paper: a page and a picture without a fault, whatever the plan.

`EPISODES_SEASONS=500` looks at more seasons, and larger ones.
"""

import os
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from episodes.answers.sheet import sheet
from episodes.exports.band_svg import band_file
from episodes.exports.sheet.page import sheet_page
from episodes.files.reading import read_season
from tests.asking import MATERIALS
from tests.reference import generate, referee
from tests.reference.html_page import Page

PRODUCTS = referee.products(MATERIALS)
MANY = int(os.environ.get("EPISODES_SEASONS", "0"))
SIZES = (8, 15, 25, 40, 80, 150) if MANY else (8, 14)


@pytest.mark.parametrize("seed", range(MANY or 4))
def test_a_generated_room_has_a_sheet_with_every_sitting_on_it(seed: int, tmp_path: Path) -> None:
    folder = generate.write(200 + seed, SIZES[seed % len(SIZES)], tmp_path / "season", PRODUCTS)
    season = read_season(folder, clock=0)
    for episode in season.episodes:
        answer = sheet(season, episode.id, days=1 + 9 * (seed % 3))
        page = Page(sheet_page(answer))
        assert page.faults == []
        (week,) = [
            part for part in page.all("section") if part.attributes.get("aria-labelledby") == "week"
        ]
        boxes = [span for span in week.all("span") if span.attributes.get("class") == "box"]
        assert len(boxes) == sum(len(person.sittings) for person in answer.people)
        ET.fromstring(band_file(answer.check, answer.episode).encode())
