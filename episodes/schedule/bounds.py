"""Bounds: what must be done by whom between when and when, against the hours there are for it.

A stretch of time that must hold more work than its people are open for, or more gear and places
than there are, proves that no plan keeps these last moments. It is a relaxation (work may be cut
up at will), so it never proves what is not so. Each activity lies between its early start and its
late finish of the critical path method; hours are open minutes of the person, gear and places are
elapsed minutes (Baptiste, Le Pape, Nuijten, "Constraint-Based Scheduling", 2001: energetic
reasoning; for one person the preemptive one-machine bound of Carlier, "The one-machine sequencing
problem", European Journal of Operational Research 11 (1982) 42-47).
"""

from bisect import insort
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence

from episodes.calendars.openings import Openings
from episodes.calendars.working_time import LONG_AGO, NEVER, open_minutes_before
from episodes.network.activity import Activity, Network
from episodes.network.backward import BackwardPass
from episodes.network.dates import Dates
from episodes.network.timing import Hands, Wait

Job = tuple[int, int, int]
"""Release, deadline and work, on one scale of minutes."""

HALVINGS = 12


class Bounds:
    """Bounds of one network.

    In all of them `members` are the activities that any plan must place; others are left out.
    """

    def __init__(self, network: Network, dates: Dates) -> None:
        self.network = network
        self.dates = dates
        self._hours: dict[tuple[str, ...], Openings] = {}

    def floor(
        self, episode: str, caps: Mapping[str, int], members: Collection[int], low: int, high: int
    ) -> int:
        """No plan that keeps the caps is ready sooner than this.

        Args:
            caps: by other episodes, when they have to be ready.
            low: a bound known already.
            high: looked at up to here.
        """
        if not self.refutes({**caps, episode: low}, members):
            return low
        for _ in range(HALVINGS):
            if high - low <= 1:
                break
            middle = (low + high) // 2
            if self.refutes({**caps, episode: middle}, members):
                low = middle
            else:
                high = middle
        return low + 1

    def refutes(self, caps: Mapping[str, int], members: Collection[int]) -> bool:
        """Whether no plan of these members has every episode of `caps` ready by its moment."""
        network, dates = self.network, self.dates
        late = BackwardPass(network, {}, until=caps)
        todo: list[tuple[Activity, int, int]] = []
        for index in members:
            start, finish = dates.early_start[index], late.finishes[index]
            if start > late.starts[index] or dates.early_finish[index] > finish:
                return True
            if start > LONG_AGO and finish < NEVER:
                todo.append((network.activities[index], start, finish))
        return self._people_short(todo) or self._things_short(todo)

    # -- people --------------------------------------------------------------------------------

    def _people_short(self, todo: Sequence[tuple[Activity, int, int]]) -> bool:
        """Whether somebody, or all who might stand in for one another, has too few hours."""
        alone: dict[str, list[tuple[Activity, int, int]]] = defaultdict(list)
        pools: set[tuple[str, ...]] = set()
        for item in todo:
            choices = item[0].choices
            sure = set(choices[0].people)
            for choice in choices[1:]:
                sure &= set(choice.people)
            for person in sure:
                alone[person].append(item)
            if len(choices) > 1:
                pools.add(tuple(sorted({p for choice in choices for p in choice.people})))
        for person, items in sorted(alone.items()):
            hours = self._open((person,), [activity for activity, _, _ in items])
            jobs = [
                (open_minutes_before(hours, a), open_minutes_before(hours, b), _work(activity))
                for activity, a, b in items
            ]
            if overfull(jobs):
                return True
        return any(self._pool_short(pool, todo) for pool in sorted(pools))

    def _pool_short(self, pool: tuple[str, ...], todo: Sequence[tuple[Activity, int, int]]) -> bool:
        """Whether several people together have too few hours for what only they can do."""
        inside = set(pool)
        items = [
            (activity, a, b)
            for activity, a, b in todo
            if activity.choices[0].people
            and all(set(choice.people) <= inside for choice in activity.choices)
        ]
        hours = [self._open((person,), [activity for activity, _, _ in items]) for person in pool]

        def total(t: int) -> int:
            return sum(open_minutes_before(own, t) for own in hours)

        jobs = [
            (
                total(a),
                total(b),
                min(len(choice.people) for choice in activity.choices) * _work(activity),
            )
            for activity, a, b in items
        ]
        return overfull(jobs)

    def _open(self, people: tuple[str, ...], activities: Iterable[Activity]) -> Openings:
        """When a person can be at work on any of these."""
        calendars = {
            id(choice.timing.openings): choice.timing.openings
            for activity in activities
            for choice in activity.choices
            if people[0] in choice.people and isinstance(choice.timing, Hands)
        }
        if len(calendars) == 1:
            return next(iter(calendars.values()))
        key = (people[0], *(str(number) for number in sorted(calendars)))
        if key not in self._hours:
            self._hours[key] = Openings(
                stretch for openings in calendars.values() for stretch in openings
            )
        return self._hours[key]

    # -- gear and places -----------------------------------------------------------------------

    def _things_short(self, todo: Sequence[tuple[Activity, int, int]]) -> bool:
        """Whether there is too little of some gear, or too few places."""
        network = self.network
        used: dict[tuple[str, str], list[Job]] = defaultdict(list)
        for activity, a, b in todo:
            span = self._span(activity)
            if span <= 0:
                continue
            for gear, count in activity.gear:
                amount = min(count, network.gear_of[gear])
                used["gear", gear].append((a, b, span * amount))
            where = activity.where
            if where is not None and activity.places:
                holds = network.places_of.get(where)
                if holds is not None:
                    used["space", where].append((a, b, span * min(activity.places, holds)))
        for (kind, name), jobs in sorted(used.items()):
            held = network.places_of if kind == "space" else network.gear_of
            count = held[name] or 0
            if overfull([(a * count, b * count, work) for a, b, work in jobs]):
                return True
        return False

    def _span(self, activity: Activity) -> int:
        """The least elapsed minutes from its start to its finish."""
        return _work(activity) if activity.kind != "parcel" else 0


def _work(activity: Activity) -> int:
    """The least minutes of its own time, whoever does it."""
    return min(
        choice.timing.work if isinstance(choice.timing, (Hands, Wait)) else 0
        for choice in activity.choices
    )


def overfull(jobs: Sequence[Job]) -> bool:
    """Whether one machine that may switch between jobs at will cannot do all in time.

    Jackson's rule: of all that can be worked, what is due first.
    """
    waiting: list[tuple[int, int]] = []
    by_release = sorted(job for job in jobs if job[2] > 0)
    at, now = 0, LONG_AGO
    while at < len(by_release) or waiting:
        if not waiting:
            now = max(now, by_release[at][0])
        while at < len(by_release) and by_release[at][0] <= now:
            _, due, work = by_release[at]
            insort(waiting, (due, work))
            at += 1
        until = by_release[at][0] if at < len(by_release) else NEVER
        while waiting and now < until:
            due, work = waiting.pop(0)
            done = min(work, until - now)
            now += done
            if now > due:
                return True
            if done < work:
                waiting.insert(0, (due, work - done))
    return False
