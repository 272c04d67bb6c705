"""The first feasible start of one activity, others already placed, and what moved it there.

Every jump is safe, since a step once begun works every open minute: any start before the end of
what it clashes with still meets it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, POINT, START, Activity, Link, Network
from episodes.network.timing import Hands, Timing, first_start_ending_at_or_after
from episodes.schedule.occupation import Clash, Occupation, Site
from episodes.schedule.plan import Placed, Reason
from episodes.trade.products import STAGES


@dataclass(frozen=True, slots=True)
class TooLate:
    """An upper bound that a start would break: `pred` must not start before `needed`."""

    pred: int
    needed: int


class StartFinder:
    """Looks for starts on a site.

    Attributes:
        placed: by activity, None while it has no place.
        failed: activities for which no start was found.
        ran_out: those that failed for want of calendar, nothing else.
        tied: waits that begin the minute an activity is finished, by that activity.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        self.activities = network.activities
        self.site = Site(network)
        self.placed: list[Placed | None] = [None] * len(network.activities)
        self.failed: set[int] = set()
        self.ran_out: set[int] = set()
        self.tied: dict[int, list[int]] = {}
        for link in network.links:
            if (
                link.most == 0
                and link.or_point is None
                and link.point == FINISH
                and not link.to_finish
                and self.activities[link.pred].state != "done"
            ):
                self.tied.setdefault(link.pred, []).append(link.succ)

    def occupation(self, activity: Activity, choice: int, start: int) -> Occupation:
        """What it takes there; a coat's place only until the job's next step, if that stands."""
        at = self.site.occupation(activity, choice, start)
        if activity.coat is not None and activity.next_in_job is not None:
            following = self.placed[activity.next_in_job]
            if following is not None and at.finish <= following.start < at.handle:
                return replace(at, handle=following.start)
        return at

    # -- bounds --------------------------------------------------------------------------------

    def _point(self, index: int, point: int) -> int:
        placed = self.placed[index]
        if placed is None:
            return NEVER if index in self.failed else LONG_AGO
        if point == FINISH:
            return placed.finish
        if point == START:
            activity = self.activities[index]
            return placed.start if activity.fact_start is None else activity.fact_start
        coat = self.activities[index].coat
        assert coat is not None
        return coat.stage_end(STAGES[point - 2], placed.finish)

    def lower_bound(self, activity: Activity, pushed: int) -> tuple[int, Reason]:
        """The lower bound of the start from links, facts and pushes, and what set it."""
        bound, reason = activity.earliest, Reason("now")
        if activity.earliest > self.network.now:
            reason = Reason("bound")
        if activity.at is not None and activity.at > bound:
            bound, reason = activity.at, Reason("bound")
        for link in self.network.incoming[activity.index]:
            value = self._point(link.pred, link.point)
            if value >= NEVER:
                return NEVER, reason
            value += link.least
            if link.to_finish:
                value = min(
                    first_start_ending_at_or_after(choice.timing, value)
                    for choice in activity.choices
                )
            if value > bound:
                bound, reason = value, self._waits_for(link)
        if pushed > bound:
            bound, reason = pushed, Reason("window")
        return bound, reason

    def _waits_for(self, link: Link) -> Reason:
        pred = self.activities[link.pred]
        if pred.kind == "parcel":
            return Reason("parcel", pred.id, pred.episode)
        if pred.id == "release":
            return Reason("bound", None, pred.episode)
        if link.point in POINT.values():
            return Reason("step", f"{pred.id}.dry", pred.episode)
        return Reason("step", pred.id, pred.episode)

    # -- finding a start -----------------------------------------------------------------------

    def find_start(
        self, activity: Activity, bound: int, reason: Reason, forced: int | None
    ) -> "Placed | TooLate | None":
        """The best start over the choices of people: the earliest finish, then the first named."""
        best: Placed | None = None
        late: TooLate | None = None
        choices = range(len(activity.choices)) if forced is None else (forced,)
        for choice in choices:
            found = self._find_with(activity, choice, bound, reason)
            if isinstance(found, Placed):
                if best is None or found.finish < best.finish:
                    best = found
            elif found is not None and (late is None or found.needed < late.needed):
                late = found
        return best if best is not None else late

    def _find_with(
        self, activity: Activity, choice: int, bound: int, reason: Reason
    ) -> "Placed | TooLate | None":
        timing = activity.choices[choice].timing
        reasons = [(reason, bound)]
        incoming = self.network.incoming[activity.index]
        t = bound
        while True:
            start = timing.fit(t)
            if start >= NEVER:
                self.ran_out.add(activity.index)
                return None
            if start > t:
                reasons.append((self._hours_reason(activity, choice, t), start))
            if activity.at is not None and start != activity.at:
                return None
            finish = timing.end(start)
            if finish > activity.latest_finish:
                if finish >= NEVER:
                    self.ran_out.add(activity.index)
                return None
            moved = self._through_windows(activity, timing, incoming, start, finish)
            if isinstance(moved, TooLate):
                return moved
            if moved is not None:
                t = moved
                reasons.append((Reason("window"), t))
                continue
            at = self.occupation(activity, choice, start)
            clash = self.site.clash(activity, choice, at)
            if clash is None:
                clash = self._clash_of_tied(activity, finish)
                if clash is not None:
                    t = max(first_start_ending_at_or_after(timing, clash.end), start + 1)
                    reasons.append((Reason(clash.kind, clash.id), t))
                    continue
                return Placed(
                    start=start,
                    finish=finish,
                    choice=choice,
                    pieces=at.pieces,
                    reasons=tuple(reasons),
                )
            t = clash.end
            reasons.append((Reason(clash.kind, clash.id), t))

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
        self,
        activity: Activity,
        timing: Timing,
        incoming: Sequence[Link],
        start: int,
        finish: int,
    ) -> "int | TooLate | None":
        """Where a start must go to clear a window's hole; a `TooLate` where it comes too late."""
        for link in incoming:
            if link.most is None and not link.to_finish:
                continue
            base = self._point(link.pred, link.point)
            if link.to_finish and LONG_AGO < base < NEVER and finish < base + link.least:
                # The bound of the start was that of the quickest of several choices.
                return first_start_ending_at_or_after(timing, base + link.least)
            if link.most is None:
                continue
            if base <= LONG_AGO:
                continue
            value = finish if link.to_finish else start
            limit = base + link.most
            if value <= limit:
                continue
            if link.or_point is not None:
                second = self._point(link.pred, link.or_point) + link.or_gap
                if value >= second:
                    continue
                if link.to_finish:
                    return first_start_ending_at_or_after(timing, second)
                return second
            if link.void_after is not None and self._point(link.pred, link.void_after) > limit:
                continue
            pred = self.activities[link.pred]
            if pred.state != "open":
                return TooLate(link.pred, NEVER)
            needed = value - link.most
            if link.point != START:
                placed = self.placed[link.pred]
                assert placed is not None
                chosen = pred.choices[placed.choice].timing
                needed = first_start_ending_at_or_after(chosen, needed)
            return TooLate(link.pred, needed)
        return None

    def _clash_of_tied(self, activity: Activity, finish: int) -> Clash | None:
        """What stands in the way of a wait that must begin the minute this one is finished."""
        for index in self.tied.get(activity.index, ()):
            tail = self.activities[index]
            if tail.state != "open" or self.placed[index] is not None:
                continue
            if tail.earliest > finish:
                return Clash("space", None, finish, tail.earliest)
            at = self.site.occupation(tail, 0, finish)
            clash = self.site.clash(tail, 0, at)
            if clash is not None:
                return clash
        return None
