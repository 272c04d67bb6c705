"""The odds of a season: the plan's order kept, its lengths drawn, the outcomes counted.

Samples are timed in blocks, so that many of them need no more memory than few.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np

from episodes.network.activity import EpisodeScope
from episodes.risk.backward import BackwardSweep
from episodes.risk.criticality import Criticality
from episodes.risk.draws import Draws, Rows, as_planned
from episodes.risk.drivers import Driver, Drivers
from episodes.risk.estimates import Minutes
from episodes.risk.layout import Layout, lay_out
from episodes.risk.order_by import SHARES, latest_orders, order_by
from episodes.risk.sampler import Sampler
from episodes.risk.streams import Streams
from episodes.risk.sweep import Sweep, met, ready
from episodes.risk.tables import NEVER
from episodes.schedule.retime import Retimer

BLOCK = 20_000
"""Samples timed at once."""

PERCENTILES = (10, 50, 80, 90, 95)

CELLS = 48
"""Cells of the picture of when it is ready."""


class SweepDiffersError(AssertionError):
    """At likely lengths the sweep does not give the plan: a fault of the program."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ParcelOutcome:
    """`order_by` by share of samples in time, UTC minutes; `cap` the share that could be had
    however early it comes."""

    id: str
    order_by: Mapping[int, int | None]
    cap: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How the ready moments lie between two moments (UTC minutes): shares of all samples in
    cells of one width. What is never ready is in none."""

    start: int
    end: int
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What the samples say of one episode.

    Attributes:
        ready: by percentile, UTC minute; None where that share of samples is never ready.
        criticality: by id (a drying as `JOB.STEP.dry`), share of samples in which one minute
            more moves the ready moment.
        drivers: (episode, id, gain): whose certainty would make the odds better, best first.
    """

    id: str
    on_time: float
    standard_error: float
    ready: Mapping[int, int | None]
    criticality: Mapping[str, float]
    parcels: tuple[ParcelOutcome, ...]
    drivers: tuple[tuple[str, str, float], ...]
    spread: Spread | None


def simulate(
    retimer: Retimer, episodes: Sequence[str], *, samples: int, seed: int, correlation: float
) -> tuple[Outcome, ...]:
    """The outcome of each of the episodes.

    Raises:
        SweepDiffersError: the samples would be of another plan than this.
    """
    layout = lay_out(retimer, retimer.network.now)
    rows = Rows(layout)
    planned = as_planned(rows)
    check_at_likely(layout, planned)
    sampler = Sampler(rows, Streams(seed, samples, correlation))
    draws = sampler.draw()
    counts = [_Counts(layout, layout.network.scope(id)) for id in episodes]
    for first in range(0, samples, BLOCK):
        columns = np.arange(first, min(first + BLOCK, samples))
        sweep = Sweep(layout, draws if columns.size == samples else draws.take(columns)).run()
        for count in counts:
            count.add(sweep, sampler, planned if first == 0 else None)
    return tuple(count.outcome() for count in counts)


def share_in_time(
    retimer: Retimer, episode: str, *, samples: int, seed: int, correlation: float
) -> float:
    """The share of samples in which one episode is out in time; as `simulate` counts it.

    Raises:
        SweepDiffersError: as `simulate`.
    """
    layout = lay_out(retimer, retimer.network.now)
    rows = Rows(layout)
    check_at_likely(layout, as_planned(rows))
    draws = Sampler(rows, Streams(seed, samples, correlation)).draw()
    in_time = 0
    for first in range(0, samples, BLOCK):
        columns = np.arange(first, min(first + BLOCK, samples))
        sweep = Sweep(layout, draws if columns.size == samples else draws.take(columns)).run()
        in_time += int(met(sweep, episode).sum())
    return in_time / samples


def check_at_likely(layout: Layout, planned: Draws) -> None:
    """The sweep at likely lengths is the plan, activity by activity, to the minute."""
    sweep = Sweep(layout, planned).run()
    for activity, placed in zip(layout.activities, layout.plan.placed, strict=True):
        if placed is None or activity.done or activity.kind == "parcel":
            continue
        index = activity.index
        found = (int(sweep.starts[index][0]), int(sweep.finishes[index][0]))
        expected = (layout.at(placed.start), layout.at(placed.finish))
        if found != expected:
            raise SweepDiffersError(
                f"{activity.episode}:{activity.id} stands at {expected} in the plan and at "
                f"{found} in the sweep"
            )


def standard_error(share: float, samples: int) -> float:
    """Standard error of a share; half a sample is added on each side, so that none or all of the
    samples still leave a doubt."""
    half = 1 / (2 * samples)
    return sqrt((share + half) * (1 - share + half) / samples)


class _Counts:
    """What is counted of one episode, block by block."""

    def __init__(self, layout: Layout, scope: EpisodeScope) -> None:
        self.layout = layout
        self.scope = scope
        self.samples = 0
        self.in_time = 0
        self.ready: list[Minutes] = []
        self.critical: dict[str, int] = {}
        self.orders: dict[int, list[Minutes]] = {}
        self.possible: dict[int, int] = {}
        self.drivers: tuple[Driver, ...] = ()

    def add(self, sweep: Sweep, sampler: Sampler, planned: Draws | None) -> None:
        """Count one more block; `planned` where what drives the risk is looked for in it."""
        id = self.scope.id
        in_time = met(sweep, id)
        self.samples += sweep.count
        self.in_time += int(in_time.sum())
        self.ready.append(ready(sweep, id))
        release = np.full(1, self.layout.at(self.scope.release), np.int32)
        reach = self.layout.retimer.felt(id) | (self.layout.retimer.reach(id))
        latest = BackwardSweep(sweep, {id: release}, reach, own_bounds=True)
        critical = Criticality(sweep, id)
        for index in self.scope.members:
            activity = self.layout.activities[index]
            placed = self.layout.plan.placed[index] is not None
            if not activity.done:
                self._count(activity.id, int(critical.of_step(index).sum()))
            if activity.coat is not None and placed and self._drying(index):
                self._count(f"{activity.id}.dry", int(critical.of_drying(index).sum()))
            if activity.kind == "parcel" and not activity.done and placed:
                found = latest_orders(sweep, latest, id, index, in_time)
                self.possible[index] = self.possible.get(index, 0) + int(found.in_time.sum())
                if found.orders is not None:
                    self.orders.setdefault(index, []).append(found.orders)
        if planned is not None:
            drivers = Drivers(sweep, latest, id, in_time, planned)
            self.drivers = drivers.best(sampler.uncertain, sampler.uncertain_drying)

    def _count(self, id: str, samples: int) -> None:
        self.critical[id] = self.critical.get(id, 0) + samples

    def _drying(self, index: int) -> bool:
        """Whether a coat still dries."""
        activity = self.layout.activities[index]
        if not activity.done:
            return True
        assert activity.coat is not None
        assert activity.fact_finish is not None
        row = self.layout.network.dries[index]
        over = activity.coat.stage_end(row.stage, activity.fact_finish)
        return over > self.layout.network.now

    def outcome(self) -> Outcome:
        share = self.in_time / self.samples
        moments = np.sort(np.concatenate(self.ready))
        return Outcome(
            id=self.scope.id,
            on_time=share,
            standard_error=standard_error(share, self.samples),
            ready={p: self._percentile(moments, p) for p in PERCENTILES},
            criticality={
                **{id: count / self.samples for id, count in sorted(self.critical.items())},
                **self._filmed_during(),
            },
            parcels=tuple(self._parcel(index) for index in self.possible),
            drivers=tuple(self._driver(driver) for driver in self.drivers),
            spread=self._spread(moments),
        )

    def _percentile(self, moments: Minutes, percent: int) -> int | None:
        moment = int(moments[ceil(percent * moments.size / 100) - 1])
        if moment <= -NEVER:
            return self.layout.network.now
        return None if moment >= NEVER else moment + self.layout.origin

    def _filmed_during(self) -> dict[str, float]:
        """A shot filmed during a step is as critical as the step."""
        network = self.layout.network
        return {
            shot: self.critical[network.activities[step].id] / self.samples
            for (episode, shot), step in sorted(network.during.items())
            if episode == self.scope.id
            and step >= 0
            and network.activities[step].id in self.critical
        }

    def _parcel(self, index: int) -> ParcelOutcome:
        moments: dict[int, int | None] = dict.fromkeys(SHARES)
        if index in self.orders:
            orders = np.concatenate(self.orders[index])
            for share in SHARES:
                moment = order_by(orders, share)
                moments[share] = None if moment is None else moment + self.layout.origin
        return ParcelOutcome(
            id=self.layout.activities[index].id,
            order_by=moments,
            cap=self.possible[index] / self.samples,
        )

    def _driver(self, driver: Driver) -> tuple[str, str, float]:
        episode, id = self.layout.activities[driver.index].key
        return episode, f"{id}.dry" if driver.drying else id, driver.gain

    def _spread(self, moments: Minutes) -> Spread | None:
        """From the first to the ninety-ninth in the hundred, the release among them."""
        ends = [self._percentile(moments, percent) for percent in (1, 99)]
        known = moments[np.abs(moments) < NEVER]
        if ends[0] is None or known.size == 0:
            return None
        last = ends[1] if ends[1] is not None else int(known[-1]) + self.layout.origin
        start, end = min(ends[0], self.scope.release), max(last, self.scope.release)
        # A cell is whole minutes wide.
        end = start + ceil(max(end - start, 1) / CELLS) * CELLS
        edges = np.linspace(start, end, CELLS + 1) - self.layout.origin
        inside = np.clip(known, edges[0], edges[-1])
        counts, _ = np.histogram(inside, edges)
        return Spread(start=start, end=end, shares=tuple((counts / self.samples).tolist()))
