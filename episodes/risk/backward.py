"""Latest starts and finishes in every sample: the backward pass of `network.backward` for rows.

Exact where every link is a bound that only ever grows. Where work goes on between sessions of other
work, what it gives may be below the latest, never above it; taken loosely, it may be above it,
never below.
"""

from collections.abc import Mapping

import numpy as np

from episodes.network.activity import FINISH, START, Link
from episodes.network.passes import PATIENT_PUSHES, SESSION
from episodes.risk.estimates import Minutes
from episodes.risk.layout import Layout
from episodes.risk.sweep import Sweep
from episodes.risk.tables import FAR, LONG_AGO, NEVER, Mask
from episodes.risk.timing import RowExpected, RowHands
from episodes.trade.products import STAGES


class BackwardSweep:
    """Greatest starts and finishes with which each named episode is ready by its moments.

    Args:
        sweep: the samples, whose lengths are used.
        until: by episode, one moment a sample or one for all, from the layout's origin.
        only: activities to look at; what lies outside binds nothing.
        own_bounds: the named episodes' required work keeps its own last moments too.
        as_timed: what has no time at all in a sample binds nothing there. Without it, it does
            unless it never has one: it may have a time once something else is changed.
        loose: links that are no bounds that only ever grow bind nothing.

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
        as_timed: bool = False,
        loose: bool = False,
    ) -> None:
        self.sweep = sweep
        self.layout: Layout = sweep.layout
        self.draws = sweep.draws
        self.count = sweep.count
        # What the plan has no place for has none in any sample.
        placed = sweep.layout.plan.placed
        self.only = only = {i for i in only if placed[i] is not None}
        self.pieces = sweep.layout.pieces_of(only)
        self._loose = loose
        self._lost = self._without_time() if as_timed else self._too_long()
        self.starts: dict[int, Minutes] = {}
        self.finishes: dict[int, Minutes] = {}
        self._caps: dict[int, tuple[Minutes, Minutes]] = {}
        self._never = np.full(self.count, NEVER, np.int32)
        self._cap_start: dict[int, Minutes] = {}
        self._cap_finish: dict[int, Minutes] = {}
        self._limited: dict[int, dict[Link, Minutes]] = {}
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
            outside: activities whose bounds are left out.
        """
        if not outside and index in self._caps:
            return self._caps[index]
        start, finish = self._cap_start.get(index), self._cap_finish.get(index)
        for link, limit in self._limited.get(index, {}).items():
            if link.pred not in outside:
                if link.to_finish:
                    finish = _sooner(finish, limit)
                else:
                    start = _sooner(start, limit)
        for link in self.layout.leading[index]:
            if link.succ not in self.only or link.succ in outside:
                continue
            if self._loose and self.layout.by_session(link):
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
                    start = _sooner(start, bound)
                elif point == FINISH:
                    finish = _sooner(finish, bound)
                elif point >= SESSION:
                    start = _sooner(start, self._session_over(index, point - SESSION, bound))
                else:
                    latest = self.draws.coat(index).latest_finish(STAGES[point - 2], bound)
                    latest = np.where(bound >= FAR, np.int32(NEVER), latest)
                    finish = _sooner(finish, latest)
        return (self._never if start is None else start), (
            self._never if finish is None else finish
        )

    def _without_time(self) -> dict[int, Mask]:
        """By activity, the samples in which it was not given any time."""
        starts = self.sweep.starts
        never = [i for i in self.only if int(starts[i].max(initial=LONG_AGO)) >= NEVER]
        return {index: starts[index] >= NEVER for index in never}

    def _too_long(self) -> dict[int, Mask]:
        """By activity, the samples in which it fits into no opening, or follows what does not."""
        found: dict[int, Mask] = {}
        for index in self.only:
            if not self.layout.activities[index].done:
                timing = self.draws.timing(index)
                if isinstance(timing, RowHands) and timing.one_go:
                    mask = np.broadcast_to(timing.work > timing.table.longest, (self.count,))
                    if mask.any():
                        found[index] = mask
        open_ends = list(found)
        while open_ends:
            index = open_ends.pop()
            for link in self.layout.outgoing[index]:
                known = found.get(link.succ, np.False_)
                mask = found[index] | known
                if link.succ in self.only and not np.array_equal(mask, known):
                    found[link.succ] = mask
                    open_ends.append(link.succ)
        return found

    def lost(self) -> Mask:
        """Samples in which something that is looked at has no time at all."""
        found = np.zeros(self.count, np.bool_)
        for mask in self._lost.values():
            found |= mask
        return found

    def bound_of(self, link: Link) -> Minutes | None:
        """The latest that a link's later end allows; None where it is not bounded."""
        value = (self.finishes if link.to_finish else self.starts).get(link.succ)
        if value is not None and link.session:
            timing = self.draws.timing(link.succ)
            if isinstance(timing, RowHands):
                end = timing.end(value)
                begins, _ = timing.session(value, end, link.session)
                value = np.where(np.abs(value) < FAR, begins, value)
        lost = self._lost.get(link.succ)
        if value is not None and lost is not None:
            value = np.where(lost, np.int32(NEVER), value)
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
            last = self.layout.at(activity.latest_finish)
            latest = latest if last >= NEVER else np.minimum(latest, np.int32(last))
        if own_bounds and activity.at is not None:
            start = np.full(self.count, self.layout.at(activity.at), np.int32)
            self._cap_start[index] = start
        self._cap_finish[index] = latest.astype(np.int32, copy=False)

    def _bound_by_facts(self) -> None:
        """Upper bounds that count from something done."""
        for index, links in enumerate(self.layout.incoming):
            for link in links:
                if index in self.only and self._limits(link):
                    pred = self.layout.activities[link.pred]
                    if pred.done or (pred.state == "started" and link.point == START):
                        if link not in self.layout.retimer.base.missed:
                            self._cap(link, self.sweep.upper(link))

    def _limits(self, link: Link) -> bool:
        """Whether an upper bound is kept, and looked at."""
        layout = self.layout
        uneven = self._loose and (layout.by_session(link) or layout.may_fall_away(link))
        return layout.limits(link) and not uneven

    def _cap(self, link: Link, limit: Minutes) -> bool:
        """Note what a link allows its later end at most; whether that fell."""
        limits = self._limited.setdefault(link.succ, {})
        known = limits.get(link)
        limit = np.broadcast_to(limit, (self.count,))
        limits[link] = limit if known is None else np.minimum(known, limit)
        return bool((limit < (NEVER if known is None else known)).any())

    def _place(self, index: int) -> bool:
        """Bring one activity up to date; whether anything fell."""
        self._caps.pop(index, None)
        cap_start, cap_finish = self._caps[index] = self.caps(index)
        free_start = cap_start is self._never or bool(cap_start.min(initial=NEVER) >= FAR)
        some_free = cap_finish is self._never or bool(cap_finish.max(initial=LONG_AGO) >= FAR)
        free_finish = cap_finish >= FAR
        if free_start and some_free and free_finish.all():
            return False
        timing = self.draws.timing(index)
        if isinstance(timing, RowExpected):
            # On its way: the order is past, only the moment it is needed counts.
            finish = cap_finish
            start = np.where(free_finish, cap_start, finish - timing.settle)
            start = np.minimum(start, cap_start)
        elif isinstance(timing, RowHands) and free_start and not some_free:
            start, finish = timing.back(cap_finish)
        else:
            start = timing.end_by(cap_finish)
            if some_free:
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
            if not self._limits(link) or link.succ not in self.only:
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
            if index in self._lost:
                limit = np.where(self._lost[index], np.int32(NEVER), limit)
            if stride:
                limit = np.maximum(limit - np.int32(1 << min(stride, 28)), np.int32(LONG_AGO))
            moved |= self._cap(link, limit)
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


def _sooner(one: Minutes | None, other: Minutes) -> Minutes:
    """The sooner of two bounds in each sample; None binds nothing."""
    if one is None:
        return np.minimum(other, np.int32(NEVER))
    sooner: Minutes = np.minimum(one, other)
    return sooner
