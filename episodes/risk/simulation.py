"""The odds of a season: the plan's order kept, its lengths drawn, the outcomes counted.

Samples are timed in blocks: what is timed needs no more memory for many of them than for few.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from episodes.calendars.openings import Openings
from episodes.network.timing import Hands
from episodes.risk.counts import Counts
from episodes.risk.draws import Draws, Rows, as_planned
from episodes.risk.layout import Layout, lay_out
from episodes.risk.order_by import SHARES
from episodes.risk.outcome import Outcome, SweepDiffersError
from episodes.risk.readiness import met
from episodes.risk.sampler import Sampler
from episodes.risk.streams import Streams
from episodes.risk.sweep import Sweep
from episodes.risk.timing import RowHands
from episodes.schedule.retime import Retimer

BLOCK = 20_000
"""Samples timed at once."""

Progress = Callable[[float], None]
"""Told now and then how much is done, from 0 to 1."""


def simulate(
    retimer: Retimer,
    episodes: Sequence[str],
    *,
    samples: int,
    seed: int,
    correlation: float,
    shares: Sequence[float] = SHARES,
    progress: Progress | None = None,
) -> tuple[Outcome, ...]:
    """The outcome of each of the episodes.

    Args:
        shares: samples in time, in the hundred, for which an order moment is wanted.

    Raises:
        SweepDiffersError: the samples would be of another plan than this.
    """
    layout, planned, sampler = _prepared(retimer, samples, seed, correlation)
    draws = sampler.draw()
    free = lay_out(retimer, layout.origin, free=True)
    without_queues = anybody(sampler.rows, draws)
    counts = [Counts(layout, layout.network.scope(id), shares) for id in episodes]
    for first, columns in _blocks(samples):
        sweep = Sweep(layout, _part(draws, columns, samples)).run()
        could_be = Sweep(free, _part(without_queues, columns, samples)).run()
        for number, count in enumerate(counts):
            if progress is not None:
                progress((first + columns.size * number / len(counts)) / samples)
            count.add(sweep, could_be, sampler, planned if first == 0 else None)
    return tuple(count.outcome() for count in counts)


def shares_in_time(
    retimer: Retimer, episodes: Sequence[str], *, samples: int, seed: int, correlation: float
) -> tuple[float, ...]:
    """The share of samples in which each of the episodes is out in time; as `simulate` has it.

    Raises:
        SweepDiffersError: as `simulate`.
    """
    layout, _, sampler = _prepared(retimer, samples, seed, correlation)
    draws = sampler.draw()
    in_time = [0] * len(episodes)
    for _, columns in _blocks(samples):
        sweep = Sweep(layout, _part(draws, columns, samples)).run()
        for number, episode in enumerate(episodes):
            in_time[number] += int(met(sweep, episode).sum())
    return tuple(count / samples for count in in_time)


def _prepared(
    retimer: Retimer, samples: int, seed: int, correlation: float
) -> tuple[Layout, Draws, Sampler]:
    layout = lay_out(retimer, retimer.network.now)
    rows = Rows(layout)
    planned = as_planned(rows)
    if not retimer.differs():
        check_at_likely(layout, planned)
    # Else the plan itself breaks a link or a bound (an appointment that is past and not ticked
    # off): what is counted is the plan moved on until it keeps them.
    return layout, planned, Sampler(rows, Streams(seed, samples, correlation))


def _blocks(samples: int) -> Iterator[tuple[int, np.ndarray[tuple[int], np.dtype[np.int64]]]]:
    for first in range(0, samples, BLOCK):
        yield first, np.arange(first, min(first + BLOCK, samples))


def _part(draws: Draws, columns: np.ndarray[tuple[int], np.dtype[np.int64]], samples: int) -> Draws:
    return draws if columns.size == samples else draws.take(columns)


def anybody(rows: Rows, draws: Draws) -> Draws:
    """The same lengths, work that several could do being done whenever one of them can."""
    for activity in rows.layout.activities:
        if activity.done or len(activity.choices) < 2:
            continue
        drawn = draws.timing(activity.index)
        hours = Openings()
        for choice in activity.choices:
            if isinstance(choice.timing, Hands):
                hours = hours | choice.timing.openings
        if isinstance(drawn, RowHands):
            timing = replace(drawn, table=rows.table(hours))
            draws = draws.changed(activity.index, timing)
    return draws


def check_at_likely(layout: Layout, planned: Draws) -> None:
    """The sweep at likely lengths is the plan, activity by activity, to the minute.

    What has been ordered keeps its order as a fact; its arrival is compared.
    """
    sweep = Sweep(layout, planned).run()
    for activity, placed in zip(layout.activities, layout.plan.placed, strict=True):
        if placed is None or activity.done:
            continue
        index = activity.index
        found = (int(sweep.starts[index][0]), int(sweep.finishes[index][0]))
        expected = (layout.at(placed.start), layout.at(placed.finish))
        if activity.kind == "parcel" and activity.state == "started":
            found = (expected[0], found[1])
        if found != expected:
            raise SweepDiffersError(
                f"{activity.episode}:{activity.id} stands at {expected} in the plan and at "
                f"{found} in the sweep"
            )
