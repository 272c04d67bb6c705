"""Earliest and latest dates of every activity, by the critical path method.

Early is the earliest moment in any schedule that obeys links, hours, light and drying; late the
latest in any such schedule that meets the releases. Each is an activity's own extreme: with a
two-sided window they need not all be had at once. Such windows are settled by branches, never
greedily: a coat may have to wait so that the next can still go on inside the first hour. A branch
whose relaxation (window ignored) keeps every window is exact, so most networks need one pass.
"""

import heapq
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, START, Link, Network
from episodes.network.passes import (
    AFTER,
    PATIENT_PUSHES,
    WITHIN,
    ForwardPass,
    Sides,
    violated_window,
)
from episodes.network.timing import Expected
from episodes.trade.products import STAGES

MOST_BRANCHES = 512
"""Branches looked at before the relaxation stands in: still bounds, no longer attained."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """By activity number, UTC minutes; NEVER where nothing bounds a late date or no opening is
    left, LONG_AGO where an opening would have to lie before the calendar.

    Attributes:
        exact: every window was settled; else early and late are bounds that may not be attained.
        missed: links whose upper bound has passed already, their earlier end being a fact.
    """

    early_start: tuple[int, ...]
    early_finish: tuple[int, ...]
    late_start: tuple[int, ...]
    late_finish: tuple[int, ...]
    exact: bool
    missed: tuple[Link, ...]
    hopeless: frozenset[int]
    """Activities that no schedule has room for: their windows cannot all be kept. Their dates
    are those without the windows' upper bounds."""
    short: bool
    """Some required activity ran out of calendar; the horizon has to be extended."""

    def floor(self, network: Network, episode: str) -> int:
        """No plan of the episode is ready sooner than this (UTC minutes)."""
        return ready(network, episode, self.early_finish)


def ready(network: Network, episode: str, finishes: Sequence[int]) -> int:
    """When all that the episode's release waits for is over, drying included; LONG_AGO if
    nothing is required."""
    moments = [LONG_AGO]
    for index in network.scope(episode).required:
        moments.append(over(network, index, finishes[index]))
    return max(moments)


def over(network: Network, index: int, finish: int) -> int:
    """When an activity is over for the release: its finish, or its coat's drying."""
    row = network.dries.get(index)
    coat = network.activities[index].coat
    if row is None or coat is None:
        return finish
    return coat.stage_end(row.release_stage, finish)


def compute_dates(network: Network) -> Dates:
    """Early and late dates of the whole season."""
    early_s, early_f, exact_early, missed = _early(network)
    late_s, late_f, exact_late = _late(network)
    hopeless: set[int] = set()
    alive = [a.index for a in network.activities if a.state != "done"]
    if any(early_f[i] >= NEVER or late_s[i] <= LONG_AGO for i in alive):
        # Either the calendar is too short, or no schedule keeps the windows. Without the upper
        # bounds of windows it shows which; the dates without them are shown then.
        relaxed = _without_upper_bounds(network)
        loose = first_pass(relaxed, {})
        hopeless = {i for i in alive if early_f[i] >= NEVER > loose.finishes[i]}
        if hopeless:
            early_s, early_f = loose.starts, loose.finishes
        if any(late_s[i] <= LONG_AGO for i in alive):
            loose_s, loose_f, _ = _late(relaxed)
            late_s = [b if a <= LONG_AGO else a for a, b in zip(late_s, loose_s, strict=True)]
            late_f = [b if a <= LONG_AGO else a for a, b in zip(late_f, loose_f, strict=True)]
    short = any(
        early_f[i] >= NEVER or late_s[i] <= LONG_AGO
        for i in alive
        if network.activities[i].required
    )
    return Dates(
        early_start=tuple(early_s),
        early_finish=tuple(early_f),
        late_start=tuple(late_s),
        late_finish=tuple(late_f),
        exact=exact_early and exact_late,
        missed=missed,
        hopeless=frozenset(hopeless),
        short=short,
    )


def _without_upper_bounds(network: Network) -> Network:
    def loose(links: Sequence[Link]) -> tuple[Link, ...]:
        return tuple(
            replace(link, most=None, or_point=None) if link.most is not None else link
            for link in links
        )

    return replace(
        network,
        links=loose(network.links),
        incoming=tuple(loose(some) for some in network.incoming),
        outgoing=tuple(loose(some) for some in network.outgoing),
    )


def first_pass(network: Network, sides: Sides) -> ForwardPass:
    """The forward pass of a network with these sides of windows decided, the others ignored."""
    return ForwardPass(
        network.activities,
        network.order,
        network.incoming,
        network.outgoing,
        timings=[[c.timing for c in a.choices] for a in network.activities],
        coats=[a.coat for a in network.activities],
        earliest=[
            a.earliest if a.at is None else max(a.earliest, a.at) for a in network.activities
        ],
        sides=sides,
    )


def _windows(network: Network) -> list[Link]:
    return [link for link in network.links if link.two_sided]


def _early(
    network: Network,
) -> tuple[list[int], list[int], bool, tuple[Link, ...]]:
    windows = _windows(network)
    root = first_pass(network, {})
    if not windows:
        return root.starts, root.finishes, True, tuple(root.missed)
    best_s: list[int] | None = None
    best_f: list[int] = []
    stack = [root]
    looked = 0
    exact = True
    missed: set[Link] = set(root.missed)
    while stack:
        node = stack.pop()
        looked += 1
        if best_s is not None and _nowhere_better(node, best_s, best_f):
            continue
        if node is not root and _stuck(node.starts, root.starts):
            continue
        link = violated_window(node, windows)
        if link is None or looked > MOST_BRANCHES:
            exact = exact and link is None
            if best_s is None:
                best_s, best_f = list(node.starts), list(node.finishes)
            else:
                best_s = [min(a, b) for a, b in zip(best_s, node.starts, strict=True)]
                best_f = [min(a, b) for a, b in zip(best_f, node.finishes, strict=True)]
            continue
        for side in (WITHIN, AFTER):
            branch = node.copy()
            branch.sides = {**node.sides, link: side}
            branch.run([link.succ])
            if side == WITHIN and link in branch.missed:
                continue
            stack.append(branch)
    if best_s is None:  # no side of some window can be had: the relaxation still bounds
        return root.starts, root.finishes, False, tuple(missed)
    return best_s, best_f, exact, tuple(missed)


def _stuck(values: list[int], before: list[int]) -> bool:
    """Whether a branch ran out of calendar where its root had not: it holds no schedule."""
    return any(abs(a) >= NEVER > abs(b) for a, b in zip(values, before, strict=True))


def _nowhere_better(node: ForwardPass, starts: list[int], finishes: list[int]) -> bool:
    return all(a >= b for a, b in zip(node.starts, starts, strict=True)) and all(
        a >= b for a, b in zip(node.finishes, finishes, strict=True)
    )


class _BackwardPass:
    """Greatest starts and finishes that still meet every bound; the mirror of ForwardPass."""

    def __init__(self, network: Network, sides: Sides) -> None:
        self.network = network
        self.sides = sides
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
            self.cap_finish[index] = activity.latest_finish
            if activity.at is not None:
                self.cap_start[index] = activity.at
        for scope in network.episodes:
            for index in scope.required:
                self.cap_finish[index] = min(
                    self.cap_finish[index], self._release(index, scope.release)
                )
        self.run(a.index for a in network.activities if a.state != "done")
        self.run_uppers_of_facts()

    def copy(self) -> "_BackwardPass":
        twin = object.__new__(_BackwardPass)
        twin.__dict__.update(self.__dict__)
        twin.pushes = dict(self.pushes)
        twin.cap_start = list(self.cap_start)
        twin.cap_finish = list(self.cap_finish)
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
                moved.extend(self._push_on(activity.index))
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
            touched.extend(self._push_on(index))
            for other in touched:
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
            value = (self.finishes if link.to_finish else self.starts)[link.succ]
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
                elif activity.coat is not None:
                    finish_cap = min(
                        finish_cap, activity.coat.latest_finish(STAGES[point - 2], bound)
                    )
        start, finish = self._latest(index, start_cap, finish_cap)
        if (start, finish) == (self.starts[index], self.finishes[index]):
            return False
        self.starts[index], self.finishes[index] = start, finish
        return True

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

    def _push_on(self, index: int) -> list[int]:
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


def _late(network: Network) -> tuple[list[int], list[int], bool]:
    windows = [link for link in _windows(network) if network.activities[link.succ].state != "done"]
    root = _BackwardPass(network, {})
    if not windows:
        return root.starts, root.finishes, True
    best_s: list[int] | None = None
    best_f: list[int] = []
    stack = [root]
    looked = 0
    exact = True
    while stack:
        node = stack.pop()
        looked += 1
        if best_s is not None and all(
            a <= b and c <= d
            for a, b, c, d in zip(node.starts, best_s, node.finishes, best_f, strict=True)
        ):
            continue
        if node is not root and _stuck(node.starts, root.starts):
            continue
        link = node.violated(windows)
        if link is None or looked > MOST_BRANCHES:
            exact = exact and link is None
            if best_s is None:
                best_s, best_f = list(node.starts), list(node.finishes)
            else:
                best_s = [max(a, b) for a, b in zip(best_s, node.starts, strict=True)]
                best_f = [max(a, b) for a, b in zip(best_f, node.finishes, strict=True)]
            continue
        for side in (WITHIN, AFTER):
            branch = node.copy()
            branch.sides = {**node.sides, link: side}
            if side == WITHIN:
                branch.run(branch._push_on(link.pred))
            branch.run([link.pred])
            stack.append(branch)
    if best_s is None:
        return root.starts, root.finishes, False
    return best_s, best_f, exact
