"""Next room, Look back, Load: lists over answers worked out elsewhere."""

import pytest

from episodes.screens.errands import Failed
from tests.screens.season_by_hand import LAUNDRY
from tests.screens.stand import SIZES, stand

NEXT, BACK, LOAD = "6", "7", "8"


@pytest.mark.parametrize("size", SIZES)
async def test_ideas_stand_side_by_side_with_release_odds_hours_and_money(size):
    async with stand(size=size) as app:
        await app.press(NEXT)
        row = app.row("Back hall")
        for text in ("Fri 6 Aug", "91 in 100", "42 h", "610 USD"):
            assert text in row
        assert "none" in app.row("Loft")
        assert app.foot[0].startswith("Can be out Fri 6 Aug 09:00 with 6 d to spare.")
        assert app.foot[1] == "What holds it back most: Tiles, Tue 20 Jul 18:00."
        text = await app.press("w")
        assert "slips by 4 d" in text
        assert "Later for it: Box room by 1 h 30, which then SLIPS." in text


async def test_p_asks_for_the_release_and_gives_the_idea_that_month():
    async with stand() as app:
        await app.press(NEXT, "p")
        assert "which release?" in app.text
        await app.press("enter")
        ((facts, said),) = app.notes.written
        assert [(fact.id, fact.value) for fact in facts] == [("hall", "2027-08")]
        assert said == "Back hall is the room of Fri 6 Aug"
        assert app.foot[0] == f"Written: {said}."


async def test_p_left_with_escape_or_refused_gives_no_month():
    async with stand() as app:
        await app.press(NEXT, "p", "escape")
        assert app.notes.written == []
        app.notes.fault = "2027-08-hall.toml is there already"
        await app.press("p", "enter")
        assert app.foot[1] == "Not written: 2027-08-hall.toml is there already"


async def test_o_orders_ideas_by_release_odds_hours_money():
    async with stand() as app:
        await app.press(NEXT)
        seen = []
        for _ in range(4):
            await app.press("o")
            seen.append((app.foot[1], "hall" if "Back hall" in app.rows[4] else "loft"))
        assert seen == [
            ("By odds.", "hall"), ("By hours.", "loft"), ("By money.", "loft"),
            ("By release.", "hall"),
        ]  # fmt: skip


@pytest.mark.parametrize("size", SIZES)
async def test_the_weeks_of_each_person_stand_against_their_open_hours(size):
    async with stand(size=size) as app:
        await app.press(LOAD)
        assert "19 h of" in app.row("full")
        assert "20 h of" in app.row("OVERBOOKED")
        assert "Laundry room 12 h; Porch 7 h" in app.foot[1]
        assert "Builder: 22 h must be done by" in app.text
        assert "must" in await app.press("w")


async def test_guessed_stands_against_took_and_a_range_is_taken_with_the_first_guess_kept():
    async with stand() as app:
        await app.press(BACK)
        assert "1.50" in app.row("Builder, fitting")
        assert "0.80" in app.row("Parcel post, delivery")
        await app.press("m")
        assert app.foot[1] == "Only a suggested range can be taken."
        await app.press("G", "m")
        ((facts, said),) = app.notes.written
        assert [(fact.episode, fact.kind, fact.id, fact.key, fact.value) for fact in facts] == [
            (LAUNDRY, "step", "bench.fit", "hands", "1h30..3h..5h"),
            (LAUNDRY, "step", "bench.fit", "guessed", "1h..2h..4h"),
        ]
        assert said == "Fit: hands 1h30..3h..5h (was 1h..2h..4h)"


@pytest.mark.parametrize(
    ("page", "name", "words"),
    [(NEXT, "ideas", "Trying each room"), (BACK, "lookback", "Reading what was done"),
     (LOAD, "load", "Adding up the weeks")],
)  # fmt: skip
async def test_a_page_opens_before_its_answer_is_there_and_says_why_there_is_none(
    page, name, words
):
    async with stand(hold=[name]) as app:
        assert words in await app.press(page)
        for key in ("enter", "w", "o", "p", "m", "down", "G"):
            await app.press(key)
        app.errands.let_go(name, Failed("it was ended"))
        await app.settle()
        assert "No answer: it was ended" in app.text
