"""How full the weeks are: bounds that hold for every plan, and overbooked weeks named."""

import pytest

from episodes.answers.demand import Demand, edges, weeks
from episodes.answers.load import load, load_of
from episodes.answers.planning import Planning, plan_season
from episodes.answers.verdicts import judge
from episodes.calendars.openings import Openings
from episodes.calendars.working_time import open_minutes_before
from episodes.files.reading import read_season
from tests.asking import MATERIALS
from tests.reference import generate, referee
from tests.small_season import minutes, season

PRODUCTS = referee.products(MATERIALS)
SECOND = '[[person]]\nid = "builder"\nhours = { daily = ["18:00-19:00"] }\n'


def worked(planning: Planning, people: tuple[str, ...], start: int, end: int) -> int:
    """Minutes that a plan has these people work between two moments."""
    total = 0
    for activity, placed in zip(planning.network.activities, planning.plan.placed, strict=True):
        if placed is None or activity.state == "done":
            continue
        count = len(set(people).intersection(activity.choices[placed.choice].people))
        if count:
            own = Openings(placed.pieces)
            total += count * (open_minutes_before(own, end) - open_minutes_before(own, start))
    return total


SEEDS = range(200, 206)


@pytest.fixture(scope="module")
def plannings(tmp_path_factory: pytest.TempPathFactory) -> list[Planning]:
    """Generated seasons that meet every release, planned."""
    folder = tmp_path_factory.mktemp("seasons")
    planned = [
        plan_season(read_season(generate.write(seed, 12, folder / str(seed), PRODUCTS), clock=0))
        for seed in SEEDS
    ]
    return [
        planning
        for planning in planned
        if all(judge(planning, e.id).verdict != "slips" for e in planning.network.episodes)
    ]


def test_no_plan_keeps_out_of_a_stretch_what_is_said_to_be_needed_there(
    plannings: list[Planning],
) -> None:
    """A plan that meets every release works at least the needed minutes in every stretch."""
    looked_at = needed_anywhere = 0
    for planning in plannings:
        demand = Demand(planning, edges(planning, weeks(planning)))
        moments = demand.edges
        for group in demand.groups():
            for b in range(1, len(moments)):
                for a in range(b):
                    needed = demand.needed(group, a, b)
                    assert needed == sum(each.within(a, b) for each in demand.work(group))
                    assert needed <= worked(planning, group, moments[a], moments[b])
                    assert needed <= demand.open_between(group, a, b)
                    looked_at += 1
                    needed_anywhere += needed > 0
    assert len(plannings) >= 3
    assert needed_anywhere > looked_at / 20


def test_a_person_with_more_to_do_than_open_hours_is_overbooked() -> None:
    """March 2027, evenings of 3.5 h; the release is Friday 2 April, 09:00.

    Read on Monday 29 March at midnight: four evenings, 14 h, are open before it. 15 h of work in
    two jobs, neither of which would be late alone.
    """
    text = """
    [[job]]
    id = "one"
    step = [{ id = "a", hands = "8h" }]
    [[job]]
    id = "two"
    step = [{ id = "b", hands = "7h" }]
    """
    answer = load(season(text, as_of="2027-03-29T00:00:00"))
    host = answer.people[0]
    assert host.overbooked
    assert host.tightest is not None
    assert (host.tightest.start, host.tightest.end) == (minutes(29), minutes(2, 9, month=4))
    assert (host.tightest.needed_min, host.tightest.open_min) == (15 * 60, 14 * 60)
    assert host.tightest.over_min == 60
    assert answer.overbooked == (host.tightest,)
    assert [week.overbooked for week in host.weeks] == [True]


def test_with_an_hour_less_to_do_nobody_is_overbooked() -> None:
    """As above with 14 h of work: it fills the open hours to the minute."""
    text = """
    [[job]]
    id = "one"
    step = [{ id = "a", hands = "8h" }]
    [[job]]
    id = "two"
    step = [{ id = "b", hands = "6h" }]
    """
    answer = load(season(text, as_of="2027-03-29T00:00:00"))
    assert answer.overbooked == ()
    (week,) = answer.people[0].weeks
    assert (week.planned_min, week.needed_min, week.open_min) == (840, 840, 840)
    assert week.full


def test_one_long_piece_of_work_overbooks_as_several_do_though_its_latest_start_has_passed() -> (
    None
):
    """As above in one step of 15 h: it would have had to begin an hour of work ago."""
    text = '[[job]]\nid = "one"\nstep = [{ id = "a", hands = "15h" }]\n'
    answer = load(season(text, as_of="2027-03-29T00:00:00"))
    (squeeze,) = answer.overbooked
    assert (squeeze.needed_min, squeeze.open_min) == (15 * 60, 14 * 60)


def test_work_squeezed_behind_a_parcel_is_found_though_earlier_weeks_are_free() -> None:
    """Four free weeks before it do not help what waits for a parcel.

    The boards come on Tuesday 30 March at 18:00; until Friday 2 April 09:00 three evenings, 10.5 h,
    are open. 6 h and 5 h wait for them: half an hour too much. From 1 March on there is room for
    105 h, so that only a stretch that begins late shows it; it begins on the last Monday, with
    14 h open, so the bound must come from the parcel's own evenings: 11 h against 14 h is no
    proof. With 9 h and 6 h it is.
    """
    text = """
    [[parcel]]
    id = "boards"
    lead = "29d"
    ordered = 2027-03-01
    promised = 2027-03-30T18:00:00
    [[job]]
    id = "one"
    step = [{{ id = "a", hands = "{a}", after = ["boards"] }}]
    [[job]]
    id = "two"
    step = [{{ id = "b", hands = "{b}", after = ["boards"] }}]
    """
    near = load(season(text.format(a="6h", b="5h"), as_of="2027-03-01T18:00:00"))
    assert near.overbooked == ()
    over = load(season(text.format(a="9h", b="6h"), as_of="2027-03-01T18:00:00"))
    (squeeze,) = over.overbooked
    assert (squeeze.start, squeeze.end) == (minutes(29), minutes(2, 9, month=4))
    assert (squeeze.needed_min, squeeze.open_min) == (15 * 60, 14 * 60)


def test_work_of_any_one_of_two_is_held_against_the_hours_of_both() -> None:
    """Four evenings: 4 h of the builder's and 14 h of the host's are open, 18 h together.

    Six steps of 3.2 h, 19.2 h, each for any one of them, fit neither alone nor together.
    """
    steps = ", ".join(f'{{ id = "s{n}", hands = "192min", after = [] }}' for n in range(6))
    text = f"""
    [[job]]
    id = "paint"
    who = {{ any_of = ["host", "builder"] }}
    step = [{steps}]
    """
    answer = load(season(text, as_of="2027-03-29T00:00:00", people=SECOND))
    assert [person.overbooked for person in answer.people] == [False, False]
    (squeeze,) = answer.overbooked
    assert squeeze.people == ("builder", "host")
    assert (squeeze.needed_min, squeeze.open_min) == (6 * 192, 18 * 60)


def test_a_room_that_a_parcel_makes_late_overbooks_nobody() -> None:
    """The boards come after the release, and all that waits for them should have begun before
    today: not the hours are wanting."""
    text = """
    [[parcel]]
    id = "boards"
    lead = "40d"
    [[job]]
    id = "one"
    step = [
      { id = "a", hands = "3h", after = ["boards"] },
      { id = "b", wait = "20d" },
      { id = "c", hands = "6h" },
    ]
    """
    answer = load(season(text, as_of="2027-03-29T00:00:00"))
    assert answer.overbooked == ()


def test_weeks_run_from_now_over_mondays_to_the_last_release() -> None:
    planning = plan_season(
        season('[[job]]\nid = "one"\nstep = [{ id = "a", hands = "1h" }]\n',
               as_of="2027-03-20T08:00:00", zone="America/Chicago")
    )  # fmt: skip
    first, *_, last = weeks(planning)
    assert first == (minutes(20, 13), minutes(22, 5))
    assert last == (minutes(29, 5), minutes(2, 14, month=4))
    assert weeks(planning, 1) == (first,)


def test_what_the_plan_puts_into_the_weeks_is_all_that_is_to_do() -> None:
    text = """
    [[job]]
    id = "one"
    step = [
      { id = "a", hands = "9h" },
      { id = "b", hands = "2h", who = ["host", "builder"] },
    ]
    """
    answer = load_of(plan_season(season(text, people=SECOND)))
    host, builder = answer.people
    assert (host.planned_min, builder.planned_min) == (11 * 60, 2 * 60)
    assert {id for week in host.weeks for id, _ in week.episodes} == {"2027-04-test"}


def test_gear_and_places_are_held_over_night_and_while_a_coat_dries() -> None:
    """Clamps stay on for twelve hours of a wait; a coat holds its place until it can be handled."""
    text = """
    [[job]]
    id = "box"
    step = [
      { id = "glue", hands = "1h", gear = { clamps = 4 } },
      { id = "set", wait = "12h", gear = { clamps = 4 } },
    ]
    [[job]]
    id = "shelf"
      [[job.step]]
      id = "oil"
      hands = "30min"
      coat = "some-oil"
      dries = { touch = "2h", recoat = "4h", handle = "24h" }
    """
    studio = '[[gear]]\nid = "clamps"\ncount = 6\n'
    answer = load(season(text, people=studio, room="holds = 2"))
    clamps, room = answer.occupied
    assert (clamps.limit, clamps.weeks[0].most, clamps.weeks[0].held_min) == (6, 4, 4 * 13 * 60)
    # The glue and its setting 13 h, the coat 30 min, its drying 24 h.
    assert room.weeks[0].held_min == 13 * 60 + 30 + 24 * 60
    assert room.weeks[0].most == 2
    assert room.weeks[0].limit_min == 2 * 7 * 24 * 60
