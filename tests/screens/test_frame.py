"""The frame: the verdict is always in sight, at any size, whatever a title holds."""

from dataclasses import replace

import pytest
from rich.cells import cell_len

from episodes.problems import Place, PlanError, Problem
from episodes.screens.errands import Failed
from tests.screens.hand_engine import HandEngine
from tests.screens.season_by_hand import NOW, box_room, laundry, porch, season
from tests.screens.stand import SIZES, stand, with_title

VERDICT = "MEETS, 4 d 20 h to spare"
LONG = "The laundry room that became a drying room, a mud room and a place to sit " * 7
HOSTILE = [
    "\x1b]0;pwned\x07title\x1b[2J\x1b[31m",
    "\x9b31mred\x9c\x0e\x0f",
    "[bold]shouting[/bold] [@click=app.quit]here[/] [/nothing]",
    "line one\nline two\r\nline three\tend",
    "abc\u202egnp.exe\u202c \u2066x\u2069",
    "zero\u200bwidth\u2060\ufeff\u00ad join\u200der",
    "👩‍👩‍👧‍👦 family 🇺🇸 flag 👍🏽",
    "漢字仮名交じりの題名がとても長い" * 4,
    "Z̷̢̢̛̛a̵̡̛l̸̨̛g̴̢̛o̷" * 10,
    "عربي עברית",
    LONG,
    "",
]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("page", list("12345678"))
async def test_the_verdict_is_on_every_page(size, page):
    async with stand(size=size) as app:
        await app.press(page)
        assert app.head.endswith(f"{VERDICT}  93 in 100")
        await app.press("question_mark")
        assert app.head.endswith(f"{VERDICT}  93 in 100")


@pytest.mark.parametrize("width", [60, 62, 70, 80, 97, 140, 300])
async def test_the_room_s_name_is_cut_before_the_verdict_is(width):
    answer = season(replace(laundry(), title=LONG), porch(), box_room())
    async with stand(answer, (width, 24)) as app:
        for page in "12345678":
            await app.press(page)
            assert app.head.endswith(f"{VERDICT}  93 in 100")
            assert all(cell_len(row) <= width for row in app.rows)


@pytest.mark.parametrize("size", [(59, 24), (80, 14), (30, 8), (20, 5), (1, 1)])
async def test_a_screen_too_small_for_the_frame_keeps_the_verdict(size):
    async with stand(size=size) as app:
        for page in "12345678":
            text = await app.press(page)
            assert all(cell_len(row) <= size[0] for row in app.rows)
        if size[0] >= 30:
            assert VERDICT in app.rows[0]
            assert "needs 60x15" in text


async def test_resizing_small_and_back_gives_the_same_screen():
    async with stand() as app:
        for page in "12345678":
            before = await app.press(page)
            await app.pilot.resize_terminal(30, 8)
            assert VERDICT in app.rows[0]
            await app.pilot.resize_terminal(80, 24)
            await app.settle()
            assert app.text == before


async def test_a_wide_and_tall_screen_is_used():
    async with stand(size=(200, 60)) as app:
        await app.press("2")
        assert all(len(row) in range(150, 201) for row in app.rows[5:9])


@pytest.mark.parametrize("title", HOSTILE, ids=range(len(HOSTILE)))
async def test_no_title_acts_on_the_terminal_or_moves_a_column(title):
    async with stand(with_title(season(), title)) as app:
        for keys in (*"87654", "3", "right", "escape", "2", "w", "escape", "f"):
            text = await app.press(keys)
            assert all(char == "\n" or char.isprintable() for char in text)
            assert all(cell_len(row) <= 80 for row in app.rows)
            assert VERDICT in text
        edges = {cell_len(row.partition("▐")[0]) for row in app.rows[5:12]}
        assert edges == {78}


async def test_markup_in_a_title_is_shown_as_it_was_written():
    async with stand(with_title(season(), "[bold]x[/bold]")) as app:
        assert "[bold]x[/bold]" in app.text
        assert "[bold]x[/bold]" in await app.press("2", "w")


async def test_a_click_on_a_tab_opens_its_page():
    async with stand() as app:
        await app.pilot.click("Head", offset=(12, 0))
        await app.settle()
        assert app.app.page.name == "runup"
        await app.pilot.click("Head", offset=(21, 0))
        await app.settle()
        assert app.app.page.name == "door"


async def test_a_second_click_on_a_row_is_enter():
    async with stand() as app:
        line = next(row for row, text in enumerate(app.rows) if "Cover the floor" in text)
        await app.pilot.click("Body", offset=(30, line - 3), times=2)
        await app.settle()
        assert app.app.page.name == "runup"
        assert app.app.page.target().id == "clear.cover"


async def test_ctrl_c_tells_how_to_leave_instead_of_ending_in_the_middle():
    async with stand() as app:
        await app.press("ctrl+c")
        assert app.foot[1] == "q leaves."
        assert app.app.is_running


async def test_a_room_that_is_gone_from_the_files_leaves_the_head_to_the_nearest():
    async with stand(reload=lambda: HandEngine(season(porch(), box_room()))) as app:
        app.notes.dirty = True
        app.app._look()
        await app.settle()
        assert "Porch" in app.head


async def test_tab_turns_the_pages_in_a_ring():
    async with stand() as app:
        seen = []
        for _ in app.app.pages:
            await app.press("tab")
            seen.append(app.app.page.name)
        assert seen == [*list(app.app.pages)[1:], "tonight"]
        await app.press("shift+tab")
        assert app.app.page.name == list(app.app.pages)[-1]


async def test_the_odds_are_never_those_of_another_plan():
    async with stand(hold=["odds"]) as app:
        assert app.head.endswith(f"{VERDICT}  odds ...")
        app.errands.let_go("odds")
        await app.settle()
        assert app.head.endswith(f"{VERDICT}  93 in 100")
        await app.press("3", "right")
        assert app.head.endswith("(TRYING)  odds ...")
        app.errands.let_go("odds")
        await app.settle()
        assert app.head.endswith("(TRYING)  83 in 100")
        await app.press("escape")
        assert app.head.endswith(f"{VERDICT}  93 in 100"), "known already"


async def test_odds_that_cannot_be_counted_are_left_out():
    async with stand(hold=["odds"]) as app:
        app.errands.let_go("odds", Failed("no numpy"))
        await app.settle()
        assert app.head.endswith(VERDICT)


async def test_every_key_of_the_key_line_is_in_the_help_and_does_something():
    async with stand(size=(100, 60)) as app:
        for page in "12345678":
            await app.press(page)
            hints = app.app._hints()
            text = await app.press("question_mark")
            await app.press("escape")
            for shown, _ in hints:
                assert f"│ {shown}" in text, shown


async def test_moving_the_cursor_draws_two_rows_anew_and_keeps_the_others():
    async with stand() as app:
        await app.press("2", "j")
        body = app.app._body
        drawn = []
        draw = type(app.app.page).draw
        app.app.page.draw = lambda row, width: drawn.append(row) or draw(app.app.page, row, width)
        await app.press("j")
        assert sorted(drawn) == [1, 2]
        assert body.page is app.app.page


async def test_a_changed_file_is_read_again_and_a_faulty_one_keeps_the_last_good_answer():
    answers = [HandEngine(season(box_room(), laundry(), porch()))]

    def reload():
        if not answers:
            raise PlanError(
                [
                    Problem(level="error", code="toml", where=Place("studio.toml", 7),
                            text="the line is cut short.", mend="Close the bracket.")
                ]
            )  # fmt: skip
        return answers.pop()

    async with stand(reload=reload) as app:
        app.notes.dirty = True
        app.app._look()
        await app.settle()
        assert app.row("RELEASES").split("›")[1].strip().startswith("Box room")
        app.notes.dirty = True
        app.app._look()
        await app.settle()
        assert (
            "Shown as last read: studio.toml:7: error toml: the line is cut short." in app.foot[1]
        )
        assert app.row("RELEASES").split("›")[1].strip().startswith("Box room")


async def test_the_season_is_read_again_when_the_clock_has_gone_on():
    reads = []

    def reload():
        reads.append(1)
        return HandEngine(season(now=NOW + 6))

    async with stand(reload=reload) as app:
        app.app._look()
        assert not reads
        app.notes.now = NOW + 6
        app.app._look()
        await app.settle()
        assert len(reads) == 1
        assert "Tue 13 Apr 2027 17:36" in app.rows[2]


async def test_what_is_tried_goes_on_being_tried_after_the_files_were_read_again():
    async with stand(reload=lambda: HandEngine()) as app:
        await app.press("3", "right", "right", "right")
        app.notes.dirty = True
        app.app._look()
        await app.settle()
        assert "SLIPS by 1 d (TRYING)" in app.head


async def test_a_fault_of_the_program_ends_it_without_a_traceback():
    class Broken(HandEngine):
        def try_arrivals(self, moved):
            raise KeyError("secret of the plan")

    async def break_it():
        async with stand(engine=Broken()) as app:
            apps.append(app)
            await app.press("3", "right")

    apps = []
    with pytest.raises(KeyError):
        await break_it()
    (app,) = apps
    assert app.app.return_code == 3
    assert app.app._exit_renderables == []
