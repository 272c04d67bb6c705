"""How full are the weeks? Hours needed against hours open, by person, gear and place.

Three figures a week stand beside the open hours of a person: what the plan puts there; what no
plan can keep out of that week; and what must be done by its end if the releases are to be met.
Where more must be done than is open, no plan helps, and the week is named before it hurts.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from episodes.answers.demand import Demand, Squeeze, edges, weeks
from episodes.answers.occupied import Occupied, occupied
from episodes.answers.planning import Planning, plan_season
from episodes.calendars.openings import Openings, Stretch
from episodes.calendars.working_time import open_minutes_before
from episodes.model.season import Season

FULL = 0.9
"""Share of the open hours from which a week counts as full (common practice, no published
source): what is planned at likely lengths overruns as often as not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekLoad:
    """One person's week; UTC minutes and working minutes.

    Attributes:
        open_min: minutes this person can work.
        planned_min: minutes that the plan puts there; `episodes` has them by room.
        needed_min: minutes of this person's own work that can lie in no other week.
        due_min: minutes that must be done from now to the end of the week.
        due_open_min: open minutes from now to the end of the week.
    """

    start: int
    end: int
    open_min: int
    planned_min: int
    needed_min: int
    due_min: int
    due_open_min: int
    episodes: tuple[tuple[str, int], ...] = ()

    @property
    def full(self) -> bool:
        """Whether hardly an open hour is left."""
        return self.planned_min > 0 and self.planned_min >= FULL * self.open_min

    @property
    def overbooked(self) -> bool:
        """Whether more must be done in it, or by its end, than is open."""
        return self.needed_min > self.open_min or self.due_min > self.due_open_min


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonLoad:
    """One person's weeks, and the stretch that is tightest for their own work."""

    id: str
    title: str
    weeks: tuple[WeekLoad, ...]
    tightest: Squeeze | None

    @property
    def open_min(self) -> int:
        return sum(week.open_min for week in self.weeks)

    @property
    def planned_min(self) -> int:
        return sum(week.planned_min for week in self.weeks)

    @property
    def overbooked(self) -> bool:
        return self.tightest is not None and self.tightest.over_min > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadAnswer:
    """How full the weeks are, from `now` to the last release that was looked at.

    Attributes:
        people: in the studio's order.
        together: the tightest stretch of people of whom any one does some step, where there are
            such steps.
        occupied: gear, and places that hold only so many.
        episodes: id and title of the rooms that are still to come.
    """

    now: int
    zone: str
    read_as_of: bool
    until: int
    people: tuple[PersonLoad, ...]
    together: tuple[Squeeze, ...]
    occupied: tuple[Occupied, ...]
    episodes: tuple[tuple[str, str], ...]

    @property
    def overbooked(self) -> tuple[Squeeze, ...]:
        """Stretches in which more must be done than is open: no plan meets the releases."""
        tightest = [person.tightest for person in self.people]
        return tuple(
            squeeze
            for squeeze in (*tightest, *self.together)
            if squeeze is not None and squeeze.over_min > 0
        )


def load(season: Season, *, most: int | None = None, until: str | None = None) -> LoadAnswer:
    """How full the weeks of a season are; see `load_of`.

    Raises:
        PlanError: faults that only the network shows.
    """
    return load_of(plan_season(season), most=most, until=until)


def load_of(planning: Planning, *, most: int | None = None, until: str | None = None) -> LoadAnswer:
    """As `load`, of a season already planned.

    Args:
        most: no more weeks than this.
        until: id of an episode: no week past its release.
    """
    season = planning.season
    network = planning.network
    stretches = weeks(planning, most)
    if until is not None:
        last = network.scope(until).release
        stretches = tuple((a, min(b, last)) for a, b in stretches if a < last)
    demand = Demand(planning, edges(planning, stretches))
    planned = _planned(planning, stretches)
    return LoadAnswer(
        now=season.now,
        zone=season.studio.zone,
        read_as_of=season.read_as_of,
        until=stretches[-1][1] if stretches else season.now,
        people=tuple(
            PersonLoad(
                id=person.id,
                title=person.title,
                weeks=_weeks(demand, person.id, stretches, planned.get(person.id, {})),
                tightest=demand.tightest((person.id,)),
            )
            for person in season.studio.people
        ),
        together=tuple(
            squeeze
            for group in demand.groups()
            if len(group) > 1 and (squeeze := demand.tightest(group)) is not None
        ),
        occupied=occupied(planning, stretches),
        episodes=tuple(
            (episode.id, episode.title) for episode in season.episodes if episode.released is None
        ),
    )


def _weeks(
    demand: Demand,
    person: str,
    stretches: Sequence[Stretch],
    planned: dict[int, dict[str, int]],
) -> tuple[WeekLoad, ...]:
    rows = []
    for at, (start, end) in enumerate(stretches):
        a, b = demand.edges.index(start), demand.edges.index(end)
        mine = planned.get(at, {})
        rows.append(
            WeekLoad(
                start=start,
                end=end,
                open_min=demand.open_between((person,), a, b),
                planned_min=sum(mine.values()),
                needed_min=demand.needed((person,), a, b),
                due_min=demand.needed((person,), 0, b),
                due_open_min=demand.open_between((person,), 0, b),
                episodes=tuple(mine.items()),
            )
        )
    return tuple(rows)


def _planned(
    planning: Planning, stretches: Sequence[Stretch]
) -> dict[str, dict[int, dict[str, int]]]:
    """Minutes the plan puts into each week: by person, number of the week, episode."""
    found: dict[str, dict[int, dict[str, int]]] = {}
    for activity, placed in zip(planning.network.activities, planning.plan.placed, strict=True):
        if placed is None or activity.state == "done":
            continue
        people = activity.choices[placed.choice].people
        if not people or not placed.pieces:
            continue
        worked = Openings(placed.pieces)
        for at, (start, end) in enumerate(stretches):
            minutes = open_minutes_before(worked, end) - open_minutes_before(worked, start)
            if minutes:
                for person in people:
                    rooms = found.setdefault(person, {}).setdefault(at, {})
                    rooms[activity.episode] = rooms.get(activity.episode, 0) + minutes
    return found
