"""Serial schedule generation: one activity after another at its first feasible moment.

The order comes from a list of keys; every jump of the search for a start is safe, since a step
once begun works every open minute: any start before the end of what it clashes with still meets
it. Upper bounds (a longest recoat time, a tied wait) that a start breaks push their earlier end
to where it must be, take it and all placed since out again, and go on (unscheduling).
"""

from collections.abc import Iterable, Mapping, Sequence

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import Activity, Network
from episodes.schedule.occupation import Occupation
from episodes.schedule.plan import Placed, Reason
from episodes.schedule.priorities import Key
from episodes.schedule.starts import StartFinder, TooLate

MOST_REPAIRS = 200
"""Unschedulings in one group before its list is given up."""


class Generator(StartFinder):
    """Places activities on a site, group by group.

    Attributes:
        hopeless: activities that no schedule has room for; they are not tried.
        kept: see `Plan.kept`.
        deferred: begun activities that cannot go on before something planned; they are placed
            with their group.
    """

    def __init__(self, network: Network, hopeless: Iterable[int] = ()) -> None:
        super().__init__(network)
        self.hopeless = frozenset(hopeless)
        self.kept: dict[int, int] = {}
        self.deferred: set[int] = set()
        self._holder: dict[int, int] = {}
        for activity in self.activities:
            if activity.coat is not None and activity.next_in_job is not None:
                self._holder[activity.next_in_job] = activity.index
        self._facts()

    def to_place(self, index: int) -> bool:
        """Whether an activity is placed with its group: open, or begun and deferred."""
        return self.activities[index].state == "open" or index in self.deferred

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
            index = activity.index
            bound = max(now, activity.earliest) if activity.kind != "parcel" else LONG_AGO
            if activity.kind == "parcel":
                self.move_begun(index)
                continue
            if any(self.placed[link.pred] is None for link in self.network.incoming[index]):
                # Its finish waits for something still to be planned: so does going on with it.
                self.deferred.add(index)
                continue
            found = self.find_start(activity, bound, Reason("now"), forced=None)
            if isinstance(found, Placed):
                self._put(activity, found)
            else:
                self.failed.add(index)

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
        found = self.find_start(activity, activity.at, Reason("bound"), forced=None)
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
        earlier = {
            index: [link.pred for link in self.network.incoming[index] if link.pred in inside]
            for index in members
        }
        waits = {
            index: sum(1 for pred in preds if self.placed[pred] is None)
            for index, preds in earlier.items()
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
            if isinstance(outcome, TooLate):
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
                            for pred in preds
                            if self.placed[pred] is None and pred not in self.failed
                        )
                        for i, preds in earlier.items()
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
    ) -> "Placed | TooLate | None":
        activity = self.activities[index]
        bound, reason = self.lower_bound(activity, pushes.get(index, LONG_AGO))
        if bound >= NEVER or index in self.hopeless:
            self.failed.add(index)
            return None
        held = self._lift_hold(index)
        found = self.find_start(
            activity, bound, reason, None if forced is None else forced.get(index)
        )
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
        at = self.occupation(activity, placed.choice, placed.start)
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
