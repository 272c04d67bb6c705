"""What drives the risk: the lengths whose certainty helps most, found without trying all."""

from dataclasses import replace

import numpy as np
import pytest

from episodes.answers.odds import odds_of
from episodes.answers.planning import plan_season
from episodes.risk.backward import BackwardSweep
from episodes.risk.drivers import Drivers
from episodes.risk.readiness import met
from episodes.risk.timing import RowCoat, RowHands, RowTiming
from tests.risk.small_plan import EPISODE, Played, generated, play
from tests.small_season import season


def gains(played: Played, episode: str) -> dict[tuple[int, bool], float]:
    """Every uncertain length made certain in turn, everything timed again in full."""
    sweep, draws, planned = played.sweep, played.draws, played.planned
    reach = played.layout.retimer.reach(episode)
    in_time = met(sweep, episode).mean()
    found: dict[tuple[int, bool], float] = {}

    def gain(index: int, timing: RowTiming | None, coat: RowCoat | None = None) -> float:
        trial = sweep.again(draws.changed(index, timing, coat), index)
        return float(met(trial, episode).mean() - in_time)

    for index in played.sampler.uncertain & reach:
        likely, drawn = planned.timing(index), draws.timing(index)
        if isinstance(likely, RowHands) and isinstance(drawn, RowHands):
            likely = replace(drawn, work=likely.work)
        found[index, False] = gain(index, likely)
    for index in played.sampler.uncertain_drying & reach:
        coat, timing = planned.coat(index), None
        if not played.layout.activities[index].done:
            drawn = draws.timing(index)
            if isinstance(drawn, RowHands) and drawn.gate is not None:
                timing = replace(drawn, gate=replace(drawn.gate, touch=coat.times["touch"]))
        found[index, True] = gain(index, timing, coat)
    return found


@pytest.mark.parametrize(("seed", "steps"), [(302, 30), (303, 26), (307, 40), (6008, 30)])
def test_the_best_drivers_are_those_that_gain_most_when_each_is_made_certain(
    seed: int, steps: int
) -> None:
    planning = generated(seed, steps)
    played = play(planning, samples=200, correlation=0.3)
    sweep, layout = played.sweep, played.layout
    for scope in planning.network.episodes:
        release = np.full(1, layout.at(scope.release), np.int32)
        reach = layout.retimer.felt(scope.id) | layout.retimer.reach(scope.id)
        latest = BackwardSweep(sweep, {scope.id: release}, reach, own_bounds=True)
        drivers = Drivers(sweep, latest, scope.id, met(sweep, scope.id), played.planned)
        found = drivers.best(played.sampler.uncertain, played.sampler.uncertain_drying)
        tried = gains(played, scope.id)
        best = sorted((gain for gain in tried.values() if gain > 1e-9), reverse=True)[:3]
        assert [driver.gain for driver in found] == pytest.approx(best)
        for driver in found:
            assert driver.gain == pytest.approx(tried[driver.index, driver.drying])


ROOM = """
release = 2027-03-08T20:00:00
[[parcel]]
id = "boards"
lead = "2..3..8 workdays"
ordered = 2027-03-01
[[job]]
id = "bench"
[[job.step]]
id = "cut"
hands = "2h..3h..9h"
after = ["boards"]
[[job.step]]
id = "seal"
hands = "40min"
coat = "waterborne-polyurethane"
"""


def test_a_driver_says_what_it_is_and_what_it_would_be_if_it_were_certain() -> None:
    planning = plan_season(season(ROOM))
    answer = odds_of(planning, samples=4_000).episodes[0]
    by_id = {driver.id: driver for driver in answer.drivers}
    boards = by_id["boards"]
    assert (boards.kind, boards.ordered, boards.likely_min) == ("parcel", True, None)
    placed = planning.plan.placed[planning.network.index[EPISODE, "boards"]]
    assert placed is not None
    assert boards.arrives == placed.finish
    cut = by_id["bench.cut"]
    assert (cut.kind, cut.likely_min, cut.arrives) == ("hands", 180, None)
    assert [driver.gain for driver in answer.drivers] == sorted(
        (driver.gain for driver in answer.drivers), reverse=True
    )
