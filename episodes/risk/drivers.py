"""What drives the risk: how much better the odds were if one length were certain.

Each uncertain length is set to its likely value in every sample, all others as drawn, and what
hangs on it is timed again. Only samples are looked at in which that can change the outcome, and
only lengths that could save more samples than the best ones found so far.
"""

from dataclasses import dataclass, replace

import numpy as np

from episodes.network.activity import POINT
from episodes.risk.backward import BackwardSweep
from episodes.risk.draws import Draws
from episodes.risk.estimates import Minutes
from episodes.risk.readiness import met
from episodes.risk.sweep import Sweep
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


@dataclass(frozen=True)
class Driver:
    """A length, and the share of samples by which its certainty makes the odds better."""

    index: int
    drying: bool
    gain: float


@dataclass(frozen=True)
class _Change:
    """One length made certain; either may be None where it stays as drawn."""

    index: int
    drying: bool
    timing: RowTiming | None
    coat: RowCoat | None


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
        self.release = self.layout.at(self.layout.network.scope(episode).release)
        # What it calls too late is too late.
        self._surely = latest
        if self.layout.uneven & latest.only:
            moments = np.full(1, self.release, np.int32)
            self._surely = BackwardSweep(
                sweep, {episode: moments}, latest.only, own_bounds=True, loose=True
            )

    def best(self, uncertain: set[int], drying: set[int], most: int = 3) -> tuple[Driver, ...]:
        """The lengths that would help most, best first; none that would not help."""
        reach = self.layout.retimer.reach(self.episode)
        changes = [self._step(index) for index in sorted(uncertain & reach)]
        changes += [self._drying(index) for index in sorted(drying & reach)]
        lost = self._late_elsewhere({change.index for change in changes})
        hopes: list[tuple[Columns, _Change]] = []
        for change in changes:
            slower, _ = self._than_likely(change)
            columns = np.flatnonzero(~self.in_time & slower & ~lost[change.index])
            columns = columns[~self._past(change, columns, self._surely)]
            if columns.size:
                hopes.append((columns, change))
        hopes.sort(key=lambda pair: (-pair[0].size, pair[1].index, pair[1].drying))
        found: list[tuple[int, _Change]] = []
        for columns, change in hopes:
            if len(found) >= most and columns.size <= found[most - 1][0]:
                break
            gain = self._gain(change, columns)
            if gain > 0:
                found.append((gain, change))
                found.sort(key=lambda pair: (-pair[0], pair[1].index, pair[1].drying))
        return tuple(
            Driver(change.index, change.drying, gain / self.sweep.count)
            for gain, change in found[:most]
        )

    def _late_elsewhere(self, indices: set[int]) -> dict[int, Mask]:
        """By activity, late samples in which something is too late that neither leads to it nor
        follows it: no length of its own saves those."""
        layout, sweep = self.layout, self.sweep
        late = ~self.in_time
        by_piece: dict[int, Mask] = {}
        for index in sorted(self._surely.only):
            if layout.activities[index].done:
                continue
            last_start, last_finish = self._surely.caps(index)
            mask = late & (
                (sweep.starts[index] > last_start) | (sweep.finishes[index] > last_finish)
            )
            if mask.any():
                number = layout.piece_of[index]
                by_piece[number] = by_piece.get(number, np.False_) | mask
        found = {}
        for index in indices:
            number = layout.piece_of[index]
            starting = {number} if number >= 0 else set(self._first_after(index))
            related = starting | {
                other
                for other in by_piece
                if layout.leads_to(starting, other)
                or (number >= 0 and layout.leads_to({other}, number))
            }
            mask = np.zeros(sweep.count, np.bool_)
            for other, its_mask in by_piece.items():
                if other not in related:
                    mask |= its_mask
            found[index] = mask
        return found

    def _first_after(self, index: int) -> set[int]:
        """The pieces that count from an activity."""
        pieces = {self.layout.piece_of[link.succ] for link in self.layout.outgoing[index]}
        return pieces - {-1}

    def _step(self, index: int) -> _Change:
        drawn, planned = self.sweep.draws.timing(index), self.planned.timing(index)
        if isinstance(drawn, RowHands) and isinstance(planned, RowHands):
            planned = replace(drawn, work=planned.work)
        return _Change(index, False, planned, None)

    def _drying(self, index: int) -> _Change:
        coat = self.planned.coat(index)
        timing: RowTiming | None = None
        if not self.layout.activities[index].done:
            drawn = self.sweep.draws.timing(index)
            if isinstance(drawn, RowHands) and drawn.gate is not None:
                timing = replace(drawn, gate=replace(drawn.gate, touch=coat.times["touch"]))
        return _Change(index, True, timing, coat)

    def _past(self, change: _Change, columns: Columns, latest: BackwardSweep) -> Mask:
        """Of some samples, those in which the piece of a change is later than `latest` allows it
        with the likely length; nothing else is timed again."""
        index, coat = change.index, change.coat
        past = np.zeros(columns.size, np.bool_)
        if columns.size == 0:
            return past
        number = self.layout.piece_of[index]
        piece = frozenset(self.layout.pieces[number]) if number >= 0 else frozenset()
        trial = self.sweep.some(columns, piece | {index})
        if number >= 0:
            trial = trial.again_piece(self._draws(trial.draws, change, columns), number)
        for other in piece:
            if other in latest.only and not (other == index and change.drying):
                start, finish = latest.caps(other, piece if len(piece) > 1 else frozenset())
                past |= trial.starts[other] > start[columns]
                past |= trial.finishes[other] > finish[columns]
        if coat is not None:
            finish = np.broadcast_to(trial.finishes[index], columns.shape)
            past |= self._dry_past(index, coat.take(columns), finish, columns, latest, piece)
        return past

    def _dry_past(
        self,
        index: int,
        coat: RowCoat,
        finish: Minutes,
        columns: Columns,
        latest: BackwardSweep,
        piece: frozenset[int],
    ) -> Mask:
        """Samples in which a coat's drying passes what `latest` allows outside its own piece."""
        layout = self.layout
        past = np.zeros(columns.size, np.bool_)
        if index in layout.network.scope(self.episode).required:
            row = layout.network.dries[index]
            past |= coat.stage_end(row.release_stage, finish) > self.release
        for link in layout.outgoing[index]:
            if link.succ not in latest.only or link.succ in piece:
                continue
            points = [(link.point, link.least)]
            if layout.second_side(link) and link.or_point is not None:
                points.append((link.or_point, link.or_gap))
            bound = latest.bound_of(link)
            for point, gap in points:
                if bound is not None and point in _STAGE_OF:
                    end = coat.stage_end(_STAGE_OF[point], finish) + np.int32(gap)
                    past |= end > bound[columns]
        return past

    def _gain(self, change: _Change, hope: Columns) -> int:
        """Samples that come in time by a change, less those that do no more.

        Args:
            hope: late samples, outside which it saves none.
        """
        _, faster = self._than_likely(change)
        columns = np.flatnonzero(self.in_time & faster)
        columns = columns[self._past(change, columns, self.latest)]
        return int(self._timed(change, hope).sum()) - int((~self._timed(change, columns)).sum())

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

    def _timed(self, change: _Change, columns: Columns) -> Mask:
        if columns.size == 0:
            return np.zeros(0, np.bool_)
        some = self.sweep.take(columns)
        changed = self._draws(some.draws, change, columns)
        return met(some.again(changed, change.index, self.latest.pieces), self.episode)

    def _draws(self, draws: Draws, change: _Change, columns: Columns) -> Draws:
        timing, coat = change.timing, change.coat
        return draws.changed(
            change.index,
            None if timing is None else timing.take(columns),
            None if coat is None else coat.take(columns),
        )


def parts(timing: RowTiming) -> list[Amount]:
    """The amounts of a timing, in an order of its kind."""
    if isinstance(timing, (RowHands, RowWait)):
        return [timing.work]
    if isinstance(timing, RowDelivery):
        return [timing.lead, timing.settle]
    assert isinstance(timing, RowExpected)
    return [timing.arrival, timing.settle]
