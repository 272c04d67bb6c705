"""What drives the risk: how much better the odds were if one length were certain.

Each uncertain length is set to its likely value in every sample, all others as drawn, and what
hangs on it is timed again. Only samples are looked at in which that can change the outcome.
"""

from dataclasses import dataclass, replace

import numpy as np

from episodes.network.activity import POINT
from episodes.risk.backward import BackwardSweep
from episodes.risk.draws import Draws
from episodes.risk.sweep import Sweep, met
from episodes.risk.tables import Columns, Mask
from episodes.risk.timing import (
    Amount,
    RowCoat,
    RowDelivery,
    RowExpected,
    RowHands,
    RowTiming,
    RowWait,
)

_STAGE_OF = {point: stage for stage, point in POINT.items()}

GLANCE = 1_000
"""Samples by which the lengths are picked that are then counted in all samples."""


@dataclass(frozen=True)
class Driver:
    """A length, and the share of samples by which its certainty makes the odds better."""

    index: int
    drying: bool
    gain: float


@dataclass(frozen=True)
class _Change:
    index: int
    drying: bool
    timing: RowTiming | None
    coat: RowCoat | None
    might_gain: Mask
    """Late samples that it could perhaps save; outside none."""
    hope: int
    """Late samples in which it would be in time itself."""


class Drivers:
    """Looks for the lengths whose certainty would help an episode most.

    Args:
        latest: the backward sweep from the episode's release.
        in_time: samples in which the episode is in time as drawn.
        planned: the likely lengths.
    """

    def __init__(
        self, sweep: Sweep, latest: BackwardSweep, episode: str, in_time: Mask, planned: Draws
    ) -> None:
        self.sweep = sweep
        self.layout = sweep.layout
        self.latest = latest
        self.episode = episode
        self.in_time = in_time
        self.planned = planned

    def best(self, uncertain: set[int], drying: set[int], most: int = 3) -> tuple[Driver, ...]:
        """The lengths that would help most, best first; none that would not help."""
        reach = self.layout.retimer.reach(self.episode)
        changes = [self._step(index) for index in sorted(uncertain & reach)]
        changes += [self._drying(index) for index in sorted(drying & reach)]
        # Those that alone could save most samples are worth a glance at some samples; those that
        # do are counted in all of them.
        hopeful = sorted(
            (change for change in changes if change.might_gain.any()),
            key=lambda change: -change.hope,
        )
        glance = np.zeros(self.sweep.count, np.bool_)
        glance[:GLANCE] = True
        promising = sorted(hopeful[: 4 * most], key=lambda change: -self._gain(change, glance))
        found = [
            Driver(change.index, change.drying, self._gain(change) / self.sweep.count)
            for change in promising[: 2 * most]
        ]
        found = [driver for driver in found if driver.gain > 0]
        found.sort(key=lambda driver: (-driver.gain, driver.index, driver.drying))
        return tuple(found[:most])

    def _step(self, index: int) -> _Change:
        drawn, planned = self.sweep.draws.timing(index), self.planned.timing(index)
        if isinstance(drawn, RowHands) and isinstance(planned, RowHands):
            planned = replace(drawn, work=planned.work)
        late = ~self.in_time
        last_start, last_finish = self.latest.caps(index)
        late &= (self.sweep.starts[index] > last_start) | (self.sweep.finishes[index] > last_finish)
        # It has to be in time itself.
        start, finish = planned.place(self.sweep.lower(index))
        saved = late & (start <= last_start) & (finish <= last_finish)
        might_gain = saved if self._sure(index) else late
        # What can come back to itself may start sooner than its own bounds tell here.
        hope = saved if self.layout.alone(index) else late
        return _Change(index, False, planned, None, might_gain, int(hope.sum()))

    def _drying(self, index: int) -> _Change:
        coat = self.planned.coat(index)
        timing: RowTiming | None = None
        gated = False
        if not self.layout.activities[index].done:
            timing = self.sweep.draws.timing(index)
            if isinstance(timing, RowHands) and timing.gate is not None:
                gated = True
                timing = replace(timing, gate=replace(timing.gate, touch=coat.times["touch"]))
        late = ~self.in_time
        if not gated:
            late &= self._binds(index, self.sweep.draws.coat(index))
        saved = late & ~self._binds(index, coat)
        might_gain = saved if self._sure(index) and not gated else late
        back = self.layout.piece_of[index] >= 0 and not self.layout.alone(index)
        return _Change(index, True, timing, coat, might_gain, int((late if back else saved).sum()))

    def _sure(self, index: int) -> bool:
        """Whether what follows tells exactly how late an activity may be."""
        if index in self.layout.uneven or self.layout.own_end_bound(index):
            return False
        return self.layout.piece_of[index] < 0 or self.layout.alone(index)

    def _binds(self, index: int, coat: RowCoat) -> Mask:
        """Samples in which a coat's drying passes what the release allows."""
        sweep = self.sweep
        scope = self.layout.network.scope(self.episode)
        finish = np.broadcast_to(sweep.finishes[index], (sweep.count,))
        binds = np.zeros(sweep.count, np.bool_)
        if index in scope.required:
            row = self.layout.network.dries[index]
            binds |= coat.stage_end(row.release_stage, finish) > self.layout.at(scope.release)
        for link in self.layout.outgoing[index]:
            points = [(link.point, link.least)]
            if self.layout.second_side(link) and link.or_point is not None:
                points.append((link.or_point, link.or_gap))
            bound = self.latest.bound_of(link) if link.succ in self.latest.only else None
            for point, gap in points:
                if bound is not None and point in _STAGE_OF:
                    binds |= coat.stage_end(_STAGE_OF[point], finish) + np.int32(gap) > bound
        return binds

    def _gain(self, change: _Change, samples: Mask | None = None) -> int:
        slower, faster = self._than_likely(change)
        look_at = (change.might_gain & slower) | (self._might_lose(change) & faster)
        if samples is not None:
            look_at &= samples
        columns = np.flatnonzero(look_at)
        return int(self._timed(change, columns).sum()) - int(self.in_time[columns].sum())

    def _than_likely(self, change: _Change) -> tuple[Mask, Mask]:
        """Samples in which what is drawn takes longer than likely, and in which it is over sooner;
        what has several parts may be both."""
        draws, count = self.sweep.draws, self.sweep.count
        if change.coat is not None:
            drawn = list(draws.coat(change.index).times.values())
            likely = list(change.coat.times.values())
        else:
            assert change.timing is not None
            drawn, likely = parts(draws.timing(change.index)), parts(change.timing)
        slower, faster = np.zeros(count, np.bool_), np.zeros(count, np.bool_)
        for one, other in zip(drawn, likely, strict=True):
            slower |= np.asarray(one) > other
            faster |= np.asarray(one) < other
        return slower, faster

    def _might_lose(self, change: _Change) -> Mask:
        """Samples in time that are perhaps late with the likely length."""
        index, timing = change.index, change.timing
        if change.drying or timing is None or not self.layout.alone(index):
            return self.in_time
        start, finish = timing.place(self.sweep.lower(index))
        last_start, last_finish = self.latest.caps(index)
        return self.in_time & ((start > last_start) | (finish > last_finish))

    def _timed(self, change: _Change, columns: Columns) -> Mask:
        some = self.sweep.take(columns)
        timing, coat = change.timing, change.coat
        changed = some.draws.changed(
            change.index,
            None if timing is None else timing.take(columns),
            None if coat is None else coat.take(columns),
        )
        return met(some.again(changed, change.index, self.latest.pieces), self.episode)


def parts(timing: RowTiming) -> list[Amount]:
    """The amounts of a timing, in an order of its kind."""
    if isinstance(timing, (RowHands, RowWait)):
        return [timing.work]
    if isinstance(timing, RowDelivery):
        return [timing.lead, timing.settle]
    assert isinstance(timing, RowExpected)
    return [timing.arrival, timing.settle]
