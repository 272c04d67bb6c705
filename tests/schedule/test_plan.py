"""The plan: nobody is in two places, pauses free people, and re-timing gives the same plan."""

import pytest

from episodes.answers.check import check
from episodes.answers.planning import plan_season
from episodes.answers.rows import EpisodeAnswer
from tests.small_season import minutes, season


def judged(text: str, **options: object) -> EpisodeAnswer:
    return check(season(text, **options)).episodes[0]  # type: ignore[arg-type]


def test_a_person_works_elsewhere_while_a_closed_space_makes_a_step_pause() -> None:
    """The room shuts at 20:00; the host's evening goes on until 21:30 with work that needs no
    room, and the paused step goes on the next evening."""
    text = """
[[job]]
id = "noisy"
step = [{ id = "cut", hands = "4h", not_before = 2027-03-01T18:00:00 }]
[[job]]
id = "quiet"
step = [{ id = "list", hands = "1h30", after = [], where = "desk" }]
"""
    answer = judged(
        text,
        room='hours = { daily = ["08:00-20:00"] }',
        spaces='[[space]]\nid = "desk"',
    )
    cut, listing = answer.step("noisy.cut"), answer.step("quiet.list")
    assert cut.sessions == (
        (minutes(1, 18), minutes(1, 20)),
        (minutes(2, 18), minutes(2, 20)),
    )
    assert listing.sessions == ((minutes(1, 20), minutes(1, 21, 30)),)


def test_any_of_takes_whoever_is_done_first() -> None:
    text = """
[[job]]
id = "a"
step = [{ id = "s", hands = "2h", who = { any_of = ["host", "helper"] } }]
"""
    people = '[[person]]\nid = "helper"\nhours = { daily = ["10:00-12:00"] }'
    assert judged(text, people=people).step("a.s").who == ("helper",)


def test_clamps_on_a_wait_stay_on_from_the_minute_the_glue_is_on() -> None:
    """Six of eight clamps are on for twelve hours, so the second glue-up waits a day, though
    its people are free the same evening."""
    text = """
[[job]]
id = "one"
step = [
  { id = "glue", hands = "1h", gear = { clamps = 6 } },
  { id = "set", wait = "12h", gear = { clamps = 6 } },
]
[[job]]
id = "two"
step = [
  { id = "glue", hands = "1h", gear = { clamps = 6 } },
  { id = "set", wait = "12h", gear = { clamps = 6 } },
]
"""
    answer = judged(text, spaces='[[gear]]\nid = "clamps"\ncount = 8')
    glued = sorted(answer.step(f"{job}.glue").start or 0 for job in ("one", "two"))
    assert glued == [minutes(1, 18), minutes(2, 18)]
    for job in ("one", "two"):
        assert answer.step(f"{job}.set").start == answer.step(f"{job}.glue").finish


def test_a_nearer_room_is_never_delayed_by_a_farther_one() -> None:
    work = '[[job]]\nid = "a"\nstep = [{ id = "s", hands = "3h30" }]\n'
    alone = check(season(work)).episodes[0].ready_by
    both = check(season(work, others={"2027-05-next": work}))
    assert both.episodes[0].ready_by == alone
    assert both.episodes[1].step("a.s").start == minutes(2, 18)


def test_optional_work_takes_nobody_from_required_work_of_any_room() -> None:
    optional = '[[job]]\nid = "z"\noptional = true\nstep = [{ id = "s", hands = "3h30" }]\n'
    work = '[[job]]\nid = "a"\nstep = [{ id = "s", hands = "3h30" }]\n'
    answer = check(season(optional + work, others={"2027-05-next": work}))
    assert answer.episodes[0].step("a.s").start == minutes(1, 18)
    assert answer.episodes[1].step("a.s").start == minutes(2, 18)
    assert answer.episodes[0].step("z.s").start == minutes(3, 18)


def test_an_appointment_of_a_farther_room_is_kept_free_when_it_costs_nothing() -> None:
    """The nearer room could take the host at the very hour; a later evening serves it as well,
    since another branch decides when it is ready."""
    near = """
[[job]]
id = "a"
step = [{ id = "s", hands = "1h", not_before = 2027-03-02T18:00:00 }]
[[job]]
id = "long"
step = [{ id = "w", wait = "9d" }]
"""
    far = (
        '[[job]]\nid = "sell"\nstep = [{ id = "buyer", hands = "1h", at = 2027-03-02T18:00:00 }]\n'
    )
    answer = check(season(near, others={"2027-05-next": far}))
    assert answer.episodes[1].step("sell.buyer").start == minutes(2, 18)
    assert answer.episodes[0].step("a.s").start == minutes(2, 19)


@pytest.mark.parametrize("holds", [1, 2])
def test_a_drying_coat_keeps_its_place_until_it_can_be_handled(holds: int) -> None:
    """With one place the other job waits 24 h for it, with two it does not."""
    text = """
[[job]]
id = "top"
[[job.step]]
id = "coat"
hands = "1h"
coat = "house-varnish"
dries = { touch = "1h", recoat = "4h", handle = "24h" }
[[job]]
id = "other"
step = [{ id = "fit", hands = "1h" }]
"""
    answer = judged(text, room=f"holds = {holds}")
    starts = {row.id: row.start for row in answer.steps}
    first = min(starts["top.coat"] or 0, starts["other.fit"] or 0)
    assert first == minutes(1, 18)
    if starts["top.coat"] == first:
        expected = minutes(2, 20) if holds == 1 else minutes(1, 19)
        assert (starts["other.fit"] or 0) >= min(expected, minutes(2, 19))


def test_the_plan_re_timed_with_its_choices_kept_is_the_plan() -> None:
    text = """
[[parcel]]
id = "boards"
lead = "3d"
[[job]]
id = "top"
step = [
  { id = "cut", hands = "2h", after = ["boards"], makes = ["dust"] },
  { id = "coat-1", hands = "1h", coat = "waterborne-polyurethane" },
  { id = "coat-2", hands = "1h", coat = "waterborne-polyurethane" },
  { id = "fit", hands = "2h" },
]
[[job]]
id = "wall"
step = [
  { id = "sand", hands = "3h", makes = ["dust"] },
  { id = "paint", hands = "3h", coat = "wall-paint" },
]
"""
    planning = plan_season(season(text, hours='daily = ["09:00-12:00", "18:00-22:00"]'))
    assert planning.retimer.differs() == []


def test_the_same_season_gives_the_same_plan_twice() -> None:
    text = """
[[job]]
id = "a"
step = [{ id = "s", hands = "5h" }, { id = "t", hands = "3h" }]
[[job]]
id = "b"
step = [{ id = "s", hands = "5h" }, { id = "t", hands = "1h", after = [] }]
"""
    assert check(season(text)) == check(season(text))
