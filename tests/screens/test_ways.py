"""The ways out: sought elsewhere, tried in the head, written into the plan as one change."""

import pytest

from episodes.screens.errands import Failed
from tests.screens.season_by_hand import BOX_ROOM
from tests.screens.stand import SIZES, Stand, stand

FIRST, SECOND = "Buy the shelves", "Builder works a third"


async def at_the_box_room(app: Stand) -> str:
    """The page at the one room that slips."""
    return await app.press("2", "R", "4")


@pytest.mark.parametrize("size", SIZES)
async def test_each_way_says_its_price_what_is_to_spare_the_odds_and_until_when(size):
    async with stand(size=size) as app:
        await at_the_box_room(app)
        row = app.row(FIRST)
        for text in ("180 USD", "3 d 16 h", "97 in 100", "Mon 21 Jun 14:00"):
            assert text in row
        assert "nothing" in app.row(SECOND)
        assert "loses 2/10" in app.foot[0]
        assert app.foot[1] == "Left out: Build the shelves"


async def test_a_narrow_screen_keeps_price_spare_time_and_the_last_moment():
    async with stand(size=(60, 20)) as app:
        await at_the_box_room(app)
        row = app.row("Buy the")
        for text in ("180 USD", "3 d 16 h", "Mon 21 Jun 14:00"):
            assert text in row


async def test_the_page_opens_before_the_ways_are_known():
    async with stand(hold=["ways"]) as app:
        assert "Looking for ways out ..." in await at_the_box_room(app)
        await app.press("down", "space", "enter", "o", "w")
        app.errands.let_go("ways")
        await app.settle()
        assert FIRST in app.cursor


async def test_a_search_that_failed_says_why():
    async with stand(hold=["ways"]) as app:
        await at_the_box_room(app)
        app.errands.let_go("ways", Failed("it was ended before it had an answer"))
        await app.settle()
        assert "No ways out were sought: it was ended" in app.text


async def test_a_room_that_meets_has_nothing_to_save_and_the_ways_of_the_next_are_a_key_away():
    async with stand() as app:
        text = await app.press("4")
        assert "Nothing to save: the release is met." in text
        assert "2 ways out are written down" in text
        assert "Box room slips" in text
        assert FIRST in await app.press("R")


async def test_a_way_that_is_tried_is_counted_in_on_every_page_and_put_back_from_any():
    async with stand() as app:
        before = await at_the_box_room(app)
        await app.press("space")
        assert app.cursor.startswith("›* Buy the shelves")
        assert "MEETS, 3 d 16 h to spare (TRYING)" in app.head
        assert app.foot[0].startswith("TRYING 1 way out")
        await app.press("2")
        assert "MEETS, 3 d 16 h to spare (TRYING)" in app.head
        await app.press("4", "space")
        assert app.text == before
        assert app.notes.written == []


async def test_several_ways_are_tried_together():
    async with stand() as app:
        await at_the_box_room(app)
        await app.press("space", "down", "space")
        assert [way.fallbacks for _, way in app.app.sitting.taken] == [
            ("ready-shelves",), ("third-weekend",),
        ]  # fmt: skip
        assert "TRYING 2 ways out" in app.foot[0]
        await app.press("escape")
        assert not app.app.sitting.trying


async def test_enter_writes_what_is_tried_as_one_change_and_says_what_became_of_the_release():
    async with stand() as app:
        await at_the_box_room(app)
        await app.press("space", "enter")
        ((facts, said),) = app.notes.written
        assert [(fact.episode, fact.id) for fact in facts] == [(BOX_ROOM, "ready-shelves")]
        assert said == "way out taken: Buy the shelves ready made"
        assert app.foot[0] == f"Written: {said}."
        assert not app.app.sitting.trying


async def test_arrivals_and_ways_that_are_tried_together_are_both_written():
    async with stand() as app:
        await app.press("3", "right")
        await at_the_box_room(app)
        await app.press("space", "enter")
        assert [fact.key for facts, _ in app.notes.written for fact in facts] == [
            "promised", "taken",
        ]  # fmt: skip


async def test_what_cannot_be_written_goes_on_being_tried():
    async with stand() as app:
        await at_the_box_room(app)
        await app.press("space")
        app.notes.fault = "2027-07-box-room.toml was changed meanwhile"
        await app.press("enter")
        assert app.foot[1] == "Not written: 2027-07-box-room.toml was changed meanwhile"
        assert "TRYING" in app.head


async def test_a_way_that_is_no_change_of_a_plan_says_so_and_is_not_tried():
    async with stand() as app:
        await at_the_box_room(app)
        await app.press("down", "down", "space")
        assert "not a change of the plan" in app.foot[1]
        assert not app.app.sitting.trying


async def test_suggestions_stand_apart_without_a_price_and_with_their_cautions():
    async with stand() as app:
        await at_the_box_room(app)
        assert "not in your file" in app.text
        await app.press("G")
        assert "ask" in app.row("Ask for express").split()
        assert "its price is yours to find out" in app.foot[0]
        assert "Two people lift the shelves." in await app.press("w")


async def test_o_puts_them_in_order_by_price_spare_time_odds_and_last_moment():
    async with stand() as app:
        await at_the_box_room(app)

        def names():
            return [row[3:11] for row in app.rows[4:7]]

        assert names() == ["Buy the ", "Builder ", "A nearer"]
        seen = []
        for _ in range(4):
            await app.press("o")
            seen.append((app.foot[1], names()[0]))
        assert seen == [
            ("By spare time.", "Buy the "),
            ("By odds.", "Buy the "),
            ("By decide by.", "Builder "),
            ("By price.", "Buy the "),
        ]
        assert FIRST in app.cursor


async def test_w_and_enter_tell_everything_about_a_way():
    async with stand() as app:
        await at_the_box_room(app)
        text = await app.press("w")
        for line in ("ready by   Mon 28 Jun 17:00", "costs      180 USD", "loses      2 of 10",
                     "What it changes", "Left out: Build the shelves."):  # fmt: skip
            assert line in text
        await app.press("escape")
        assert "What it changes" in await app.press("enter")


async def test_the_ways_are_those_with_the_arrivals_that_are_tried():
    async with stand() as app:
        assert "Nothing to save" in await app.press("4")
        await app.press("3", *["right"] * 4, "4")
        assert "No way out is written down" not in app.text
        assert app.errands.asked.count("ways") == 2
