"""Plans against the best known makespans of published single-mode projects.

Source: R. Kolisch and A. Sprecher, "PSPLIB - A project scheduling problem library", European
Journal of Operational Research 96 (1997) 205-216 (see `psplib`). Few schedules are tried here, all
of them in `tests/bench`.

Bounds are what a few hundred schedules reach, with some room; `tests.bench.plan_quality` prints
the distance to the best known makespans after 5,000.
"""

from collections import Counter
from functools import cache

import pytest

from episodes.network.activity import Network
from episodes.network.dates import Dates, compute_dates
from episodes.network.expand import expand
from episodes.schedule.improve import improve
from episodes.schedule.plan import Plan
from episodes.schedule.search import make_plan
from tests.outside.psplib import PERIOD, Instance, instances, season_of

NAMED = {instance.name: instance for size in (30, 60, 120) for instance in instances(size)}
QUICK = [("J30_25_4", 400), ("J30_45_5", 400), ("J60_21_5", 300), ("J120_1_1", 150)]
WITHIN = {"J30_25_4": 3.0, "J30_45_5": 3.0, "J60_21_5": 5.0, "J120_1_1": 7.0}
"""Per cent above the best known makespan."""


@cache
def improved(name: str, schedules: int) -> tuple[Network, Dates, Plan, Plan]:
    network = expand(season_of(NAMED[name]))
    dates = compute_dates(network)
    plan = make_plan(network, dates)
    return network, dates, plan, improve(network, dates, plan, schedules=schedules)


def makespan(plan: Plan) -> int:
    ready = plan.ready_by(plan.network.episodes[0].id)
    assert ready is not None
    periods, rest = divmod(ready - plan.network.now, PERIOD)
    assert rest == 0
    return periods


def starts_of(plan: Plan, instance: Instance) -> list[int]:
    index = plan.network.index
    episode = plan.network.episodes[0].id
    placed = [plan.placed[index[episode, f"p.j{job}"]] for job in range(len(instance.durations))]
    assert all(placed)
    return [(at.start - plan.network.now) // PERIOD for at in placed if at is not None]


def test_the_copied_numbers_are_whole() -> None:
    """The library prints the sum of the durations of its first project as its horizon: 158."""
    assert sum(NAMED["J30_1_1"].durations) == 158
    for name, instance in NAMED.items():
        jobs = int(name[1:].split("_")[0])
        assert len(instance.durations) == len(instance.successors) == jobs
        assert [len(row) for row in instance.requests] == [jobs] * len(instance.capacities)
        for row, capacity in zip(instance.requests, instance.capacities, strict=True):
            assert max(row) <= capacity
        assert all(job < other for job, some in enumerate(instance.successors) for other in some)


@pytest.mark.parametrize(("name", "schedules"), QUICK)
def test_a_public_project_is_planned_near_its_best_known_makespan(
    name: str, schedules: int
) -> None:
    instance = NAMED[name]
    _, dates, plan, better = improved(name, schedules)
    found = makespan(better)
    assert found <= makespan(plan)
    assert found <= instance.best * (1 + WITHIN[name] / 100)
    if instance.optimal:
        assert found >= instance.best
    assert found * PERIOD >= dates.floor(plan.network, "2027-04-test") - plan.network.now


@pytest.mark.parametrize(("name", "schedules"), QUICK)
def test_its_plan_keeps_order_and_capacities(name: str, schedules: int) -> None:
    """Counted period by period, apart from the planner."""
    instance = NAMED[name]
    for plan in improved(name, schedules)[2:]:
        starts = starts_of(plan, instance)
        for job, following in enumerate(instance.successors):
            for other in following:
                assert starts[job] + instance.durations[job] <= starts[other]
        for row, capacity in zip(instance.requests, instance.capacities, strict=True):
            used: Counter[int] = Counter()
            for job, amount in enumerate(row):
                for period in range(starts[job], starts[job] + instance.durations[job]):
                    used[period] += amount
            assert max(used.values()) <= capacity


def test_the_same_number_of_schedules_gives_the_same_plan() -> None:
    network, dates, plan, better = improved("J30_45_5", 400)
    assert improve(network, dates, plan, schedules=400) == better


def test_a_release_far_ahead_does_not_end_the_search_early() -> None:
    """The release is met by a year; what was asked for is looked for all the same."""
    _, _, plan, better = improved("J60_21_5", 300)
    assert makespan(better) < makespan(plan)


def test_a_search_that_is_stopped_keeps_the_best_so_far() -> None:
    network, dates, plan, _ = improved("J30_25_4", 400)
    asked = []

    def stop() -> bool:
        asked.append(True)
        return len(asked) > 20

    halted = improve(network, dates, plan, schedules=100_000, stop=stop)
    assert makespan(halted) <= makespan(plan)
    assert 20 < len(asked) < 60
