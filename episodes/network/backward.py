"""The backward pass: latest starts and finishes that still meet every bound.

The mirror of the forward pass. Lower bounds run from successors to predecessors, upper bounds push
the other way; each push only ever lowers a finish, so the greatest solution is reached whatever
the order. Where links bound single sessions of paused work it may end below the greatest solution,
never above it.
"""

import heapq
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Set

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, START, Link, Network
from episodes.network.passes import AFTER, PATIENT_PUSHES, SESSION, WITHIN, Sides
from episodes.network.timing import Expected, Hands
from episodes.trade.products import STAGES


class BackwardPass:
    """Greatest starts and finishes that still meet every bound.

    Args:
        until: by episode, the moment by which all its release waits for has to be over; episodes
            that are not named bind nothing.
        only: activities to look at; what lies outside binds nothing.
        own_bounds: activities' own last moments (`not_after`, `at`) bind too.

    Attributes:
        starts, finishes: by activity; NEVER where nothing bounds it, LONG_AGO where it would have
            to lie before the calendar.
        raw_finish: bound of the finish as the links give it; it may fall into closed hours.
    """

    def __init__(
        self,
        network: Network,
        sides: Sides,
        *,
        until: Mapping[str, int],
        only: Set[int] | None = None,
        own_bounds: bool = True,
    ) -> None:
        self.network = network
        self.sides = sides
        self.only = only
        count = len(network.activities)
        self.place = [0] * count
        for position, index in enumerate(network.order):
            self.place[index] = position
        self.pushes: dict[int, int] = {}
        self.cap_start = [NEVER] * count
        self.cap_finish = [NEVER] * count
        self.starts = [NEVER] * count
        self.finishes = [NEVER] * count
        for activity in network.activities:
            index = activity.index
            if activity.state == "done":
                assert activity.fact_start is not None
                assert activity.fact_finish is not None
                self.starts[index] = activity.fact_start
                self.finishes[index] = activity.fact_finish
                continue
            if not own_bounds:
                continue
            self.cap_finish[index] = activity.latest_finish
            if activity.at is not None:
                self.cap_start[index] = activity.at
        for scope in network.episodes:
            if scope.id not in until:
                continue
            for index in scope.required:
                self.cap_finish[index] = min(
                    self.cap_finish[index], self._release(index, until[scope.id])
                )
        self.raw_finish = list(self.cap_finish)
        self.run(
            a.index
            for a in network.activities
            if a.state != "done" and (only is None or a.index in only)
        )
        self.run_uppers_of_facts()

    def copy(self) -> "BackwardPass":
        twin = object.__new__(BackwardPass)
        twin.__dict__.update(self.__dict__)
        twin.pushes = dict(self.pushes)
        twin.cap_start = list(self.cap_start)
        twin.cap_finish = list(self.cap_finish)
        twin.raw_finish = list(self.raw_finish)
        twin.starts = list(self.starts)
        twin.finishes = list(self.finishes)
        return twin

    def _release(self, index: int, release: int) -> int:
        row = self.network.dries.get(index)
        coat = self.network.activities[index].coat
        if row is None or coat is None:
            return release
        return coat.latest_finish(row.release_stage, release)

    def run_uppers_of_facts(self) -> None:
        """Upper bounds that count from something done hold whatever else moves."""
        moved: list[int] = []
        for activity in self.network.activities:
            if activity.state == "done":
                moved.extend(self.push_on(activity.index))
        self.run(moved)

    def run(self, dirty: Iterable[int]) -> None:
        place = self.place
        waiting = dict.fromkeys(dirty)
        queue = [(-place[index], index) for index in waiting]
        heapq.heapify(queue)
        activities = self.network.activities
        while queue:
            _, index = heapq.heappop(queue)
            if index not in waiting:
                continue
            del waiting[index]
            if not self._place(index):
                continue
            touched = [link.pred for link in self.network.incoming[index]]
            touched.extend(self.push_on(index))
            for other in touched:
                if self.only is not None and other not in self.only:
                    continue
                if other not in waiting and activities[other].state != "done":
                    waiting[other] = None
                    heapq.heappush(queue, (-place[other], other))

    def point(self, index: int, point: int) -> int:
        if point == START:
            activity = self.network.activities[index]
            if activity.state == "started" and activity.fact_start is not None:
                return activity.fact_start
            return self.starts[index]
        if point == FINISH:
            return self.finishes[index]
        coat = self.network.activities[index].coat
        assert coat is not None
        return coat.stage_end(STAGES[point - 2], self.finishes[index])

    def _place(self, index: int) -> bool:
        start_cap = self.cap_start[index]
        finish_cap = self.cap_finish[index]
        activity = self.network.activities[index]
        for link in self.network.outgoing[index]:
            if self.network.activities[link.succ].state == "done":
                continue
            if self.only is not None and link.succ not in self.only:
                continue
            value = (self.finishes if link.to_finish else self.starts)[link.succ]
            if link.session and abs(value) < NEVER:
                value = self._session_start(link.succ, link.session, value)
            if value >= NEVER:
                continue
            bounds = [(link.point, value - link.least)]
            if link.or_point is not None and self.sides.get(link) == AFTER:
                bounds.append((link.or_point, value - link.or_gap))
            for point, bound in bounds:
                if point == START:
                    start_cap = min(start_cap, bound)
                elif point == FINISH:
                    finish_cap = min(finish_cap, bound)
                elif point >= SESSION:
                    start_cap = min(start_cap, self._session_over(index, point - SESSION, bound))
                elif activity.coat is not None:
                    finish_cap = min(
                        finish_cap, activity.coat.latest_finish(STAGES[point - 2], bound)
                    )
        self.raw_finish[index] = finish_cap
        start, finish = self._latest(index, start_cap, finish_cap)
        # Values only ever fall, so the pass ends: work that fits one session less would else lift
        # a bound that its own earlier place had set, and set it again.
        start = min(start, self.starts[index])
        finish = min(finish, self.finishes[index])
        if (start, finish) == (self.starts[index], self.finishes[index]):
            return False
        self.starts[index], self.finishes[index] = start, finish
        return True

    def _session_start(self, index: int, session: int, start: int) -> int:
        """When a session begins if the work is begun at `start`; NEVER where it has fewer."""
        pieces = self.network.activities[index].choices[0].timing.pieces(start)
        return pieces[session][0] if session < len(pieces) else NEVER

    def _session_over(self, index: int, session: int, bound: int) -> int:
        """The last start whose given session is over by `bound`."""
        timing = self.network.activities[index].choices[0].timing
        over = timing.end_by(bound)
        if isinstance(timing, Hands) and abs(bound) < NEVER:
            opening = bisect_right(timing.openings.ends, bound) - 1 - session
            if opening >= 0:
                over = max(over, timing.openings.ends[opening] - 1)
        return over

    def _latest(self, index: int, start_cap: int, finish_cap: int) -> tuple[int, int]:
        if start_cap >= NEVER and finish_cap >= NEVER:
            return NEVER, NEVER
        activity = self.network.activities[index]
        best_start = best_finish = LONG_AGO
        for choice in activity.choices:
            timing = choice.timing
            if isinstance(timing, Expected):
                # On its way: the order is past, only the moment it is needed counts.
                latest = min(finish_cap, NEVER)
                return (min(start_cap, latest - timing.settle), latest)
            start = timing.end_by(finish_cap) if finish_cap < NEVER else start_cap
            if start_cap < start:
                start = start_cap
            start = timing.fit_back(start)
            best_start = max(best_start, start)
            if start > LONG_AGO:
                best_finish = max(best_finish, timing.end(start))
        return best_start, best_finish

    def push_on(self, index: int) -> list[int]:
        """Lower successors that would come too late for an upper bound counted from here."""
        moved: list[int] = []
        for link in self.network.outgoing[index]:
            if link.most is None or self.network.activities[link.succ].state == "done":
                continue
            if link.or_point is not None and self.sides.get(link) != WITHIN:
                continue
            base = self.point(index, link.point)
            if abs(base) >= NEVER:
                continue
            limit = base + link.most
            if link.void_after is not None and self.point(index, link.void_after) > limit:
                continue
            caps = self.cap_finish if link.to_finish else self.cap_start
            if limit < caps[link.succ]:
                count = self.pushes.get(link.succ, 0) + 1
                self.pushes[link.succ] = count
                if count > PATIENT_PUSHES:
                    limit = max(limit - (1 << min(count - PATIENT_PUSHES, 41)), LONG_AGO)
                caps[link.succ] = limit
                moved.append(link.succ)
        return moved

    def violated(self, windows: list[Link]) -> Link | None:
        for link in windows:
            if link in self.sides or link.most is None or link.or_point is None:
                continue
            value = (self.finishes if link.to_finish else self.starts)[link.succ]
            if abs(value) >= NEVER:
                continue
            first = self.point(link.pred, link.point) + link.most
            second = self.point(link.pred, link.or_point) + link.or_gap
            if first < value < second:
                return link
        return None
