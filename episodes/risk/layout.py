"""A plan's own network cut into pieces that can be timed one after another.

Lower bounds run from predecessors to successors, upper bounds back: activities that can come back
to themselves this way (a coat and the next inside its longest recoat time, work done in another's
pause) form a piece that is timed until nothing moves any more; all others are timed once.
"""

from dataclasses import dataclass
from functools import cached_property

from episodes.calendars import working_time
from episodes.network.activity import START, Activity, Link, Network
from episodes.network.passes import AFTER, SESSION, WITHIN, Sides
from episodes.risk.tables import offset
from episodes.schedule.plan import Plan
from episodes.schedule.retime import Retimer

Bound = tuple[int, int, int]
"""Predecessor, its point, and the least gap from it."""


@dataclass(frozen=True)
class Layout:
    """What does not change from sample to sample.

    Attributes:
        incoming, outgoing: the plan's links and queues, by activity.
        pieces: activities that are not done, in an order in which each piece hangs only on
            earlier ones; within a piece by the plan's starts.
        piece_of: number of the piece, by activity; -1 for what is done.
        earliest: least start by bounds, from the origin.
        origin: UTC minute from which all minutes here are counted.
        free: no queues are kept, nor which side of a window the plan chose.
    """

    retimer: Retimer
    origin: int
    incoming: tuple[tuple[Link, ...], ...]
    outgoing: tuple[tuple[Link, ...], ...]
    pieces: tuple[tuple[int, ...], ...]
    piece_of: tuple[int, ...]
    earliest: tuple[int, ...]
    free: bool = False

    @property
    def plan(self) -> Plan:
        return self.retimer.plan

    @property
    def network(self) -> Network:
        return self.retimer.network

    @property
    def activities(self) -> tuple[Activity, ...]:
        return self.network.activities

    @property
    def sides(self) -> Sides:
        return self.retimer.base.sides

    def at(self, minute: int) -> int:
        """A UTC minute counted from the origin."""
        return offset(minute, self.origin)

    def limits(self, link: Link) -> bool:
        """Whether the link has an upper bound that the plan keeps."""
        if link.most is None:
            return False
        return link.or_point is None or (not self.free and self.sides.get(link) == WITHIN)

    def second_side(self, link: Link) -> bool:
        """Whether the plan chose the far side of a two-sided window."""
        return not self.free and link.or_point is not None and self.sides.get(link) == AFTER

    @cached_property
    def plain(self) -> tuple[tuple[Bound, ...] | None, ...]:
        """By activity its lower bounds of the start, the widest of each point; None where some
        bound is of another kind and they have to be taken one after another."""
        found: list[tuple[Bound, ...] | None] = []
        for index, links in enumerate(self.incoming):
            if self.own_end_bound(index):
                found.append(None)
                continue
            widest: dict[tuple[int, int], int] = {}
            for link in links:
                gaps = [(link.point, link.least)]
                if self.second_side(link) and link.or_point is not None:
                    gaps.append((link.or_point, link.or_gap))
                for point, gap in gaps:
                    key = (link.pred, point)
                    widest[key] = max(widest.get(key, gap), gap)
            found.append(tuple((pred, point, gap) for (pred, point), gap in widest.items()))
        return tuple(found)

    @cached_property
    def leading(self) -> tuple[tuple[Link, ...], ...]:
        """By activity its outgoing links, those left out that a wider one of the same ends and
        points stands for."""
        found = []
        for links in self.outgoing:
            widest: dict[object, Link] = {}
            for link in links:
                kind = (link.succ, link.point, link.to_finish, link.session)
                key: object = link if self.second_side(link) else kind
                if key not in widest or link.least > widest[key].least:
                    widest[key] = link
            found.append(tuple(widest.values()))
        return tuple(found)

    def alone(self, index: int) -> bool:
        """Whether an activity cannot come back to itself."""
        return len(self.pieces[self.piece_of[index]]) == 1

    def pieces_of(self, indices: set[int]) -> frozenset[int]:
        """The pieces of some activities."""
        return frozenset(self.piece_of[index] for index in indices)

    def own_end_bound(self, index: int) -> bool:
        """Whether a bound of its finish or of a session reaches back to its start."""
        return any(link.to_finish or link.session for link in self.incoming[index])

    @cached_property
    def next_pieces(self) -> tuple[frozenset[int], ...]:
        """By piece, the later ones that count from it."""
        following: list[set[int]] = [set() for _ in self.pieces]
        for number, piece in enumerate(self.pieces):
            for index in piece:
                following[number].update(self.piece_of[link.succ] for link in self.outgoing[index])
        return tuple(frozenset(some - {-1, n}) for n, some in enumerate(following))

    @cached_property
    def _reached(self) -> tuple[frozenset[int], ...]:
        """By piece, all that count from it, directly or through others."""
        found: list[frozenset[int]] = [frozenset()] * len(self.pieces)
        for number in range(len(self.pieces) - 1, -1, -1):
            following = self.next_pieces[number]
            found[number] = following.union(*(found[other] for other in following))
        return tuple(found)

    def leads_to(self, pieces: "set[int]", piece: int) -> bool:
        """Whether one of some pieces is, or leads to, a piece."""
        return any(number == piece or piece in self._reached[number] for number in pieces)

    @cached_property
    def uneven(self) -> frozenset[int]:
        """Activities from which a link is reached that is not a bound that only ever grows.

        Sessions shift among openings, and a longest recoat time falls away where the recoat time
        has outgrown it: one backward pass is then below the latest, never above.
        """
        rough = {
            self.piece_of[end]
            for links in self.incoming
            for link in links
            if self.by_session(link) or self.may_fall_away(link)
            for end in (link.pred, link.succ)
        }
        found: set[int] = set()
        for number in range(len(self.pieces) - 1, -1, -1):
            if number in rough or found & self.next_pieces[number]:
                found.add(number)
        return frozenset(index for number in found for index in self.pieces[number])

    def by_session(self, link: Link) -> bool:
        """Whether a link binds one session of work alone."""
        return bool(link.session) or link.point >= SESSION

    def may_fall_away(self, link: Link) -> bool:
        """Whether a link's upper bound may cease to count as what it counts from comes later."""
        if link.void_after is None or not self.limits(link):
            return False
        coat = self.activities[link.pred].coat
        return coat is not None and len(set(coat.curve._rates)) > 1


def lay_out(retimer: Retimer, origin: int, *, free: bool = False) -> Layout:
    """The layout of a plan at rest.

    Args:
        free: without the plan's own choices: nobody waits for a person, a place, gear or air.
    """
    activities = retimer.network.activities
    sides = retimer.base.sides
    place = retimer.base.place
    written = {id(link) for links in retimer.network.incoming for link in links}

    def holds(link: Link) -> bool:
        if free:
            return id(link) in written
        # An appointment is kept whatever stood before it in somebody's queue: the other work
        # waits. What it was written to come after still binds it.
        return activities[link.succ].at is None or id(link) in written

    incoming = [[link for link in links if holds(link)] for links in retimer.incoming]
    after: list[list[int]] = [[] for _ in activities]
    for links in incoming:
        for link in links:
            pred, succ = link.pred, link.succ
            if activities[pred].done or activities[succ].done:
                continue
            after[pred].append(succ)
            one_sided = link.or_point is None or (not free and sides.get(link) == WITHIN)
            fixed = activities[pred].state == "started" and link.point == START
            if link.most is not None and one_sided and not fixed:
                after[succ].append(pred)
    pieces = [
        tuple(sorted(piece, key=lambda i: place[i]))
        for piece in strong_components(after)
        if not activities[piece[0]].done
    ]
    piece_of = [-1] * len(activities)
    for number, piece in enumerate(pieces):
        for index in piece:
            piece_of[index] = number
    return Layout(
        retimer=retimer,
        origin=origin,
        incoming=tuple(tuple(links) for links in incoming),
        outgoing=tuple(
            tuple(link for link in links if holds(link) and not activities[link.succ].done)
            for links in retimer.outgoing
        ),
        pieces=tuple(pieces),
        piece_of=tuple(piece_of),
        earliest=tuple(offset(_earliest(retimer.plan, a, free), origin) for a in activities),
        free=free,
    )


def _earliest(plan: Plan, activity: Activity, free: bool) -> int:
    """The least start of an activity by bounds of its own; NEVER where it has no place."""
    at = working_time.LONG_AGO if activity.at is None else activity.at
    if free:
        return max(activity.earliest, at)
    if plan.placed[activity.index] is None:
        return working_time.NEVER
    kept = plan.kept.get(activity.index, working_time.LONG_AGO)
    return max(activity.earliest, at, kept)


def strong_components(after: list[list[int]]) -> list[list[int]]:
    """Nodes that can come back to each other, together; what comes first in the list comes first.

    Tarjan, "Depth-first search and linear graph algorithms", SIAM Journal on Computing 1 (1972)
    146-160, without recursion.

    >>> strong_components([[1], [2], [1, 3], []])
    [[0], [2, 1], [3]]
    """
    count = len(after)
    number = [-1] * count
    low = [0] * count
    standing = [False] * count
    stack: list[int] = []
    found: list[list[int]] = []
    clock = 0
    for root in range(count):
        if number[root] >= 0:
            continue
        work = [(root, iter(after[root]))]
        number[root] = low[root] = clock
        clock += 1
        stack.append(root)
        standing[root] = True
        while work:
            node, others = work[-1]
            for other in others:
                if number[other] < 0:
                    number[other] = low[other] = clock
                    clock += 1
                    stack.append(other)
                    standing[other] = True
                    work.append((other, iter(after[other])))
                    break
                if standing[other]:
                    low[node] = min(low[node], number[other])
            else:
                work.pop()
                if work:
                    low[work[-1][0]] = min(low[work[-1][0]], low[node])
                if low[node] == number[node]:
                    component: list[int] = []
                    while not component or component[-1] != node:
                        component.append(stack.pop())
                        standing[component[-1]] = False
                    found.append(component)
    found.reverse()
    return found
