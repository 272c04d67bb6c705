"""Who comes first on each person, piece of gear, place and air of a plan, as further links.

With these links the plan can be re-timed with all its choices kept: nobody overtakes. Where
something has several of a kind, users take the unit that has been free longest, so a later user
is only held by an earlier one where no unit was idle.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise

from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import NEVER
from episodes.model.studio import BEARS_NOT, AirBorne
from episodes.network.activity import ALL_PLACES, FINISH, POINT, START, Activity, Link, Network
from episodes.network.passes import SESSION
from episodes.schedule.occupation import Site
from episodes.schedule.plan import Placed, Plan

ALL_PAIRS = 4000
"""Pairs of makers and needers of one air up to which every pair gets its link."""


def queue_links(plan: Plan) -> list[Link]:
    """Links from the plan's queues; ends that are done count from their facts."""
    network = plan.network
    standing = [
        (activity, placed)
        for activity, placed in zip(network.activities, plan.placed, strict=True)
        if placed is not None and activity.kind != "parcel" and activity.id != "release"
    ]
    links: list[Link] = []
    links.extend(_people(standing))
    links.extend(_gear(network, standing))
    links.extend(_places(network, plan, standing))
    links.extend(_airs(network, standing))
    unique: dict[Link, None] = dict.fromkeys(links)
    return [link for link in unique if network.activities[link.succ].state != "done"]


Standing = list[tuple[Activity, Placed]]


def _session_point(number: int, count: int) -> int:
    return FINISH if number + 1 >= count else SESSION + number


def _people(standing: Standing) -> Iterable[Link]:
    worked: dict[str, list[tuple[int, int, int, int, int]]] = defaultdict(list)
    for activity, placed in standing:
        if activity.state == "done":
            continue
        for person in activity.choices[placed.choice].people:
            for number, (start, end) in enumerate(placed.pieces):
                worked[person].append((start, end, activity.index, number, len(placed.pieces)))
    for pieces in worked.values():
        pieces.sort()
        for (_, _, pred, number, count), (_, _, succ, session, _) in pairwise(pieces):
            if pred != succ:
                yield Link(
                    pred=pred, succ=succ, point=_session_point(number, count), session=session
                )


Unit = tuple[int, int, int]
"""Free from, by the activity (-1: nobody), counted from its point."""


def _take_units(units: list[Unit], start: int, amount: int, prefer: int = -2) -> list[Unit]:
    """The units that have been free longest, taken out of the list; one's own come first."""
    free = sorted(
        (unit for unit in units if unit[0] <= start),
        key=lambda unit: (unit[1] != prefer, unit[0]),
    )[:amount]
    for unit in free:
        units.remove(unit)
    return free


def _gear(network: Network, standing: Standing) -> Iterable[Link]:
    for name, count in network.gear_of.items():
        units: list[Unit] = [(-(1 << 41), -1, FINISH)] * count
        users = [
            (placed.start, placed.finish, activity, amount)
            for activity, placed in standing
            if activity.state != "done" and placed.finish > placed.start
            for gear, amount in activity.gear
            if gear == name
        ]
        for start, finish, activity, amount in sorted(
            users, key=lambda u: (u[0], u[1], u[2].index)
        ):
            for _, last, point in _take_units(units, start, amount):
                if last >= 0:
                    yield Link(pred=last, succ=activity.index, point=point)
            units.extend([(finish, activity.index, FINISH)] * amount)


def _places(network: Network, plan: Plan, standing: Standing) -> Iterable[Link]:
    by_space: dict[str, Standing] = defaultdict(list)
    for activity, placed in standing:
        if activity.where is not None:
            by_space[activity.where].append((activity, placed))
    for space, users in by_space.items():
        limit = network.places_of.get(space)
        if limit is None:
            yield from _alone(plan, users)
            continue
        events: list[tuple[int, int, int, Activity, int, bool]] = []
        for activity, placed in users:
            if activity.state != "done" and activity.places and placed.finish > placed.start:
                amount = min(activity.places, limit)
                events.append((placed.start, 0, placed.finish, activity, amount, False))
            if activity.coat is not None:
                until, _ = _hold_end(plan, activity, placed)
                if until > placed.finish:
                    events.append((placed.finish, -1, until, activity, 1, True))
        units: list[Unit] = [(-(1 << 41), -1, FINISH)] * limit
        events.sort(key=lambda e: (e[0], e[1], e[3].index))
        for start, _, until, activity, amount, drying in events:
            taken = _take_units(units, start, amount, activity.index if drying else -2)
            if not drying:
                for _, last, point in taken:
                    if last >= 0 and last != activity.index:
                        yield Link(pred=last, succ=activity.index, point=point)
                units.extend([(until, activity.index, FINISH)] * amount)
                continue
            for _, last, point in taken:
                if last >= 0 and last != activity.index:
                    # The coat itself must not be over before its piece finds a place to dry.
                    yield Link(pred=last, succ=activity.index, point=point, to_finish=True)
            _, end = _hold_end(plan, activity, plan.placed[activity.index])
            units.append((until, *end))


def _hold_end(plan: Plan, activity: Activity, placed: Placed | None) -> tuple[int, tuple[int, int]]:
    """Until when a drying coat holds its place, and which point of what frees it."""
    assert activity.coat is not None
    assert placed is not None
    handle = activity.coat.stage_end("handle", placed.finish)
    following = activity.next_in_job
    if following is not None:
        at = plan.placed[following]
        if at is not None and placed.finish <= at.start < handle:
            return at.start, (following, START)
    return handle, (activity.index, POINT["handle"])


def _alone(plan: Plan, users: Standing) -> Iterable[Link]:
    """In a space without a limit only those who asked to be alone keep others waiting, and wait
    for coats that dry there too."""
    drying = [(a, _hold_end(plan, a, p)) for a, p in users if a.coat is not None]
    active = [(a, p) for a, p in users if a.state != "done" and a.places]
    for activity, placed in active:
        if activity.places < ALL_PLACES:
            continue
        for other, at in active:
            if other.index == activity.index:
                continue
            if at.finish <= placed.start:
                yield Link(pred=other.index, succ=activity.index)
            elif placed.finish <= at.start:
                yield Link(pred=activity.index, succ=other.index)
        for coat, (until, (pred, point)) in drying:
            if until <= placed.start and activity.index not in (coat.index, pred):
                yield Link(pred=pred, succ=activity.index, point=point)


AirUser = tuple[Activity, tuple[Stretch, ...], int]
"""Activity, its stretches without lingering, the point at which the last of them ends."""


def _airs(network: Network, standing: Standing) -> Iterable[Link]:
    site = Site(network)
    needers: dict[tuple[str, AirBorne], list[AirUser]] = defaultdict(list)
    makers: dict[tuple[str, AirBorne], list[AirUser]] = defaultdict(list)
    for activity, placed in standing:
        if activity.where is None:
            continue
        pieces = placed.pieces or ((placed.start, placed.finish),)
        touch = placed.finish
        if activity.coat is not None:
            touch = activity.coat.stage_end("touch", placed.finish)
        for need in sorted(activity.needs_air):
            key = (activity.where, BEARS_NOT[need])
            if need == "still" and activity.coat is not None:
                needers[key].append((activity, ((placed.start, touch),), POINT["touch"]))
            elif activity.state != "done":
                needers[key].append((activity, pieces, FINISH))
        for kind in sorted(activity.makes):
            makers[activity.where, kind].append((activity, pieces, FINISH))
        if activity.coat is not None and activity.coat.coating.fumes:
            makers[activity.where, "fumes"].append(
                (activity, ((placed.start, touch),), POINT["touch"])
            )
    for (space, kind), those in needers.items():
        reach = network.noises if kind == "noise" else network.shares
        felt = [
            (user, site.linger(kind, made, space))
            for made in sorted(reach.get(space, frozenset({space})))
            for user in makers.get((made, kind), ())
        ]
        many = len(felt) * len(those) > ALL_PAIRS
        needed = _Soonest(those if many else ())
        made = _Soonest([user for user, _ in felt] if many else ())
        for needer in those:
            for maker, linger in felt:
                if maker[0].index == needer[0].index:
                    continue
                if many and (
                    _implied(maker, needer, needed, made)
                    if maker[1][0] < needer[1][0]
                    else _implied(needer, maker, made, needed)
                ):
                    continue
                yield from _air_pair(needer, maker, linger)


class _Soonest:
    """Of stretches that begin at or after a moment, when the first of them is over."""

    __slots__ = ("ends", "starts")

    def __init__(self, users: Iterable[AirUser]) -> None:
        spans = sorted((pieces[0][0], pieces[-1][1]) for _, pieces, _ in users)
        self.starts = [start for start, _ in spans]
        self.ends = [end for _, end in spans]
        for at in range(len(spans) - 2, -1, -1):
            self.ends[at] = min(self.ends[at], self.ends[at + 1])

    def over(self, after: int) -> int:
        at = bisect_left(self.starts, after)
        return self.ends[at] if at < len(self.ends) else NEVER


def _implied(first: AirUser, second: AirUser, like_second: _Soonest, like_first: _Soonest) -> bool:
    """Whether one like the second and then one like the first stand between the two: their own
    links keep these two apart already."""
    return like_first.over(like_second.over(first[1][-1][1])) <= second[1][0][0]


def _air_pair(needer: AirUser, maker: AirUser, linger: int) -> Iterable[Link]:
    merged = sorted(
        [(start, end, needer, number, 0) for number, (start, end) in enumerate(needer[1])]
        + [(start, end, maker, number, linger) for number, (start, end) in enumerate(maker[1])],
        key=lambda piece: (piece[0], piece[1]),
    )
    for (_, _, pred, number, wait), (_, _, succ, session, _) in pairwise(merged):
        if pred is succ:
            continue
        point = pred[2] if number + 1 == len(pred[1]) else SESSION + number
        yield Link(pred=pred[0].index, succ=succ[0].index, point=point, least=wait, session=session)
