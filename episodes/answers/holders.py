"""Who stands in the way of a start: what holds a person, gear, a place or the air until when.

The plan keeps, of each start, what moved it on and to which moment. Here that moment is looked up
in what everything else of the plan holds, so that the reason has a name: whoever lets go of what is
wanted in that minute.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from episodes.answers.planning import Planning
from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import NEVER
from episodes.model.studio import BEARS_NOT, AirBorne, AirNeed
from episodes.network.activity import Activity
from episodes.schedule.plan import Placed


@dataclass(frozen=True, slots=True)
class Holder:
    """An activity that holds something over `[start, end)`, UTC minutes.

    Attributes:
        drying: its coat holds it, not its work.
        count: how much of it.
    """

    activity: Activity
    start: int
    end: int
    drying: bool = False
    count: int = 1


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two things that bear not the same air.

    Attributes:
        other: what is in the way.
        kind: what one of them makes.
        suffers: the one that waits is the one that cannot bear it; else the other is.
        lingers: minutes for which the air stays bad after the other's work.
        wet: it is a wet coat that cannot bear it, or that gives it off.
    """

    other: Activity
    kind: AirBorne
    need: AirNeed
    suffers: bool
    lingers: int = 0
    wet: bool = False


_NEED: dict[AirBorne, AirNeed] = {kind: need for need, kind in BEARS_NOT.items()}


class Holders:
    """What everything in a plan holds."""

    def __init__(self, planning: Planning) -> None:
        self.planning = planning
        self.network = planning.network
        self.placed = planning.plan.placed

    def of_person(self, person: str, since: int, until: int, but: int) -> list[Holder]:
        """Work of a person that ends at `until`, or else the last that ends before it.

        Args:
            since: what is over by then was not in the way.
            but: number of the activity that waits.
        """
        return self._letting_go(self._worked_by(person), since, until, but)

    def of_gear(self, gear: str, since: int, until: int, but: int) -> list[Holder]:
        """As `of_person`, of a kind of gear."""
        return self._letting_go(self._gear(gear), since, until, but)

    def of_space(self, space: str, since: int, until: int, but: int) -> list[Holder]:
        """As `of_person`, of the places of a space; what dries there holds one too."""
        return self._letting_go(self._places(space), since, until, but)

    def of_air(self, waits: Activity, since: int, until: int) -> list[Conflict]:
        """What shares no air with an activity that waits for it until a moment."""
        if waits.where is None:
            return []
        found = [*self._makes(waits, waits.where), *self._bears(waits, waits.where)]
        at = [each for each, end in found if end == until]
        return at or [each for each, end in found if since < end < until]

    def _letting_go(self, held: Iterable[Holder], since: int, until: int, but: int) -> list[Holder]:
        others = [each for each in held if each.activity.index != but and each.end > since]
        at = [each for each in others if each.end == until]
        if at:
            return at
        last = max((each.end for each in others if each.end < until), default=None)
        return [each for each in others if each.end == last]

    def _standing(self) -> Iterator[tuple[Activity, Placed]]:
        for activity in self.network.activities:
            placed = self.placed[activity.index]
            if placed is not None and activity.kind != "parcel":
                yield activity, placed

    def _worked_by(self, person: str) -> Iterator[Holder]:
        for activity, placed in self._standing():
            if activity.state != "done" and person in activity.choices[placed.choice].people:
                for start, end in placed.pieces:
                    yield Holder(activity, start, end)

    def _gear(self, gear: str) -> Iterator[Holder]:
        for activity, placed in self._standing():
            count = dict(activity.gear).get(gear, 0)
            if activity.state != "done" and count:
                yield Holder(activity, placed.start, placed.finish, count=count)

    def _places(self, space: str) -> Iterator[Holder]:
        for activity, placed in self._standing():
            if activity.where != space:
                continue
            if activity.state != "done" and activity.places:
                yield Holder(activity, placed.start, placed.finish, count=activity.places)
            if activity.coat is not None:
                end = self.dry_until(activity, placed)
                if end > placed.finish:
                    yield Holder(activity, placed.finish, end, drying=True)

    def dry_until(self, activity: Activity, placed: Placed) -> int:
        """Until when a drying coat holds its place: it can be handled, or its job goes on."""
        assert activity.coat is not None
        end = activity.coat.stage_end("handle", placed.finish)
        following = activity.next_in_job
        after = None if following is None else self.placed[following]
        if after is not None and placed.finish <= after.start < end:
            return after.start
        return placed.finish if end >= NEVER else end

    # -- air -----------------------------------------------------------------------------------

    def _makes(self, waits: Activity, where: str) -> Iterator[tuple[Conflict, int]]:
        """Others that make what it cannot bear, and until when the air is bad."""
        needs = {BEARS_NOT[need]: need for need in waits.needs_air}
        for other, placed in self._standing():
            if other.index == waits.index or other.where is None:
                continue
            for kind, wet in _made_by(other):
                if kind in needs and other.where in self._heard(kind, where):
                    linger = self._linger(kind, other.where, where)
                    for _, end in self._air_pieces(other, placed, wet):
                        yield Conflict(other, kind, needs[kind], True, linger, wet), end + linger

    def _bears(self, waits: Activity, where: str) -> Iterator[tuple[Conflict, int]]:
        """Others that cannot bear what it makes, and until when they need clean air."""
        for kind, _ in _made_by(waits):
            need = _NEED[kind]
            for other, placed in self._standing():
                if other.index == waits.index or other.where is None:
                    continue
                if need in other.needs_air and other.where in self._heard(kind, where):
                    wet = need == "still" and other.coat is not None
                    for _, end in self._air_pieces(other, placed, wet):
                        yield Conflict(other, kind, need, False, wet=wet), end

    def _heard(self, kind: AirBorne, where: str) -> frozenset[str]:
        reach = self.network.noises if kind == "noise" else self.network.shares
        return reach.get(where, frozenset({where}))

    def _linger(self, kind: AirBorne, made: str, felt: str) -> int:
        lingers = self.network.lingers
        return max(lingers.get(made, {}).get(kind, 0), lingers.get(felt, {}).get(kind, 0))

    @staticmethod
    def _air_pieces(activity: Activity, placed: Placed, wet: bool) -> tuple[Stretch, ...]:
        """When an activity makes or needs air: while it is worked, or until its coat is touch
        dry."""
        if wet and activity.coat is not None:
            return ((placed.start, activity.coat.stage_end("touch", placed.finish)),)
        if activity.state == "done":
            return ((min(placed.start, placed.finish - 1), placed.finish),)
        return placed.pieces


def _made_by(activity: Activity) -> list[tuple[AirBorne, bool]]:
    """What an activity makes, and whether its wet coat does."""
    found: list[tuple[AirBorne, bool]] = [(kind, False) for kind in sorted(activity.makes)]
    if activity.coat is not None and activity.coat.coating.fumes:
        found.append(("fumes", True))
    return found
