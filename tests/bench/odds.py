"""What odds cost: a sweep of 10,000 samples by 150 activities against its peers of the same run.

    python -m tests.bench odds

Peers: the time in which this machine's memory moves the bytes that a sweep touches; the same
sweep in a plain loop, sample by sample; and, for the whole of the odds, one sweep.
"""

from collections.abc import Callable
from random import Random
from time import perf_counter
from typing import Any

import numpy as np

from episodes.answers.odds import odds_of
from episodes.answers.planning import Planning, plan_season
from episodes.network.timing import Hands
from episodes.risk.draws import Rows, as_planned
from episodes.risk.layout import Layout, lay_out
from episodes.risk.sampler import Sampler
from episodes.risk.streams import Streams
from episodes.risk.sweep import Sweep
from tests.risk.one_sample import scalar_pass
from tests.small_season import season

SAMPLES, STEPS, JOBS = 10_000, 150, 10
LAST_LEVEL_CACHE = 32 << 20
SCALAR = 40
"""Samples that the plain loop is timed on; the rest is in proportion."""

HOST = 'mon-fri = ["18:00-21:30"], sat-sun = ["09:00-17:00"]'
BUILDER = """
[[person]]
id = "builder"
hours = { mon-fri = ["17:00-22:00"], sat-sun = ["08:00-18:00"] }
"""


def bench_season() -> Planning:
    """One room of 150 ranged steps of two people, with links across its jobs."""
    random = Random(7)
    lines = ["release = 2028-06-02"]
    for job in range(JOBS):
        lines += ["[[job]]", f'id = "job-{job}"', f'who = ["{("host", "builder")[job % 2]}"]']
        for step in range(STEPS // JOBS):
            low = random.choice((30, 45, 60, 90))
            lines += [
                "[[job.step]]",
                f'id = "s{step}"',
                f'hands = "{low}min..{low * 2}min..{low * 4}min"',
            ]
            if job and step and random.random() < 0.5:
                lines.append(f'also_after = ["job-{job - 1}.s{step - 1}"]')
    return plan_season(season("\n".join(lines), zone="America/Chicago", hours=HOST, people=BUILDER))


def timed(work: Callable[[], object], rounds: int = 15) -> float:
    """Seconds of a call, the quickest of some: what others do on the machine only adds to it."""
    spent = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        spent.append(perf_counter() - start)
    return min(spent)


def bandwidth() -> float:
    """Bytes a second of a plain add out of memory, two arrays read and one written.

    Each array is four times a last-level cache of 32 MB, as the rules of the STREAM benchmark
    have it (J. D. McCalpin, "Memory bandwidth and machine balance in current high performance
    computers", IEEE TCCA Newsletter, 1995).
    """
    one, two, three = (np.ones(LAST_LEVEL_CACHE, np.int32) for _ in range(3))
    seconds = timed(lambda: np.add(one, two, out=three))
    return float(3 * one.nbytes / seconds)


def bytes_touched(layout: Layout) -> int:
    """Bytes that a forward sweep reads and writes at least: three rows a bound (the point, the
    running start twice), twelve a piece of work: the raw start, three look-ups (two rows each: from
    the table and into the result), one more read before each of the last two, the length."""
    rows = 0
    for activity in layout.activities:
        bounds = layout.plain[activity.index]
        rows += 3 * len(bounds or layout.incoming[activity.index])
        planned = layout.retimer.base.timings[activity.index][0]
        rows += 12 if isinstance(planned, Hands) else 3
    return rows * SAMPLES * 4


def measure() -> list[dict[str, Any]]:
    """The rows of the table: what, seconds, against what, ratio, bar."""
    planning = bench_season()
    layout = lay_out(planning.retimer, planning.network.now)
    rows = Rows(layout)
    as_planned(rows)
    draws = Sampler(rows, Streams(1, SAMPLES, 0.3)).draw()
    links = sum(len(links) for links in layout.incoming)
    sweep = timed(lambda: Sweep(layout, draws).run())
    memory = bytes_touched(layout) / bandwidth()
    start = perf_counter()
    for column in range(SCALAR):
        scalar_pass(layout, draws, column)
    scalar = (perf_counter() - start) * SAMPLES / SCALAR
    whole = timed(lambda: odds_of(planning, samples=SAMPLES), rounds=7)
    size = f"{len(layout.activities)} activities, {links} links, {SAMPLES:,} samples"
    return [
        {"what": f"forward sweep ({size})", "seconds": sweep, "peer": "memory bandwidth",
         "ratio": sweep / memory, "bar": "<= 3"},
        {"what": "the same in a plain loop", "seconds": scalar, "peer": "forward sweep",
         "ratio": scalar / sweep, "bar": ">= 100"},
        {"what": "the whole of the odds", "seconds": whole, "peer": "forward sweep",
         "ratio": whole / sweep, "bar": "<= 25"},
    ]  # fmt: skip
