"""A season planned: its network, dates, plan and the plan at rest, made once for all answers.

The calendar is built for a horizon; where a required step runs past it, it is built again twice
as long, so that nothing is ever clipped to an edge.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.model.season import Season
from episodes.network.activity import Network
from episodes.network.backward import BackwardPass
from episodes.network.dates import Dates, compute_dates
from episodes.network.expand import AHEAD, PAST, expand
from episodes.network.parcels import with_arrival
from episodes.network.timing import Delivery, Expected
from episodes.schedule.group import Effort
from episodes.schedule.plan import Plan
from episodes.schedule.retime import Retimer
from episodes.schedule.search import make_plan

LONGEST_HORIZON = 3
"""Doublings of the horizon before a step that still finds no opening has no plan."""


QUICK = Effort(meets=1, slips=12, proved=6, patience=4)
"""Effort of one trial while the last arrival is looked for, and of a key on the screen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What a search settled about one episode of a planned season.

    Attributes:
        floor: no plan that keeps the nearer episodes' ready moments is ready sooner (UTC minute;
            LONG_AGO: nothing known beyond the dates; NEVER: there is no such plan at all).
        slips: no plan in which the nearer episodes that meet still meet would meet it.
        cut: a search ended by the clock, or was ended: another time more may be settled.
    """

    floor: int = LONG_AGO
    slips: bool = False
    cut: bool = False


@dataclass(frozen=True)
class Planning:
    """Everything that the answers read from.

    Attributes:
        proofs: by episode, what was searched for beyond plan and dates.
        arrivals: by number of a parcel, its last arrival (None: none would do) and whether it is
            proved; of those that were searched for.
    """

    season: Season
    network: Network
    dates: Dates
    plan: Plan
    proofs: Mapping[str, Proof] = field(default_factory=dict)
    arrivals: Mapping[int, tuple[int | None, bool]] = field(default_factory=dict)

    @cached_property
    def retimer(self) -> Retimer:
        """The plan at rest, made when it is first asked for."""
        return Retimer(self.plan)

    @cached_property
    def needed_by(self) -> tuple[int, ...]:
        """By activity, when it must be over at the latest, whatever moment its own time leads to:
        a parcel is needed by noon though its carrier comes at six."""
        until = {scope.id: scope.release for scope in self.network.episodes}
        needed = BackwardPass(self.network, {}, until=until).raw_finish
        late = self.dates.late_finish
        return tuple(
            raw
            if activity.kind == "parcel" and abs(late[activity.index]) < NEVER
            else late[activity.index]
            for activity, raw in zip(self.network.activities, needed, strict=True)
        )


def plan_season(
    season: Season,
    *,
    effort: Effort | None = None,
    before: Plan | None = None,
    first: str | None = None,
    extra: Mapping[str, tuple[Stretch, ...]] | None = None,
    air: Mapping[str, tuple[float | None, float | None]] | None = None,
) -> Planning:
    """Plan a whole season from its files' contents.

    Args:
        before: an earlier plan of nearly the same season; see `make_plan`.
        first: an episode that is planned before all others, nearer ones too.
        extra, air: hours added to people, air of spaces by hand (see `Hours`).

    Raises:
        PlanError: faults that only the network shows (a circle, a step that fits nowhere).
    """
    past, ahead = PAST, AHEAD
    for _ in range(LONGEST_HORIZON):
        network = expand(season, past=past, ahead=ahead, extra=extra, air=air)
        dates = compute_dates(network)
        plan = make_plan(network, dates, effort=effort, before=before, first=first)
        if not dates.short and not _ran_out(plan, dates):
            break
        past, ahead = past * 2, ahead * 2
    return Planning(season, network, dates, plan)


def _ran_out(plan: Plan, dates: Dates) -> bool:
    """Whether something required only lacks calendar: a longer one may hold its place."""
    return not dates.hopeless and any(
        plan.network.activities[index].required for index in plan.ran_out
    )


def with_arrivals(
    planning: Planning, moved: Mapping[tuple[str, str], int], *, effort: Effort | None = None
) -> Planning:
    """The season with parcels in hand at other moments; the old plan's order is tried first.

    Args:
        moved: (episode, parcel) to the arrival, UTC minutes.
    """
    network = planning.network
    later = True
    for key, arrival in moved.items():
        index = network.index[key]
        placed = planning.plan.placed[index]
        timing = network.activities[index].choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        later = later and placed is not None and arrival >= timing.arrival(placed.start)
        network = with_arrival(network, index, arrival)
    dates = compute_dates(network)
    plan = make_plan(network, dates, effort=effort, before=planning.plan, keep=later)
    return Planning(planning.season, network, dates, plan)
