"""What an activity takes from people, gear, places and air if it starts at a given moment.

One `Demand` says it for one activity and one choice of people, whatever the start; `Site` holds
what is taken so far and answers the first clash. The same site serves the planner's forward and
backward placing.
"""

from dataclasses import dataclass
from typing import Literal

from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import NEVER
from episodes.model.studio import BEARS_NOT, AirBorne
from episodes.network.activity import ALL_PLACES, Activity, Network
from episodes.schedule.resources import Level, Log, Stretches, Taken

Holder = Literal["person", "gear", "space", "air"]


@dataclass(frozen=True, slots=True)
class Clash:
    """What stands in the way: of which kind, its id, and over which stretch."""

    kind: Holder
    id: str | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Occupation:
    """An activity placed: its worked pieces and what hangs on them.

    Attributes:
        touch: until when its wet coat needs still air (its finish where it has none).
        handle: until when its drying coat holds a place (its finish where it has none).
    """

    start: int
    finish: int
    pieces: tuple[Stretch, ...]
    touch: int
    handle: int


class Site:
    """People, gear, places and air of a season, and what is taken of them so far."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.log = Log()
        studio = network.season.studio
        self.people = {person.id: Taken() for person in studio.people}
        self.gear = {name: Level(count) for name, count in network.gear_of.items()}
        # A space without a limit still knows who asked to be alone in it.
        self.spaces = {
            space: Level(ALL_PLACES if holds is None else holds)
            for space, holds in network.places_of.items()
        }
        self.bad: dict[tuple[str, AirBorne], Stretches] = {}
        self.needed: dict[tuple[str, AirBorne], Stretches] = {}
        self.holds: dict[int, Stretch] = {}
        """Places held by drying coats, by number of the coat."""

    def occupation(self, activity: Activity, choice: int, start: int) -> Occupation:
        timing = activity.choices[choice].timing
        finish = timing.end(start)
        pieces = timing.pieces(start) if activity.kind != "parcel" else ()
        touch = handle = finish
        if activity.coat is not None:
            touch = activity.coat.stage_end("touch", finish)
            handle = activity.coat.stage_end("handle", finish)
        return Occupation(start, finish, pieces, touch, handle)

    # -- looking -------------------------------------------------------------------------------

    def clash(self, activity: Activity, choice: int, at: Occupation) -> Clash | None:
        """The first thing in the way of an activity at this occupation, or None."""
        if activity.kind == "parcel":
            return None
        for person in activity.choices[choice].people:
            taken = self.people[person]
            for start, end in at.pieces:
                hit = taken.clash(start, end)
                if hit is not None:
                    return Clash("person", person, *hit)
        for name, count in activity.gear:
            hit = self.gear[name].clash(at.start, at.finish, count)
            if hit is not None:
                return Clash("gear", name, *hit)
        if activity.where is not None:
            hit = self._clash_space(activity, at)
            if hit is not None:
                return Clash("space", activity.where, *hit)
            hit = self._clash_air(activity, at)
            if hit is not None:
                return Clash("air", activity.where, *hit)
        return None

    def _clash_space(self, activity: Activity, at: Occupation) -> Stretch | None:
        assert activity.where is not None
        level = self.spaces[activity.where]
        if activity.places:
            amount = min(activity.places, level.limit)
            hit = level.clash(at.start, at.finish, amount)
            if hit is not None:
                return hit
        if activity.coat is not None and at.handle > at.finish:
            return level.clash(at.finish, at.handle, 1)
        return None

    def _clash_air(self, activity: Activity, at: Occupation) -> Stretch | None:
        assert activity.where is not None
        for kind, stretches in self._needs(activity, at):
            bad = self.bad.get((activity.where, kind))
            if bad is not None:
                for start, end in stretches:
                    hit = bad.clash(start, end)
                    if hit is not None:
                        return hit
        for kind, stretches in self._makes(activity, at):
            for space in self._felt(kind, activity.where):
                needed = self.needed.get((space, kind))
                if needed is None:
                    continue
                linger = self.linger(kind, activity.where, space)
                for start, end in stretches:
                    hit = needed.clash(start, end + linger)
                    if hit is not None:
                        return hit
        return None

    def linger(self, kind: AirBorne, made: str, felt: str) -> int:
        """Minutes for which the air of `felt` stays bad after `kind` was made in `made`.

        The longer of the two spaces' own times: dust that came through a door takes as long to
        settle as it does where it was made.
        """
        lingers = self.network.lingers
        return max(lingers.get(made, {}).get(kind, 0), lingers.get(felt, {}).get(kind, 0))

    def _felt(self, kind: AirBorne, where: str) -> frozenset[str]:
        reach = self.network.noises if kind == "noise" else self.network.shares
        return reach.get(where, frozenset({where}))

    @staticmethod
    def _needs(activity: Activity, at: Occupation) -> list[tuple[AirBorne, tuple[Stretch, ...]]]:
        needs: list[tuple[AirBorne, tuple[Stretch, ...]]] = []
        for need in sorted(activity.needs_air):
            kind = BEARS_NOT[need]
            if need == "still" and activity.coat is not None:
                needs.append((kind, ((at.start, at.touch),)))
            else:
                needs.append((kind, at.pieces))
        return needs

    @staticmethod
    def _makes(activity: Activity, at: Occupation) -> list[tuple[AirBorne, tuple[Stretch, ...]]]:
        makes: list[tuple[AirBorne, tuple[Stretch, ...]]] = [
            (kind, at.pieces) for kind in sorted(activity.makes)
        ]
        if activity.coat is not None and activity.coat.coating.fumes:
            makes.append(("fumes", ((at.start, at.touch),)))
        return makes

    # -- taking --------------------------------------------------------------------------------

    def take(self, activity: Activity, choice: int, at: Occupation) -> None:
        """Take all that an activity needs at this occupation."""
        log = self.log.steps
        for person in activity.choices[choice].people:
            taken = self.people[person]
            for piece in at.pieces:
                taken.add(*piece)
                log.append((taken.remove, piece))
        if activity.kind == "parcel":
            return
        for name, count in activity.gear:
            self._level(self.gear[name], at.start, at.finish, count)
        if activity.where is None:
            return
        level = self.spaces[activity.where]
        if activity.places:
            self._level(level, at.start, at.finish, min(activity.places, level.limit))
        if activity.coat is not None and at.handle > at.finish and at.handle < NEVER:
            self.hold(activity, (at.finish, at.handle))
        for kind, stretches in self._needs(activity, at):
            needed = self.needed.setdefault((activity.where, kind), Stretches())
            for piece in stretches:
                needed.add(*piece)
                log.append((needed.remove, piece))
        for kind, stretches in self._makes(activity, at):
            for space in self._felt(kind, activity.where):
                bad = self.bad.setdefault((space, kind), Stretches())
                linger = self.linger(kind, activity.where, space)
                for start, end in stretches:
                    bad.add(start, end + linger)
                    log.append((bad.remove, (start, end + linger)))

    def take_fact(self, activity: Activity, at: Occupation, now: int) -> None:
        """Take what something done still holds from `now` on: a drying place, wet air, dust."""
        if activity.where is None:
            return
        if activity.coat is not None and now < at.handle < NEVER:
            self.hold(activity, (at.finish, at.handle))
        if activity.coat is not None and at.touch > now:
            needed = self.needed.setdefault((activity.where, "dust"), Stretches())
            needed.add(at.start, at.touch)
        for kind, stretches in self._makes(activity, at):
            for space in self._felt(kind, activity.where):
                linger = self.linger(kind, activity.where, space)
                for start, end in stretches:
                    if end + linger > now:
                        bad = self.bad.setdefault((space, kind), Stretches())
                        bad.add(start, end + linger)

    def hold(self, activity: Activity, stretch: Stretch) -> None:
        """Hold a place for a drying coat over a stretch (empty: none), instead of any before."""
        assert activity.where is not None
        self.release_hold(activity)
        start, end = stretch
        if start < end:
            self._level(self.spaces[activity.where], start, end, 1)
        index = activity.index
        self.holds[index] = stretch
        self.log.steps.append((self._forget_hold, (index,)))

    def release_hold(self, activity: Activity) -> None:
        """Give up the place a drying coat holds."""
        assert activity.where is not None
        stretch = self.holds.get(activity.index)
        if stretch is None:
            return
        start, end = stretch
        if start < end:
            self._level(self.spaces[activity.where], start, end, -1)
        del self.holds[activity.index]
        self.log.steps.append((self._put_hold_back, (activity.index, start, end)))

    def _level(self, level: Level, start: int, end: int, amount: int) -> None:
        level.add(start, end, amount)
        self.log.steps.append((level.add, (start, end, -amount)))

    def _forget_hold(self, index: int) -> None:
        del self.holds[index]

    def _put_hold_back(self, index: int, start: int, end: int) -> None:
        self.holds[index] = (start, end)
