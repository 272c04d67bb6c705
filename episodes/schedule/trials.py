"""Other arrivals tried on one episode, all nearer rooms fixed as the plan has them.

Only the episode's own group is generated anew, once or twice a trial, so many arrivals can be
tried where a whole plan each would take too long. Farther rooms make way, as everywhere.
"""

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import Network
from episodes.network.dates import Dates, over
from episodes.network.parcels import with_arrival
from episodes.network.scope import REQUIRED
from episodes.schedule.generate import Generator
from episodes.schedule.plan import Plan
from episodes.schedule.priorities import Key


class ArrivalTrials:
    """Whether an episode still meets its release with one of its parcels at another moment."""

    def __init__(self, plan: Plan, dates: Dates, episode: str) -> None:
        self.plan = plan
        self.dates = dates
        network = plan.network
        scope = network.scope(episode)
        self.scope = scope
        self.rank = (REQUIRED, scope.order)
        self.generator = Generator(network, dates.hopeless)
        earlier = [
            a.index
            for a in network.activities
            if self.generator.to_place(a.index) and a.rank < self.rank
        ]
        self.generator.restore(earlier, [plan.placed[i] for i in earlier])
        self.members = [
            i
            for i in network.order
            if self.generator.to_place(i) and network.activities[i].rank == self.rank
        ]
        self.before = self.generator.site.snapshot()
        self.sequencer = self.generator.sequencer(self.members)
        self.count = 0
        """Schedules generated so far."""

    def meets(self, index: int, arrival: int, *, orders: int = 2) -> bool:
        """Whether some schedule of the group is ready by its release with the parcel then.

        Args:
            orders: 1 to try the plan's own order alone, 2 to try another after it.
        """
        network = with_arrival(self.plan.network, index, arrival)
        activity = network.activities[index]
        self.generator.swap(network.activities)
        fixed = activity.state == "started"
        try:
            for key in (self._as_planned(), self._by_late_start())[:orders]:
                self._clear()
                if fixed:
                    self.generator.move_begun(activity)
                self.count += 1
                listed = self.sequencer.by_key(key)
                if self.generator.generate(listed) and self._ready() <= self.scope.release:
                    return True
            return False
        finally:
            self._clear()
            self.generator.swap(self.plan.network.activities)
            if fixed:
                self.generator.move_begun(self.plan.network.activities[index])

    def _clear(self) -> None:
        self.generator.clear(self.members, self.before)

    def _ready(self) -> int:
        network: Network = self.plan.network
        latest = LONG_AGO
        for i in self.scope.required:
            spot = self.generator.spots[i]
            if spot is None:
                return NEVER
            latest = max(latest, over(network, i, spot[1]))
        return latest

    def _as_planned(self) -> Key:
        placed = self.plan.placed

        def key(i: int) -> tuple[int, ...]:
            at = placed[i]
            return (NEVER if at is None else at.start, i)

        return key

    def _by_late_start(self) -> Key:
        dates = self.dates

        def key(i: int) -> tuple[int, ...]:
            return (dates.late_start[i], dates.late_finish[i], i)

        return key
