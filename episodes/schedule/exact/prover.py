"""The exact search as the answers ask for it: verdicts, earliest ready moments, last arrivals.

Nearest room first; every plan found is checked by the engine's rules before it is believed. One
that does not pass is passed over, and what it would have decided stays open.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache

from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.dates import Dates, over
from episodes.network.parcels import with_arrival
from episodes.network.timing import Expected
from episodes.schedule.exact.adopt import adopt
from episodes.schedule.exact.outcome import Outcome
from episodes.schedule.exact.patience import Patience
from episodes.schedule.exact.question import Ground, Question
from episodes.schedule.exact.rules import broken_rule
from episodes.schedule.group import Effort
from episodes.schedule.plan import Plan
from episodes.schedule.starts import Spot


@cache
def available() -> bool:
    """Whether OR-Tools is installed; imports it."""
    try:
        import episodes.schedule.exact.search  # noqa: F401
    except ImportError:
        return False
    return True


REST = Effort(meets=4, slips=40, proved=12, patience=6, patience_slips=12)
"""Effort for the rooms that a search left out, planned behind it."""


@dataclass(frozen=True, slots=True)
class Found:
    """What a question came to.

    Attributes:
        possible: True: `plan` is in hand; False: proved that there is none; None: open.
        plan: of the whole season, checked; None without one.
        bound: no plan is ready sooner, UTC minutes (LONG_AGO: nothing known).
        best: `plan` is proved as early as any.
    """

    possible: bool | None
    plan: Plan | None = None
    bound: int = LONG_AGO
    best: bool = False


@dataclass(frozen=True, slots=True)
class Arrival:
    """A last arrival: the greatest with a plan in hand (None: none), and one that no plan beats."""

    found: int | None
    bound: int


class Prover:
    """Asks questions about one plan of a season."""

    def __init__(self, plan: Plan, dates: Dates) -> None:
        self.plan = plan
        self.dates = dates
        self.network = plan.network
        self.ground = Ground(plan, dates.hopeless)

    def in_time(self, caps: Mapping[str, int], patience: Patience) -> Found:
        """Whether there is a plan with every episode of `caps` ready by its moment."""
        question = self.ground.question(caps)
        outcome = self._search(question, patience)
        if outcome is None:
            return Found(None)
        if outcome.kind == "none":
            return Found(False)
        return self._found(question, outcome)

    def soonest(
        self, episode: str, caps: Mapping[str, int], floor: int, patience: Patience
    ) -> Found:
        """The earliest that an episode can be ready, others by their caps, it by its own."""
        question = self.ground.question(caps, soonest=episode, floor=floor)
        outcome = self._search(question, patience)
        if outcome is None:
            return Found(None, bound=floor)
        if outcome.kind == "none":
            return Found(False, bound=NEVER)
        return self._found(question, outcome)

    def last_arrival(
        self, parcel: int, caps: Mapping[str, int], arrivals: Stretch, patience: Patience
    ) -> Arrival:
        """The last arrival of a parcel within a range with which the caps can be kept.

        Args:
            arrivals: least and greatest arrival looked at, UTC minutes.
        """
        question = self.ground.question(caps, latest=parcel, arrivals=arrivals)
        outcome = self._search(question, patience)
        if outcome is None:
            return Arrival(None, arrivals[1])
        if outcome.kind == "none":
            return Arrival(None, arrivals[0] - 1)
        if not outcome.spots:
            return Arrival(None, outcome.bound)
        timing = question.network.activities[parcel].choices[0].timing
        assert isinstance(timing, Expected)
        found = outcome.spots[parcel][1] - timing.settle
        network = with_arrival(question.network, parcel, found)
        spots = {**question.spots, **outcome.spots}
        site = self.ground.generator.site
        if broken_rule(network, site, spots, question.members) is not None:
            return Arrival(None, outcome.bound)
        return Arrival(found, outcome.bound)

    def _search(self, question: Question, patience: Patience) -> Outcome | None:
        if not self.ground.sound or self.dates.hopeless.intersection(question.members):
            return None
        if question.empty:
            return Outcome(kind="none", spots={})
        if patience.left <= 0 or not available():
            return None
        from episodes.schedule.exact.search import search

        return search(question, self.ground, patience, self._hint(question.members))

    def _hint(self, members: Collection[int]) -> dict[int, Spot]:
        placed = self.plan.placed
        return {
            i: (at.start, at.finish, at.choice, at.pieces)
            for i in members
            if (at := placed[i]) is not None
        }

    def _found(self, question: Question, outcome: Outcome) -> Found:
        if not outcome.spots:
            return Found(None, bound=outcome.bound)
        spots = {**question.spots, **outcome.spots}
        fault = broken_rule(question.network, self.ground.generator.site, spots, question.members)
        if fault is not None:
            return Found(None, bound=outcome.bound)
        caps = dict(question.caps)
        if question.soonest is not None:
            caps[question.soonest] = self._ready(question, spots, question.soonest)
        plan = adopt(
            question.network, self.dates, outcome.spots, caps, effort=REST, before=self.plan
        )
        if plan is None:
            return Found(None, bound=outcome.bound)
        return Found(True, plan, outcome.bound, outcome.kind == "best")

    def _ready(self, question: Question, spots: Mapping[int, Spot], episode: str) -> int:
        return max(
            over(question.network, i, spots[i][1]) for i in question.network.scope(episode).required
        )
