"""How much of the gear, and of the places that hold only so many, the plan takes each week."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Literal

from episodes.answers.planning import Planning
from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import NEVER

Held = tuple[int, int, int]
"""From, to (UTC minutes) and how many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekUse:
    """One week of some gear or place.

    Attributes:
        held_min: minutes held, each piece of gear or place counted.
        limit_min: minutes there are of all of them, by the clock: gear is held over the night.
        most: how many are held at once at the busiest moment.
    """

    start: int
    end: int
    held_min: int
    limit_min: int
    most: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Occupied:
    """A piece of gear or a place with its limit, week by week."""

    kind: Literal["gear", "space"]
    id: str
    title: str
    limit: int
    weeks: tuple[WeekUse, ...]


def occupied(planning: Planning, stretches: Sequence[Stretch]) -> tuple[Occupied, ...]:
    """Gear in the studio's order, then the places that hold only so many."""
    studio = planning.season.studio
    held = _held(planning)
    limits: list[tuple[Literal["gear", "space"], str, str, int]] = [
        ("gear", gear.id, gear.title, gear.count) for gear in studio.gear
    ]
    limits += [
        ("space", space.id, space.title, space.holds)
        for space in studio.spaces
        if space.holds is not None
    ]
    return tuple(
        Occupied(
            kind=kind,
            id=id,
            title=title,
            limit=limit,
            weeks=tuple(_week(held.get((kind, id), []), limit, *each) for each in stretches),
        )
        for kind, id, title, limit in limits
    )


def _held(planning: Planning) -> dict[tuple[str, str], list[Held]]:
    """What the plan holds when: gear and places from start to finish, a coat's place while it
    dries."""
    network, placed = planning.network, planning.plan.placed
    found: dict[tuple[str, str], list[Held]] = {}
    for activity in network.activities:
        at = placed[activity.index]
        if at is None or activity.kind == "parcel":
            continue
        if activity.state != "done":
            for gear, count in activity.gear:
                found.setdefault(("gear", gear), []).append((at.start, at.finish, count))
            if activity.where is not None and activity.places:
                places = min(activity.places, network.places_of.get(activity.where) or 1)
                held = found.setdefault(("space", activity.where), [])
                held.append((at.start, at.finish, places))
        if activity.where is not None and activity.coat is not None:
            until = activity.coat.stage_end("handle", at.finish)
            following = activity.next_in_job
            after = None if following is None else placed[following]
            if after is not None and at.finish <= after.start < until:
                until = after.start
            if at.finish < until < NEVER:
                held = found.setdefault(("space", activity.where), [])
                held.append((at.finish, until, 1))
    return found


def _week(held: Sequence[Held], limit: int, start: int, end: int) -> WeekUse:
    inside = [(max(a, start), min(b, end), n) for a, b, n in held if a < end and b > start]
    changes = sorted([(a, n) for a, _, n in inside] + [(b, -n) for _, b, n in inside])
    # What ends in a minute is free for what begins in it: at one moment ends sort first.
    levels = accumulate(change for _, change in changes)
    return WeekUse(
        start=start,
        end=end,
        held_min=sum((b - a) * n for a, b, n in inside),
        limit_min=limit * (end - start),
        most=max(levels, default=0),
    )
