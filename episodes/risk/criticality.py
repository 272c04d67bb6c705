"""In which samples one more minute makes an episode ready later: the exact test, sample by sample.

With R the raw start of an activity and L the latest finish that leaves the ready moment where it
is, a minute more moves it exactly where finish(R, w + 1) > L. What can come back to itself (a coat
and its longest recoat time) is timed anew with the minute, its piece alone, and held against what
follows it. Where sessions of paused work are bounded, L may be too early: what looks critical
there is tried by timing all that follows anew.
"""

import numpy as np

from episodes.network.activity import POINT
from episodes.risk.backward import BackwardSweep
from episodes.risk.estimates import Minutes
from episodes.risk.readiness import ready
from episodes.risk.sweep import Sweep
from episodes.risk.tables import NEVER, Mask
from episodes.risk.timing import RowCoat, RowTiming

_STAGE_OF = {point: stage for stage, point in POINT.items()}


class Criticality:
    """The critical samples of one episode's activities.

    Args:
        ready: by sample, when it is ready.
    """

    def __init__(self, sweep: Sweep, episode: str) -> None:
        self.episode = episode
        self.layout = sweep.layout
        self.samples = sweep.count
        moments = ready(sweep, episode)
        # In a sample without any time nothing moves.
        self.columns = np.flatnonzero(moments < NEVER)
        self.sweep = sweep if self.columns.size == sweep.count else sweep.take(self.columns)
        self.ready = moments[self.columns]
        self.reach = self.layout.retimer.felt(episode)
        self.pieces = self.layout.pieces_of(self.reach)
        self.required = set(self.layout.network.scope(episode).required)
        self.latest = BackwardSweep(self.sweep, {episode: self.ready}, self.reach, as_timed=True)
        # Where another room's windows cannot be kept, what they pushed stands anywhere.
        self._climbed = self.latest.lost()

    def of_step(self, index: int) -> Mask:
        """Samples in which a minute more on an activity moves the ready moment."""
        activity = self.layout.activities[index]
        placed = self.layout.plan.placed[index]
        if activity.done or index not in self.reach or placed is None:
            return np.zeros(self.samples, np.bool_)
        longer = self.sweep.draws.timing(index).longer(1)
        if self.layout.alone(index) and not self.layout.own_end_bound(index):
            start, finish = longer.place(self.sweep.starts[index])
            moves = self._beyond(index, start, finish)
        else:
            _, moves = self._piece_moves(index, timing=longer)
        return self._tried(index, moves, timing=longer)

    def of_drying(self, index: int) -> Mask:
        """Samples in which a minute more on a coat's drying moves the ready moment."""
        row = self.layout.network.dries[index]
        now = self.layout.at(self.layout.network.now)
        longer = self.sweep.draws.coat(index).longer(1)
        all_samples = (self.sweep.count,)
        finish = np.broadcast_to(self.sweep.finishes[index], all_samples)
        wet = longer.stage_end(row.release_stage, finish) > now
        piece = self.layout.piece_of[index]
        inside = frozenset() if piece < 0 else frozenset(self.layout.pieces[piece]) - {index}
        moves = np.zeros(all_samples, np.bool_)
        if inside:
            trial, moves = self._piece_moves(index, coat=longer)
            finish = trial.finishes[index]
        if index in self.required:
            moves = moves | (longer.stage_end(row.release_stage, finish) > self.ready)
        for link in self.layout.outgoing[index]:
            if link.succ not in self.reach or link.succ in inside:
                continue
            latest = self.latest.bound_of(link)
            points = [(link.point, link.least)]
            if self.layout.second_side(link):
                assert link.or_point is not None
                points.append((link.or_point, link.or_gap))
            for point, gap in points:
                if latest is not None and point in _STAGE_OF:
                    moves = moves | (
                        longer.stage_end(_STAGE_OF[point], finish) + np.int32(gap) > latest
                    )
        return self._tried(index, moves & wet, coat=longer)

    def _beyond(self, index: int, start: Minutes, finish: Minutes) -> Mask:
        latest_start, latest_finish = self.latest.caps(index)
        return (start > latest_start) | (finish > latest_finish)

    def _piece_moves(
        self, index: int, timing: RowTiming | None = None, coat: RowCoat | None = None
    ) -> tuple[Sweep, Mask]:
        """A piece timed anew, and where it passes what its followers allow."""
        number = self.layout.piece_of[index]
        piece = self.layout.pieces[number]
        trial = self.sweep.again_piece(self.sweep.draws.changed(index, timing, coat), number)
        moves = np.zeros(self.sweep.count, np.bool_)
        for other in piece:
            if other in self.reach:
                start, finish = self.latest.caps(other, frozenset(piece))
                moves |= (trial.starts[other] > start) | (trial.finishes[other] > finish)
        return trial, moves

    def _tried(
        self,
        index: int,
        moves: Mask,
        timing: RowTiming | None = None,
        coat: RowCoat | None = None,
    ) -> Mask:
        """The samples that look critical, tried one by one where that may be wrong."""
        moves = np.array(moves)
        columns = np.flatnonzero(moves if self._rough(index) else moves & self._climbed)
        if columns.size:
            some = self.sweep.take(columns)
            changed = some.draws.changed(
                index,
                None if timing is None else timing.take(columns),
                None if coat is None else coat.take(columns),
            )
            trial = some.again(changed, index, self.pieces)
            moves[columns] = ready(trial, self.episode) != self.ready[columns]
        found = np.zeros(self.samples, np.bool_)
        found[self.columns] = moves
        return found

    def _rough(self, index: int) -> bool:
        uneven = self.layout.uneven
        if index in uneven:
            return True
        return any(link.succ in uneven for link in self.layout.outgoing[index])
