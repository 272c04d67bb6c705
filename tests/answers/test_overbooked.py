"""The warning `overbooked`: told where a release is missed for want of hours, and only there."""

import pytest

from episodes.answers.check import answer, check
from episodes.answers.planning import plan_season
from episodes.problems import Problem
from tests.small_season import season

ROOM = "2027-04-test"
TWO = """
[[job]]
id = "one"
step = [{{ id = "a", hands = "{a}" }}]
[[job]]
id = "two"
step = [{{ id = "b", hands = "{b}" }}]
"""


def told(text: str, **more: str) -> list[Problem]:
    judged = check(season(text, as_of="2027-03-29T00:00:00", **more))
    return [
        problem
        for episode in judged.episodes
        for problem in episode.problems
        if problem.code == "overbooked"
    ]


def test_hours_that_are_wanting_are_a_warning_with_both_figures_and_the_mend() -> None:
    """Four evenings of 3.5 h, 14 h, are open until Friday 2 April 09:00; 15 h are to do."""
    (problem,) = told(TWO.format(a="8h", b="7h"))
    assert problem.level == "warning"
    assert problem.subject == "host"
    assert str(problem.where) == "studio.toml:6"
    assert problem.text == (
        "host is overbooked: 15 h of work must be done by 2027-04-02 09:00, and 14 h are open."
    )
    assert "extra" in problem.mend


@pytest.mark.parametrize(("a", "b"), [("8h", "6h"), ("1h", "2h")])
def test_hours_that_do_are_no_warning(a: str, b: str) -> None:
    assert told(TWO.format(a=a, b=b)) == []


def test_a_room_that_its_dates_make_late_is_told_of_hours_where_they_are_wanting_too() -> None:
    """One step of 15 h is late by its dates alone, two parcels' delay is no want of hours."""
    (problem,) = told('[[job]]\nid = "one"\nstep = [{ id = "a", hands = "15h" }]\n')
    assert "15 h of work" in problem.text
    late = '[[parcel]]\nid = "boards"\nlead = "9d"\n'
    step = '[[job]]\nid = "one"\nstep = [{ id = "a", hands = "13h", after = ["boards"] }]\n'
    assert told(late + step) == []


def test_the_room_that_slips_bears_the_warning_not_the_nearer_one_that_is_met() -> None:
    """Until 2 April 14 h are open; the second room, a week later, needs more than is left."""
    other = TWO.format(a="21h", b="10h")
    judged = check(
        season(
            TWO.format(a="4h", b="4h"),
            as_of="2027-03-29T00:00:00",
            others={"2027-04-zoo": 'release = 2027-04-09\nroom = "room"\n' + other},
        )
    )
    codes = {
        episode.id: [p.code for p in episode.problems if p.level != "note"]
        for episode in judged.episodes
    }
    assert codes == {ROOM: [], "2027-04-zoo": ["overbooked"]}


def test_a_key_on_a_screen_keeps_the_warning_of_the_answer_before() -> None:
    planning = plan_season(season(TWO.format(a="8h", b="7h"), as_of="2027-03-29T00:00:00"))
    before = answer(planning)
    again = answer(planning, like=before)
    assert again.episodes[0].problems == before.episodes[0].problems
    assert again.episodes[0].health == before.episodes[0].health
