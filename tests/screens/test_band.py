"""The band: which cell a minute falls on, what is seen of what lies on one cell, the axes."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.calendars.local_time import zone
from episodes.screens.band import (
    ZOOMS,
    Paint,
    Scale,
    calendar_axis,
    countdown_axis,
    draw,
    paints,
    whole,
)
from episodes.screens.marks import ASCII, UNICODE
from episodes.screens.view import View
from tests.screens.season_by_hand import NOW, ZONE, at, step

RELEASE = at("05-07", "09:00")
ROW = ("2027-05-laundry", "walls.coat-1")


def shapes(*found: Paint, cell: int = 60, width: int = 12, now: int = 0, ground=()) -> str:
    return draw(found, ground, Scale(RELEASE, cell, width), now, UNICODE)[0]


@given(
    cell=st.sampled_from(ZOOMS),
    width=st.integers(10, 200),
    beyond=st.integers(-300, 100),
    minute=st.integers(RELEASE - 10**6, RELEASE + 10**6),
)
def test_a_minute_lies_in_the_cell_that_it_falls_on(cell, width, beyond, minute):
    scale = Scale(RELEASE, cell, width, beyond)
    column = scale.column(minute)
    assert column != scale.edge
    assert scale.minute(column) <= minute < scale.minute(column) + cell


def test_the_release_is_an_edge_between_its_last_minute_and_its_first():
    scale = Scale(RELEASE, 60, 12)
    assert scale.column(RELEASE - 1) == scale.edge - 1 == 10
    assert scale.column(RELEASE) == scale.edge + 1


def test_the_shortest_stretch_still_takes_a_cell():
    assert "▄" in shapes(Paint(RELEASE - 90, RELEASE - 89, "hands", False, ROW))
    assert "╌" in shapes(Paint(RELEASE - 90, RELEASE - 90, "done", False, ROW))


def test_a_taut_stretch_is_full_height_and_a_slack_one_half():
    slack, taut = Paint(RELEASE - 60, RELEASE, "hands", False, ROW), None
    taut = Paint(RELEASE - 60, RELEASE, "hands", True, ROW)
    assert shapes(slack)[-2] == "▄"
    assert shapes(taut)[-2] == "█"
    assert shapes(slack, taut)[-2] == shapes(taut, slack)[-2] == "█"


def test_of_textures_on_one_cell_a_shot_is_seen_before_hands_drying_and_transit():
    order = ["coming", "drying", "hands", "shot", "once"]
    seen = {"coming": "·", "drying": "╱", "hands": "▄", "shot": "○", "once": "◉"}
    for index, texture in enumerate(order):
        under = [Paint(RELEASE - 60, RELEASE, other, False, ROW) for other in order[: index + 1]]
        assert shapes(*under)[-2] == seen[texture]


def test_work_hides_the_line_of_now_and_now_hides_open_hours():
    ground = ((RELEASE - 240, RELEASE - 120),)
    assert shapes(ground=ground, now=RELEASE - 200)[7:11] == "┊▁  "
    work = Paint(RELEASE - 240, RELEASE - 180, "hands", False, ROW)
    assert shapes(work, ground=ground, now=RELEASE - 200)[7:11] == "▄▁  "


def test_what_lies_outside_the_band_is_pointed_at():
    before = Paint(RELEASE - 10_000, RELEASE - 9_000, "hands", False, ROW)
    assert shapes(before)[0] == "<"
    after = Paint(RELEASE + 9_000, RELEASE + 10_000, "hands", False, ROW)
    scale = Scale(RELEASE, 60, 12, 4)
    assert draw([after], (), scale, 0, UNICODE)[0][-1] == ">"
    assert draw([], (), Scale(RELEASE, 60, 12, -5), 0, UNICODE)[0][-1] == ">"


def test_no_shape_differs_from_another_by_colour_alone():
    for marks in (UNICODE, ASCII):
        drawn = [
            marks.hands_taut, marks.hands, marks.drying_taut, marks.drying, marks.coming_taut,
            marks.coming, marks.shot_once, marks.shot, marks.elsewhere, marks.done, marks.ground,
            marks.now, marks.edge,
        ]  # fmt: skip
        assert len(set(drawn)) == len(drawn)
    assert all(mark.isascii() for mark in drawn)


def test_a_box_is_on_its_way_until_it_is_in_hand_and_then_settles():
    row = step(
        "e", "lumber", "Boards", RELEASE - 600, 300, kind="parcel", slack=60, state="started"
    )
    found = paints(row, NOW, arrives=RELEASE - 400)
    assert [(paint.start, paint.finish, paint.texture) for paint in found] == [
        (RELEASE - 600, RELEASE - 400, "coming"),
        (RELEASE - 400, RELEASE - 300, "settling"),
    ]


def test_what_is_started_is_drawn_as_done_until_now_and_as_work_from_then_on():
    row = step(
        "e", "b.cut", "Cut", NOW - 120, 300, state="started", sessions=((NOW + 30, NOW + 60),)
    )
    assert [(paint.start, paint.finish, paint.texture) for paint in paints(row, NOW)] == [
        (NOW - 120, NOW, "done"),
        (NOW + 30, NOW + 60, "hands"),
    ]


def test_days_back_stand_at_the_hour_of_the_release_over_a_clock_change():
    # Clocks in Chicago go forward on 14 March 2027: one of those days has 23 hours.
    release = at("03-19", "09:00")
    axis = countdown_axis(Scale(release, 60, 200), ZONE, UNICODE)
    scale = Scale(release, 60, 200)
    column = scale.column(zone(ZONE).utc(date(2027, 3, 12), 540))
    assert axis[column : column + 3] == "-7d"
    assert axis.endswith("release▐")


def test_the_calendar_axis_names_weeks_by_their_mondays():
    scale = Scale(RELEASE, 720, 60)
    axis = calendar_axis(scale, ZONE, NOW)
    monday = scale.column(at("04-26"))
    assert axis[monday : monday + 6] == "26 Apr"
    assert axis[scale.column(NOW) :].startswith("now")


@pytest.mark.parametrize("days", [1, 3, 10, 30, 60, 400])
def test_the_whole_run_up_fits_from_now_to_the_release_as_far_as_a_cell_goes(days):
    first = RELEASE - days * 1440
    cell = whole(RELEASE, first, 60)
    assert Scale(RELEASE, cell, 60).fits(first) or cell == ZOOMS[-1]
    shorter = [each for each in ZOOMS if each < cell]
    assert not shorter or not Scale(RELEASE, shorter[-1], 60).fits(first)


def test_zooming_keeps_the_chosen_minute_in_sight():
    view = View()
    view.width = 60
    view.show_whole(RELEASE, NOW, RELEASE)
    for by in (-1, -1, -1, -1, 1, 1, 1, 1, 1, 1):
        view.zoom(RELEASE, NOW + 3000, by)
        assert view.scale(RELEASE).fits(NOW + 3000)


def test_a_slipping_room_shows_what_runs_past_its_release():
    view = View()
    view.width = 60
    ready = RELEASE + 8 * 1440
    view.show_whole(RELEASE, NOW, ready)
    scale = view.scale(RELEASE)
    assert scale.fits(NOW)
    assert scale.fits(ready - 1)
    assert scale.fits(RELEASE)


@given(pans=st.lists(st.integers(-500, 500), max_size=20))
def test_the_band_is_never_panned_away_from_all_that_is_on_it(pans):
    view = View()
    view.width = 60
    view.show_whole(RELEASE, NOW, RELEASE)
    for cells in pans:
        view.pan(cells)
        view.hold(RELEASE, NOW, RELEASE)
        scale = view.scale(RELEASE)
        assert scale.column(NOW) < 60
        assert scale.column(RELEASE) > 0
