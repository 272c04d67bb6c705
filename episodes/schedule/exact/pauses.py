"""Which pauses of paused work are of use to anybody else.

A pause in which nobody could do anything that the work would have been in the way of may as well
be held: then all starts with the same elapsed length are alike, and the model is much smaller. Too
many pauses taken for useful only make it larger, never wrong.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from episodes.calendars.openings import Openings
from episodes.model.studio import BEARS_NOT, AirBorne
from episodes.network.activity import Activity, Network
from episodes.network.timing import Hands
from episodes.schedule.exact.pieces import Piece
from episodes.schedule.exact.shapes import open_inside
from episodes.schedule.occupation import Site


class Pauses:
    """Pauses of the members of one question."""

    def __init__(self, network: Network, site: Site, members: Iterable[int]) -> None:
        self.network = network
        self.site = site
        self.acts = [
            network.activities[i] for i in members if network.activities[i].kind != "parcel"
        ]
        self.makes = {a.index: _made(a) for a in self.acts}
        self.needs = {a.index: _needed(a) for a in self.acts}
        self.people = {
            a.index: frozenset(p for choice in a.choices for p in choice.people) for a in self.acts
        }
        self._unions: dict[frozenset[tuple[int, int]], Openings] = {}

    def useful_only(self, activity: Activity, pieces: Sequence[Piece]) -> list[Piece]:
        """The pieces with those of their pauses alone that are of use to somebody."""
        if not any(piece.gaps for piece in pieces):
            return list(pieces)
        hours = self._hours_of_others(activity)
        if hours is None:
            return list(pieces)
        return [
            replace(piece, gaps=tuple(gap for gap in piece.gaps if open_inside(hours, *gap)))
            if piece.gaps
            else piece
            for piece in pieces
        ]

    def _hours_of_others(self, activity: Activity) -> Openings | None:
        """When anything that this one stands in the way of could go on; None: at any time."""
        mine = self.people[activity.index]
        calendars: dict[tuple[int, int], Openings] = {}
        for other in self.acts:
            if other.index == activity.index:
                continue
            linger = self._air_between(activity, other)
            if linger < 0 and not mine & self.people[other.index]:
                continue
            for choice in other.choices:
                timing = choice.timing
                if isinstance(timing, Hands):
                    tail = max(linger, 0)
                    calendars[id(timing.openings), tail] = timing.openings
                elif linger >= 0:
                    return None
        key = frozenset(calendars)
        if key not in self._unions:
            self._unions[key] = Openings(
                (begin, end + tail)
                for (_, tail), openings in calendars.items()
                for begin, end in openings
            )
        return self._unions[key]

    def _air_between(self, one: Activity, two: Activity) -> int:
        """Minutes for which what one of them makes lingers where the other needs clean air;
        below 0 where neither minds the other."""
        longest = -1
        for maker, needer in ((one, two), (two, one)):
            if maker.where is None or needer.where is None:
                continue
            for kind in self.makes[maker.index] & self.needs[needer.index]:
                if needer.where in felt_in(self.network, kind, maker.where):
                    longest = max(longest, self.site.linger(kind, maker.where, needer.where))
        return longest


def felt_in(network: Network, kind: AirBorne, where: str) -> list[str]:
    """The spaces in which what is made in one is felt."""
    reach: Mapping[str, frozenset[str]] = network.noises if kind == "noise" else network.shares
    return sorted(reach.get(where, frozenset({where})))


def _made(activity: Activity) -> frozenset[AirBorne]:
    if activity.coat is not None and activity.coat.coating.fumes:
        return activity.makes | {"fumes"}
    return activity.makes


def _needed(activity: Activity) -> frozenset[AirBorne]:
    return frozenset(BEARS_NOT[need] for need in activity.needs_air)
