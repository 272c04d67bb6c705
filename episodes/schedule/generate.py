"""Serial schedule generation: one activity after another at its first feasible moment.

The order comes from a list of keys; every jump of the search for a start is safe, since a step
once begun works every open minute: any start before the end of what it clashes with still meets
it. Upper bounds (a longest recoat time, a tied wait) that a start breaks push their earlier end
to where it must be, take it and all placed since out again, and go on (unscheduling).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, POINT, START, Activity, Link, Network
from episodes.network.timing import Hands, Timing, first_start_ending_at_or_after
from episodes.schedule.occupation import Clash, Occupation, Site
from episodes.schedule.plan import Placed, Reason
from episodes.trade.products import STAGES

MOST_REPAIRS = 200
"""Unschedulings in one group before its list is given up."""

Key = Callable[[int], tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class _Late:
    """An upper bound that a start would break: `pred` must not start before `needed`."""

    pred: int
    needed: int


class Generator:
    """Places activities on a site, group by group.

    Attributes:
        placed: by activity, None while it has no place.
        failed: activities for which no start was found.
    """

    def __init__(self, network: Network, hopeless: Iterable[int] = ()) -> None:
        self.network = network
        self.activities = network.activities
        self.site = Site(network)
        self.placed: list[Placed | None] = [None] * len(network.activities)
        self.failed: set[int] = set()
        self.hopeless = frozenset(hopeless)
        self.kept: dict[int, int] = {}
        self.ran_out: set[int] = set()
        """Failed for want of calendar, nothing else."""
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
        self._holder: dict[int, int] = {}
        for activity in self.activities:
            if activity.coat is not None and activity.next_in_job is not None:
                self._holder[activity.next_in_job] = activity.index
        self._facts()

    # -- facts ---------------------------------------------------------------------------------

    def _facts(self) -> None:
        """Take what facts still hold, then let what has begun go on from now."""
        now = self.network.now
        for activity in self.activities:
            if activity.state == "done":
                self._done(activity)
        begun = [a for a in self.activities if a.state == "started"]
        begun.sort(key=lambda a: (a.rank[1], a.fact_start or 0, a.id))
        for activity in begun:
            bound = max(now, activity.earliest) if activity.kind != "parcel" else LONG_AGO
            if activity.kind == "parcel":
                self.move_begun(activity.index)
                continue
            found = self._find(activity, bound, Reason("now"), forced=None)
            if isinstance(found, Placed):
                self._put(activity, found)
            else:
                self.failed.add(activity.index)

    def move_begun(self, index: int) -> None:
        """Put a parcel that is on its way where its timing says."""
        activity = self.activities[index]
        timing = activity.choices[0].timing
        start = activity.fact_start if activity.fact_start is not None else self.network.now
        self.placed[index] = Placed(
            start=start, finish=timing.end(start), reasons=((Reason("now"), start),)
        )

    def _done(self, activity: Activity) -> None:
        start, finish = activity.fact_start, activity.fact_finish
        assert start is not None
        assert finish is not None
        self.placed[activity.index] = Placed(start=start, finish=finish)
        if activity.kind == "parcel" or activity.where is None:
            return
        touch = handle = finish
        if activity.coat is not None:
            touch = activity.coat.stage_end("touch", finish)
            handle = activity.coat.stage_end("handle", finish)
            following = activity.next_in_job
            if following is not None:
                begun = self.activities[following].fact_start
                if begun is not None and begun >= finish:
                    handle = min(handle, begun)
        pieces = ((start, finish),) if finish > start else ((finish - 1, finish),)
        at = Occupation(start, finish, pieces, touch, handle)
        self.site.take_fact(activity, at, self.network.now)

    def reserve(self, index: int) -> bool:
        """Place an activity at its fixed moment before anything else is placed."""
        activity = self.activities[index]
        if activity.at is None:
            return False
        found = self._find(activity, activity.at, Reason("bound"), forced=None)
        if not isinstance(found, Placed):
            return False
        self._put(activity, found)
        return True

    # -- one group -----------------------------------------------------------------------------

    def group(
        self,
        members: Sequence[int],
        key: Key,
        forced: Mapping[int, int] | None = None,
        delayed: Mapping[int, int] | None = None,
    ) -> bool:
        """Place the members (none of them placed yet) in the order of their keys.

        Args:
            key: smaller is placed first among those whose predecessors are placed.
            forced: choice of people by activity.
            delayed: least start by activity.

        Returns:
            Whether every member found its place.
        """
        pushes: dict[int, int] = dict(delayed or {})
        trail: list[tuple[int, int]] = []  # (activity, log mark before it)
        inside = set(members)
        waits = {
            index: sum(
                1
                for link in self.network.incoming[index]
                if link.pred in inside and self.placed[link.pred] is None
            )
            for index in members
        }
        ready = sorted((i for i in members if waits[i] == 0), key=key)
        repairs = 0
        given_up: set[int] = set()
        urgent: list[int] = []
        while ready:
            index = urgent.pop() if urgent else ready[0]
            if index not in ready:
                continue
            ready.remove(index)
            mark = self.site.log.mark()
            if index in given_up:
                outcome = None
                self.failed.add(index)
            else:
                outcome = self._place(index, pushes, forced)
            if isinstance(outcome, _Late):
                repairs += 1
                back = next((k for k, (i, _) in enumerate(trail) if i == outcome.pred), None)
                if back is None:
                    self.failed.add(index)
                else:
                    if repairs > MOST_REPAIRS or outcome.needed >= NEVER:
                        # Its window cannot be kept: what it pushed about goes back to its place.
                        given_up.add(index)
                        pushes = dict(delayed or {})
                    else:
                        pushes[outcome.pred] = max(
                            pushes.get(outcome.pred, LONG_AGO), outcome.needed
                        )
                    self.site.log.rollback(trail[back][1])
                    for undone, _ in trail[back:]:
                        self.placed[undone] = None
                        self.failed.discard(undone)
                    trail = trail[:back]
                    waits = {
                        i: sum(
                            1
                            for link in self.network.incoming[i]
                            if link.pred in inside
                            and self.placed[link.pred] is None
                            and link.pred not in self.failed
                        )
                        for i in members
                    }
                    ready = sorted(
                        (
                            i
                            for i in members
                            if waits[i] == 0 and self.placed[i] is None and i not in self.failed
                        ),
                        key=key,
                    )
                    urgent = []
                    continue
            trail.append((index, mark))
            fresh: list[int] = []
            for link in self.network.outgoing[index]:
                if link.succ in waits:
                    waits[link.succ] -= 1
                    if waits[link.succ] == 0 and self.placed[link.succ] is None:
                        fresh.append(link.succ)
            if fresh:
                ready.extend(fresh)
                ready.sort(key=key)
                urgent.extend(i for i in self.tied.get(index, ()) if i in fresh)
        return all(self.placed[index] is not None for index in members)

    def _place(
        self, index: int, pushes: Mapping[int, int], forced: Mapping[int, int] | None
    ) -> "Placed | _Late | None":
        activity = self.activities[index]
        bound, reason = self._bound(activity, pushes.get(index, LONG_AGO))
        if bound >= NEVER or index in self.hopeless:
            self.failed.add(index)
            return None
        held = self._lift_hold(index)
        found = self._find(activity, bound, reason, None if forced is None else forced.get(index))
        if isinstance(found, Placed):
            self._put(activity, found)
            self._shorten_hold(held, found.start)
        else:
            if held is not None:
                self._shorten_hold(held, NEVER)
            if found is None:
                self.failed.add(index)
        return found

    def _lift_hold(self, index: int) -> Activity | None:
        """Give up, for the time of looking, the place that the coat before holds for this step."""
        coat = self._holder.get(index)
        if coat is None or coat not in self.site.holds:
            return None
        self.site.release_hold(self.activities[coat])
        return self.activities[coat]

    def _shorten_hold(self, coat: Activity | None, start: int) -> None:
        if coat is None or coat.coat is None:
            return
        placed = self.placed[coat.index]
        assert placed is not None
        handle = coat.coat.stage_end("handle", placed.finish)
        until = min(handle, start) if start >= placed.finish else handle
        self.site.hold(coat, (placed.finish, until))

    def _put(self, activity: Activity, placed: Placed) -> None:
        self.placed[activity.index] = placed
        at = self._occupation(activity, placed.choice, placed.start)
        self.site.take(activity, placed.choice, at)

    def restore(self, members: Sequence[int], placed: Sequence[Placed | None]) -> None:
        """Put members (none of them placed) where an earlier schedule had them."""
        standing = [
            (at.start, index, at)
            for index, at in zip(members, placed, strict=True)
            if at is not None
        ]
        self.failed.update(index for index, at in zip(members, placed, strict=True) if at is None)
        for start, index, at in sorted(standing, key=lambda one: one[:2]):
            held = self._lift_hold(index)
            self._put(self.activities[index], at)
            self._shorten_hold(held, start)

    def _occupation(self, activity: Activity, choice: int, start: int) -> Occupation:
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

    def _bound(self, activity: Activity, pushed: int) -> tuple[int, Reason]:
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

    def _find(
        self, activity: Activity, bound: int, reason: Reason, forced: int | None
    ) -> "Placed | _Late | None":
        """The best start over the choices of people: the earliest finish, then the first named."""
        best: Placed | None = None
        late: _Late | None = None
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
    ) -> "Placed | _Late | None":
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
            if isinstance(moved, _Late):
                return moved
            if moved is not None:
                t = moved
                reasons.append((Reason("window"), t))
                continue
            at = self._occupation(activity, choice, start)
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
    ) -> "int | _Late | None":
        """Where a start must go to clear a window's hole; a `_Late` where it comes too late."""
        for link in incoming:
            if link.most is None:
                continue
            base = self._point(link.pred, link.point)
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
                return _Late(link.pred, NEVER)
            needed = value - link.most
            if link.point != START:
                placed = self.placed[link.pred]
                assert placed is not None
                chosen = pred.choices[placed.choice].timing
                needed = first_start_ending_at_or_after(chosen, needed)
            return _Late(link.pred, needed)
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
