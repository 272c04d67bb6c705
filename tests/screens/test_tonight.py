"""The first page: next releases, today's work, orders, shots, each row a way to look closer."""

from dataclasses import replace

import pytest

from episodes.answers.changed import seen
from tests.screens.hand_engine import HandEngine
from tests.screens.season_by_hand import LAUNDRY, at, box_room, laundry, season
from tests.screens.stand import SIZES, stand


@pytest.mark.parametrize("size", SIZES)
async def test_the_first_page_answers_the_daily_questions(size):
    async with stand(size=size) as app:
        assert "Laundry room" in app.row("in 23 d 15 h")
        assert "MEETS, 4 d 20 h to spare" in app.row("in 23 d 15 h")
        assert "SLIPS by 1 d 2 h, not proved" in app.row("Box room")
        assert "18:00-18:45" in app.row("Cover the floor")
        assert "by Sun 18 Apr 17:30" in app.row("Tiles")
        assert "gone after Mon 19 Apr 20:15" in app.row("Raw joints")
        assert "Birch boards were promised" in app.row("LOOK OUT")


async def test_the_room_must_be_finished_by_is_said_for_a_release():
    async with stand() as app:
        assert app.foot[0] == (
            "Ready Sun 2 May 13:00; the room must be finished by Thu 6 May 12:00."
        )


async def test_the_head_says_at_which_moment_the_season_is_read():
    async with stand() as app:
        assert app.rows[2].endswith("─ as of Tue 13 Apr 2027 17:30 ─")
    async with stand(season(read_as_of=False), (140, 30)) as app:
        assert app.rows[0].endswith("  Tue 13 Apr 2027 17:30")
        assert set(app.rows[2]) == {"─"}


async def test_what_must_be_filmed_first_is_marked_and_said():
    async with stand() as app:
        assert "◉ Sand the walls" in app.row("Sand the walls")
        await app.press("down", "down", "down", "down")
        assert app.foot[1] == "FILM FIRST: Raw joints, close."


async def test_a_shot_says_what_takes_its_chance_away():
    async with stand() as app:
        await app.press("G", "up")
        assert app.foot[1] == "Gone when Tiled splash: Set the tiles starts."


@pytest.mark.parametrize(
    ("steps", "page", "selected"),
    [
        (1, "runup", None),
        (3, "runup", "clear.cover"),
        (5, "door", "tiles"),
        (7, "runup", "raw-joints"),
    ],
)
async def test_enter_opens_the_row_where_it_can_be_looked_at(steps, page, selected):
    async with stand() as app:
        await app.press(*["down"] * steps, "enter")
        assert app.app.page.name == page
        if selected:
            assert app.app.page.target().id == selected


async def test_the_head_follows_the_release_under_the_cursor():
    async with stand() as app:
        await app.press("down", "down")
        assert "Box room" in app.head
        assert "SLIPS by 1 d 2 h, not proved" in app.head


async def test_a_free_evening_says_when_it_goes_on():
    class Free(HandEngine):
        def today(self, answer):
            from dataclasses import replace

            return replace(super().today(answer), do=(), order=(), at_risk=())

    async with stand(engine=Free()) as app:
        assert "nothing today; next Tue 13 Apr 18:00" in app.row("TO DO")
        assert "nothing to order this week" in app.row("ORDER")
        assert "no shot is lost this week" in app.row("FILM")


async def test_a_low_screen_counts_what_it_leaves_out_and_enter_shows_it():
    async with stand(size=(80, 15)) as app:
        assert "and 1 more" in app.text
        rows = [index for index, row in enumerate(app.rows) if "and 1 more" in row]
        while "and 1 more" not in app.cursor:
            await app.press("down")
        await app.press("enter")
        assert "Box room" in app.text
        assert rows


async def test_an_empty_season_opens_and_every_page_says_so():
    engine = HandEngine(season().__class__(
        now=season().now, zone="America/Chicago", read_as_of=False, season="Empty", episodes=(),
        people={}, spaces={}, gear_titles={},
    ))  # fmt: skip
    engine.today = lambda answer: HandEngine.today(HandEngine(), season()).__class__(
        now=answer.now, zone=answer.zone, read_as_of=False, do=(), order=(), at_risk=(), running=()
    )
    async with stand(engine=engine) as app:
        assert "No episode is planned here yet." in app.head
        assert "nothing is planned" in await app.press("2")
        assert "Nothing is on its way" in await app.press("3")
        for keys in ("right", "left", "enter", "d", "a", "w", "n", "plus", "t", "u", "r", "G"):
            await app.press(keys)
        assert "no episode is planned" in await app.press("1")


async def test_done_started_arrived_ordered_and_taken_are_written_with_the_moment_of_now():
    async with stand() as app:
        await app.press("down", "down", "down", "d", "s", "down", "down", "o", "a")
        await app.press("down", "down", "space")
        keys = [(fact.kind, fact.id, fact.key) for facts, _ in app.notes.written for fact in facts]
        assert keys == [
            ("step", "clear.cover", "done"),
            ("step", "clear.cover", "started"),
            ("parcel", "tiles", "ordered"),
            ("parcel", "tiles", "arrived"),
            ("shot", "raw-joints", "taken"),
        ]
        values = {fact.value.isoformat() for facts, _ in app.notes.written for fact in facts}
        assert values == {"2027-04-13T17:30:00"}
        assert {fact.episode for facts, _ in app.notes.written for fact in facts} == {LAUNDRY}


async def test_a_key_that_does_not_suit_the_row_says_why_and_writes_nothing():
    async with stand() as app:
        await app.press("d")
        assert app.foot[1] == "Only a step can be done."
        await app.press("down", "down", "down", "a")
        assert app.foot[1] == "Only a box can be arrived."
        await app.press("space")
        assert app.foot[1] == "Only a shot can be taken."
        assert app.notes.written == []


async def test_undo_and_redo_say_what_they_took_back():
    async with stand() as app:
        await app.press("u")
        assert app.foot[1] == "There is nothing to undo here."
        await app.press("down", "down", "down", "d", "u")
        assert app.foot[0].startswith("Taken back: Clear the room: Cover the floor done")
        await app.press("U")
        assert app.foot[0].startswith("Written again: Clear the room: Cover the floor done")


async def test_x_writes_the_calendar_and_says_where():
    async with stand() as app:
        await app.press("x")
        assert app.foot[1] == "Calendar written: /season/plan.ics (3 new)"
        assert app.notes.calendar.startswith(b"BEGIN:VCALENDAR")


async def test_what_changed_since_the_last_time_is_told_and_opens_what_it_is_of():
    boxes = tuple(
        replace(box, arrives=at("04-12", "18:00")) if box.id == "lumber" else box
        for box in laundry().parcels
    )
    before = seen(
        season(replace(laundry(), verdict="slips", spare_min=-600, parcels=boxes), box_room())
    )
    async with stand(earlier=before, size=(100, 30)) as app:
        assert "Laundry room MEETS with 4 d 20 h to spare, before SLIPS by 10 h" in app.text
        assert "Porch is new" in app.text
        while "Birch boards: in hand" not in app.cursor:
            await app.press("down")
        assert app.foot[1] == "Since Tue 13 Apr 17:30."
        await app.press("enter")
        assert app.app.page.name == "door"
        assert app.app.page.target().id == "lumber"
    async with stand(earlier=seen(season())) as app:
        assert "CHANGED" not in app.text
