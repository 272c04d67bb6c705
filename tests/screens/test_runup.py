"""The run-up: lines read back from the release, taut ones marked, every start with its reason."""

import pytest

from episodes.screens.marks import ASCII
from tests.screens.season_by_hand import BOX_ROOM
from tests.screens.stand import SIZES, stand


@pytest.mark.parametrize("size", SIZES)
async def test_every_piece_has_a_line_and_the_release_is_its_right_edge(size):
    async with stand(size=size) as app:
        await app.press("2")
        for piece in ("Clear the room", "Walls", "Folding bench", "Tiled splash", "Styling"):
            assert app.row(piece).endswith("▐")
        assert app.rows[3].endswith("release▐")
        assert " now " in app.rows[4]


async def test_taut_lines_carry_a_mark_and_slack_ones_none():
    async with stand() as app:
        await app.press("2")
        assert app.row("Walls")[1] == "▌"
        assert app.row("Folding bench")[1] == " "


async def test_the_foot_names_the_row_its_time_and_that_it_is_taut():
    async with stand() as app:
        await app.press("2", "n")
        assert app.foot[0].startswith("Tiles  Tue 13 Apr 17:30 - Tue 20 Apr 18:00")
        assert app.foot[0].endswith("TAUT")


async def test_slack_is_told_on_the_clock_and_in_own_hours():
    async with stand(size=(100, 30)) as app:
        await app.press("2", "j", "j", "j", "enter", "right")
        assert "Folding bench: Glue up" in app.foot[0]
        assert "slack 2 d, 6 h of own hours" in app.foot[0]
        assert app.foot[1] == "Waits for Folding bench: Cut parts to be over."


async def test_a_start_says_in_words_what_it_waited_for():
    async with stand(size=(100, 30)) as app:
        await app.press("2", "j", "j", "right")
        assert "Walls: Coat 1" in app.foot[0]
        assert app.foot[1] == "Waits for the hours of Host."
        await app.press("right")
        assert app.foot[1] == "Waits for Walls: Coat 1 to be over."


async def test_a_caution_is_shown_where_its_step_is():
    async with stand(size=(100, 30)) as app:
        await app.press("2", "j", "j")
        assert "Walls: Sand the walls" in app.foot[0]
        assert "Care: Fine dust" in app.foot[1]


async def test_enter_unfolds_a_piece_into_its_rows_and_folds_it_again():
    async with stand() as app:
        folded = await app.press("2", "j", "j")
        opened = await app.press("enter")
        assert app.row("  Coat 1 dries").rstrip().endswith("▐")
        assert len(opened.splitlines()) == 24
        assert "Coat 1 dries" not in folded
        assert await app.press("enter") == folded


async def test_the_next_taut_row_is_chosen_in_time_and_none_is_left_out():
    async with stand(size=(100, 30)) as app:
        await app.press("2")
        taut = [row.id for row in app.app.sitting.episode().steps if row.critical]
        seen = []
        for _ in taut:
            await app.press("n")
            seen.append(app.app.page.target().id)
        assert sorted(seen) == sorted(taut)
        starts = [app.app.sitting.episode().step(id).start for id in seen]
        assert starts == sorted(starts)
        await app.press("N")
        assert app.app.page.target().id == seen[-2]


async def test_only_taut_lines_are_left_with_c():
    async with stand() as app:
        await app.press("2", "c")
        lines = [row for row in app.rows[5:-4] if row.strip() and "hands" not in row]
        assert lines
        assert all(row[1] == "▌" for row in lines)


async def test_zoom_changes_the_length_of_a_cell_and_stops_at_the_ends():
    async with stand() as app:
        await app.press("2", "n")
        seen = [app.rows[3][2:20].strip()]
        for _ in range(8):
            await app.press("plus")
            seen.append(app.rows[3][2:20].strip())
        assert seen[0] == "a cell = 12 h"
        assert seen[-1] == seen[-2] == "a cell = 15 min"
        assert app.foot[1] == "That is as far as the zoom goes."
        for _ in range(10):
            await app.press("minus")
        assert app.rows[3][2:20].strip() == "a cell = 7 d"
        assert app.foot[1] == "That is as far as the zoom goes."


async def test_the_chosen_row_stays_in_sight_when_zooming_and_stepping():
    async with stand() as app:
        await app.press("2", "n", "plus", "plus", "plus", "plus")
        page = app.app.page
        for _ in range(9):
            await app.press("n")
            start = app.app.sitting.episode().step(page.target().id).start
            assert page._scale().fits(start)


async def test_panning_and_the_keys_for_now_and_release_move_the_band():
    async with stand() as app:
        home = await app.press("2")
        earlier = await app.press("less_than_sign")
        assert earlier != home
        assert await app.press("e") == home
        await app.press("t")
        assert app.rows[4][19:26].strip().startswith("now")


async def test_each_room_has_its_own_run_up():
    async with stand() as app:
        await app.press("2", "r")
        assert "Porch" in app.head
        assert app.row("Porch floor")
        await app.press("R", "R")
        assert "Box room" in app.head
        assert "SLIPS by 1 d 2 h, not proved" in app.head
        assert app.app.sitting.room == BOX_ROOM


async def test_a_click_on_the_band_chooses_the_row_under_it():
    async with stand() as app:
        await app.press("2")
        line = app.rows.index(app.row("Tiled splash"))
        column = app.rows[line].index("█")
        await app.pilot.click("Body", offset=(column, line - 3))
        await app.pilot.pause()
        assert app.foot[0].startswith("Tiled splash: Set the tiles")


async def test_what_other_rooms_take_of_a_person_is_on_the_person_s_line():
    async with stand() as app:
        await app.press("2")
        assert "░" in app.row("Hands: Builder")
        assert "░" not in app.row("Folding bench")


async def test_w_says_everything_about_a_row():
    async with stand(size=(100, 30)) as app:
        await app.press("2", "j", "j", "w")
        for words in ("planned", "earliest", "latest", "slack", "care", "Fine dust", "Why then"):
            assert words in app.text
        assert "MEETS" in app.head
        closed = await app.press("escape")
        assert "Why then" not in closed


async def test_the_ascii_band_has_nothing_but_ascii():
    async with stand(size=(100, 30), marks=ASCII) as app:
        for keys in (["2"], ["enter"], ["plus"], ["c"], ["w"], ["escape", "question_mark"]):
            text = await app.press(*keys)
            assert text.isascii(), [char for char in text if not char.isascii()]


async def test_the_help_says_what_every_shape_of_the_band_stands_for():
    async with stand(size=(100, 60)) as app:
        text = await app.press("2", "question_mark")
        for shape in "█▄╳╱:·◉○╌▁░┊▐▌":
            assert any(row.partition("│")[2].lstrip().startswith(shape) or f" {shape} " in row
                       for row in text.splitlines() if "│" in row), shape  # fmt: skip


async def test_what_is_on_its_way_or_begun_says_so_instead_of_a_reason():
    async with stand(size=(100, 30)) as app:
        await app.press("2", "left", "left", "left")
        assert app.app.page.target().id in ("lumber", "cloth")
        assert app.foot[1] == "On its way."
