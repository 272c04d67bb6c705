"""How good plans are: public projects against their best known makespans, and a season's plan.

Run by hand: `python -m tests.bench.plan_quality [SCHEDULES] [SEEDS]`. Prints a table and, as its
last line, JSON. Gaps depend on the schedules counted alone, so they are the same on every machine;
times are those of this one. The projects kept here come from the hard classes of the sets: a mean
over a whole set, most of which any rule solves, is far smaller.
"""

import json
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from episodes.files.reading import read_season
from episodes.network.dates import compute_dates
from episodes.network.expand import expand
from episodes.schedule.improve import improve
from episodes.schedule.search import make_plan
from tests.asking import MATERIALS
from tests.outside.psplib import PERIOD, instances, season_of
from tests.reference import generate, referee

TARGETS = {30: 0.2, 60: 1.4, 120: 3.5}
"""Mean gap in per cent after 5,000 schedules, over projects spread through a set."""


def gaps(size: int, schedules: int) -> tuple[float, float, float]:
    """Mean gap of the first plan and of the bettered one in per cent, ms a schedule."""
    first = better = spent = 0.0
    for instance in instances(size):
        network = expand(season_of(instance))
        dates = compute_dates(network)
        episode = network.episodes[0].id
        plan = make_plan(network, dates)
        begin = time.process_time()
        found = improve(network, dates, plan, schedules=schedules)
        spent += time.process_time() - begin
        spans = [((p.ready_by(episode) or 0) - network.now) / PERIOD for p in (plan, found)]
        first += 100 * (spans[0] / instance.best - 1)
        better += 100 * (spans[1] / instance.best - 1)
        print(f"  {instance.name:10} {spans[0]:4.0f} {spans[1]:4.0f}  best known {instance.best}")
    count = len(instances(size))
    return first / count, better / count, 1000 * spent / count / schedules


def seasons(seeds: int) -> dict[str, float]:
    """Times of joint plans of three rooms with 150 steps, made up by seeds; milliseconds."""
    products = referee.products(MATERIALS)
    times = []
    with TemporaryDirectory() as temporary:
        for seed in range(seeds):
            folder = generate.write(seed, 150, Path(temporary) / str(seed), products, episodes=3)
            network = expand(read_season(folder, clock=0))
            dates = compute_dates(network)
            spans = []
            for _ in range(3):
                begin = time.process_time()
                make_plan(network, dates)
                spans.append(1000 * (time.process_time() - begin))
            times.append(min(spans))
    times.sort()
    return {"median": times[len(times) // 2], "most": times[-1]}


def main() -> None:
    schedules = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    seeds = int(sys.argv[2]) if len(sys.argv) > 2 else 12
    found = {size: gaps(size, schedules) for size in TARGETS}
    print(f"{'jobs':>5} {'first plan':>11} {'after':>7} {'a whole set':>12} {'ms each':>8}")
    for size, (first, better, each) in found.items():
        print(f"{size:5} {first:9.1f} % {better:5.2f} % {TARGETS[size]:10.1f} % {each:8.2f}")
    plan = seasons(seeds)
    print(f"joint plan of 150 steps: median {plan['median']:.0f} ms, most {plan['most']:.0f} ms")
    print(json.dumps({"schedules": schedules, "gaps": found, "season_ms": plan}))


if __name__ == "__main__":
    main()
