"""A schedule pushed to the right: each activity as late as those behind it and the others allow.

Placing the activities again in the order of these latest starts closes gaps that the first order
left: double justification (Valls, Ballestín, Quintanilla: "Justification and RCPSP: A technique
that pays", European Journal of Operational Research 165 (2005) 375-386, from memory). Links,
hours, people, gear and places are kept here; windows and air are not looked at, which is enough to
tell urgent from idle, since the schedule that follows keeps every rule.
"""

from collections.abc import Mapping, Sequence

from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, START
from episodes.schedule.generate import Generator
from episodes.schedule.occupation import Task
from episodes.schedule.resources import Taken
from episodes.schedule.starts import Spot
from episodes.trade.products import STAGES


class Justifier:
    """Pushes schedules of one group against their own ready moments.

    The generator stands where the group begins: none of its members is placed.
    """

    def __init__(self, generator: Generator, members: Sequence[int]) -> None:
        self.generator = generator
        self.site = generator.site
        self.levels = generator.levels
        self.tasks = generator.tasks
        network = generator.network
        inside = set(members)
        self.simple: dict[int, list[tuple[int, int]]] = {i: [] for i in members}
        """By member, (successor, gap) of links from its finish to a start."""
        self.other: dict[int, list[tuple[int, int, bool, int]]] = {i: [] for i in members}
        """By member, (successor, point, to its finish, gap) of all further links."""
        for i in members:
            for link in network.outgoing[i]:
                if link.succ not in inside:
                    continue
                if link.point == FINISH and not link.to_finish:
                    self.simple[i].append((link.succ, link.least))
                else:
                    self.other[i].append((link.succ, link.point, link.to_finish, link.least))
        self.starts = [NEVER] * len(network.activities)
        self.finishes = [NEVER] * len(network.activities)

    def latest_starts(
        self,
        order: Sequence[int],
        ready: int,
        caps: Mapping[int, int],
        choices: Mapping[int, int],
        least: Mapping[int, Spot] | None = None,
    ) -> list[int]:
        """The same activities in the order of their latest starts.

        Args:
            order: placed from its end to its beginning, each as late as it goes.
            ready: no activity is over later than this, but for those that `least` has later.
            caps: latest finish by activity where it is less than `ready` (a coat that must dry).
            choices: by activity, who works; the first choice where it is not named.
            least: where they stand now: what cannot be pushed stays there.
        """
        starts, finishes, levels, tasks = self.starts, self.finishes, self.levels, self.tasks
        before = levels.copy()
        people = [(taken, taken.copy()) for taken in self.site.people.values()]
        simple, other = self.simple, self.other
        for i in reversed(order):
            task = tasks[i]
            spot = None if least is None else least[i]
            cap = caps.get(i, ready)
            if spot is not None and spot[1] > cap:
                cap = spot[1]
            for succ, gap in simple[i]:
                bound = starts[succ] - gap
                if bound < cap:
                    cap = bound
            span = task.plain
            if span >= 0 and not other[i]:
                least_start = 3 * LONG_AGO if spot is None else spot[0]
                if task.need and span:
                    latest = levels.claim_back(cap, span, task.need, least_start)
                else:
                    latest = cap - span
                if latest < least_start:
                    latest = least_start
                starts[i], finishes[i] = latest, latest + span
                continue
            starts[i], finishes[i] = self._push(task, choices.get(i, 0), cap, spot)
        levels.put_back(before)
        for taken, copied in people:
            taken.put_back(copied)
        placed = sorted(order, key=lambda i: (starts[i], finishes[i], i))
        for i in order:
            starts[i] = finishes[i] = NEVER
        return placed

    def _push(self, task: Task, choice: int, cap: int, spot: Spot | None) -> tuple[int, int]:
        """The latest start and finish of one activity; where it stands if that is no later."""
        timing, people, _ = task.choices[choice]
        if task.at is not None:
            return task.at, timing.end(task.at)
        start_cap = NEVER
        for succ, point, to_finish, gap in self.other[task.activity.index]:
            bound = (self.finishes if to_finish else self.starts)[succ]
            if bound >= NEVER:
                continue
            bound -= gap
            if point == START:
                start_cap = min(start_cap, bound)
            elif point == FINISH:
                cap = min(cap, bound)
            elif task.coat is not None:
                cap = min(cap, task.coat.latest_finish(STAGES[point - 2], bound))
        t = min(timing.end_by(cap), start_cap)
        if task.parcel:
            return (t, timing.end(t)) if t > LONG_AGO else (t, cap)
        least = LONG_AGO if spot is None else spot[0] - 1
        while True:
            latest = timing.fit_back(t)
            if latest <= least:
                return (LONG_AGO, LONG_AGO) if spot is None else (spot[0], spot[1])
            end = timing.end(latest)
            pieces = timing.pieces(latest)
            hit = self._clash(task, people, latest, end, pieces)
            if hit is None:
                break
            t = min(timing.end_by(hit), latest - 1)
        for taken in people:
            for a, b in pieces:
                taken.add(a, b)
        if task.need and latest < end:
            self.levels.take(latest, end, task.need)
        return latest, end

    def _clash(
        self,
        task: Task,
        people: Sequence[Taken],
        start: int,
        finish: int,
        pieces: Sequence[Stretch],
    ) -> int | None:
        """The moment by which it must be over to clear what stands in the way; None: nothing."""
        for taken in people:
            for a, b in pieces:
                hit = taken.clash(a, b)
                if hit is not None:
                    return hit[0]
        if task.need:
            hit = self.levels.clash(start, finish, task.need)
            if hit is not None:
                return hit[0]
        return None
