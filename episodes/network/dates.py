"""Earliest and latest dates of every activity, by the critical path method.

Early is the earliest moment in any schedule that obeys links, hours, light and drying; late the
latest in any such schedule that meets the releases. Each is an activity's own extreme: with a
two-sided window they need not all be had at once. Such windows are settled by branches, never
greedily: a coat may have to wait so that the next can still go on inside the first hour. A branch
whose relaxation (window ignored) keeps every window is exact, so most networks need one pass.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import Link, Network
from episodes.network.backward import BackwardPass
from episodes.network.passes import (
    AFTER,
    WITHIN,
    ForwardPass,
    Sides,
    violated_window,
)

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


def _late(network: Network) -> tuple[list[int], list[int], bool]:
    windows = [link for link in _windows(network) if network.activities[link.succ].state != "done"]
    root = BackwardPass(network, {}, until={e.id: e.release for e in network.episodes})
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
                branch.run(branch.push_on(link.pred))
            branch.run([link.pred])
            stack.append(branch)
    if best_s is None:
        return root.starts, root.finishes, False
    return best_s, best_f, exact
