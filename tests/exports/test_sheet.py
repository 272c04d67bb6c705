"""The sheet: what it says, that it stands alone, and that no title can do anything in it."""

import re
from base64 import b64encode
from dataclasses import replace
from hashlib import sha256
from html import escape
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings

from episodes.answers.sheet import SheetAnswer, next_room, sheet
from episodes.exports.band_svg import band_file, band_svg
from episodes.exports.safe_text import clean
from episodes.exports.sheet.page import sheet_page
from episodes.exports.sheet.tables import is_address
from episodes.model.season import Season
from tests.exports.calendar_answers import ANY_TEXT
from tests.reference.html_page import Page
from tests.small_season import season

ROOM = "2027-04-test"
EPISODE = """
title = "{title}"
[[parcel]]
id = "boards"
title = "{title} boards"
lead = "3d"
cost = 210
link = "{link}"
note = "Look along each stick. Cut 2 x 900 + 600 mm; 1 x 450 + 450 mm. No returns."
[[parcel]]
id = "hooks"
lead = "9d"
[[job]]
id = "bench"
title = "{title} bench"
  [[job.step]]
  id = "cut"
  title = "{title} cut"
  hands = "5h"
  does = ["sawing"]
  makes = ["dust", "noise"]
  caution = "{title} bites"
  note = "{title} note"
  [[job.step]]
  id = "seal"
  hands = "1h"
  coat = "house-blend"
  dries = {{ touch = "30min", recoat = "2h", handle = "1d" }}
  after = ["cut"]
  [[job.step]]
  id = "fit"
  hands = "1h"
  after = ["seal", "boards", "hooks"]
[[shot]]
id = "raw"
title = "{title} raw"
of = "bench.cut"
hands = "20min"
once = true
light = "day"
[[shot]]
id = "run"
title = "Saw, camera left running"
of = "bench.fit"
when = "during"
who = []
"""
HOURS = 'daily = ["08:00-12:00", "18:00-21:30"]'


def room(title: str = "Folding", link: str = "https://example.org/boards?a=1&b=2") -> Season:
    quoted = [text.replace("\\", "\\\\").replace('"', '\\"') for text in (title, link)]
    written = EPISODE.format(title=quoted[0], link=quoted[1])
    return season(written, hours=HOURS, as_of="2027-03-01T07:30:00")


@pytest.fixture(scope="module")
def answer() -> SheetAnswer:
    return sheet(room(), ROOM)


@pytest.fixture(scope="module")
def page(answer: SheetAnswer) -> Page:
    return Page(sheet_page(answer))


def section(page: Page, id: str) -> str:
    (found,) = [
        part for part in page.all("section") if part.attributes.get("aria-labelledby") == id
    ]
    return found.words


def test_the_page_has_no_fault(page: Page) -> None:
    assert page.faults == []


def test_it_begins_with_the_room_and_the_sentence(page: Page) -> None:
    (header,) = page.all("header")
    assert header.words.startswith("Folding Folding meets Fri 2 Apr 09:00 with ")
    assert header.words.endswith("As of Mon 1 Mar 2027 07:30, UTC.")


def test_the_week_is_told_by_person_and_day_with_what_can_hurt(page: Page) -> None:
    week = section(page, "week")
    assert "Mon 1 Mar to Sun 7 Mar host" in week
    assert "Mon 1 Mar 08:00-12:00 Folding bench: Folding cut (1 of 2) room" in week
    assert "18:00-19:00 Folding bench: Folding cut (2 of 2)" in week
    assert "Folding note Caution: 1 , 2 , 3" in week
    cautions = section(page, "cautions")
    assert cautions.startswith("Cautions 1 Folding bites (Folding bench: Folding cut)")
    assert "licensed practice come first" in cautions


def test_a_camera_left_running_runs_by_itself(answer: SheetAnswer) -> None:
    far = Page(sheet_page(sheet(room(), ROOM, days=14)))
    assert "Runs by itself" in section(far, "week")
    assert "Saw, camera left running" in section(far, "week")
    assert [week.id for week in answer.people] == ["host"]


def test_what_dries_is_left_alone_until_its_end(page: Page) -> None:
    assert "Leave alone seal: dries: until " in section(page, "week")


def test_orders_say_by_when_and_the_link_can_be_followed(page: Page) -> None:
    orders = section(page, "orders")
    assert re.search(r"\w{3} \d+ Mar \d\d:\d\d Folding boards ordered now it comes ", orders)
    links = [link.attributes["href"] for link in page.all("a")]
    assert "https://example.org/boards?a=1&b=2" in links


def test_shots_say_their_light_and_when_they_are_gone(page: Page) -> None:
    shots = section(page, "shots")
    assert "by daylight, taken as 09:00-16:00; gone when this starts: Folding bench: seal" in shots


def test_the_cut_list_is_taken_from_the_parcels_note_and_the_rest_stays_a_note(
    page: Page, answer: SheetAnswer
) -> None:
    assert section(page, "cuts").endswith("2 x 900 + 600 mm 1 x 450 + 450 mm")
    (boards,) = [line for line in answer.shopping if line.order.row.id == "boards"]
    assert boards.note == "Look along each stick. No returns."
    assert "2 things, 210, 1 price not known" in section(page, "shopping")


def test_products_still_to_put_on_are_counted_with_their_steps(page: Page) -> None:
    assert "1 coat house-blend Folding bench: seal" in section(page, "coats")


def test_the_page_may_run_and_fetch_nothing_and_its_style_is_named_by_digest(
    answer: SheetAnswer,
) -> None:
    text = sheet_page(answer)
    page = Page(text)
    policies = [
        meta.attributes["content"]
        for meta in page.all("meta")
        if meta.attributes.get("http-equiv") == "Content-Security-Policy"
    ]
    (style,) = page.all("style")
    digest = b64encode(sha256(style.text.encode()).digest()).decode()
    assert policies == [
        f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    ]
    assert "url(" not in style.text
    assert "@import" not in style.text
    addresses = set(re.findall(r"(?:https?:)?//[^\s\"<]+", text))
    assert addresses == {
        "http://www.w3.org/2000/svg",
        "https://example.org/boards?a=1&amp;b=2",
    }


def test_the_same_answer_gives_the_same_bytes(answer: SheetAnswer) -> None:
    assert sheet_page(answer) == sheet_page(sheet(room(), ROOM))


def test_days_are_as_many_as_asked_for() -> None:
    two = sheet(room(), ROOM, days=2)
    assert two.end - two.start == 2 * 1440
    assert all(each.start < two.end for week in two.people for each in week.sittings)


def test_the_next_room_is_the_nearest_that_is_not_out() -> None:
    planned = room()
    assert next_room(planned) == ROOM
    out = replace(planned.episodes[0], released=planned.now - 60)
    assert next_room(replace(planned, episodes=(out,))) is None
    late = replace(planned.episodes[0], release=planned.now - 60)
    assert next_room(replace(planned, episodes=(late,))) == ROOM


# ------------------------------------------------------------------ hostile texts

HOSTILE = [
    "<script>document.title='run'</script>",
    "</title><script>document.title='run'</script>",
    "</style><script>document.title='run'</script>",
    '"><img src=x onerror="document.title=1">',
    "'-alert(1)-'{{ 7*7 }}{% raw %}",
    "<!-- --!><svg onload=alert(1)>",
    "]]><script>1</script><![CDATA[",
    "&lt;b&gt; &#60;script&#62;",
    "\\u202eevil\\u200b\\u0000\\u001b[31m",
]
"""As a TOML string's inside; `\\u` escapes are TOML's."""


@pytest.mark.parametrize("title", HOSTILE)
def test_a_hostile_title_is_text_and_nothing_else(title: str) -> None:
    toml = title.replace('"', '\\"')
    written = EPISODE.format(title=toml, link="javascript:alert(1)")
    planned = season(written, hours=HOURS, as_of="2027-03-01T07:30:00")
    text = sheet_page(sheet(planned, ROOM))
    page = Page(text)
    assert page.faults == []
    assert clean(planned.episodes[0].title).strip() in page.all("h1")[0].text
    assert "49" not in page.all("h1")[0].text
    assert not re.search(r"<(script|img)", text)
    ET.fromstring(band_svg(*(lambda one: (one.check, one.episode))(sheet(planned, ROOM))))


@settings(max_examples=12)
@given(ANY_TEXT)
def test_no_title_breaks_the_page_or_the_picture(text: str) -> None:
    base = _BASE[0]
    episode = base.episode
    steps = tuple(replace(row, title=text, note=text, cautions=(text,)) for row in episode.steps)
    parcels = tuple(replace(row, title=text, link=text) for row in episode.parcels)
    jobs = tuple((id, text) for id, _ in episode.jobs)
    hostile = replace(
        episode, title=text or "x", steps=steps, parcels=parcels, jobs=jobs, problems=()
    )
    answer = replace(base, check=replace(base.check, episodes=(hostile,)), episode=hostile)
    page = Page(sheet_page(answer))
    assert [fault for fault in page.faults if "WCAG 2.4" not in fault] == []
    ET.fromstring(band_file(answer.check, hostile).encode())


_BASE = [sheet(room(), ROOM)]


@pytest.mark.parametrize(
    ("link", "followed"),
    [
        ("https://example.org/a", True),
        ("http://example.org", True),
        ("javascript:alert(1)", False),
        ("JaVaScRiPt:alert(1)", False),
        ("java\nscript:alert(1)", False),
        ("data:text/html,<script>1</script>", False),
        ("//example.org", False),
        ("http://", False),
        ("https://exa mple.org", False),
        ("http://[", False),
        ("file:///etc/passwd", False),
        ("", False),
    ],
)
def test_only_an_address_of_the_web_can_be_followed(link: str, followed: bool) -> None:
    assert is_address(link) is followed


def test_a_link_that_cannot_be_followed_is_shown_as_text() -> None:
    text = sheet_page(sheet(room(link="javascript:alert(1)"), ROOM))
    assert escape("javascript:alert(1)") in text
    assert Page(text).faults == []


# ------------------------------------------------------------------ the picture

SVG = "{http://www.w3.org/2000/svg}"


def test_the_picture_has_a_row_a_piece_and_says_in_words_what_it_shows(answer: SheetAnswer) -> None:
    root = ET.fromstring(band_file(answer.check, answer.episode).encode())
    labels = [text.text for text in root.iter(f"{SVG}text") if text.get("x") == "4"]
    assert labels == ["Folding bench", "Filming", "Folding boards", "hooks"]
    desc = root.find(f"{SVG}desc")
    assert desc is not None
    assert "The release is Fri 2 Apr 09:00. Folding bench: Mon 1 Mar 08:00 to " in str(desc.text)


def test_textures_are_patterns_and_height_tells_what_decides(answer: SheetAnswer) -> None:
    root = ET.fromstring(band_svg(answer.check, answer.episode))
    fills = {shape.get("fill") for shape in root.iter() if shape.get("fill")}
    assert {"#000", "url(#band-drying)", "url(#band-coming)"} <= fills
    colours = {fill for fill in fills if not str(fill).startswith("url(")}
    # Black, white and nothing between: it prints as it is seen.
    assert colours == {"#000", "#fff"}
    heights = {
        float(shape.get("height", "0"))
        for shape in root.iter(f"{SVG}rect")
        if shape.get("fill") == "#000" and float(shape.get("y", "0")) > 1
    }
    assert {19.0, 9.5} <= heights


def test_each_stretch_lies_where_its_time_is(answer: SheetAnswer) -> None:
    root = ET.fromstring(band_svg(answer.check, answer.episode))
    # A day is a day wherever it stands: no zone without clock changes has others.
    lines = sorted(
        float(line.get("x1", "0"))
        for line in root.iter(f"{SVG}line")
        if line.get("stroke") == "#bbb"
    )
    gaps = {round(later - earlier, 0) for earlier, later in pairwise(lines)}
    assert len(gaps) == 1
    (release,) = [
        float(line.get("x1", "0"))
        for line in root.iter(f"{SVG}line")
        if line.get("stroke-width") == "4"
    ]
    for shape in root.iter(f"{SVG}rect"):
        if shape.get("fill") == "#000" and float(shape.get("x", "0")) > 190:
            assert float(shape.get("x", "0")) < release + 30
