"""Rows of parcels: when to order, when it comes, and the last arrival that still meets."""

from collections.abc import Callable
from dataclasses import dataclass

from episodes.amounts import MINUTES_A_DAY
from episodes.answers.planning import Planning
from episodes.answers.rows import EpisodeAnswer, ParcelRow, State
from episodes.answers.verdicts import Judgement
from episodes.calendars.local_time import zone
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.model.episode import Episode, Parcel
from episodes.network.activity import Activity
from episodes.network.passes import ForwardPass
from episodes.network.scope import REQUIRED
from episodes.network.timing import Delivery, Expected
from episodes.schedule.trials import ArrivalTrials

HALVINGS = 2
"""Trials a parcel by which `check` narrows its last arrival; `late` goes on to the minute."""


@dataclass(slots=True)
class Budget:
    """What the last arrivals of a whole season may cost, nearest rooms first.

    When it is spent, the arrival of the plan itself stands: later ones are not looked at.
    """

    retimings: int = 400
    orders: int = 40

    def retime(self) -> bool:
        self.retimings -= 1
        return self.retimings >= 0

    def order(self) -> bool:
        self.orders -= 1
        return self.orders >= 0


class ParcelRows:
    """Builds the parcel rows of one episode.

    Args:
        judgements: of every episode, by id: what a later arrival must not spoil.
        like: an answer whose last arrivals are taken over instead of searched for.
    """

    def __init__(
        self,
        planning: Planning,
        episode: Episode,
        judgements: dict[str, Judgement],
        like: EpisodeAnswer | None = None,
        budget: Budget | None = None,
    ) -> None:
        self.like = like
        self.budget = budget or Budget()
        self.planning = planning
        self.network = planning.network
        self.episode = episode
        self.judgements = judgements
        self.reached: set[int] | None = None
        self.latest_finishes: list[int] | None = None
        self.trials: ArrivalTrials | None = None

    def build(self) -> tuple[ParcelRow, ...]:
        """One row a parcel that takes part or has, in the file's order."""
        return tuple(
            self._row(parcel)
            for parcel in self.episode.parcels
            if self.network.absent.get((self.episode.id, parcel.id)) != "spare"
        )

    def _row(self, parcel: Parcel) -> ParcelRow:
        key = (self.episode.id, parcel.id)
        state: State = "dropped"
        again = self._again(parcel)
        arrives = None if again else parcel.arrived
        latest: int | None = None
        exact = False
        order_by: int | None = None
        if key in self.network.index:
            activity = self.network.activities[self.network.index[key]]
            state = activity.state
            placed = self.planning.plan.placed[activity.index]
            timing = activity.choices[0].timing
            if arrives is None and placed is not None:
                assert isinstance(timing, (Delivery, Expected))
                arrives = timing.arrival(placed.start)
            if arrives is None or parcel.arrived is None or again:
                latest, exact = self._lameets(activity)
                order_by = self._order_by(parcel, activity, latest)
        elif self.episode.released is not None:
            state = "done" if parcel.arrived is not None else "dropped"
        return ParcelRow(
            id=parcel.id,
            episode=self.episode.id,
            title=parcel.title,
            kind=parcel.kind,
            state=state,
            order_by=order_by,
            arrives=arrives,
            latest_arrival=latest,
            latest_exact=exact,
            return_by=self._return_by(parcel),
            cost=parcel.cost,
            carrier=parcel.carrier,
            ordered=parcel.ordered,
            promised=parcel.promised,
            arrived=parcel.arrived,
            failed=parcel.failed,
            returned=parcel.returned,
            optional=parcel.optional,
            link=parcel.link,
            place=parcel.place,
        )

    def _again(self, parcel: Parcel) -> bool:
        """Whether it came in a state that can't be used, and nothing replaces it."""
        replaced = any(other.replaces == parcel.id for other in self.episode.parcels)
        return parcel.failed is not None and not replaced

    def _return_by(self, parcel: Parcel) -> int | None:
        """The end of the local day, `return_within` after arrival; None once it is sent back."""
        if parcel.arrived is None or parcel.return_within is None or parcel.returned is not None:
            return None
        local = zone(self.network.season.studio.zone)
        return local.utc(local.day(parcel.arrived + parcel.return_within), MINUTES_A_DAY)

    # -- the last arrival ----------------------------------------------------------------------

    def _lameets(self, activity: Activity) -> tuple[int | None, bool]:
        """The last arrival with which the plan, its choices kept, still meets; and whether the
        dates prove that none later would."""
        if self.like is not None:
            row = self.like.parcel(activity.id)
            return row.latest_arrival, row.latest_exact
        if activity.index in self.planning.arrivals:
            return self.planning.arrivals[activity.index]
        return self.last_arrival(activity)

    def last_arrival(self, activity: Activity) -> tuple[int | None, bool]:
        """The same, worked out from plan and dates."""
        if activity.state == "done" or self.planning.plan.placed[activity.index] is None:
            return None, False
        timing = activity.choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        late = self.planning.needed_by[activity.index]
        if late >= NEVER or late <= LONG_AGO:
            return None, False
        bound = late - timing.settle
        now = self.network.now
        if bound < now:
            return None, True
        retimer = self.planning.retimer
        return latest_arrival(
            self.planning,
            activity,
            bound,
            planned=self._planned(activity),
            candidate=self._candidate(activity),
            kept=lambda x: self._meets(retimer.with_arrival(activity.index, x, only=self._reach())),
            trials=self._trials,
            halvings=HALVINGS,
            budget=self.budget,
        )

    def _candidate(self, activity: Activity) -> int | None:
        """The last arrival by one backward pass over the plan, its choices kept."""
        if self.latest_finishes is None:
            until = {
                scope.id: scope.release
                for scope in self.network.episodes
                if scope.released is None
                and (scope.id == self.episode.id or self.judgements[scope.id].verdict == "meets")
            }
            order = self.network.scope(self.episode.id).order
            nearer = {e: m for e, m in until.items() if self.network.scope(e).order <= order}
            self.latest_finishes = self.planning.retimer.backward(nearer, self._reach()).raw_finish
        latest = self.latest_finishes[activity.index]
        timing = activity.choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        return None if abs(latest) >= NEVER else latest - timing.settle

    def _trials(self) -> ArrivalTrials:
        """Other orders of the episode's own work; made only where the plan's own falls short."""
        if self.trials is None:
            planning = self.planning
            self.trials = ArrivalTrials(planning.plan, planning.dates, self.episode.id)
        return self.trials

    def _planned(self, activity: Activity) -> int | None:
        """The planned arrival, where the episode meets its release with it."""
        placed = self.planning.plan.placed[activity.index]
        if placed is None or self.judgements[self.episode.id].verdict != "meets":
            return None
        timing = activity.choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        return timing.arrival(placed.start)

    def _reach(self) -> set[int]:
        if self.reached is None:
            self.reached = self.planning.retimer.reach_until(self.episode.id)
        return self.reached

    def _meets(self, trial: ForwardPass) -> bool:
        retimer = self.planning.retimer
        if not retimer.holds_together(trial):
            return False
        for scope in self.network.episodes:
            if scope.released is not None:
                continue
            if scope.id == self.episode.id:
                return retimer.ready_by(scope.id, trial) <= scope.release
            nearer_met = self.judgements[scope.id].verdict == "meets"
            if nearer_met and retimer.ready_by(scope.id, trial) > scope.release:
                return False
        return False

    def _order_by(self, parcel: Parcel, activity: Activity, latest: int | None) -> int | None:
        if latest is None or activity.state != "open" or parcel.lead is None:
            return None
        timing = activity.choices[0].timing
        if not isinstance(timing, Delivery):
            return None
        moment = timing.end_by(latest + timing.settle)
        placed = self.planning.plan.placed[activity.index]
        if moment < self.network.now or placed is None or moment < placed.start:
            return None
        return moment


def latest_arrival(
    planning: Planning,
    activity: Activity,
    bound: int,
    *,
    planned: int | None,
    candidate: int | None,
    kept: Callable[[int], bool],
    trials: Callable[[], ArrivalTrials],
    halvings: int,
    budget: Budget,
) -> tuple[int | None, bool]:
    """The last arrival with a plan in hand, and whether the dates prove that none later would do.

    Args:
        bound: the dates allow none later (UTC minutes).
        planned: the planned arrival if the plan meets with it, else None.
        candidate: a last arrival to try first, None for none.
        kept: whether the plan, its choices kept, still meets with that arrival.
        trials: gives other orders of the episode's own work.
        halvings: how often the span that is still open is halved by such trials.
    """
    now = planning.network.now
    order = planning.network.scope(activity.episode).order
    can_try = activity.rank == (REQUIRED, order)
    top = bound if candidate is None else min(bound, candidate)
    if top >= now and budget.retime() and kept(top):
        if top == bound:
            return bound, True
        found: int | None = top
    else:
        first = now if planned is None else max(now, planned)
        found = last_moment(first, top - 1, kept, budget.retime) if first < top else None
    found = planned if found is None else found
    if not can_try or not budget.order():
        # It belongs to a nearer room's work, or to none that is required: the plan's order stands.
        return found, False
    if trials().meets(activity.index, bound):
        return bound, True
    if found is None and not (budget.order() and trials().meets(activity.index, now)):
        return None, False
    low, high = now if found is None else found, bound
    thorough = halvings > HALVINGS
    for _ in range(halvings):
        middle = (low + high) // 2
        if high - low <= 1 or not budget.order():
            break
        if trials().meets(activity.index, middle, orders=2 if thorough else 1):
            low = middle
        else:
            high = middle
    return low, False


def last_moment(
    low: int,
    high: int,
    meets: Callable[[int], bool],
    go_on: Callable[[], bool] = lambda: True,
) -> int | None:
    """The last minute in low..high that meets, where meeting at one minute means meeting before.

    Tries the ends first, then halves; stops at the last found when `go_on` says no.
    """
    if not go_on():
        return None
    if meets(high):
        return high
    if high <= low or not meets(low):
        return None
    while high - low > 1 and go_on():
        middle = (low + high) // 2
        if meets(middle):
            low = middle
        else:
            high = middle
    return low
