"""What is counted of one episode, block of samples by block."""

from collections.abc import Sequence
from math import ceil, sqrt

import numpy as np

from episodes.network.activity import EpisodeScope
from episodes.risk.backward import BackwardSweep
from episodes.risk.criticality import Criticality
from episodes.risk.draws import Draws
from episodes.risk.drivers import Driver, Drivers
from episodes.risk.estimates import Minutes
from episodes.risk.layout import Layout
from episodes.risk.order_by import latest_orders, order_by
from episodes.risk.outcome import Outcome, ParcelOutcome, Spread
from episodes.risk.readiness import met, ready
from episodes.risk.sampler import Sampler
from episodes.risk.sweep import Sweep
from episodes.risk.tables import NEVER

PERCENTILES = (10, 50, 80, 90, 95)

HARMLESS = 0.01
"""Share of samples that a later order may cost and still be called harmless."""

CELLS = 48
"""Cells at most of the picture of when an episode is ready."""

_DAY = 1440
_WIDTHS = (15, 30, 60, 120, 240, *(_DAY * days for days in (1, 2, 7, 14, 28, 91, 364)))
"""Minutes of a cell: parts of a day that people count in, then days. Between a third of a day and
a whole one cells would show the nights, not the spread."""


def standard_error(share: float, samples: int) -> float:
    """Standard error of a share; half a sample is added on each side, so that none or all of the
    samples still leave a doubt."""
    half = 1 / (2 * samples)
    return sqrt((share + half) * (1 - share + half) / samples)


class Counts:
    """What is counted of one episode.

    Args:
        shares: samples in time, in the hundred, for which an order moment is wanted.
    """

    def __init__(self, layout: Layout, scope: EpisodeScope, shares: Sequence[float]) -> None:
        self.layout = layout
        self.scope = scope
        self.shares = shares
        self.samples = 0
        self.in_time = 0
        self.could_be = 0
        self.ready: list[Minutes] = []
        self.critical: dict[str, int] = {}
        self.orders: dict[int, list[Minutes]] = {}
        self.possible: dict[int, int] = {}
        self.drivers: tuple[Driver, ...] = ()

    def add(self, sweep: Sweep, free: Sweep, sampler: Sampler, planned: Draws | None) -> None:
        """Count one more block.

        Args:
            free: the same samples without any queues.
            planned: where what drives the risk is looked for in this block.
        """
        id = self.scope.id
        in_time = met(sweep, id)
        self.samples += sweep.count
        self.in_time += int(in_time.sum())
        self.could_be += int(met(free, id).sum())
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
            ceiling=self.could_be / self.samples,
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
        moments: dict[float, int | None] = dict.fromkeys(self.shares)
        harmless: int | None = None
        if index in self.orders:
            orders = np.concatenate(self.orders[index])
            for share in self.shares:
                moments[share] = self._utc(order_by(orders, share))
            wanted = self.in_time / self.samples - HARMLESS
            harmless = self._utc(order_by(orders, wanted * 100)) if wanted > 0 else None
        return ParcelOutcome(
            id=self.layout.activities[index].id,
            order_by=moments,
            harmless_until=harmless,
            cap=self.possible[index] / self.samples,
        )

    def _utc(self, moment: int | None) -> int | None:
        return None if moment is None else moment + self.layout.origin

    def _driver(self, driver: Driver) -> tuple[str, str, float]:
        episode, id = self.layout.activities[driver.index].key
        return episode, f"{id}.dry" if driver.drying else id, driver.gain

    def _spread(self, moments: Minutes) -> Spread | None:
        """From the first to the ninety-ninth in the hundred, the release on an edge."""
        known = moments[np.abs(moments) < NEVER]
        if known.size == 0:
            return None
        release = self.layout.at(self.scope.release)
        first = int(known[ceil(known.size / 100) - 1])
        last = int(known[ceil(99 * known.size / 100) - 1])
        for width in _WIDTHS:
            before = max(ceil((release - first + 1) / width), 0)
            after = max(ceil((last - release) / width), 0)
            if before + after <= CELLS:
                break
        start, end = release - before * width, release + after * width
        # A moment belongs to the cell that ends with it: what is ready at the release is in time.
        inside = np.clip(known - 1, start, end - 1)
        counts = np.bincount((inside - start) // width, minlength=before + after)
        return Spread(
            start=start + self.layout.origin,
            end=end + self.layout.origin,
            shares=tuple((counts / self.samples).tolist()),
        )
