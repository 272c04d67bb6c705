"""What is asked of the exact search: who takes part, what stands, by when rooms must be ready.

Everything here is worked out before any solver is imported; a question whose windows are empty is
answered by them alone.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from episodes.calendars.local_time import zone
from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import Activity, Network
from episodes.network.backward import BackwardPass
from episodes.network.dates import first_pass
from episodes.network.parcels import with_arrival
from episodes.network.scope import REQUIRED
from episodes.network.timing import Delivery, Expected
from episodes.schedule.generate import Generator
from episodes.schedule.plan import Plan
from episodes.schedule.starts import Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A search to be made.

    Attributes:
        caps: by episode, the moment by which all its release waits for must be over.
        members: activities to place, predecessors first.
        spots: where what is done or has begun stands, by number.
        early, late: (start, finish) bounds of members.
        soonest: the episode to be ready as early as can be; None for none.
        latest: the parcel whose arrival is to be as late as can be; None for none.
        arrivals: with `latest`, the least and the greatest arrival looked at.
        floor: the answer is known to be no less (`soonest`).
    """

    network: Network
    caps: Mapping[str, int]
    members: tuple[int, ...]
    spots: Mapping[int, Spot]
    early: Mapping[int, Stretch]
    late: Mapping[int, Stretch]
    soonest: str | None = None
    latest: int | None = None
    arrivals: Stretch = (LONG_AGO, NEVER)
    floor: int = LONG_AGO

    @property
    def empty(self) -> bool:
        """Whether the windows alone leave no room: proof that there is no such plan."""
        return any(
            self.early[i][0] > self.late[i][0] or self.early[i][1] > self.late[i][1]
            for i in self.members
        )


class Ground:
    """A plan's network as questions see it: the facts placed once, as the planner places them.

    Attributes:
        sound: everything that has begun found its place; without that nothing is asked.
    """

    def __init__(self, plan: Plan, hopeless: Collection[int]) -> None:
        self.plan = plan
        self.network = plan.network
        self.generator = Generator(plan.network, hopeless)
        self.spots: dict[int, Spot] = {
            index: spot for index, spot in enumerate(self.generator.spots) if spot is not None
        }
        self.sound = all(
            a.index in self.spots or self.generator.to_place(a.index)
            for a in plan.network.activities
        )

    def members(self, episodes: Collection[str]) -> tuple[int, ...]:
        """What must be placed for these episodes to be out: all that is required, what stands
        with it in the plan by a last moment of its own, and all before either."""
        network = self.network
        orders = {network.scope(episode).order for episode in episodes}
        ends = [i for episode in episodes for i in network.scope(episode).required]
        ends += [
            a.index
            for a in network.activities
            if a.rank[0] == REQUIRED and a.rank[1] in orders and self.plan.placed[a.index]
        ]
        found: set[int] = set()
        while ends:
            index = ends.pop()
            if index in found or not self.generator.to_place(index):
                continue
            found.add(index)
            ends.extend(link.pred for link in network.incoming[index])
        return tuple(i for i in network.order if i in found)

    def question(
        self,
        caps: Mapping[str, int],
        *,
        soonest: str | None = None,
        latest: int | None = None,
        arrivals: Stretch = (LONG_AGO, NEVER),
        floor: int = LONG_AGO,
        members: Iterable[int] | None = None,
    ) -> Question:
        """The question of the episodes in `caps`, each out by its moment.

        Args:
            latest: a parcel whose arrival is free between `arrivals`; all others come as planned.
        """
        network = passed = self.network
        placed = tuple(self.members(caps) if members is None else members)
        spots = dict(self.spots)
        kept: dict[int, int] = {}
        if latest is not None:
            spots.pop(latest, None)
            if latest not in placed:
                placed = (latest, *placed)
            network = with_arrival(network, latest, arrivals[0])
            kept = self._as_planned(placed, latest)
            passed = network
            for index, finish in kept.items():
                passed = with_arrival(passed, index, finish - _settle(network.activities[index]))
        forward = first_pass(passed, {})
        backward = BackwardPass(passed, {}, until=caps)
        early = {i: (forward.starts[i], forward.finishes[i]) for i in placed}
        late = {i: (backward.starts[i], backward.finishes[i]) for i in placed}
        for index, finish in kept.items():
            late[index] = (late[index][0], min(late[index][1], finish))
        if latest is not None:
            settle = _settle(network.activities[latest])
            if network.activities[latest].state == "started":
                early[latest] = (LONG_AGO, arrivals[0] + settle)
                late[latest] = (NEVER, late[latest][1])
            late[latest] = (
                min(late[latest][0], arrivals[1]),
                min(late[latest][1], arrivals[1] + settle),
            )
        return Question(
            network=network,
            caps=dict(caps),
            members=placed,
            spots=spots,
            early=early,
            late=late,
            soonest=soonest,
            latest=latest,
            arrivals=arrivals,
            floor=floor,
        )

    def _as_planned(self, members: Iterable[int], latest: int) -> dict[int, int]:
        """The planned finishes of the open parcels that do not move."""
        found: dict[int, int] = {}
        for index in members:
            at = self.plan.placed[index]
            if self.network.activities[index].kind == "parcel" and index != latest and at:
                found[index] = at.finish
        return found

    def changes(self) -> list[int]:
        """Moments at which the air of a space may change: where local months begin."""
        return month_starts(self.network)


def month_starts(network: Network) -> list[int]:
    """Where local months begin within the calendar."""
    local = zone(network.season.studio.zone)
    day = local.day(network.start).replace(day=1)
    found: list[int] = []
    while True:
        day = date(day.year + day.month // 12, day.month % 12 + 1, 1)
        moment = local.utc(day, 0)
        if moment >= network.end:
            return found
        found.append(moment)


def _settle(activity: Activity) -> int:
    timing = activity.choices[0].timing
    assert isinstance(timing, (Delivery, Expected))
    return timing.settle
