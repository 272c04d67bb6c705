"""Ways out: minimal sets, cheapest first, each with the last moment to decide it."""

from episodes.answers.check import check
from episodes.answers.rescue import GIVE_WAY, RescueAnswer, in_need, rescue
from tests.small_season import minutes, season

BOARDS = """
[[parcel]]
id = "boards"
lead = "30d"
[[job]]
id = "shelf"
step = [{ id = "cut", hands = "3h", after = ["boards"] }, { id = "dry", wait = "3d" }]
"""
# Read at 1 March 00:00: in hand 31 March 00:00, cut that evening, dry 3 April 21:00; the release
# is Friday 2 April 09:00.


def ways(text: str, **options: object) -> RescueAnswer:
    return rescue(season(text, **options), "2027-04-test")  # type: ignore[arg-type]


def test_the_cheapest_way_comes_first_and_only_minimal_sets_are_listed() -> None:
    text = (
        BOARDS
        + """
[[fallback]]
id = "dear"
cost = 80
parcel = { boards = "2d" }
[[fallback]]
id = "cheap"
cost = 20
parcel = { boards = "3d" }
[[fallback]]
id = "useless"
cost = 1
parcel = { boards = "29d" }
"""
    )
    answer = ways(text)
    assert [way.fallbacks for way in answer.ways] == [("cheap",), ("dear",)]
    assert answer.proved


def test_what_is_lost_counts_before_what_is_paid() -> None:
    text = (
        BOARDS
        + """
[[fallback]]
id = "leave-out"
loses = 1
drop = ["shelf.dry"]
[[fallback]]
id = "express"
cost = 500
parcel = { boards = "2d" }
"""
    )
    assert [way.fallbacks for way in ways(text).ways] == [("express",), ("leave-out",)]


def test_two_that_save_only_together_are_one_way() -> None:
    """29 d and a drying of 3 d end on 2 April 21:00 less what the shorter work brings: only the
    boards two days earlier and no drying at all would each do; half of both does together."""
    text = """
[[parcel]]
id = "boards"
lead = "30d"
[[parcel]]
id = "glass"
lead = "32d"
[[job]]
id = "shelf"
step = [{ id = "cut", hands = "3h", after = ["boards", "glass"] }, { id = "dry", wait = "2d" }]
[[fallback]]
id = "near-boards"
cost = 5
parcel = { boards = "3d" }
[[fallback]]
id = "near-glass"
cost = 7
parcel = { glass = "3d" }
"""
    answer = ways(text)
    assert [way.fallbacks for way in answer.ways] == [("near-boards", "near-glass")]
    assert answer.ways[0].cost == 12
    assert answer.proved


def test_it_can_be_decided_up_to_the_last_order_that_still_comes_in_time() -> None:
    """With 2 d of lead the boards must be cut by Monday 29 March 21:00 at the latest, as the
    drying ends 3 d later at 21:00 on Thursday; an order of 27 March 18:30 is in hand on 29 March
    18:30, when 2 h 30 of the evening are left: too few. So 27 March 18:00 + 0 is the last whole
    evening, and the last minute is the one from which 3 h still fit before 21:30."""
    text = (
        BOARDS
        + """
[[fallback]]
id = "express"
parcel = { boards = "2d" }
"""
    )
    way = ways(text).ways[0]
    assert way.decide_by == minutes(27, 18, 30)
    later = season(text, as_of="2027-03-27T18:30:00")
    assert [w.fallbacks for w in rescue(later, "2027-04-test").ways] == [("express",)]
    too_late = season(text, as_of="2027-03-27T18:31:00")
    assert rescue(too_late, "2027-04-test").ways == ()


def test_an_empty_list_is_proved_where_nothing_helps() -> None:
    text = (
        BOARDS
        + """
[[fallback]]
id = "useless"
parcel = { boards = "29d" }
"""
    )
    answer = ways(text)
    assert answer.ways == ()
    assert answer.proved
    assert not answer.met


def test_heating_a_cold_space_is_a_way_out() -> None:
    """A clear coat that needs 10 degC waits for April in a workshop of 6; heated to 20 it need
    not."""
    text = """
[[job]]
id = "top"
[[job.step]]
id = "seal"
hands = "1h"
coat = "waterborne-polyurethane"
[[fallback]]
id = "heater"
cost = 60
air = { room = { celsius = 20 } }
"""
    answer = ways(
        text,
        room='air = { celsius = 20, humidity = 50 }\nair_by_month = { "03-04" = { celsius = 6 } }',
    )
    assert answer.verdict == "slips"
    assert [way.fallbacks for way in answer.ways] == [("heater",)]


def test_a_nearer_room_s_spare_time_is_offered_where_it_alone_stands_in_the_way() -> None:
    """The nearer room has the whole month; the farther one has the first evening or none."""
    near = """
[[job]]
id = "a"
step = [{ id = "s", hands = "3h30" }]
"""
    far = """
release = 2027-04-09T09:00:00
[[job]]
id = "b"
step = [{ id = "s", hands = "3h30", not_after = 2027-03-02T00:00:00 }]
"""
    both = season(near, others={"2027-05-far": far})
    judged = check(both)
    assert [e.verdict for e in judged.episodes] == ["meets", "slips"]
    assert in_need(judged) == "2027-05-far"
    answer = rescue(both, "2027-05-far")
    assert [(way.fallbacks, way.own) for way in answer.ways] == [((GIVE_WAY,), True)]


def test_a_room_that_meets_needs_no_way_out() -> None:
    answer = ways('[[job]]\nid = "a"\nstep = [{ id = "s", hands = "1h" }]\n')
    assert (answer.verdict, answer.ways, answer.met) == ("meets", (), True)
