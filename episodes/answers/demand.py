"""How much of somebody's work must fall between two moments, whatever the plan.

Work can be done early or late, but not outside its dates. Of what starts somewhere between its
earliest and its latest start, the least that falls into a stretch `[a, b)` is had at one of the
two: the minutes worked in a stretch rise and then fall as the start moves on. Added up over all
work of one person and held against the open hours of that stretch this is the energetic reasoning
of constraint-based scheduling (P. Baptiste, C. Le Pape and W. Nuijten, *Constraint-Based
Scheduling*, 2001, section 3.3; cited from memory): where more must be done than is open, no plan
meets the releases.

All of a room's work must be done by its release, also where the latest start has passed already.
Before that a room that its dates alone make late is held against the moment at which they let it
be ready, so that a parcel's delay is not told as somebody's want of hours.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

from episodes.answers.planning import Planning
from episodes.calendars.local_time import zone
from episodes.calendars.openings import Openings, Stretch
from episodes.calendars.working_time import NEVER, open_minutes_before
from episodes.network.activity import Activity
from episodes.network.backward import BackwardPass
from episodes.network.hours import Hours
from episodes.network.timing import Hands, Timing

LOOK_BACK = 10
"""Moments before the end of a stretch that are tried as its start, beside now itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Squeeze:
    """A stretch in which some people's work must fall, and their open hours in it.

    Attributes:
        people: one person, or several of whom somebody must do the work.
        start, end: UTC minutes.
        needed_min: working minutes that no plan can keep out of the stretch.
        open_min: open minutes of these people in it.
        episodes: rooms whose work it is, by release.
    """

    people: tuple[str, ...]
    start: int
    end: int
    needed_min: int
    open_min: int
    episodes: tuple[str, ...]

    @property
    def over_min(self) -> int:
        """Minutes that are wanting; below zero, those that are to spare."""
        return self.needed_min - self.open_min


def _minutes(timing: Timing) -> int:
    """Working minutes of hands-on work."""
    assert isinstance(timing, Hands)
    return timing.work


@dataclass(frozen=True, slots=True)
class _Claim:
    """One way to staff an activity: how many of a group it takes, the minutes worked before each
    edge if it starts as early and as late as it can, and those that must be done by then."""

    count: int
    early: tuple[int, ...]
    late: tuple[int, ...]
    due: tuple[int, ...]

    def within(self, a: int, b: int) -> int:
        if a == 0:
            return self.count * self.due[b]
        early, late = self.early, self.late
        return self.count * min(early[b] - early[a], late[b] - late[a])


@dataclass(frozen=True, slots=True)
class _Work:
    """One activity's claims on a group, one a choice of people."""

    episode: str
    claims: tuple[_Claim, ...]

    def within(self, a: int, b: int) -> int:
        """Least minutes between two edges, by number."""
        return min(claim.within(a, b) for claim in self.claims)

    @property
    def over_early(self) -> int:
        """The first edge by which it is over however it is staffed, if it starts early: nothing of
        it must fall behind that."""
        return max(bisect_left(claim.early, claim.early[-1]) for claim in self.claims)

    @property
    def begun_late(self) -> int:
        """The first edge by which some of it must be done."""
        return min(
            min(bisect_right(claim.late, 0), bisect_right(claim.due, 0)) for claim in self.claims
        )


class Demand:
    """The work still to do of a planned season, and when it must be done.

    Args:
        edges: rising UTC minutes, the first of them now: stretches begin and end at these.
    """

    def __init__(self, planning: Planning, edges: Sequence[int]) -> None:
        self.network = planning.network
        self.edges = tuple(edges)
        self.now = planning.network.now
        hours = Hours(planning.season, self.now, max(self.edges[-1], self.now + 1))
        self.open: dict[str, Openings] = {
            person.id: hours.person(person.id) for person in planning.season.studio.people
        }
        self._before = {
            person: [open_minutes_before(openings, edge) for edge in self.edges]
            for person, openings in self.open.items()
        }
        self._planning = planning
        self.early = planning.dates.early_start
        self._releases = {
            scope.id: scope.release for scope in self.network.episodes if scope.released is None
        }
        self._work: dict[tuple[str, ...], list[_Work]] = {}
        self._needed: dict[tuple[str, ...], dict[tuple[int, int], int]] = {}
        self._order = {scope.id: scope.order for scope in self.network.episodes}

    @cached_property
    def due(self) -> BackwardPass:
        """The latest dates that the releases allow."""
        return BackwardPass(self.network, {}, until=self._releases)

    @cached_property
    def late(self) -> BackwardPass:
        """The latest dates with which no room is ready later than its dates make it."""
        dates = self._planning.dates
        at_best = {
            id: max(release, dates.floor(self.network, id))
            for id, release in self._releases.items()
        }
        if at_best == self._releases:
            return self.due
        return BackwardPass(self.network, {}, until=at_best)

    @cached_property
    def _activities(self) -> list[Activity]:
        """Work to do that somebody does, and that some release waits for."""
        return [
            activity
            for activity in self._staffed
            if abs(self.early[activity.index]) < NEVER and self.due.starts[activity.index] < NEVER
        ]

    @cached_property
    def _staffed(self) -> list[Activity]:
        return [
            activity
            for activity in self.network.activities
            if activity.state != "done" and any(choice.people for choice in activity.choices)
        ]

    def groups(self) -> list[tuple[str, ...]]:
        """Whoever is looked at together: each person, and those of whom any one does a step."""
        found: dict[tuple[str, ...], None] = {(person,): None for person in self.open}
        for activity in self._staffed:
            if len(activity.choices) > 1:
                people = {person for choice in activity.choices for person in choice.people}
                found.setdefault(tuple(sorted(people)), None)
        return list(found)

    def work(self, group: tuple[str, ...]) -> list[_Work]:
        """The claims that all work still to do has on a group of people."""
        if group not in self._work:
            members = frozenset(group)
            found = []
            for activity in self._activities:
                counts = [len(members.intersection(c.people)) for c in activity.choices]
                if min(counts) and (claims := self._claims(activity, counts)):
                    found.append(_Work(activity.episode, claims))
            self._work[group] = found
        return self._work[group]

    def _claims(self, activity: Activity, counts: Sequence[int]) -> tuple[_Claim, ...]:
        claims = []
        for count, choice in zip(counts, activity.choices, strict=True):
            timing = choice.timing
            first = timing.fit(max(self.early[activity.index], self.now))
            if first >= NEVER:
                continue
            last = max(self._latest(self.late, activity.index, timing), first)
            due = self._latest(self.due, activity.index, timing)
            early, late = self._profile(timing, first), self._profile(timing, last)
            claims.append(_Claim(count, early, late, self._due(activity, timing, late, due)))
        return tuple(claims)

    def _due(
        self, activity: Activity, timing: Timing, late: tuple[int, ...], start: int
    ) -> tuple[int, ...]:
        """Minutes that must be done by each edge: from its own release on, by the latest start
        that the release allows, though it has passed."""
        release = self._releases.get(activity.episode, NEVER)
        return tuple(
            by_release if edge >= release else by_late
            for edge, by_release, by_late in zip(
                self.edges, self._profile(timing, start), late, strict=True
            )
        )

    @staticmethod
    def _latest(dates: BackwardPass, index: int, timing: Timing) -> int:
        """The latest start of one choice of people: the slower it is, the sooner it must begin."""
        over = timing.end_by(dates.raw_finish[index])
        return timing.fit_back(min(over, dates.starts[index]))

    def _profile(self, timing: Timing, start: int) -> tuple[int, ...]:
        """Minutes worked before each edge by what starts there."""
        work = _minutes(timing)
        assert isinstance(timing, Hands)
        if timing.one_go:
            return tuple(min(max(edge - start, 0), work) for edge in self.edges)
        begun = open_minutes_before(timing.openings, start)
        return tuple(
            min(max(open_minutes_before(timing.openings, edge) - begun, 0), work)
            if edge > start
            else 0
            for edge in self.edges
        )

    def open_between(self, group: Iterable[str], a: int, b: int) -> int:
        """Open minutes of a group between two edges, by number."""
        return sum(self._before[person][b] - self._before[person][a] for person in group)

    def tightest(self, group: tuple[str, ...]) -> Squeeze | None:
        """The stretch that lacks open hours; where none does, the one filled the fullest.

        Of several that lack some, one that ends with a release, then the one that lacks most. None
        where nothing has to be done.
        """
        ends = set(self._releases.values())
        best: tuple[bool, int, float, int, int, int] | None = None
        for (a, b), needed in sorted(self._needs(group).items(), key=lambda item: item[0][::-1]):
            free = self.open_between(group, a, b)
            # Beyond the open hours minutes count; short of them the share that is filled.
            over, share = max(needed - free, 0), needed / max(free, 1)
            rank = (over > 0 and self.edges[b] in ends, over, share)
            if best is None or rank > best[:3]:
                best = (*rank, a, b, needed)
        if best is None:
            return None
        *_, a, b, needed = best
        pressing = {each.episode for each in self.work(group) if each.within(a, b)}
        return Squeeze(
            people=group,
            start=self.edges[a],
            end=self.edges[b],
            needed_min=needed,
            open_min=self.open_between(group, a, b),
            episodes=tuple(sorted(pressing, key=lambda id: (self._order[id], id))),
        )

    def by_releases(self, group: tuple[str, ...]) -> Squeeze | None:
        """The first run from now to a release that has too few open hours for all its rooms'
        work; None where none has."""
        members = frozenset(group)
        left: dict[str, int] = {}
        for activity in self._staffed:
            if activity.required:
                needed = min(
                    len(members.intersection(choice.people)) * _minutes(choice.timing)
                    for choice in activity.choices
                )
                left[activity.episode] = left.get(activity.episode, 0) + needed
        rooms = [id for id in self._releases if left.get(id)]
        for b in range(1, len(self.edges)):
            inside = [id for id in rooms if self._releases[id] <= self.edges[b]]
            needed = sum(left[id] for id in inside)
            free = self.open_between(group, 0, b)
            if needed > free:
                return Squeeze(
                    people=group,
                    start=self.edges[0],
                    end=self.edges[b],
                    needed_min=needed,
                    open_min=free,
                    episodes=tuple(inside),
                )
        return None

    def needed(self, group: tuple[str, ...], a: int, b: int) -> int:
        """Minutes of a group's work that no plan can keep out of two edges, by number."""
        if a == 0 or b - a <= LOOK_BACK:
            return self._needs(group).get((a, b), 0)
        return sum(each.within(a, b) for each in self.work(group))

    def _needs(self, group: tuple[str, ...]) -> dict[tuple[int, int], int]:
        """By pair of edges no farther apart than `LOOK_BACK`, and from now to each, what must be
        done between them; pairs of which nothing must are left out."""
        if group not in self._needed:
            found: dict[tuple[int, int], int] = {}
            for each in self.work(group):
                over = each.over_early
                for b in range(each.begun_late, len(self.edges)):
                    for a in (0, *range(max(b - LOOK_BACK, 1), min(b, over))):
                        minutes = each.within(a, b)
                        if minutes:
                            found[a, b] = found.get((a, b), 0) + minutes
            self._needed[group] = found
        return self._needed[group]


def weeks(planning: Planning, most: int | None = None) -> tuple[Stretch, ...]:
    """The weeks still to come, Monday to Monday by the studio's clock, UTC minutes.

    The first begins now; the last ends with the last release. Nothing where none is to come.

    Args:
        most: no more weeks than this.
    """
    now = planning.network.now
    last = max(releases(planning), default=now)
    here = zone(planning.season.studio.zone)
    found: list[Stretch] = []
    start, monday = now, here.day(now)
    monday -= timedelta(days=monday.weekday())
    while start < last and (most is None or len(found) < most):
        monday += timedelta(days=7)
        end = min(here.utc(monday, 0), last)
        found.append((start, end))
        start = end
    return tuple(found)


def releases(planning: Planning) -> list[int]:
    """Releases that are still to come, UTC minutes."""
    network = planning.network
    return [
        scope.release
        for scope in network.episodes
        if scope.released is None and scope.release > network.now
    ]


def edges(planning: Planning, stretches: Sequence[Stretch] | None) -> tuple[int, ...]:
    """The ends of these weeks and the releases in them, rising UTC minutes; the first is now.

    Args:
        stretches: None for the releases alone, all of them.
    """
    now = planning.network.now
    inside = releases(planning)
    if stretches is not None:
        last = max((end for _, end in stretches), default=now)
        inside = [*(end for _, end in stretches), *(r for r in inside if r <= last)]
    return tuple(sorted({now, *inside}))
