"""The plan re-timed: equal to the plan at rest, and critical equal to one minute tried on each."""

from pathlib import Path

import pytest

from episodes.answers.planning import Planning, plan_season
from episodes.files.reading import read_season
from episodes.trade import __path__ as trade
from tests.reference.generate import write
from tests.reference.referee import products

SEEDS = range(300, 312)


@pytest.fixture(scope="module", params=SEEDS)
def planning(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Planning:
    folder = tmp_path_factory.mktemp(f"season-{request.param}")
    write(request.param, 40, folder, products(Path(trade[0]) / "products.toml"))
    return plan_season(read_season(folder, clock=30_000_000))


def test_the_plan_at_rest_is_the_plan(planning: Planning) -> None:
    assert planning.retimer.differs() == []


def test_critical_is_what_one_minute_tried_on_each_activity_moves(planning: Planning) -> None:
    """Every activity tried in full; the quick answer looks at most of them from one backward
    pass and follows a minute only through what can feel it."""
    retimer, network = planning.retimer, planning.network
    for scope in network.episodes:
        if planning.plan.ready_by(scope.id) is None:
            continue
        moment = retimer.ready_by(scope.id)
        steps, dryings = retimer.critical(scope.id)
        for index in scope.members:
            activity = network.activities[index]
            if planning.plan.placed[index] is None:
                continue
            if activity.state != "done":
                tried = retimer.ready_by(scope.id, retimer.with_minutes(index, 1)) != moment
                assert (index in steps) == tried, activity.key
            if activity.coat is not None and activity.state == "open":
                trial = retimer.with_minutes(index, 1, drying=True)
                row = network.dries[index]
                coat = trial.coats[index]
                assert coat is not None
                over = coat.stage_end(row.release_stage, trial.finishes[index])
                ready = retimer.ready_by(scope.id, trial)
                if index in scope.required:
                    ready = max(ready, over)
                assert (index in dryings) == (ready != moment), activity.key
