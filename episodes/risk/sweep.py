"""Starts and finishes of every activity in all samples at once: the plan re-timed by chance.

The forward pass of `network.passes` for whole rows of samples, over the plan's own links and
queues. Each piece of the network is timed once, in order; a piece that comes back to itself is
timed again for those samples alone in which something still moved.
"""

import numpy as np

from episodes.network.activity import FINISH, START, Link
from episodes.network.passes import PATIENT_PUSHES, SESSION
from episodes.risk.draws import Draws
from episodes.risk.estimates import Minutes
from episodes.risk.layout import Layout
from episodes.risk.tables import LONG_AGO, NEVER, Columns, Mask
from episodes.risk.timing import RowHands, RowTiming, first_start_ending_at_or_after
from episodes.trade.products import STAGES, Stage


class Sweep:
    """Starts and finishes in some samples, minutes from the layout's origin.

    Attributes:
        starts, finishes: by activity, one entry a sample; facts have one for all.
        missed: by activity, samples in which an upper bound counted from a fact is missed though
            the plan keeps it.
    """

    def __init__(self, layout: Layout, draws: Draws) -> None:
        self.layout = layout
        self.draws = draws
        self.count = draws.count
        self._nothing = np.full(1, LONG_AGO, np.int32)
        self.starts: list[Minutes] = [self._nothing] * len(layout.activities)
        self.finishes: list[Minutes] = [self._nothing] * len(layout.activities)
        self.missed: dict[int, Mask] = {}
        self._raised: dict[int, Minutes] = {}
        self._stages: dict[tuple[int, Stage], Minutes] = {}
        # One by one the rows cost a page fault every 4 kB. Copies share them and never write there.
        self._block: Minutes | None = np.empty((len(layout.activities), 2, self.count), np.int32)
        for activity in layout.activities:
            if activity.done:
                assert activity.fact_start is not None
                assert activity.fact_finish is not None
                start, finish = layout.at(activity.fact_start), layout.at(activity.fact_finish)
                self.starts[activity.index] = np.full(1, start, np.int32)
                self.finishes[activity.index] = np.full(1, finish, np.int32)

    def run(self, pieces: "tuple[int, ...] | range | None" = None) -> "Sweep":
        """Time these pieces of the layout, in their order; all of them without."""
        for number in range(len(self.layout.pieces)) if pieces is None else pieces:
            piece = self.layout.pieces[number]
            for index in piece:
                self._raised.pop(index, None)
                self.missed.pop(index, None)
                # Not from where it stood: what comes back to itself may find another rest there.
                self.starts[index] = self.finishes[index] = self._nothing
                self._forget(index)
            if len(piece) == 1:
                self._place(piece[0], self._row(piece[0]))
                self._note_missed(piece[0])
            else:
                self._settle(piece)
        return self

    def take(self, columns: Columns) -> "Sweep":
        """Some of the samples."""
        return self._twin(
            self.draws.take(columns),
            [_picked(row, columns, self.count) for row in self.starts],
            [_picked(row, columns, self.count) for row in self.finishes],
            {index: mask[columns] for index, mask in self.missed.items()},
        )

    def again(self, draws: Draws, index: int, only: frozenset[int] | None = None) -> "Sweep":
        """The same samples timed again after a change of one activity's timing or coat.

        Args:
            only: pieces to bring up to date; the others are of no interest.
        """
        twin = self._twin(draws, list(self.starts), list(self.finishes), dict(self.missed))
        layout = self.layout
        changed = layout.piece_of[index]
        dirty = {layout.piece_of[link.succ] for link in layout.outgoing[index]}
        if changed >= 0:
            dirty.add(changed)
        for number in range(min(dirty, default=0), len(layout.pieces)):
            if number not in dirty or (only is not None and number not in only):
                continue
            twin.run((number,))
            if number == changed or any(
                not np.array_equal(twin.starts[i], self.starts[i])
                or not np.array_equal(twin.finishes[i], self.finishes[i])
                for i in layout.pieces[number]
            ):
                dirty |= layout.next_pieces[number]
        return twin

    def again_piece(self, draws: Draws, number: int) -> "Sweep":
        """The same samples with one piece alone timed again; what follows it stands."""
        twin = self._twin(draws, list(self.starts), list(self.finishes), dict(self.missed))
        return twin.run((number,))

    def _twin(
        self,
        draws: Draws,
        starts: list[Minutes],
        finishes: list[Minutes],
        missed: dict[int, Mask],
    ) -> "Sweep":
        twin = object.__new__(type(self))
        twin.layout = self.layout
        twin.draws = draws
        twin.count = draws.count
        twin.starts, twin.finishes, twin.missed = starts, finishes, missed
        twin._raised, twin._stages = {}, {}
        twin._nothing = self._nothing
        twin._block = None
        return twin

    # -- points and bounds ---------------------------------------------------------------------

    def point(self, index: int, point: int) -> Minutes:
        """When a point of an activity comes: its start, finish, a stage or a session's end."""
        if point == FINISH:
            return self.finishes[index]
        if point == START:
            activity = self.layout.activities[index]
            if activity.state == "started" and activity.fact_start is not None:
                return np.full(1, self.layout.at(activity.fact_start), np.int32)
            return self.starts[index]
        if point < SESSION:
            return self.stage(index, STAGES[point - 2])
        finish = self.finishes[index]
        if self.layout.piece_of[index] < 0:
            return finish
        timing = self.draws.timing(index)
        if not isinstance(timing, RowHands):
            return finish
        _, over = timing.session(self.starts[index], finish, point - SESSION)
        return np.minimum(over, finish)

    def stage(self, index: int, stage: Stage) -> Minutes:
        """When a coat's stage is reached."""
        key = (index, stage)
        if key not in self._stages:
            finish = self.finishes[index]
            if finish.size == 1:
                finish = np.full(self.count, finish[0], np.int32)
            self._stages[key] = self.draws.coat(index).stage_end(stage, finish)
        return self._stages[key]

    def upper(self, link: Link) -> Minutes:
        """What a link allows its later end at most."""
        assert link.most is not None
        limit = self.point(link.pred, link.point) + np.int32(link.most)
        if link.void_after is not None:
            void = self.point(link.pred, link.void_after) > limit
            limit = np.where(void, np.int32(2 * NEVER - 1), limit)
        return limit

    def later_end(self, link: Link) -> Minutes:
        return (self.finishes if link.to_finish else self.starts)[link.succ]

    def lower(self, index: int) -> Minutes:
        """The lower bound of the raw start from links and raised bounds."""
        bound = self._raised.get(index)
        plain = self.layout.plain[index]
        if bound is None:
            bound = np.full(self.count, self.layout.earliest[index], np.int32)
        else:
            bound = bound.copy()
        for pred, point, gap in plain or ():
            value = self.point(pred, point)
            np.maximum(bound, value + np.int32(gap) if gap else value, out=bound)
        for link in self.layout.incoming[index] if plain is None else ():
            value = self.point(link.pred, link.point) + np.int32(link.least)
            if self.layout.second_side(link):
                assert link.or_point is not None
                far = self.point(link.pred, link.or_point) + np.int32(link.or_gap)
                value = np.maximum(value, far)
            if link.session or link.to_finish:
                value = np.broadcast_to(value, bound.shape)
                value = self._own_end(index, link, bound, value)
            np.maximum(bound, value, out=bound)
        if bound.size and int(bound.max()) > NEVER:
            np.minimum(bound, np.int32(NEVER), out=bound)
        return bound

    def _own_end(self, index: int, link: Link, bound: Minutes, value: Minutes) -> Minutes:
        """The least raw start that keeps a bound of a finish or of a later session."""
        timing = self.draws.timing(index)
        if not link.session:
            start = first_start_ending_at_or_after(timing, value)
            return np.where(value > LONG_AGO, start, np.int32(LONG_AGO))
        if isinstance(timing, RowHands):
            return timing.resumed_after(bound, link.session, value)
        return bound

    # -- placing -------------------------------------------------------------------------------

    def _forget(self, index: int) -> None:
        for stage in STAGES:
            self._stages.pop((index, stage), None)

    def _row(self, index: int) -> Minutes | None:
        """Where the start and finish of an activity may be written, without making new rows."""
        return None if self._block is None else self._block[index]

    def _place(self, index: int, into: Minutes | None = None) -> None:
        timing, bound = self.draws.timing(index), self.lower(index)
        if into is not None and isinstance(timing, RowHands):
            start, finish = timing.place(bound, into)
        else:
            start, finish = timing.place(bound)
        self.starts[index] = start
        self.finishes[index] = finish
        self._forget(index)

    def _settle(self, piece: tuple[int, ...]) -> None:
        """Time a piece until no start moves any more."""
        for index in piece:
            self._place(index)
        pushed, raised = self._push_back(piece, set(piece))
        if self._comes_back(piece):
            pushed, raised = np.ones(self.count, np.bool_), set(piece)
        if raised:
            columns = np.flatnonzero(pushed)
            some = self._some(columns, self._around(piece))
            some._until_still(piece, raised)
            for index in piece:
                self.starts[index][columns] = some.starts[index]
                self.finishes[index][columns] = some.finishes[index]
                self._forget(index)
        for index in piece:
            self._note_missed(index)

    def _until_still(self, piece: tuple[int, ...], dirty: set[int]) -> None:
        """Time what is dirty and what follows from it until nothing moves, in turns; each turn
        goes on with those samples alone in which something moved."""
        needed = self._around(piece)
        followers = {
            index: {link.succ for link in self.layout.outgoing[index]} & set(piece)
            for index in piece
        }
        some = self
        columns = np.arange(self.count)
        turn = 0
        while dirty:
            turn += 1
            moved = np.zeros(some.count, np.bool_)
            changed: set[int] = set()
            for index in piece:
                if index not in dirty:
                    continue
                dirty.discard(index)
                start, finish = some.starts[index], some.finishes[index]
                some._place(index)
                different = (some.starts[index] != start) | (some.finishes[index] != finish)
                if different.any():
                    moved |= different
                    changed.add(index)
                    dirty |= followers[index]
            pushed, raised = some._push_back(piece, changed, max(turn - PATIENT_PUSHES, 0))
            moved |= pushed
            dirty |= raised
            if turn > 2 * PATIENT_PUSHES:
                # Sessions that chase each other for ever: no time is found in that sample.
                for index in piece:
                    some.starts[index][moved] = NEVER
                    some.finishes[index][moved] = NEVER
                dirty = set()
            if some is not self:
                for index in piece:
                    self.starts[index][columns] = some.starts[index]
                    self.finishes[index][columns] = some.finishes[index]
            still = np.flatnonzero(moved)
            if dirty and still.size < some.count:
                columns = columns[still]
                some = some._some(still, needed)

    def _around(self, piece: tuple[int, ...]) -> set[int]:
        """A piece and what its bounds are counted from."""
        return {link.pred for index in piece for link in self.layout.incoming[index]} | set(piece)

    def some(self, columns: Columns, indices: frozenset[int]) -> "Sweep":
        """Some of the samples, of some activities and what their bounds are counted from."""
        return self._some(columns, self._around(tuple(indices)))

    def _some(self, columns: Columns, needed: set[int]) -> "Sweep":
        """Some of the samples, of some activities."""
        starts, finishes = ([self._nothing] * len(self.starts) for _ in range(2))
        for index in needed:
            starts[index] = _picked(self.starts[index], columns, self.count)
            finishes[index] = _picked(self.finishes[index], columns, self.count)
        twin = self._twin(self.draws.take(columns), starts, finishes, {})
        twin._raised = {i: row[columns] for i, row in self._raised.items() if i in needed}
        return twin

    def _comes_back(self, piece: tuple[int, ...]) -> bool:
        """Whether a lower bound of a piece runs against the order in which it is timed."""
        position = {index: at for at, index in enumerate(piece)}
        return any(
            position.get(link.pred, -1) > position[index]
            for index in piece
            for link in self.layout.incoming[index]
        )

    def _push_back(
        self, piece: tuple[int, ...], changed: set[int], stride: int = 0
    ) -> tuple[Mask, set[int]]:
        """Raise what would come too early for upper bounds.

        Args:
            changed: later ends to look at.
            stride: above 0 in pieces that climb and climb: by how many turns it is too long.

        Returns:
            The samples in which something was raised, and what was.
        """
        moved = np.zeros(self.count, np.bool_)
        found: set[int] = set()
        members = set(piece)
        for index in changed:
            for link in self.layout.incoming[index]:
                if not self.layout.limits(link) or link.pred not in members:
                    continue
                assert link.most is not None
                value = self.later_end(link)
                too_late = np.flatnonzero((value > self.upper(link)) & (value < NEVER))
                pred = self.layout.activities[link.pred]
                if too_late.size == 0 or (pred.state == "started" and link.point == START):
                    continue
                needed = value[too_late] - np.int32(link.most)
                if link.point != START:
                    timing: RowTiming = self.draws.timing(link.pred).take(too_late)
                    needed = first_start_ending_at_or_after(timing, needed)
                if stride:
                    needed = np.minimum(needed + np.int32(1 << min(stride, 28)), NEVER)
                raised = self._raised.get(link.pred)
                if raised is None:
                    raised = np.full(self.count, self.layout.earliest[link.pred], np.int32)
                    self._raised[link.pred] = raised
                higher = needed > raised[too_late]
                if higher.any():
                    moved[too_late] |= higher
                    found.add(link.pred)
                    raised[too_late] = np.maximum(raised[too_late], needed)
        return moved, found

    def _note_missed(self, index: int) -> None:
        """Upper bounds that nothing can be pushed for, since their earlier end is a fact."""
        activities = self.layout.activities
        for link in self.layout.incoming[index]:
            if not self.layout.limits(link) or link in self.layout.retimer.base.missed:
                continue
            pred = activities[link.pred]
            if pred.done or (pred.state == "started" and link.point == START):
                value = self.later_end(link)
                mask = (value > self.upper(link)) & (value < NEVER)
                if mask.any():
                    self.missed[index] = self.missed.get(index, np.False_) | mask


def _picked(row: Minutes, columns: Columns, count: int) -> Minutes:
    return row if row.size == 1 and count != 1 else row[columns]
