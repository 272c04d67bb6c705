"""The door: a later arrival is tried and answered at once; nothing is written until it is kept."""

from datetime import datetime

import pytest

from episodes.screens.frame import verdict_words
from tests.screens.season_by_hand import LAUNDRY, PORCH, at
from tests.screens.stand import SIZES, stand


@pytest.mark.parametrize("size", SIZES)
async def test_a_moved_arrival_changes_the_verdict_in_head_and_list(size):
    async with stand(size=size) as app:
        await app.press("3")
        assert "MEETS, 4 d 20 h to spare" in app.head
        await app.press("right", "right", "right")
        assert "SLIPS by 1 d (TRYING)" in app.head
        assert "SLIPS by 1 d   was MEETS, 4 d 20 h to spare" in app.row(" Laundry room")
        assert "Sat 17 Apr 18:00 +3 d" in app.row("Birch boards")
        assert app.row("Birch boards").endswith("TOO LATE")


async def test_escape_puts_everything_back_and_nothing_was_written():
    async with stand() as app:
        before = await app.press("3")
        await app.press("right", "right", "right", "down", "right")
        assert "TRYING 2 arrivals" in app.foot[0]
        assert await app.press("escape", "up") == before
        assert app.notes.written == []


async def test_enter_keeps_what_is_tried_as_the_promised_day():
    async with stand() as app:
        await app.press("3", "right", "enter")
        ((facts, _),) = app.notes.written
        (fact,) = facts
        assert (fact.episode, fact.kind, fact.id, fact.key) == (
            LAUNDRY,
            "parcel",
            "lumber",
            "promised",
        )
        assert fact.value == datetime(2027, 4, 15, 18, 0)
        assert app.foot == (
            "Written: Birch boards promised Thu 15 Apr 18:00.",
            "Still MEETS, 4 d 20 h to spare.",
        )
        assert "TRYING" not in app.head


async def test_a_kept_arrival_that_cannot_be_written_goes_on_being_tried():
    async with stand() as app:
        await app.press("3", "right")
        app.notes.fault = "2027-05-laundry.toml has changed meanwhile"
        await app.press("enter")
        assert "Not written: 2027-05-laundry.toml has changed meanwhile" in app.foot[1]
        assert "TRYING" in app.head


async def test_left_and_right_take_back_one_another_over_a_sunday():
    async with stand() as app:
        before = await app.press("3")
        await app.press("right", "right", "right", "right")
        assert "Mon 19 Apr 18:00" in app.row("Birch boards")
        assert await app.press("left", "left", "left", "left") == before
        assert not app.app.sitting.trying


async def test_zero_puts_back_the_one_box_alone():
    async with stand() as app:
        await app.press("3", "right", "down", "right", "0")
        assert app.app.sitting.moved == {(LAUNDRY, "lumber"): at("04-15", "18:00")}


def wording_of_head(app):
    return verdict_words(app.app.sitting, app.app.sitting.episode())


async def test_held_keys_cost_one_answer_not_one_each():
    async with stand() as app:
        await app.press("3")
        app.app._took = 1.0  # as if an answer took that long
        for _ in range(5):
            app.app.press("right")
        assert "counting" in wording_of_head(app)
        await app.pilot.pause()
        assert app.engine.asked == [{(LAUNDRY, "lumber"): at("04-20", "18:00")}]
        assert "SLIPS by 4 d" in app.head


async def test_another_room_that_the_move_touches_is_named_in_the_foot():
    async with stand() as app:
        await app.press("3", "G")
        assert "Porch" in app.head
        await app.press(*["right"] * 12, "g")
        assert "Laundry room" in app.head
        assert "Porch now SLIPS by" in app.foot[0]


async def test_what_is_tried_is_seen_on_every_page_and_put_back_from_any():
    async with stand() as app:
        await app.press("3", "right", "right", "right", "2")
        assert "SLIPS by 1 d (TRYING)" in app.head
        await app.press("1")
        assert "SLIPS by 1 d (TRYING)" in app.head
        await app.press("escape")
        assert "MEETS, 4 d 20 h to spare" in app.head
        assert "TRYING" not in app.head


async def test_leaving_asks_once_while_something_is_tried():
    async with stand() as app:
        await app.press("3", "right", "q")
        assert "not written" in app.foot[1]
        assert app.app.is_running
        await app.press("down", "q")
        assert app.app.is_running, "another key between takes the question back"
        await app.press("q")
    assert app.app.return_value == 0


async def test_boxes_in_hand_are_folded_away_and_cannot_be_moved():
    async with stand() as app:
        await app.press("3")
        assert "Wall paint" not in app.text
        await app.press("down", "down", "down", "down", "enter", "down")
        assert "arrived" in app.row("Wall paint")
        await app.press("right")
        assert "in hand already" in app.foot[1]
        assert not app.app.sitting.trying


async def test_a_last_day_that_is_not_proved_is_marked_and_said():
    async with stand() as app:
        await app.press("3", "down", "down")
        assert "Sun 25 Apr?" in app.row("Tiles")
        assert "at least up to" in app.foot[0]
        assert "Fri 16 Apr?" not in app.text


async def test_the_foot_says_what_waits_for_the_box_first():
    async with stand() as app:
        await app.press("3")
        assert app.foot[1] == "What waits for it first: Folding bench: Cut parts, Sat 17 Apr 09:00."


async def test_the_door_opens_at_the_room_the_head_speaks_of():
    async with stand() as app:
        await app.press("2", "r", "3")
        assert app.app.sitting.room == PORCH
        assert "Lanterns" in app.cursor


async def test_a_box_that_is_no_use_is_asked_how_and_counts_as_arrived():
    async with stand() as app:
        await app.press("3", "F")
        assert "what is wrong with it?" in app.text
        await app.press("w")
        ((facts, said),) = app.notes.written
        assert [(fact.id, fact.key) for fact in facts] == [
            ("lumber", "arrived"), ("lumber", "failed"),
        ]  # fmt: skip
        assert facts[1].value == "wrong"
        assert said == "Birch boards came wrong"
        await app.press("F", "escape")
        assert len(app.notes.written) == 1


async def test_only_a_box_that_came_can_be_sent_back():
    async with stand() as app:
        await app.press("3", "B")
        assert "has not come yet" in app.foot[1]
        await app.press("down", "down", "down", "down", "enter", "down", "B")
        ((facts, _),) = app.notes.written
        assert [(fact.id, fact.key, str(fact.value)) for fact in facts] == [
            ("paint-can", "returned", "2027-04-13"),
        ]  # fmt: skip


async def test_a_slip_names_the_key_to_its_ways_out():
    async with stand() as app:
        await app.press("3")
        assert "ways out" not in app.rows[-1].casefold()
        await app.press("right", "right", "right")
        assert "v ways out" in app.rows[-1]
        await app.press("v")
        assert app.app.page.name == "ways"
