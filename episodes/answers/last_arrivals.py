"""The last arrival of a parcel, to the minute and proved: one search with the arrival free.

With a `within` from the parcel (plants, rented gear) an arrival that does is no promise for all
earlier ones, so halving would go wrong; making the arrival as great as can be does not. The room
alone comes first: its answer bounds the whole season's from above, and is mostly the same.
"""

from dataclasses import replace

from episodes.answers.parcel_rows import ParcelRows
from episodes.answers.planning import Planning
from episodes.answers.verdicts import judge
from episodes.calendars.working_time import NEVER
from episodes.network.activity import Activity, EpisodeScope
from episodes.network.timing import Delivery, Expected
from episodes.schedule.exact.patience import Patience
from episodes.schedule.exact.prover import Prover

A_PARCEL = 6.0
"""Effort one parcel may cost at most, so that one hard one does not starve the others."""


def with_last_arrivals(
    planning: Planning, patience: Patience, *, only: str | None = None
) -> Planning:
    """The season with the last arrivals of its parcels searched for, nearest rooms first.

    Args:
        only: id of the one episode whose parcels are asked about.
    """
    prover = Prover(planning.plan, planning.dates)
    for scope in planning.network.episodes:
        if scope.released is not None or (only is not None and scope.id != only):
            continue
        for index in scope.members:
            activity = planning.network.activities[index]
            if activity.kind != "parcel" or activity.state == "done":
                continue
            if patience.left <= 0:
                return planning
            planning = with_last_arrival(planning, activity, patience.part(A_PARCEL), prover)
    return planning


def with_last_arrival(
    planning: Planning, activity: Activity, patience: Patience, prover: Prover | None = None
) -> Planning:
    """The season with the last arrival of one parcel searched for."""
    scope = planning.network.scope(activity.episode)
    found = _Search(planning, scope, activity, prover).run(patience)
    return replace(planning, arrivals={**planning.arrivals, activity.index: found})


class _Search:
    """One parcel of one episode."""

    def __init__(
        self,
        planning: Planning,
        scope: EpisodeScope,
        activity: Activity,
        prover: Prover | None,
    ) -> None:
        self.planning = planning
        self.scope = scope
        self.activity = activity
        self.prover = prover or Prover(planning.plan, planning.dates)

    def run(self, patience: Patience) -> tuple[int | None, bool]:
        """The last arrival (None: none would do), and whether it is proved."""
        planning, activity = self.planning, self.activity
        judgements = {e.id: judge(planning, e.id) for e in planning.season.episodes}
        episode = planning.season.episode(self.scope.id)
        known, exact = ParcelRows(planning, episode, judgements).last_arrival(activity)
        bound = self._bound()
        if exact or bound is None or planning.dates.hopeless:
            return known, exact
        low = planning.network.now if known is None or self._others_wait() else known
        patience.say(f"{self.scope.id}: how late may {activity.id} come?")
        alone = {self.scope.id: self.scope.release}
        nearer = {
            other.id: other.release
            for other in planning.network.episodes
            if other.order < self.scope.order and judgements[other.id].verdict == "meets"
        }
        if nearer:
            first = self.prover.last_arrival(
                activity.index, alone, (low, bound), patience.part(patience.left / 2)
            )
            bound = first.bound
            if bound < low:
                return (None, True) if known is None else (known, False)
            if known is not None and bound == known:
                return known, True
        last = self.prover.last_arrival(activity.index, {**nearer, **alone}, (low, bound), patience)
        if last.found is None:
            none = last.bound < low
            return (None, none) if known is None else (known, False)
        return last.found, last.bound <= last.found

    def _bound(self) -> int | None:
        """The dates allow none later; None where nothing bounds it, or nothing from now on does."""
        late = self.planning.needed_by[self.activity.index]
        timing = self.activity.choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        if abs(late) >= NEVER or self.planning.plan.placed[self.activity.index] is None:
            return None
        bound = late - timing.settle
        return bound if bound >= self.planning.network.now else None

    def _others_wait(self) -> bool:
        """Whether another parcel waits for something still to be done: moved with the plan, it
        might not come as planned, and what is known of the arrival might not hold."""
        network = self.planning.network
        return any(
            other.kind == "parcel"
            and other.state == "open"
            and other.index != self.activity.index
            and any(
                network.activities[link.pred].state != "done"
                for link in network.incoming[other.index]
            )
            for other in network.activities
        )
