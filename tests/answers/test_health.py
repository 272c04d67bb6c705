"""How sound a schedule is: each question of the guides, on a room that fails it and one not."""

from pathlib import Path
from typing import Any

import pytest

from episodes.answers.check import check
from episodes.answers.rows import CheckAnswer, Metric
from episodes.files.reading import read_season
from episodes.problems import Problem
from tests.asking import MATERIALS
from tests.reference import generate, referee
from tests.small_season import season

PRODUCTS = referee.products(MATERIALS)
ROOM = "2027-04-test"
SOUND = """
title = "Test"
[[parcel]]
id = "boards"
lead = "3d..5d..9d"
[[job]]
id = "clear"
step = [{ id = "empty", hands = "1h", after = ["before"] }]
[[job]]
id = "shelf"
after = ["clear"]
step = [
  { id = "cut", hands = "2h", after = ["boards"] },
  { id = "glue", hands = "1h" },
  { id = "set", wait = "12h" },
  { id = "hang", hands = "1h" },
]
[[shot]]
id = "before"
of = "clear"
when = "before"
hands = "20min"
[[shot]]
id = "reveal"
hands = "30min"
[[job]]
id = "edit"
step = [
  { id = "cut", hands = "3h..4h..7h", after = ["reveal"] },
  { id = "upload", wait = "3h" },
]
"""


def answered(text: str, **more: Any) -> CheckAnswer:
    return check(season(text, **more))


def notes(answer: CheckAnswer) -> dict[str, Problem]:
    return {p.code: p for p in answer.episode(ROOM).problems if p.level == "note"}


def metric(answer: CheckAnswer, code: str) -> Metric:
    return next(each for each in answer.episode(ROOM).health if each.code == code)


def test_a_sound_room_gets_no_note() -> None:
    answer = answered(SOUND)
    assert notes(answer) == {}
    assert len(answer.episode(ROOM).health) == 13


def test_a_room_of_a_few_steps_is_not_asked_for_shares_and_shots() -> None:
    answer = answered('[[job]]\nid = "one"\nstep = [{ id = "a", hands = "1h" }]\n')
    assert notes(answer) == {}


def test_a_room_that_is_out_is_asked_nothing() -> None:
    answer = answered(SOUND.replace('title = "Test"', "released = 2027-02-26T09:00:00"))
    assert answer.episode(ROOM).health == ()


@pytest.mark.parametrize(
    ("old", "new", "code", "said"),
    [
        (
            'of = "clear"\nwhen = "before"', "", "unfilmed-start",
            "Nothing is filmed before the work in the room begins.",
        ),
        (
            'id = "reveal"', 'id = "reveal"\nof = "shelf"\nwhen = "before"', "unfilmed-end",
            "Nothing is filmed once the work is done.",
        ),
        (
            '[[job]]\nid = "clear"',
            '[[parcel]]\nid = "lamp"\nlead = "2d..3d..5d"\n[[job]]\nid = "clear"', "open-end",
            '"lamp" leads nowhere: nothing waits for it, and no shot comes after.',
        ),
        (
            'id = "hang", hands = "1h"', 'id = "hang", hands = "9h"', "long-steps",
            '"shelf.hang" takes more than a full day of work in one step.',
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_with_one_thing_is_a_note_that_names_it(
    old: str, new: str, code: str, said: str
) -> None:
    text = SOUND.replace(old, new)
    if code == "unfilmed-start":
        text = text.replace('after = ["before"]', "after = []").replace(
            'id = "before"', 'id = "before"\nof = "clear"\nwhen = "during"\nwho = []'
        )
    assert text != SOUND
    answer = answered(text)
    assert not metric(answer, code).ok
    assert notes(answer)[code].text == said
    assert notes(answer)[code].mend
    assert set(notes(answer)) == {code}


def test_steps_that_wait_for_nothing_are_told_where_they_are_three_and_one_in_twenty() -> None:
    loose = '[[job]]\nid = "odd"\nstep = [' + "".join(
        f'{{ id = "s{n}", hands = "30min", after = [] }},' for n in range(3)
    )
    two = loose.replace('{ id = "s2", hands = "30min", after = [] },', "")
    assert "open-start" not in notes(answered(SOUND + two + "]\n"))
    note = notes(answered(SOUND + loose + "]\n"))["open-start"]
    assert note.subject == "odd.s0"
    assert note.text == (
        '3 of 10 steps wait for nothing, so they are planned at once: "odd.s0", "odd.s1", "odd.s2".'
    )


def test_work_that_no_shot_comes_after_leads_nowhere_and_the_film_s_own_work_does_not() -> None:
    """The reveal of the room waits for its steps; a step elsewhere has to be named."""
    spaces = '[[space]]\nid = "shed"\n'
    job = '[[job]]\nid = "box"\nwhere = "shed"\nstep = [{ id = "build", hands = "1h" }]\n'
    note = notes(answered(SOUND + job, spaces=spaces))["open-end"]
    assert note.subject == "box.build"
    assert metric(answered(SOUND), "open-end").value == 0


def test_gaps_and_links_that_do_not_run_from_finish_to_start_are_counted() -> None:
    text = SOUND.replace(
        '{ id = "glue", hands = "1h" }',
        '{ id = "glue", hands = "1h", after = [{ step = "cut", gap = "1h" }] }',
    ).replace(
        '{ id = "set", wait = "12h" }',
        '{ id = "set", wait = "12h", after = [{ step = "glue", from = "start", gap = "30min" }] }',
    ).replace(
        '{ id = "hang", hands = "1h" }',
        '{ id = "hang", hands = "1h", after = [{ step = "set", from = "start", gap = "13h" },'
        ' { step = "glue", from = "start", gap = "5h" }] }',
    )  # fmt: skip
    found = notes(answered(text))
    assert set(found) == {"gaps", "link-types"}
    assert found["gaps"].text.startswith("4 of ")
    assert '"shelf.glue", "shelf.set", "shelf.hang"' in found["gaps"].text
    assert found["link-types"].text.startswith("3 of ")


def test_fixed_starts_and_last_moments_are_told_once_they_are_many() -> None:
    text = SOUND.replace(
        'id = "glue", hands = "1h"', 'id = "glue", hands = "1h", not_after = 2027-03-28'
    )
    text = text.replace(
        'id = "hang", hands = "1h"', 'id = "hang", hands = "1h", not_after = 2027-03-29'
    )
    assert "fixed-dates" not in notes(answered(text))
    text = text.replace(
        'id = "cut", hands = "2h"', 'id = "cut", hands = "2h", not_after = 2027-03-27'
    )
    note = notes(answered(text))["fixed-dates"]
    assert note.text.startswith("3 of 10 have a date of their own (at, not_after): ")


def test_float_over_44_working_days_is_told_in_a_room_that_is_far_off() -> None:
    """61 days and 14 hours of float and a minute; the release is in June, 94 days away."""
    far = check(season(SOUND, name="2027-06-test"))
    found = next(m for m in far.episodes[0].health if m.code == "high-float")
    assert not found.ok
    rows = {row.id: row.slack_min or 0 for row in far.episodes[0].steps if row.kind != "release"}
    wanted = {id for id, slack in rows.items() if slack > 44 * 7 / 5 * 1440}
    assert set(found.subjects) == wanted
    assert metric(answered(SOUND), "high-float").value == 0


def test_long_lengths_without_a_range_are_told_where_they_are_most_of_them() -> None:
    sure = SOUND.replace('"3h..4h..7h"', '"4h"').replace('lead = "3d..5d..9d"', 'lead = "5d"')
    assert "no-range" not in notes(answered(sure))
    note = notes(answered(sure.replace('hands = "2h"', 'hands = "3h"')))["no-range"]
    assert note.text.startswith("3 of 3 long steps and leads are written as certain: ")


def test_what_was_begun_over_two_weeks_ago_is_asked_for() -> None:
    def begun(day: str) -> CheckAnswer:
        return answered(
            SOUND.replace('hands = "1h", after = ["before"]', f"hands = '1h', started = {day}")
        )

    assert "long-begun" not in notes(begun("2027-02-15T00:00:00"))
    assert notes(begun("2027-02-14T23:59:00"))["long-begun"].subject == "clear.empty"


def test_the_index_is_the_way_to_the_release_over_the_way_to_the_ready_moment() -> None:
    """From 1 March 00:00 to 2 April 09:00 are 32 d 9 h."""
    answer = answered(SOUND)
    room = answer.episode(ROOM)
    assert room.ready_by is not None
    wanted = (room.release - answer.now) / (room.ready_by - answer.now)
    assert metric(answer, "critical-path-index").value == round(wanted, 2) > 1
    late = answered(SOUND.replace('"3d..5d..9d"', '"40d"'))
    assert not metric(late, "critical-path-index").ok
    assert notes(late) == {}
    assert late.episode(ROOM).verdict == "slips"


def test_a_critical_thing_before_an_appointment_that_cannot_move_fails_the_path_test() -> None:
    """Cutting fills the evening of the 7th, 18:00 to 21:30; the glue's moment is the next, 18:00.

    The glue sets for 23 h, so that a minute more before it is a minute more after it.
    """
    fixed = SOUND.replace('wait = "12h"', 'wait = "23h"').replace(
        'id = "glue", hands = "1h"', 'id = "glue", hands = "1h", at = 2027-03-08T18:00:00'
    )
    loose = answered(fixed)
    assert metric(loose, "critical-path-test").ok
    assert metric(loose, "critical-path-test").value == 28
    tight = answered(
        fixed.replace('"3d..5d..9d"', '"6d"').replace(
            'id = "cut", hands = "2h"', 'id = "cut", hands = "3h30"'
        )
    )
    assert not metric(tight, "critical-path-test").ok
    assert notes(tight)["critical-path-test"].text == (
        '"shelf.cut" is critical, and any delay of it runs into the fixed moment of "shelf.glue".'
    )


def test_a_delay_of_what_is_critical_comes_out_at_the_ready_moment(tmp_path: Path) -> None:
    """The critical path test of the 14 metrics (DCMA, from memory) on generated seasons.

    Four weeks more move the ready moment by four weeks, give or take the weekly round of hours and
    the carriers' holidays, unless something with a moment of its own stands in between.
    """
    moved = []
    for seed in range(210, 215):
        folder = generate.write(seed, 12, tmp_path / str(seed), PRODUCTS)
        for episode in check(read_season(folder, clock=0)).episodes:
            found = next((m for m in episode.health if m.code == "critical-path-test"), None)
            if found is not None and found.value is not None and len(found.subjects) == 1:
                assert found.ok
                moved.append(found.value)
    assert len(moved) >= 3
    assert all(28 - 7 <= days <= 28 + 21 for days in moved)
