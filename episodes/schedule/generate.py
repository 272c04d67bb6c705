"""Serial schedule generation: one activity after another at its first feasible moment.

The order comes from a list; every jump of the search for a start is safe, since a step once begun
works every open minute: any start before the end of what it clashes with still meets it. Upper
bounds (a longest recoat time, a tied wait) that a start breaks push their earlier end to where it
must be, take it and all placed since out again, and go on (unscheduling).
"""

from collections.abc import Iterable, Mapping, Sequence

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import Activity, Network
from episodes.schedule.occupation import Snapshot, Task
from episodes.schedule.plan import Placed, Reason
from episodes.schedule.priorities import Key
from episodes.schedule.sequences import Sequencer
from episodes.schedule.starts import Spot, StartFinder, TooLate, Trace

MOST_REPAIRS = 200
"""Unschedulings in one group before its list is given up."""

Reasons = tuple[tuple[Reason, int], ...]


class Generator(StartFinder):
    """Places activities on a site, group by group.

    Attributes:
        hopeless: activities that no schedule has room for; they are not tried.
        reasons: of what was placed with `explain`, what moved its start.
        kept: see `Plan.kept`.
        deferred: begun activities that cannot go on before something planned; they are placed
            with their group.
    """

    def __init__(self, network: Network, hopeless: Iterable[int] = ()) -> None:
        super().__init__(network)
        self.hopeless = frozenset(hopeless)
        self.reasons: dict[int, Reasons] = {}
        self.kept: dict[int, int] = {}
        self.deferred: set[int] = set()
        self._facts()

    @property
    def placed(self) -> tuple[Placed | None, ...]:
        """Where everything stands."""
        return tuple(self.placed_at(index) for index in range(len(self.spots)))

    def placed_at(self, index: int) -> Placed | None:
        """Where one activity stands; None where it has no place."""
        spot = self.spots[index]
        if spot is None:
            return None
        start, finish, choice, pieces = spot
        return Placed(
            start=start,
            finish=finish,
            choice=choice,
            pieces=pieces,
            reasons=self.reasons.get(index, ()),
        )

    def to_place(self, index: int) -> bool:
        """Whether an activity is placed with its group: open, or begun and deferred."""
        return self.tasks[index].activity.state == "open" or index in self.deferred

    # -- facts ---------------------------------------------------------------------------------

    def _facts(self) -> None:
        """Take what facts still hold, then let what has begun go on from now."""
        now = self.network.now
        begun: list[Activity] = []
        for activity in self.network.activities:
            if activity.state == "done":
                self._done(activity)
            elif activity.state == "started":
                begun.append(activity)
        begun.sort(key=lambda a: (a.rank[1], a.fact_start or 0, a.id))
        for activity in begun:
            index = activity.index
            if activity.kind == "parcel":
                self.move_begun(activity)
                continue
            if any(self.spots[link.pred] is None for link in self.network.incoming[index]):
                # Its finish waits for something still to be planned: so does going on with it.
                self.deferred.add(index)
                continue
            bound = max(now, activity.earliest)
            trace: Trace = [(Reason("now"), bound)]
            found = self.find_start(self.tasks[index], bound, trace=trace)
            if found is None or isinstance(found, TooLate):
                self._fail(index)
            else:
                self.reasons[index] = tuple(trace)
                self._put(index, found)

    def move_begun(self, activity: Activity) -> None:
        """Put a parcel that is on its way where its timing says."""
        index = activity.index
        timing = activity.choices[0].timing
        start = activity.fact_start if activity.fact_start is not None else self.network.now
        self._stand(index, (start, timing.end(start), 0, ()))
        self.reasons[index] = ((Reason("now"), start),)

    def _done(self, activity: Activity) -> None:
        start, finish = activity.fact_start, activity.fact_finish
        assert start is not None
        assert finish is not None
        self._stand(activity.index, (start, finish, 0, ()))
        if activity.kind == "parcel" or activity.where is None:
            return
        handle = finish
        if activity.coat is not None:
            handle = activity.coat.stage_end("handle", finish)
            following = activity.next_in_job
            if following is not None:
                begun = self.network.activities[following].fact_start
                if begun is not None and begun >= finish:
                    handle = min(handle, begun)
        pieces = ((start, finish),) if finish > start else ((finish - 1, finish),)
        self.site.take_fact(self.tasks[activity.index], start, finish, pieces, handle)

    def reserve(self, index: int) -> bool:
        """Place an activity at its fixed moment before anything else is placed."""
        task = self.tasks[index]
        if task.at is None:
            return False
        trace: Trace = [(Reason("bound"), task.at)]
        found = self.find_start(task, task.at, trace=trace)
        if found is None or isinstance(found, TooLate):
            return False
        self.reasons[index] = tuple(trace)
        self._put(index, found)
        return True

    # -- one group -----------------------------------------------------------------------------

    def sequencer(self, members: Sequence[int]) -> Sequencer:
        """What turns keys of these members into lists."""
        return Sequencer(
            self.network, members, {i: self.tasks[i].tied for i in members if self.tasks[i].tied}
        )

    def group(
        self, members: Sequence[int], key: Key, forced: Mapping[int, int] | None = None
    ) -> bool:
        """Place the members (none of them placed yet) in the order of their keys."""
        return self.generate(self.sequencer(members).by_key(key), forced)

    def generate(
        self,
        listed: Sequence[int],
        forced: Mapping[int, int] | None = None,
        delayed: Mapping[int, int] | None = None,
        *,
        explain: bool = False,
    ) -> bool:
        """Place activities (none of them placed yet) in the order of a list.

        Args:
            listed: predecessors first.
            forced: choice of people by activity.
            delayed: least start by activity.
            explain: keep what moved each start.

        Returns:
            Whether every one found its place.
        """
        pushes = dict(delayed) if delayed else {}
        forced = forced or {}
        marks: list[int] = []
        tasks, spots, hopeless, levels = self.tasks, self.spots, self.hopeless, self.levels
        log = self.site.log.steps
        repairs = 0
        given_up: set[int] = set()
        at = 0
        count = len(listed)
        while at < count:
            index = listed[at]
            task = tasks[index]
            marks.append(len(log))
            bound = self.lower_bound(task, pushes.get(index, LONG_AGO) if pushes else LONG_AGO)
            if bound >= NEVER or index in hopeless or index in given_up:
                self._fail(index)
                at += 1
                continue
            trace: Trace | None = None
            if explain:
                trace = [(self.why_bound(task, pushes.get(index, LONG_AGO)), bound)]
            if task.plain >= 0 and not explain:
                start, span = bound, task.plain
                if task.need and span:
                    start = levels.claim(bound, span, task.need)
                    log.append((levels.take, (start, start + span, -task.need)))
                self.starts[index] = start
                self.finishes[index] = finish = start + span
                spots[index] = (start, finish, 0, ((start, finish),) if span else ())
                at += 1
                continue
            lifted = task.frees >= 0 and self._lift_hold(task)
            found = self.find_start(task, bound, forced.get(index, -1), trace)
            if found is None or isinstance(found, TooLate):
                if lifted:
                    self._shorten_hold(task.frees, NEVER)
                back = -1
                if found is not None:
                    repairs += 1
                    back = listed.index(found.pred, 0, at) if found.pred in listed[:at] else -1
                if back < 0 or found is None:
                    self._fail(index)
                    at += 1
                    continue
                if repairs > MOST_REPAIRS or found.needed >= NEVER:
                    # Its window cannot be kept: what it pushed about goes back to its place.
                    given_up.add(index)
                    pushes = dict(delayed) if delayed else {}
                else:
                    pushes[found.pred] = max(pushes.get(found.pred, LONG_AGO), found.needed)
                self.site.log.rollback(marks[back])
                self.forget(listed[back : at + 1])
                del marks[back:]
                at = back
                continue
            if trace is not None:
                self.reasons[index] = tuple(trace)
            self._put(index, found)
            if lifted:
                self._shorten_hold(task.frees, found[0])
            at += 1
        return all(spots[index] is not None for index in listed)

    def clear(self, members: Iterable[int], to: Snapshot) -> None:
        """Take members out again, all of them placed after the snapshot."""
        to.put_back()
        self.forget(members)

    def forget(self, members: Iterable[int]) -> None:
        """Members have no place any more; the site is the caller's."""
        for index in members:
            self.spots[index] = None
            self.starts[index] = self.finishes[index] = LONG_AGO
        self.failed.difference_update(members)

    def _fail(self, index: int) -> None:
        self.failed.add(index)
        self.starts[index] = self.finishes[index] = NEVER

    def _lift_hold(self, task: Task) -> bool:
        """Give up, for the time of looking, the place that the coat before holds for this step."""
        if task.frees not in self.site.holds:
            return False
        self.site.release_hold(self.tasks[task.frees])
        return True

    def _shorten_hold(self, coat: int, start: int) -> None:
        task = self.tasks[coat]
        assert task.coat is not None
        finish = self.finishes[coat]
        handle = task.coat.stage_end("handle", finish)
        self.site.hold(task, (finish, min(handle, start) if start >= finish else handle))

    def _stand(self, index: int, spot: Spot) -> None:
        self.spots[index] = spot
        self.starts[index], self.finishes[index] = spot[0], spot[1]

    def _put(self, index: int, spot: Spot) -> None:
        self._stand(index, spot)
        start, finish, choice, pieces = spot
        task = self.tasks[index]
        if task.parcel:
            return
        self.site.take(task, choice, start, finish, pieces)
        if task.drying:
            until = self.drying_until(task, finish)
            if finish < until < NEVER:
                self.site.hold(task, (finish, until))

    def restore(self, members: Sequence[int], placed: Sequence[Placed | None]) -> None:
        """Put members (none of them placed) where an earlier plan had them."""
        self.stand(
            members,
            [None if at is None else (at.start, at.finish, at.choice, at.pieces) for at in placed],
        )
        for index, at in zip(members, placed, strict=True):
            if at is not None:
                self.reasons[index] = at.reasons

    def stand(self, members: Sequence[int], spots: Sequence[Spot | None]) -> None:
        """Put members (none of them placed) where an earlier schedule had them."""
        standing = []
        for index, spot in zip(members, spots, strict=True):
            if spot is None:
                self._fail(index)
            else:
                standing.append((spot[0], index, spot))
        for start, index, spot in sorted(standing):
            task = self.tasks[index]
            lifted = task.frees >= 0 and self._lift_hold(task)
            self._put(index, spot)
            if lifted:
                self._shorten_hold(task.frees, start)

    def swap(self, activities: Sequence[Activity]) -> None:
        """Plan with other activities of the same network from here on (a parcel's arrival)."""
        for activity in activities:
            task = self.tasks[activity.index]
            if task.activity is not activity:
                self.tasks[activity.index] = self.site.task_like(task, activity)
