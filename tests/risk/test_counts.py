"""The figures of an episode: the ceiling, the spread, harmless orders, and who may ask for them."""

import pickle
from dataclasses import replace

import numpy as np
import pytest

from episodes.answers.odds import odds, odds_of, on_time, on_times
from episodes.answers.planning import Planning, plan_season
from episodes.risk.draws import Rows
from episodes.risk.layout import lay_out
from episodes.risk.outcome import Outcome
from episodes.risk.readiness import met
from episodes.risk.sampler import Sampler
from episodes.risk.simulation import anybody, simulate
from episodes.risk.streams import Streams
from episodes.risk.sweep import Sweep
from tests.risk.small_plan import EPISODE, generated, play
from tests.small_season import minutes, season


def outcome(planning: Planning, samples: int = 2_000) -> Outcome:
    return simulate(planning.retimer, [EPISODE], samples=samples, seed=1, correlation=0.0)[0]


TWO = """
release = 2027-03-02T21:00:00
[[job]]
id = "a"
[[job.step]]
id = "cut"
hands = "2h..3h..6h"
[[job]]
id = "b"
[[job.step]]
id = "fill"
hands = "2h..3h..6h"
{who}
"""
HELPER = '[[person]]\nid = "helper"\nhours = { daily = ["18:00-21:30"] }'


def test_the_ceiling_is_what_it_would_be_if_nobody_had_to_wait() -> None:
    """One person for two steps, against a second person: then nothing waits any more."""
    alone = outcome(plan_season(season(TWO.format(who=""), people=HELPER)))
    helped = outcome(plan_season(season(TWO.format(who='who = ["helper"]'), people=HELPER)))
    assert alone.ceiling == pytest.approx(helped.on_time, abs=0.02)
    assert alone.ceiling > alone.on_time + 0.1
    assert helped.ceiling == helped.on_time


def test_work_that_several_can_do_reaches_its_ceiling_with_whoever_is_free() -> None:
    """The other one works all day; the plan gives both steps to whoever is first."""
    day = '[[person]]\nid = "helper"\nhours = { daily = ["00:00-24:00"] }'
    who = 'who = { any_of = ["host", "helper"] }'
    found = outcome(plan_season(season(TWO.format(who=who), people=day)))
    only = outcome(plan_season(season(TWO.format(who='who = ["helper"]'), people=day)))
    assert found.ceiling >= only.ceiling


@pytest.mark.parametrize("seed", [302, 305, 314])
def test_no_sample_is_in_time_that_could_not_be_without_queues(seed: int) -> None:
    planning = generated(seed)
    played = play(planning, samples=400, correlation=0.3)
    free = lay_out(planning.retimer, played.layout.origin, free=True)
    rows = Rows(played.layout)
    draws = Sampler(rows, Streams(1, 400, 0.3)).draw()
    without = Sweep(free, anybody(rows, draws)).run()
    for scope in planning.network.episodes:
        kept, could_be = met(played.sweep, scope.id), met(without, scope.id)
        assert not (kept & ~could_be).any()


def test_the_spread_has_the_release_on_an_edge_and_all_samples_in_its_cells() -> None:
    two = TWO.replace("2027-03-02T21:00:00", "2027-03-02T20:15:00").format(who="")
    found = outcome(plan_season(season(two)))
    spread = found.spread
    assert spread is not None
    width = (spread.end - spread.start) // len(spread.shares)
    release = minutes(2, 20, 15)
    assert (release - spread.start) % width == 0
    assert len(spread.shares) <= 48
    assert sum(spread.shares) == pytest.approx(1)
    in_time = spread.shares[: (release - spread.start) // width]
    assert sum(in_time) == pytest.approx(found.on_time)


BOARDS = """
release = 2027-03-10
[[parcel]]
id = "boards"
lead = "2..4..9 workdays"
[[job]]
id = "bench"
[[job.step]]
id = "cut"
hands = "30min"
after = ["boards"]
"""


def test_ordered_at_the_harmless_moment_it_costs_one_in_a_hundred_at_most() -> None:
    planning = plan_season(season(BOARDS))
    found = outcome(planning, samples=4_000)
    parcel = found.parcels[0]
    assert 0.3 < found.on_time < 0.95
    assert parcel.harmless_until is not None
    later = season(BOARDS.replace('lead =', 'not_before = {at}\nlead =').format(
        at=f"2027-03-01T{(parcel.harmless_until - minutes(1)) // 60:02}:"
           f"{parcel.harmless_until % 60:02}:00"))  # fmt: skip
    again = outcome(plan_season(later), samples=4_000)
    assert found.on_time - again.on_time <= 0.01
    assert parcel.cap >= found.on_time


def test_all_rooms_at_once_and_one_room_alone_have_the_share_of_the_whole_answer() -> None:
    planning = generated(302, 26)
    whole = {episode.id: episode.on_time for episode in odds_of(planning, samples=200).episodes}
    assert len(whole) > 1
    assert on_times(planning, samples=200) == whole
    for id, share in whole.items():
        assert on_time(planning, id, samples=200) == share


PAST = """
release = 2027-03-10
[[job]]
id = "desk"
[[job.step]]
id = "sold"
hands = "30min"
at = 2027-02-26T18:00:00
[[job.step]]
id = "cut"
hands = "2h..3h..6h"
"""


def test_an_appointment_that_is_past_and_not_ticked_off_leaves_odds_of_the_plan_moved_on() -> None:
    planning = plan_season(season(PAST))
    answer = odds_of(planning, samples=200)
    assert answer.as_planned == (not planning.retimer.differs())
    assert 0 <= answer.episodes[0].on_time <= 1
    assert on_time(planning, EPISODE, samples=200) == answer.episodes[0].on_time


def test_a_plan_that_breaks_its_own_links_is_counted_as_moved_on() -> None:
    planning = plan_season(season(BOARDS))
    placed = list(planning.plan.placed)
    index = planning.network.index[EPISODE, "bench.cut"]
    old = placed[index]
    assert old is not None
    placed[index] = replace(old, start=old.start + 1, finish=old.finish + 1)
    broken = replace(planning, plan=replace(planning.plan, placed=tuple(placed)))
    sound = on_time(planning, EPISODE, samples=200)
    assert on_time(broken, EPISODE, samples=200) == sound
    assert not odds_of(broken, samples=200).as_planned
    assert odds_of(planning, samples=200).as_planned


def test_another_process_can_be_asked() -> None:
    """Season, planning and answer come out of a pickle as they went in."""
    read = season(BOARDS)
    asked = pickle.loads(pickle.dumps(read))
    answer = odds(asked, samples=300)
    assert pickle.loads(pickle.dumps(answer)) == answer == odds(read, samples=300)


def test_progress_rises_from_nothing_to_less_than_all(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("episodes.risk.simulation.BLOCK", 100)
    told: list[float] = []
    odds(season(BOARDS), samples=500, progress=told.append)
    assert told == sorted(told)
    assert told[0] == 0
    assert np.diff(told).max() <= 0.2 + 1e-9
    assert 0.5 < told[-1] < 1
