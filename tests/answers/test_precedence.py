"""What must precede what: the plan's own links, waits bridged, drying and settling as gaps."""

from episodes.answers.planning import plan_season
from episodes.answers.precedence import Precedence, precedences
from episodes.model.season import Season
from tests.small_season import season

EPISODE = "2027-04-test"


def links(planned: Season, *, waits: bool = False) -> dict[tuple[str, str], Precedence]:
    """By the ids of both ends; no pair of these seasons has two links."""
    found = precedences(plan_season(planned), waits=waits)
    result = {(one.earlier[1], one.later[1]): one for one in found}
    assert len(result) == len(found)
    return result


def job(*steps: str, id: str = "bench") -> str:
    return f'[[job]]\nid = "{id}"\n' + "".join(f"[[job.step]]\n{step}\n" for step in steps)


CUT = 'id = "cut"\nhands = "1h"'
FIT = 'id = "fit"\nhands = "1h"'


def test_steps_of_a_job_follow_one_another_and_other_things_do_not() -> None:
    found = links(season(job(CUT, FIT) + job('id = "plan"\nhands = "30min"', id="other")))
    assert found == {
        ("bench.cut", "bench.fit"): Precedence(
            earlier=(EPISODE, "bench.cut"), later=(EPISODE, "bench.fit")
        )
    }


def test_a_wait_between_is_bridged_with_its_length_or_stands_itself() -> None:
    planned = season(job(CUT, 'id = "set"\nwait = "5h"', FIT))
    bridged = links(planned)
    assert set(bridged) == {("bench.cut", "bench.fit")}
    assert bridged["bench.cut", "bench.fit"].gap_min == 300
    shown = links(planned, waits=True)
    assert {(pair, link.gap_min) for pair, link in shown.items()} == {
        (("bench.cut", "bench.set"), 0),
        (("bench.set", "bench.fit"), 0),
    }


def test_waits_in_a_row_add_up_and_of_two_ways_round_the_longer_counts() -> None:
    long = 'id = "long"\nwait = "7h"\nafter = ["cut"]'
    short = 'id = "short"\nwait = "2h"\nafter = ["cut"]'
    more = 'id = "more"\nwait = "1h"'
    fit = f'{FIT}\nafter = ["long", "more"]'
    found = links(season(job(CUT, long, short, more, fit)))
    assert {pair: link.gap_min for pair, link in found.items()} == {("bench.cut", "bench.fit"): 420}


def test_a_gap_and_the_point_that_it_counts_from_are_kept() -> None:
    fit = f'{FIT}\nafter = [{{ step = "cut", gap = "3h", from = "start" }}]'
    sand = 'id = "sand"\nhands = "1h"\nafter = [{ step = "cut", gap = "26h", to = "finish" }]'
    found = links(season(job(CUT, fit, sand)))
    one, two = found["bench.cut", "bench.fit"], found["bench.cut", "bench.sand"]
    assert (one.from_, one.to, one.gap_min) == ("start", "start", 180)
    assert (two.from_, two.to, two.gap_min) == ("finish", "finish", 1560)


DRIES = 'dries = { touch = "30min", recoat = "2h", handle = "1d", cure = "7d" }'


def test_drying_between_two_coats_is_the_gap_of_the_stage_that_is_waited_for() -> None:
    coats = [
        f'id = "coat-{number}"\nhands = "30min"\ncoat = "house-blend"\n{DRIES}' for number in (1, 2)
    ]
    found = links(season(job(*coats, FIT)))
    assert found["bench.coat-1", "bench.coat-2"].gap_min == 120
    assert found["bench.coat-2", "bench.fit"].gap_min == 1440


def test_a_parcel_counts_from_when_it_is_in_hand_its_settling_is_the_gap() -> None:
    parcel = '[[parcel]]\nid = "boards"\nlead = "3d"\nsettle = "48h"\nafter = ["measure"]\n'
    measure = job('id = "tape"\nhands = "30min"', id="measure")
    cut = f'{CUT}\nafter = ["boards"]'
    found = links(season(parcel + measure + job(cut)))
    assert found["boards", "bench.cut"].gap_min == 2880
    assert found["measure.tape", "boards"].gap_min == 0


def test_what_comes_after_the_release_is_linked_to_it() -> None:
    found = links(season(job(CUT) + job('id = "clear"\nhands = "1h"\nafter = ["release"]', id="z")))
    assert ("release", "z.clear") in found


def test_what_was_dropped_is_bridged_with_its_gaps() -> None:
    sand = 'id = "sand"\nhands = "1h"\ndropped = 2027-02-27\nafter = [{ step = "cut", gap = "4h" }]'
    found = links(season(job(CUT, sand, FIT)))
    assert {pair: link.gap_min for pair, link in found.items()} == {("bench.cut", "bench.fit"): 240}
