"""Whether placed activities obey every rule: each rule looked at by itself, nothing is planned.

What an exact search found is believed only after this. It asks the activities' own timings, so a
mistake of the model cannot pass for a plan.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from episodes.calendars.openings import Stretch
from episodes.model.studio import BEARS_NOT, AirBorne
from episodes.network.activity import FINISH, START, Activity, Link, Network
from episodes.network.timing import Expected
from episodes.schedule.occupation import Site
from episodes.schedule.starts import Spot
from episodes.trade.products import STAGES

Spots = Mapping[int, Spot]


def broken_rule(network: Network, site: Site, spots: Spots, members: Iterable[int]) -> str | None:
    """The first rule that is broken, in words; None where all are kept.

    Args:
        site: what facts take, nothing else taken of it.
        spots: where the members stand, and everything done or begun.
    """
    placed = sorted(members)
    return next(_broken(network, site, spots, placed), None)


def _broken(network: Network, site: Site, spots: Spots, members: list[int]) -> Iterator[str]:
    for index in members:
        yield from _own(network.activities[index], spots[index])
        for link in network.incoming[index]:
            if link.pred in spots:
                yield from _link(network, link, spots)
    yield from _people(network, site, spots, members)
    yield from _levels(network, site, spots, members)
    yield from _air(network, site, spots, members)


def _own(activity: Activity, spot: Spot) -> Iterator[str]:
    start, finish, choice, pieces = spot
    timing = activity.choices[choice].timing
    if start < activity.earliest or (activity.at is not None and start != activity.at):
        yield f"{activity.id} starts out of its bounds"
    if finish > activity.latest_finish:
        yield f"{activity.id} is over too late"
    if activity.kind == "parcel" and isinstance(timing, Expected) and activity.state != "open":
        start = min(start, timing.arrival_at)
    if timing.fit(start) != start or timing.end(start) != finish:
        yield f"{activity.id} is not worked from {start} to {finish}"
    if activity.kind != "parcel" and pieces != timing.pieces(start):
        yield f"{activity.id} works other minutes"


def _point(network: Network, spots: Spots, index: int, point: int) -> int:
    activity, spot = network.activities[index], spots[index]
    if point == START:
        return spot[0] if activity.fact_start is None else activity.fact_start
    if point == FINISH:
        return spot[1]
    assert activity.coat is not None
    return activity.coat.stage_end(STAGES[point - 2], spot[1])


def _link(network: Network, link: Link, spots: Spots) -> Iterator[str]:
    spot = spots[link.succ]
    value = spot[1] if link.to_finish else spot[0]
    base = _point(network, spots, link.pred, link.point)
    names = f"{network.activities[link.succ].id} after {network.activities[link.pred].id}"
    if value < base + link.least:
        yield f"{names}: too early"
    if link.most is None or value <= base + link.most:
        return
    if link.or_point is not None:
        if value < _point(network, spots, link.pred, link.or_point) + link.or_gap:
            yield f"{names}: between its two sides"
        return
    if link.void_after is not None:
        if _point(network, spots, link.pred, link.void_after) > base + link.most:
            return
    yield f"{names}: too late"


def _people(network: Network, site: Site, spots: Spots, members: list[int]) -> Iterator[str]:
    for person, taken in sorted(site.people.items()):
        busy = list(zip(taken.starts, taken.ends, strict=True))
        for index in members:
            if person in network.activities[index].choices[spots[index][2]].people:
                busy += spots[index][3]
        for (_, over), (begins, _) in pairwise(sorted(busy)):
            if begins < over:
                yield f"{person} works twice at {begins}"


def _levels(network: Network, site: Site, spots: Spots, members: list[int]) -> Iterator[str]:
    steps: dict[tuple[str, str], dict[int, int]] = defaultdict(lambda: defaultdict(int))
    floors: dict[tuple[str, str], list[tuple[int, int, int]]] = defaultdict(list)
    limits = site.levels.limits

    def take(holder: tuple[str, str], begin: int, end: int, amount: int, *, free: bool) -> None:
        if holder in limits and begin < end and amount:
            amount = min(amount, limits[holder])
            steps[holder][begin] += amount
            steps[holder][end] -= amount
            if free:
                floors[holder].append((begin, end, amount))

    inside = set(members)
    for index in sorted(spots):
        activity, (start, finish, _, _) = network.activities[index], spots[index]
        if activity.kind == "parcel":
            continue
        free = index in inside
        if activity.state != "done":
            for gear, count in activity.gear:
                take(("gear", gear), start, finish, count, free=free)
            if activity.where is not None:
                take(("space", activity.where), start, finish, activity.places, free=free)
        if activity.coat is not None and activity.where is not None:
            if free or index in site.holds:
                begin, end = _held(network, spots, index, site)
                take(("space", activity.where), begin, end, 1, free=free)
    for holder, changes in sorted(steps.items()):
        level = 0
        for moment in sorted(changes):
            level += changes[moment]
            # Facts win over limits: only what is free to move can break one.
            if level > limits[holder] and any(a <= moment < b for a, b, _ in floors[holder]):
                yield f"too much of {holder[1]} at {moment}"


def _held(network: Network, spots: Spots, index: int, site: Site) -> Stretch:
    activity = network.activities[index]
    assert activity.coat is not None
    finish = spots[index][1]
    handle = activity.coat.stage_end("handle", finish)
    if index in site.holds:
        finish, handle = site.holds[index]
    following = activity.next_in_job
    if following is not None and following in spots:
        start = spots[following][0]
        if finish <= start < handle and network.activities[following].state != "done":
            return finish, start
    return finish, handle


def _air(network: Network, site: Site, spots: Spots, members: list[int]) -> Iterator[str]:
    needed: dict[tuple[str, AirBorne], list[tuple[int, int, int]]] = defaultdict(list)
    bad: dict[tuple[str, AirBorne], list[tuple[int, int, int]]] = defaultdict(list)
    for key, stretches in site.needed.items():
        needed[key] += [(a, b, -1) for a, b in stretches.items]
    for key, stretches in site.bad.items():
        bad[key] += [(a, b, -1) for a, b in stretches.items]
    for index in members:
        activity, (start, finish, _, pieces) = network.activities[index], spots[index]
        where, coat = activity.where, activity.coat
        if activity.kind == "parcel" or where is None:
            continue
        wet = () if coat is None else ((start, coat.stage_end("touch", finish)),)
        for need in activity.needs_air:
            mine = wet if need == "still" and coat is not None else pieces
            needed[where, BEARS_NOT[need]] += [(a, b, index) for a, b in mine]
        made: list[tuple[AirBorne, tuple[Stretch, ...]]] = [
            (kind, pieces) for kind in sorted(activity.makes)
        ]
        if coat is not None and coat.coating.fumes:
            made.append(("fumes", wet))
        for kind, mine in made:
            reach = network.noises if kind == "noise" else network.shares
            for space in reach.get(where, frozenset({where})):
                linger = site.linger(kind, where, space)
                bad[space, kind] += [(a, b + linger, index) for a, b in mine]
    for key, those in sorted(needed.items()):
        for a, b, who in those:
            for c, d, by in bad.get(key, ()):
                if who != by and a < d and c < b:
                    yield f"air of {key[0]}: {key[1]} at {max(a, c)}"
