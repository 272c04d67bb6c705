"""The first feasible start of one activity, others already placed, and what moved it there.

Every jump is safe, since a step once begun works every open minute: any start before the end of
what it clashes with still meets it.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from episodes.calendars.openings import Openings, Stretch
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, POINT, START, Activity, Link, Network
from episodes.network.timing import Hands, Timing, first_start_ending_at_or_after
from episodes.schedule.occupation import Site, Task
from episodes.schedule.plan import Reason
from episodes.schedule.resources import Taken
from episodes.trade.products import STAGES

Spot = tuple[int, int, int, tuple[Stretch, ...]]
"""Where an activity stands: start, finish, choice of people, worked pieces."""

Trace = list[tuple[Reason, int]]
"""What moved a start on its way, the last one last, each with the moment it moved it to."""


@dataclass(frozen=True, slots=True)
class TooLate:
    """An upper bound that a start would break: `pred` must not start before `needed`."""

    pred: int
    needed: int


class StartFinder:
    """Looks for starts on a site.

    Attributes:
        starts, finishes: by activity; LONG_AGO while it has no place, NEVER where none was found.
        spots: by activity, None while it has no place.
        failed: activities for which no start was found.
        ran_out: those that failed for want of calendar, nothing else.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        self.site = Site(network)
        self.levels = self.site.levels
        count = len(network.activities)
        self.starts = [LONG_AGO] * count
        self.finishes = [LONG_AGO] * count
        self.spots: list[Spot | None] = [None] * count
        self.failed: set[int] = set()
        self.ran_out: set[int] = set()
        holder = {
            a.next_in_job: a.index
            for a in network.activities
            if a.coat is not None and a.next_in_job is not None
        }
        self.tasks = [self.site.task(a, holder.get(a.index, -1)) for a in network.activities]
        tied: dict[int, list[int]] = {}
        for link in network.links:
            if (
                link.most == 0
                and link.or_point is None
                and link.point == FINISH
                and not link.to_finish
                and network.activities[link.pred].state != "done"
            ):
                tied.setdefault(link.pred, []).append(link.succ)
        for index, tails in tied.items():
            self.tasks[index].tied = tuple(tails)
        for task in self.tasks:
            task.plain = self.site.plain_minutes(task)

    # -- bounds --------------------------------------------------------------------------------

    def point(self, index: int, point: int) -> int:
        """When a point of an activity comes; LONG_AGO while it has no place, NEVER without one."""
        finish = self.finishes[index]
        if point == FINISH or finish <= LONG_AGO or finish >= NEVER:
            return finish
        activity = self.tasks[index].activity
        if point == START:
            return self.starts[index] if activity.fact_start is None else activity.fact_start
        assert activity.coat is not None
        return activity.coat.stage_end(STAGES[point - 2], finish)

    def lower_bound(self, task: Task, pushed: int = LONG_AGO) -> int:
        """The lower bound of the start from links, facts and pushes; NEVER where a predecessor
        has no place."""
        bound = task.earliest
        finishes = self.finishes
        for pred, least in task.simple:
            value = finishes[pred] + least
            if value > bound:
                bound = value
        for link in task.other:
            value = self._link_bound(task, link)
            if value > bound:
                bound = value
        return pushed if pushed > bound else bound

    def _link_bound(self, task: Task, link: Link) -> int:
        value = self.point(link.pred, link.point)
        if value >= NEVER:
            return NEVER
        value += link.least
        if link.to_finish:
            value = min(
                first_start_ending_at_or_after(timing, value) for timing, _, _ in task.choices
            )
        return value

    def why_bound(self, task: Task, pushed: int = LONG_AGO) -> Reason:
        """What set the lower bound of a start."""
        activity = task.activity
        bound, reason = activity.earliest, Reason("now")
        if activity.earliest > self.network.now:
            reason = Reason("bound")
        if activity.at is not None and activity.at > bound:
            bound, reason = activity.at, Reason("bound")
        for link in self.network.incoming[activity.index]:
            value = self._link_bound(task, link)
            if value > bound:
                bound, reason = value, self._waits_for(link)
        return Reason("window") if pushed > bound else reason

    def _waits_for(self, link: Link) -> Reason:
        pred = self.network.activities[link.pred]
        if pred.kind == "parcel":
            return Reason("parcel", pred.id, pred.episode)
        if pred.id == "release":
            return Reason("bound", None, pred.episode)
        if link.point in POINT.values():
            return Reason("step", f"{pred.id}.dry", pred.episode)
        return Reason("step", pred.id, pred.episode)

    # -- finding a start -----------------------------------------------------------------------

    def find_start(
        self, task: Task, bound: int, forced: int = -1, trace: Trace | None = None
    ) -> "Spot | TooLate | None":
        """The best start over the choices of people: the earliest finish, then the first named.

        Args:
            forced: the one choice to look at; -1 for all.
            trace: takes what moved the start; the bound's own reason is the caller's.
        """
        if forced >= 0 or len(task.choices) == 1:
            return self._find_with(task, max(forced, 0), bound, trace)
        best: Spot | None = None
        best_trace: Trace = []
        late: TooLate | None = None
        for choice in range(len(task.choices)):
            own: Trace | None = None if trace is None else []
            found = self._find_with(task, choice, bound, own)
            if isinstance(found, TooLate):
                if late is None or found.needed < late.needed:
                    late = found
            elif found is not None and (best is None or found[1] < best[1]):
                best, best_trace = found, own or []
        if best is None:
            return late
        if trace is not None:
            trace.extend(best_trace)
        return best

    def _find_with(
        self, task: Task, choice: int, bound: int, trace: Trace | None
    ) -> "Spot | TooLate | None":
        timing, people, work = task.choices[choice]
        t = bound
        while True:
            start = timing.fit(t)
            if start >= NEVER:
                self.ran_out.add(task.activity.index)
                return None
            if trace is not None and start > t:
                trace.append((self._hours_reason(task.activity, choice, t), start))
            if task.at is not None and start != task.at:
                return None
            pieces: tuple[Stretch, ...] = ()
            if work < 0:
                finish = timing.end(start)
            elif isinstance(timing, Hands) and not timing.one_go:
                finish, pieces = _worked(timing.openings, start, work)
            else:
                finish = start + work
                if work:
                    pieces = ((start, finish),)
            if finish > task.latest_finish:
                if finish >= NEVER:
                    self.ran_out.add(task.activity.index)
                return None
            if task.windows:
                moved = self._through_windows(task, timing, start, finish)
                if moved is not None:
                    if isinstance(moved, TooLate):
                        return moved
                    t = moved
                    if trace is not None:
                        trace.append((Reason("window"), t))
                    continue
            if task.parcel:
                return start, finish, choice, ()
            clash = self._clash(task, people, start, finish, pieces, trace)
            if clash is None and task.tied:
                clash = self._clash_of_tied(task, finish, trace)
                if clash is not None:
                    clash = max(first_start_ending_at_or_after(timing, clash), start + 1)
                    if trace is not None:
                        trace[-1] = (trace[-1][0], clash)
            if clash is None:
                return start, finish, choice, pieces
            t = clash

    def _clash(
        self,
        task: Task,
        people: Sequence[Taken],
        start: int,
        finish: int,
        pieces: Sequence[Stretch],
        trace: Trace | None,
    ) -> int | None:
        """When what stands in the way is over; None where nothing does."""
        for taken in people:
            for a, b in pieces:
                hit = taken.clash(a, b)
                if hit is not None:
                    if trace is not None:
                        trace.append((Reason("person", self._person(taken)), hit[1]))
                    return hit[1]
        if task.need:
            hit = self.levels.clash(start, finish, task.need)
            if hit is not None:
                if trace is not None:
                    kind, id = self.levels.short_of(hit[1], task.need)
                    trace.append((Reason(kind, id), hit[1]))
                return hit[1]
        if task.drying:
            assert task.coat is not None
            hit = self.levels.clash(finish, self.drying_until(task, finish), task.drying)
            if hit is not None:
                if trace is not None:
                    trace.append((Reason("space", task.activity.where), hit[1]))
                return hit[1]
        if task.air or task.makes:
            end = self._clash_air(task, start, finish, pieces)
            if end is not None and trace is not None:
                trace.append((Reason("air", task.activity.where), end))
            return end
        return None

    def _person(self, taken: Taken) -> str:
        return next(person for person, own in self.site.people.items() if own is taken)

    def drying_until(self, task: Task, finish: int) -> int:
        """Until when a coat's drying holds a place: its handling time, or the job's next step."""
        assert task.coat is not None
        handle = task.coat.stage_end("handle", finish)
        following = task.activity.next_in_job
        if following is not None and self.spots[following] is not None:
            start = self.starts[following]
            if finish <= start < handle:
                return start
        return handle

    def _clash_air(
        self, task: Task, start: int, finish: int, pieces: Sequence[Stretch]
    ) -> int | None:
        touch = finish if task.coat is None else task.coat.stage_end("touch", finish)
        wet = ((start, touch),)
        for bad, _, until_touch in task.air:
            if bad.items:
                for a, b in wet if until_touch else pieces:
                    hit = bad.clash(a, b)
                    if hit is not None:
                        return hit[1]
        for spaces, until_touch in task.makes:
            for needed, _, linger in spaces:
                if needed.items:
                    for a, b in wet if until_touch else pieces:
                        hit = needed.clash(a, b + linger)
                        if hit is not None:
                            return hit[1]
        return None

    def _clash_of_tied(self, task: Task, finish: int, trace: Trace | None) -> int | None:
        """When what stands in the way of a wait that must begin the minute this one is finished
        is over."""
        for index in task.tied:
            tail = self.tasks[index]
            if tail.activity.state != "open" or self.spots[index] is not None:
                continue
            if tail.earliest > finish:
                if trace is not None:
                    trace.append((Reason("space"), tail.earliest))
                return tail.earliest
            timing, people, _ = tail.choices[0]
            end = self._clash(
                tail, people, finish, timing.end(finish), timing.pieces(finish), trace
            )
            if end is not None:
                return end
        return None

    def _hours_reason(self, activity: Activity, choice: int, t: int) -> Reason:
        timing = activity.choices[choice].timing
        if (
            isinstance(timing, Hands)
            and timing.gate is not None
            and timing.fit_hours(t) < timing.fit(t)
        ):
            return Reason("air", activity.where)
        if activity.light is not None and not activity.light.is_open(t):
            return Reason("light")
        people = activity.choices[choice].people
        return Reason("hours", people[0] if len(people) == 1 else None)

    def _through_windows(
        self, task: Task, timing: Timing, start: int, finish: int
    ) -> "int | TooLate | None":
        """Where a start must go to clear a window's hole; a `TooLate` where it comes too late."""
        for link in task.windows:
            base = self.point(link.pred, link.point)
            if link.to_finish and LONG_AGO < base < NEVER and finish < base + link.least:
                # The bound of the start was that of the quickest of several choices.
                return first_start_ending_at_or_after(timing, base + link.least)
            if link.most is None or base <= LONG_AGO:
                continue
            value = finish if link.to_finish else start
            limit = base + link.most
            if value <= limit:
                continue
            if link.or_point is not None:
                second = self.point(link.pred, link.or_point) + link.or_gap
                if value >= second:
                    continue
                if link.to_finish:
                    return first_start_ending_at_or_after(timing, second)
                return second
            if link.void_after is not None and self.point(link.pred, link.void_after) > limit:
                continue
            if self.tasks[link.pred].activity.state != "open":
                return TooLate(link.pred, NEVER)
            needed = value - link.most
            if link.point != START:
                spot = self.spots[link.pred]
                assert spot is not None
                chosen = self.tasks[link.pred].choices[spot[2]][0]
                needed = first_start_ending_at_or_after(chosen, needed)
            return TooLate(link.pred, needed)
        return None


def _worked(openings: Openings, start: int, work: int) -> tuple[int, tuple[Stretch, ...]]:
    """Finish and pieces of work begun in an open minute that pauses at closings."""
    if not work:
        return start, ()
    starts, ends = openings.starts, openings.ends
    index = bisect_right(starts, start) - 1
    closes = ends[index]
    left = work - (closes - start)
    if left <= 0:
        finish = start + work
        return finish, ((start, finish),)
    pieces = [(start, closes)]
    count = len(starts)
    while True:
        index += 1
        if index == count:
            return NEVER, ()
        opens, closes = starts[index], ends[index]
        if left <= closes - opens:
            finish = opens + left
            pieces.append((opens, finish))
            return finish, tuple(pieces)
        pieces.append((opens, closes))
        left -= closes - opens
