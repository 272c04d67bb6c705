"""Finding anything by typing; every command by name; looks that say the same in other colours."""

from collections.abc import Iterator

import pytest

from episodes.screens.looks import LOOK, LOOKS
from episodes.screens.picker import Choice, narrowed
from tests.screens.stand import SIZES, stand


@pytest.fixture(autouse=True)
def terminal_s_own() -> Iterator[None]:
    yield
    LOOK.choose("terminal")


@pytest.mark.parametrize("size", SIZES)
async def test_a_row_is_found_by_a_part_of_its_name_and_opened_where_it_is_shown_best(size):
    async with stand(size=size) as app:
        for typed, page, id in (
            ("tiles", "door", "tiles"),
            ("raw jo", "camera", "raw-joints"),
            ("cut par", "runup", "bench.cut"),
            ("porch", "runup", None),
        ):
            await app.press("slash", *[key if key != " " else "space" for key in typed], "enter")
            assert app.app.page.name == page
            if id:
                assert app.app.page.target().id == id
        assert "Porch" in app.head


async def test_what_is_not_there_is_said_and_escape_goes_nowhere():
    async with stand() as app:
        before = app.text
        text = await app.press("slash", "x", "y", "z")
        assert 'nothing holds "xyz"' in text
        await app.press("enter", "backspace", "backspace", "backspace")
        assert "Cover the floor" in app.text
        assert await app.press("escape") == before


async def test_every_command_is_in_the_palette_by_what_it_does_and_runs_from_there():
    async with stand() as app:
        await app.press("ctrl+p", *"page: door", "enter")
        assert app.app.page.name == "door"
        await app.press("colon", *"calendar file", "enter")
        assert app.notes.calendar is not None
        choices = {key.text for key in app.app.all_keys() if key.text}
        await app.press("ctrl+p")
        picker = app.app.screen
        shown = {choice.text.casefold() for choice in picker.choices}
        assert {text.casefold() for text in choices} <= shown


async def test_a_click_chooses_a_row():
    async with stand() as app:
        await app.press("ctrl+p")
        row = next(y for y, text in enumerate(app.rows) if "Page: Camera" in text)
        await app.pilot.click(offset=(10, row))
        await app.settle()
        assert app.app.page.name == "camera"


async def test_each_look_draws_the_same_text():
    async with stand() as app:
        before = (await app.press("2")).splitlines()[:-4]
        for name in LOOKS:
            await app.press("ctrl+p", *f"look: {name}", "enter")
            assert LOOK.name == name
            assert app.text.splitlines()[:-4] == before
            colours = {
                (segment.style.color, segment.style.bgcolor)
                for strip in app.app.screen._compositor.render_strips()
                for segment in strip
                if segment.style and segment.text.strip()
            }
            named = {colour.name for pair in colours for colour in pair if colour is not None}
            if name == "monochrome":
                assert not named & {"cyan", "yellow"}
            if name.endswith(("black", "white")):
                assert {"#ffffff", "#000000"} <= named
                assert not any(
                    segment.style.dim
                    for strip in app.app.screen._compositor.render_strips()
                    for segment in strip
                    if segment.style
                )


def test_words_that_begin_with_what_is_typed_come_first():
    rows = [
        Choice("Resand the top", 1), Choice("Tiles", 2, "sandstone"), Choice("Sand", 3),
        Choice("Oil", 4),
    ]  # fmt: skip
    assert [each.value for each in narrowed(rows, "sand")] == [3, 1, 2]
    assert [each.value for each in narrowed(rows, "sand top")] == [1]
    assert [each.value for each in narrowed(rows, " ")] == [1, 2, 3, 4]
