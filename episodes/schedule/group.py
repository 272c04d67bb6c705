"""One group of activities, all nearer groups fixed: orders tried, the best schedule kept."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import Network
from episodes.network.dates import Dates, over
from episodes.schedule.generate import Generator
from episodes.schedule.justify import Justifier
from episodes.schedule.priorities import Key
from episodes.schedule.starts import Spot

MOST_TIGHTENINGS = 4
"""Times a finished schedule is generated again in the order of its own starts."""

NO_CHOICES: Mapping[int, int] = {}


@dataclass(frozen=True, slots=True)
class Effort:
    """How many schedules a group may cost.

    Attributes:
        meets: for an episode that meets its release already.
        slips: for one that does not, and is not proved to slip.
        proved: for one whose dates alone prove that it slips.
        patience: schedules without a better one after which the search ends.
        patience_slips: the same where whether it slips is still open.
        stop: asked between schedules; once it says yes the best so far stands.
    """

    meets: int = 16
    slips: int = 160
    proved: int = 24
    patience: int = 8
    patience_slips: int = 48
    stop: Callable[[], bool] | None = None


Score = tuple[int, int, int]
"""Members without a place, the ready moment, the sum of finishes: smaller is better."""


@dataclass(frozen=True, slots=True)
class Schedule:
    """One way to place a group's members.

    Attributes:
        score: see `Score`.
        spots: by member, in the group's order.
        listed: the order that gave it.
        forced, delayed: the choices of people and least starts that gave it.
    """

    score: Score
    spots: tuple[Spot | None, ...]
    listed: tuple[int, ...]
    forced: Mapping[int, int] = field(default_factory=dict)
    delayed: Mapping[int, int] = field(default_factory=dict)

    @property
    def unplaced(self) -> int:
        return self.score[0]

    @property
    def ready(self) -> int:
        return self.score[1]


class Group:
    """Generates and compares schedules of one group; the generator is at its beginning.

    Attributes:
        members: its activities, predecessors first.
        floor: no schedule of its episode is ready sooner.
        best: the best schedule so far; None before the first.
        tried: schedules generated so far, pushed ones counted in.
    """

    def __init__(
        self,
        network: Network,
        dates: Dates,
        generator: Generator,
        rank: tuple[int, int],
        members: Sequence[int],
    ) -> None:
        self.network = network
        self.dates = dates
        self.generator = generator
        self.members = list(members)
        self.kind, self.episode_at = rank
        self.scope = network.episodes[self.episode_at]
        self.release = self.scope.release
        self.floor = max(
            (over(network, i, dates.early_finish[i]) for i in self.scope.required),
            default=LONG_AGO,
        )
        self.sequencer = generator.sequencer(self.members)
        self.begin = generator.site.snapshot()
        inside = set(self.members)
        self.watched = [i for i in self.scope.required if i in inside]
        self.coated = [i for i in self.watched if i in network.dries]
        self.fixed = max(
            (
                over(network, i, generator.finishes[i])
                for i in self.scope.required
                if i not in inside and generator.spots[i] is not None
            ),
            default=LONG_AGO,
        )
        self.best: Schedule | None = None
        self.tried = 0
        self._justifier: Justifier | None = None

    # -- schedules -----------------------------------------------------------------------------

    def try_key(self, key: Key, forced: Mapping[int, int] = NO_CHOICES) -> bool:
        """Generate the schedule of a key; whether it is the best so far."""
        return self.try_list(self.sequencer.by_key(key), forced)

    def try_list(
        self,
        listed: Sequence[int],
        forced: Mapping[int, int] = NO_CHOICES,
        delayed: Mapping[int, int] = NO_CHOICES,
        *,
        explain: bool = False,
    ) -> bool:
        """Generate the schedule of a list; whether it is the best so far."""
        return self.keep(self.schedule(listed, forced, delayed, explain=explain))

    def keep(self, schedule: Schedule) -> bool:
        """Remember a schedule if it is the best so far; whether it is."""
        if self.best is not None and schedule.score >= self.best.score:
            return False
        self.best = schedule
        return True

    def schedule(
        self,
        listed: Sequence[int],
        forced: Mapping[int, int] = NO_CHOICES,
        delayed: Mapping[int, int] = NO_CHOICES,
        *,
        explain: bool = False,
    ) -> Schedule:
        """Generate the schedule of a list; the generator is left where the group begins."""
        generator = self.generator
        generator.generate(listed, forced, delayed, explain=explain)
        self.tried += 1
        spots = generator.spots
        made = Schedule(
            self._score(), tuple([spots[i] for i in self.members]), tuple(listed), forced, delayed
        )
        generator.clear(self.members, self.begin)
        return made

    def _score(self) -> Score:
        finishes, spots = self.generator.finishes, self.generator.spots
        unplaced = total = 0
        for i in self.members:
            if spots[i] is None:
                unplaced += 1
            else:
                total += finishes[i]
        ready = self.fixed
        for i in self.watched:
            finish = finishes[i]
            if ready < finish < NEVER:
                ready = finish
        for i in self.coated:
            if finishes[i] < NEVER:
                ready = max(ready, over(self.network, i, finishes[i]))
        return unplaced, ready, total

    def pushed(self, schedule: Schedule) -> list[int]:
        """The order of a schedule pushed against its own ready moment; counts as one tried."""
        spots = {
            i: spot
            for i, spot in zip(self.members, schedule.spots, strict=True)
            if spot is not None
        }
        order = sorted(spots, key=lambda i: (spots[i][1], spots[i][0], i))
        return self.from_behind(order, schedule.ready, self.choices(schedule), spots)

    def from_behind(
        self,
        order: Sequence[int],
        ready: int,
        choices: Mapping[int, int],
        least: Mapping[int, Spot] | None = None,
    ) -> list[int]:
        """The list of latest starts, placed from the end of an order; counts as one tried."""
        if self._justifier is None:
            self._justifier = Justifier(self.generator, self.members)
        self.tried += 1
        caps = {}
        for i in self.coated:
            coat = self.network.activities[i].coat
            assert coat is not None
            caps[i] = coat.latest_finish(self.network.dries[i].release_stage, ready)
        late = self._justifier.latest_starts(order, ready, caps, choices, least)
        if len(late) < len(self.members):
            listed = set(late)
            late.extend(i for i in self.members if i not in listed)
        return self.sequencer.by_rank(late)

    def choices(self, schedule: Schedule) -> dict[int, int]:
        """Who does what in a schedule, where there is a choice."""
        return {
            i: spot[2]
            for i, spot in zip(self.members, schedule.spots, strict=True)
            if spot is not None and len(self.generator.tasks[i].choices) > 1
        }

    # -- the end -------------------------------------------------------------------------------

    def finish(self, *, tighten: bool = True) -> None:
        """Leave the generator at the best schedule, every start as early as its order allows."""
        assert self.best is not None
        best = self.best
        for _ in range(MOST_TIGHTENINGS if tighten else 0):
            again = self.schedule(self._in_own_order(best), self.choices(best), best.delayed)
            if not self.keep(again):
                break
            best = again
        # The same once more, this time with what moved each start.
        self.generator.generate(best.listed, best.forced, best.delayed, explain=True)

    def _in_own_order(self, schedule: Schedule) -> list[int]:
        starts = {
            i: spot[0]
            for i, spot in zip(self.members, schedule.spots, strict=True)
            if spot is not None
        }

        def key(i: int) -> tuple[int, ...]:
            return (starts.get(i, NEVER), i)

        return self.sequencer.by_key(key)
