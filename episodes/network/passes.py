"""The forward pass: least starts that satisfy every link, each on its own hours.

Lower bounds run from predecessors to successors, upper bounds (`within`, a longest recoat time)
push the other way: a successor that cannot come soon enough makes its predecessor later. Each push
only ever raises a start, so the least solution is reached whatever the order; where none exists
the starts climb past the last opening and end as NEVER; a start pushed thousands of times climbs in
growing strides, so that this end comes soon.

The same pass serves the dates of the network and, with the plan's queues as further links, the
re-timing of a plan after one minute is added to one activity.
"""

import heapq
from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, START, Activity, Coat, Link
from episodes.network.timing import Hands, Timing, first_start_ending_at_or_after
from episodes.trade.products import STAGES

SESSION = 10
"""Points from here on are the ends of sessions: SESSION is the end of the first."""

PATIENT_PUSHES = 2_000
"""Pushes of one start by upper bounds after which it climbs in growing strides. Strides of single
minutes through a whole opening stay far below; past it only links that contradict each other
on any calendar are left, which would climb for ever."""

WITHIN, AFTER = 0, 1
"""Sides of a two-sided window."""

Sides = Mapping[Link, int]


class ForwardPass:
    """Starts and finishes of activities, kept up to date as bounds rise.

    Attributes:
        starts, finishes: by activity; UTC minutes. With several choices the earliest of each.
        missed: links whose upper bound cannot be kept because their earlier end is a fact.
        pushes: how often an upper bound raised each start.
    """

    def __init__(
        self,
        activities: Sequence[Activity],
        order: Sequence[int],
        incoming: Sequence[Sequence[Link]],
        outgoing: Sequence[Sequence[Link]],
        *,
        timings: Sequence[Sequence[Timing]],
        coats: Sequence[Coat | None],
        earliest: Sequence[int],
        sides: Sides,
    ) -> None:
        self.activities = activities
        self.incoming = incoming
        self.outgoing = outgoing
        self.timings = timings
        self.coats = coats
        self.sides = sides
        self.place = [0] * len(activities)
        for position, index in enumerate(order):
            self.place[index] = position
        self.raised = list(earliest)
        self.starts = [LONG_AGO] * len(activities)
        self.finishes = [LONG_AGO] * len(activities)
        self.only: frozenset[int] | set[int] | None = None
        """Where set, nothing outside is brought up to date: a trial looks at one room only."""
        self.missed: set[Link] = set()
        self.pushes: dict[int, int] = {}
        for activity in activities:
            if activity.state == "done":
                assert activity.fact_start is not None
                assert activity.fact_finish is not None
                self.starts[activity.index] = activity.fact_start
                self.finishes[activity.index] = activity.fact_finish
        self.run(index for index in order if activities[index].state != "done")

    def copy(self) -> "ForwardPass":
        """A second pass at the same state, to try a change on."""
        twin = object.__new__(ForwardPass)
        twin.__dict__.update(self.__dict__)
        twin.raised = list(self.raised)
        twin.starts = list(self.starts)
        twin.finishes = list(self.finishes)
        twin.missed = set(self.missed)
        twin.pushes = dict(self.pushes)
        return twin

    def point(self, index: int, point: int) -> int:
        """When a point of an activity comes: its start, finish, a stage or a session's end."""
        if point == FINISH:
            return self.finishes[index]
        if point == START:
            activity = self.activities[index]
            if activity.state == "started" and activity.fact_start is not None:
                return activity.fact_start
            return self.starts[index]
        if point < SESSION:
            coat = self.coats[index]
            assert coat is not None
            return coat.stage_end(STAGES[point - 2], self.finishes[index])
        pieces = self.timings[index][0].pieces(self.starts[index])
        number = point - SESSION
        return pieces[number][1] if number < len(pieces) else self.finishes[index]

    def run(self, dirty: Iterable[int]) -> None:
        """Bring everything that follows from the dirty activities up to date."""
        place = self.place
        only = self.only
        waiting = dict.fromkeys(dirty)
        queue = [(place[index], index) for index in waiting]
        heapq.heapify(queue)
        while queue:
            _, index = heapq.heappop(queue)
            if index not in waiting:
                continue
            del waiting[index]
            changed = self._place(index)
            for pred in self._push_back(index):
                if pred not in waiting:
                    waiting[pred] = None
                    heapq.heappush(queue, (place[pred], pred))
            if changed:
                for link in self.outgoing[index]:
                    succ = link.succ
                    if only is not None and succ not in only:
                        continue
                    if succ not in waiting and self.activities[succ].state != "done":
                        waiting[succ] = None
                        heapq.heappush(queue, (place[succ], succ))

    def lower(self, index: int) -> int:
        """The lower bound of the raw start from links and raised bounds."""
        bound = self.raised[index]
        finishes = self.finishes
        for link in self.incoming[index]:
            if link.point == FINISH and link.or_point is None:
                value = finishes[link.pred] + link.least
            else:
                value = self.link_lower(link)
            if value <= bound and not link.to_finish:
                continue
            if link.session:
                value = self._resumed_after(
                    index, link.session, max(bound, self.raised[index]), value
                )
            elif link.to_finish:
                if value > LONG_AGO:
                    value = min(
                        first_start_ending_at_or_after(timing, value)
                        for timing in self.timings[index]
                    )
            if value > bound:
                bound = value
        return bound

    def _resumed_after(self, index: int, session: int, bound: int, value: int) -> int:
        """The least raw start from `bound` whose given session begins at or after `value`."""
        timing = self.timings[index][0]
        start = timing.fit(bound)
        while start < NEVER:
            pieces = timing.pieces(start)
            if len(pieces) <= session or pieces[session][0] >= value:
                return start
            following = pieces[0][1]
            if isinstance(timing, Hands):
                # Sessions fall into openings one after another: count back from the first
                # opening that is late enough.
                starts = timing.openings.starts
                late_enough = bisect_left(starts, value) - session
                if 0 < late_enough < len(starts):
                    following = max(following, starts[late_enough])
            start = timing.fit(following)
        return NEVER

    def link_lower(self, link: Link) -> int:
        """What a link asks of its later end at least."""
        value = self.point(link.pred, link.point) + link.least
        if link.or_point is not None and self.sides.get(link) == AFTER:
            value = max(value, self.point(link.pred, link.or_point) + link.or_gap)
        return value

    def upper(self, link: Link) -> int | None:
        """What a link allows its later end at most; None where it does not limit it."""
        if link.most is None:
            return None
        if link.or_point is not None and self.sides.get(link) != WITHIN:
            return None
        limit = self.point(link.pred, link.point) + link.most
        if link.void_after is not None and self.point(link.pred, link.void_after) > limit:
            return None
        return limit

    def later_end(self, link: Link) -> int:
        return (self.finishes if link.to_finish else self.starts)[link.succ]

    def _place(self, index: int) -> bool:
        bound = self.lower(index)
        if bound >= NEVER:
            start = end = NEVER
        else:
            timings = self.timings[index]
            if len(timings) == 1:
                start = timings[0].fit(bound)
                end = timings[0].end(start)
            else:
                starts = [timing.fit(bound) for timing in timings]
                start = min(starts)
                end = min(t.end(s) for t, s in zip(timings, starts, strict=True))
        if start == self.starts[index] and end == self.finishes[index]:
            return False
        self.starts[index] = start
        self.finishes[index] = end
        return True

    def _push_back(self, index: int) -> list[int]:
        """Raise predecessors that would come too early for this one's upper bounds."""
        moved: list[int] = []
        for link in self.incoming[index]:
            if link.most is None:
                continue
            limit = self.upper(link)
            if limit is None:
                continue
            value = self.later_end(link)
            if value <= limit or value >= NEVER or link.most is None:
                continue
            pred = self.activities[link.pred]
            if pred.state == "done" or (pred.state == "started" and link.point == START):
                self.missed.add(link)
                continue
            needed = value - link.most
            if link.point != START:
                needed = min(
                    first_start_ending_at_or_after(timing, needed)
                    for timing in self.timings[link.pred]
                )
            if needed > self.raised[link.pred]:
                count = self.pushes.get(link.pred, 0) + 1
                self.pushes[link.pred] = count
                if count > PATIENT_PUSHES:
                    # No calendar changes its mind after so many: climb to the edge faster.
                    needed += 1 << min(count - PATIENT_PUSHES, 41)
                self.raised[link.pred] = needed
                moved.append(link.pred)
        return moved


def violated_window(forward: ForwardPass, links: Iterable[Link]) -> Link | None:
    """The first undecided two-sided window whose later end falls between its sides."""
    for link in links:
        if link.most is None or link.or_point is None or link in forward.sides:
            continue
        value = forward.later_end(link)
        if value >= NEVER:
            continue
        first = forward.point(link.pred, link.point) + link.most
        second = forward.point(link.pred, link.or_point) + link.or_gap
        if first < value < second:
            return link
    return None
