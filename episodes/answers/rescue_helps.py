"""Which ways can only help: whatever they are taken with, no plan is lost by them.

What was learned of a set that fails holds for its parts only where that is so. It is told from the
networks: every plan without the way must be one with it, or become one by work that ends sooner
or starts later in the stretch it had. Where that is in doubt the answer is no; it costs time, never
truth.
"""

from collections.abc import Iterable, Sequence

from episodes.calendars.openings import Openings
from episodes.calendars.working_time import NEVER
from episodes.model.episode import Fallback
from episodes.network.activity import FINISH, START, Activity, Link, Network
from episodes.network.timing import Delivery, Expected, Hands, Wait
from episodes.trade.products import STAGES

Key = tuple[str, str]
MOST_STEPS = 2_000
"""Moments at which two ways of coming are compared before they count as incomparable."""


def may_hurt(way: Fallback) -> bool:
    """Whether the kind of change alone can make things later: no look at networks needed."""
    return bool(way.coat or way.air or way.where or way.who or way.use)


def relaxes(before: Network, after: Network) -> bool:
    """Whether every plan of `before` is, by its parts that are left, one of `after`.

    Told of parcels ordered anew, shorter hands-on work and things left out.
    """
    for activity in after.activities:
        if activity.key not in before.index:
            return False
        if not _relaxed(before, after, before.activities[before.index[activity.key]], activity):
            return False
    for index, row in after.dries.items():
        was = before.dries.get(before.index[after.activities[index].key])
        if was is None or STAGES.index(row.release_stage) > STAGES.index(was.release_stage):
            return False
    known = {_named(before, link) for link in before.links}
    return all(
        _named(after, link) in known or _implied(before, after, link) for link in after.links
    )


def more_hours_only_help(network: Network, person: str, added: Openings) -> bool:
    """Whether further hours of a person leave every plan a plan.

    Work that pauses at a closing goes on in every open minute: with further hours it may take its
    other people, its dust and noise to where they were not. So they only help where all such work
    is this person's alone, disturbs nobody, and pauses by the same hours.
    """
    pausing: list[Openings] = []
    for activity in network.activities:
        for choice in activity.choices:
            timing = choice.timing
            if person not in choice.people or activity.state == "done":
                continue
            assert isinstance(timing, Hands)
            if timing.one_go or timing.work == 0:
                continue
            if choice.people != (person,) or activity.makes or activity.needs_air:
                return False
            if any(link.most is not None for link in network.outgoing[activity.index]):
                return False
            if any(link.session for link in network.incoming[activity.index]):
                return False
            pausing.append(timing.openings)
    return bool(added) and all(openings == pausing[0] for openings in pausing)


# -- activities --------------------------------------------------------------------------------


def _relaxed(before: Network, after: Network, was: Activity, now: Activity) -> bool:
    same = (
        was.kind == now.kind
        and was.state == now.state
        and was.at == now.at
        and was.fact_start == now.fact_start
        and was.fact_finish == now.fact_finish
        and was.where == now.where
        and was.optional == now.optional
        and len(was.choices) == len(now.choices)
    )
    if was.kind == "parcel":
        # A new order takes the place of one that was placed: another state, other facts.
        same = was.optional == now.optional and was.at is None and now.at is None
        same = same and was.state != "done" and now.state != "done"
    if not same or (now.required and not was.required):
        return False
    if now.latest_finish < was.latest_finish or now.places > was.places:
        return False
    had = dict(was.gear)
    if any(had.get(name, 0) < count for name, count in now.gear):
        return False
    if not (now.makes <= was.makes and now.needs_air <= was.needs_air):
        return False
    if (was.coat is None) != (now.coat is None):
        return False
    if was.coat is not None and now.coat is not None:
        if was.coat.coating != now.coat.coating:
            return False
        if _next(before, was) != _next(after, now):
            return False  # the place is held until the job's next step
    if was.kind == "parcel":
        return _comes_sooner(before, after, was, now)
    if now.earliest > was.earliest:
        return False
    return all(
        one.people == other.people and _timing_relaxed(before, was, one.timing, other.timing)
        for one, other in zip(was.choices, now.choices, strict=True)
    )


def _next(network: Network, activity: Activity) -> Key | None:
    following = activity.next_in_job
    return None if following is None else network.activities[following].key


def _timing_relaxed(before: Network, activity: Activity, was: object, now: object) -> bool:
    if isinstance(was, Wait) and isinstance(now, Wait):
        return was.work == now.work
    if not (isinstance(was, Hands) and isinstance(now, Hands)):
        return False
    if was.one_go != now.one_go or was.openings != now.openings:
        return False
    if (was.gate is None) != (now.gate is None) or now.work > was.work:
        return False
    if now.work == was.work:
        return True
    # Shorter work takes the last part of its stretch; what counts from its start as a lower bound
    # would come later, and so would a start that is fixed. Else it takes the first part, and what
    # has to follow soon after its finish would come too late.
    links = before.outgoing[activity.index]
    late = not any(START in (link.point, link.or_point) for link in links)
    late = late and activity.state == "open" and activity.at is None
    early = all(link.most is None for link in links) and activity.coat is None
    return late or early


def _comes_sooner(before: Network, after: Network, was: Activity, now: Activity) -> bool:
    """Whether the parcel is usable no later than before, whenever it would have been ordered."""
    index = was.index
    if any(link.most is not None for link in before.outgoing[index]):
        return False  # what must be used soon after it comes is no better off for coming sooner
    old, new = was.choices[0].timing, now.choices[0].timing
    assert isinstance(old, (Delivery, Expected))
    assert isinstance(new, (Delivery, Expected))
    if new.settle > old.settle:
        return False
    release = max(scope.release for scope in before.episodes)
    if isinstance(old, Expected):
        if isinstance(new, Expected):
            return new.arrival_at <= old.arrival_at
        # What was on its way needs no order; a new one may have to wait for what comes first.
        return not after.incoming[now.index] and new.arrival(now.earliest) <= old.arrival_at
    if isinstance(new, Expected):
        return False
    t = max(was.earliest, now.earliest)
    if now.earliest > was.earliest:
        return False
    for _ in range(MOST_STEPS):
        if t > release:
            return True
        # Each arrival is a flight of steps in the moment of the order: between two edges the
        # last minute is the worst for an elapsed lead, and any for working days.
        edges = [
            timing.end_by(timing.end(t)) for timing in (old, new) if timing.carrier is not None
        ]
        last = min(edges, default=release)
        if last < t or last >= NEVER:
            last = t
        if new.end(t) > old.end(t) or new.end(last) > old.end(last):
            return False
        t = last + 1
    return False


# -- links -------------------------------------------------------------------------------------


def _named(network: Network, link: Link) -> tuple[object, ...]:
    return (
        network.activities[link.pred].key,
        network.activities[link.succ].key,
        link.point,
        link.to_finish,
        link.least,
        link.most,
        link.or_point,
        link.or_gap,
        link.void_after,
        link.session,
    )


def _implied(before: Network, after: Network, link: Link) -> bool:
    """Whether a link past what was left out says no more than the links through it did."""
    if link.most is not None or link.to_finish or link.session:
        return False
    start = before.index[after.activities[link.pred].key]
    goal = before.index[after.activities[link.succ].key]
    best: dict[int, int] = {}
    open_ends = [
        (each.succ, each.least)
        for each in _lower_bounds(before.outgoing[start])
        if each.point == link.point or (link.point == FINISH and each.point > FINISH)
    ]
    while open_ends:
        at, least = open_ends.pop()
        if at == goal:
            if least >= link.least:
                return True
            continue
        if before.activities[at].key in after.index or best.get(at, -1) >= least:
            continue
        best[at] = least
        open_ends += [
            (each.succ, least + each.least) for each in _lower_bounds(before.outgoing[at])
        ]
    return False


def _lower_bounds(links: Sequence[Link]) -> Iterable[Link]:
    """Links that hold a start back; those with a second side hold it back only on that side."""
    return (link for link in links if link.most is None and not link.to_finish and not link.session)
