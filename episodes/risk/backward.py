"""Latest starts and finishes in every sample: the backward pass of `network.backward` for rows.

Exact where every link is a bound that only ever grows; where work goes on between sessions of
other work, what it gives may be below the latest, never above it.
"""

from collections.abc import Mapping

import numpy as np

from episodes.network.activity import FINISH, START, Link
from episodes.network.passes import PATIENT_PUSHES, SESSION
from episodes.risk.estimates import Minutes
from episodes.risk.layout import Layout
from episodes.risk.sweep import Sweep
from episodes.risk.tables import FAR, LONG_AGO, NEVER
from episodes.risk.timing import RowExpected, RowHands
from episodes.trade.products import STAGES


class BackwardSweep:
    """Greatest starts and finishes with which each named episode is ready by its moments.

    Args:
        sweep: the samples, whose lengths are used.
        until: by episode, one moment a sample or one for all, from the layout's origin.
        only: activities to look at; what lies outside binds nothing.
        own_bounds: the named episodes' required work keeps its own last moments too.

    Attributes:
        pieces: the layout's pieces that are looked at.
        starts, finishes: by activity; None where nothing bounds it in any sample.
    """

    def __init__(
        self,
        sweep: Sweep,
        until: Mapping[str, Minutes],
        only: set[int],
        *,
        own_bounds: bool = False,
    ) -> None:
        self.sweep = sweep
        self.layout: Layout = sweep.layout
        self.draws = sweep.draws
        self.count = sweep.count
        self.only = only
        self.pieces = sweep.layout.pieces_of(only)
        self.starts: dict[int, Minutes] = {}
        self.finishes: dict[int, Minutes] = {}
        self._caps: dict[int, tuple[Minutes, Minutes]] = {}
        self._cap_start: dict[int, Minutes] = {}
        self._cap_finish: dict[int, Minutes] = {}
        for episode, moments in until.items():
            for index in self.layout.network.scope(episode).required:
                self._bound_required(index, np.broadcast_to(moments, (self.count,)), own_bounds)
        self._bound_by_facts()
        for number in range(len(self.layout.pieces) - 1, -1, -1):
            piece = [i for i in reversed(self.layout.pieces[number]) if i in only]
            if len(piece) == 1:
                self._place(piece[0])
            elif piece:
                self._settle(piece)

    def caps(self, index: int, outside: frozenset[int] = frozenset()) -> tuple[Minutes, Minutes]:
        """Bounds of an activity's start and finish, as its followers and the moment give them.

        Args:
            outside: followers that are left out.
        """
        if not outside and index in self._caps:
            return self._caps[index]
        start = np.full(self.count, NEVER, np.int32)
        finish = start.copy()
        if index in self._cap_start:
            np.minimum(start, self._cap_start[index], out=start)
        if index in self._cap_finish:
            np.minimum(finish, self._cap_finish[index], out=finish)
        for link in self.layout.leading[index]:
            if link.succ not in self.only or link.succ in outside:
                continue
            value = self.bound_of(link)
            if value is None:
                continue
            bounds = [(link.point, value - np.int32(link.least) if link.least else value)]
            if self.layout.second_side(link):
                assert link.or_point is not None
                bounds.append((link.or_point, value - np.int32(link.or_gap)))
            for point, bound in bounds:
                if point == START:
                    np.minimum(start, bound, out=start)
                elif point == FINISH:
                    np.minimum(finish, bound, out=finish)
                elif point >= SESSION:
                    np.minimum(start, self._session_over(index, point - SESSION, bound), out=start)
                else:
                    latest = self.draws.coat(index).latest_finish(STAGES[point - 2], bound)
                    latest = np.where(bound >= FAR, np.int32(NEVER), latest)
                    np.minimum(finish, latest, out=finish)
        return start, finish

    def bound_of(self, link: Link) -> Minutes | None:
        """The latest that a link's later end allows; None where it is not bounded."""
        value = (self.finishes if link.to_finish else self.starts).get(link.succ)
        if value is not None and link.session:
            timing = self.draws.timing(link.succ)
            if isinstance(timing, RowHands):
                end = timing.end(value)
                begins, _ = timing.session(value, end, link.session)
                value = np.where(np.abs(value) < FAR, begins, value)
        return value

    def _session_over(self, index: int, session: int, bound: Minutes) -> Minutes:
        """The last start whose given session is over by the bound."""
        timing = self.draws.timing(index)
        over = timing.end_by(bound)
        if isinstance(timing, RowHands):
            ends = timing.table.ends
            opening = np.searchsorted(ends[:-1], bound, "right") - 1 - session
            there = (opening >= 0) & (np.abs(bound) < FAR)
            last = ends.take(np.where(there, opening, 0)) - np.int32(1)
            over = np.where(there, np.maximum(over, last), over)
        return np.where(bound >= FAR, np.int32(NEVER), over)

    def _bound_required(self, index: int, moments: Minutes, own_bounds: bool) -> None:
        activity = self.layout.activities[index]
        if activity.done:
            return
        row = self.layout.network.dries.get(index)
        latest = moments
        if row is not None and activity.coat is not None:
            latest = self.draws.coat(index).latest_finish(row.release_stage, moments)
        if own_bounds and activity.kind != "parcel":
            last = np.int32(self.layout.at(activity.latest_finish))
            latest = np.minimum(latest, last)
        if own_bounds and activity.at is not None:
            start = np.full(self.count, self.layout.at(activity.at), np.int32)
            self._cap_start[index] = start
        self._cap_finish[index] = latest.astype(np.int32)

    def _bound_by_facts(self) -> None:
        """Upper bounds that count from something done."""
        for index, links in enumerate(self.layout.incoming):
            for link in links:
                if index in self.only and self.layout.limits(link):
                    pred = self.layout.activities[link.pred]
                    if pred.done or (pred.state == "started" and link.point == START):
                        if link not in self.layout.retimer.base.missed:
                            self._cap(link, self.sweep.upper(link))

    def _cap(self, link: Link, limit: Minutes) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        caps = self._cap_finish if link.to_finish else self._cap_start
        known = caps.get(link.succ)
        if known is None:
            known = np.full(self.count, NEVER, np.int32)
        lower = limit < known
        caps[link.succ] = np.minimum(known, limit)
        return np.broadcast_to(lower, (self.count,))

    def _place(self, index: int) -> bool:
        """Bring one activity up to date; whether anything fell."""
        self._caps.pop(index, None)
        cap_start, cap_finish = self._caps[index] = self.caps(index)
        free_finish = cap_finish >= FAR
        free_start = bool(cap_start.min(initial=NEVER) >= FAR)
        if free_start and free_finish.all():
            return False
        timing = self.draws.timing(index)
        if isinstance(timing, RowExpected):
            # On its way: the order is past, only the moment it is needed counts.
            finish = cap_finish
            start = np.where(free_finish, cap_start, finish - timing.settle)
            start = np.minimum(start, cap_start)
        else:
            start = timing.end_by(cap_finish)
            if free_finish.any():
                start = np.where(free_finish, np.int32(NEVER), start)
            if not free_start:
                # Without such a bound the last start that ends in time is one that can be begun.
                start = np.minimum(start, cap_start)
                if isinstance(timing, RowHands):
                    free = start >= FAR
                    start = np.where(free, np.int32(NEVER), timing.fit_back(start))
            finish = timing.end(start)
            far = np.abs(start) >= FAR
            if far.any():
                finish = np.where(far, start, finish)
        before_start, before_finish = self.starts.get(index), self.finishes.get(index)
        if before_start is not None and before_finish is not None:
            start, finish = np.minimum(start, before_start), np.minimum(finish, before_finish)
            if np.array_equal(start, before_start) and np.array_equal(finish, before_finish):
                return False
        self.starts[index] = start.astype(np.int32, copy=False)
        self.finishes[index] = finish.astype(np.int32, copy=False)
        return True

    def _settle(self, piece: list[int]) -> None:
        """Bring a piece up to date until nothing falls any more."""
        turn = 0
        fell = True
        while fell:
            turn += 1
            fell = False
            for index in piece:
                fell |= self._place(index)
                fell |= self._push_on(index, max(turn - PATIENT_PUSHES, 0))

    def _push_on(self, index: int, stride: int) -> bool:
        """Lower what would come too late for an upper bound counted from here."""
        moved = False
        for link in self.layout.outgoing[index]:
            if not self.layout.limits(link) or link.succ not in self.only:
                continue
            base = self._late_point(index, link.point)
            if base is None:
                continue
            assert link.most is not None
            limit = np.where(np.abs(base) >= FAR, np.int32(NEVER), base + np.int32(link.most))
            if link.void_after is not None:
                stage = self._late_point(index, link.void_after)
                assert stage is not None
                limit = np.where(stage > limit, np.int32(NEVER), limit)
            if stride:
                limit = np.maximum(limit - np.int32(1 << min(stride, 28)), np.int32(LONG_AGO))
            moved |= bool(self._cap(link, limit).any())
        return moved

    def _late_point(self, index: int, point: int) -> Minutes | None:
        if point == START:
            activity = self.layout.activities[index]
            if activity.state == "started" and activity.fact_start is not None:
                return None  # a fact; bounded from it already
            return self.starts.get(index)
        finish = self.finishes.get(index)
        if finish is None or point == FINISH or point >= SESSION:
            return finish
        return self.draws.coat(index).stage_end(STAGES[point - 2], finish)
