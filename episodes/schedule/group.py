"""One group of activities: many orders tried, the best schedule kept.

The first orders come from priority rules, then from pushing the best schedule back against its
own ready moment, then from shaken copies of it.
"""

from collections.abc import Callable
from dataclasses import dataclass

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, START, Network
from episodes.network.dates import Dates, over
from episodes.network.scope import REQUIRED
from episodes.schedule.generate import Generator
from episodes.schedule.plan import Placed, Plan
from episodes.schedule.priorities import Key, Shaker, priority_rules
from episodes.trade.products import STAGES

MOST_TIGHTENINGS = 4
"""Times a finished schedule is generated again in the order of its own starts."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How many schedules a group may cost.

    Attributes:
        meets: for an episode that meets its release already.
        slips: for one that does not, and is not proved to slip.
        proved: for one whose dates alone prove that it slips.
        patience: schedules without a better one after which the search ends.
        patience_slips: the same where whether it slips is still open.
        stop: asked between schedules; once it says yes the best so far stands.
    """

    meets: int = 16
    slips: int = 160
    proved: int = 24
    patience: int = 8
    patience_slips: int = 48
    stop: Callable[[], bool] | None = None


@dataclass(frozen=True, slots=True)
class _Score:
    unplaced: int
    ready: int
    total: int

    @property
    def order(self) -> tuple[int, int, int]:
        return self.unplaced, self.ready, self.total


_Best = tuple[_Score, list[Placed | None], dict[int, int]]
"""A schedule: its score, where its members stand, the choices of people it was forced to."""


class Group:
    """One group of activities, all nearer groups fixed."""

    def __init__(
        self,
        network: Network,
        dates: Dates,
        generator: Generator,
        rank: tuple[int, int],
        members: list[int],
        before: Plan | None,
        keep: bool = False,
    ) -> None:
        self.network = network
        self.dates = dates
        self.generator = generator
        self.members = members
        self.before = before
        self.keep = keep and before is not None
        self.kept: dict[int, int] = {}
        self.kind, self.episode_at = rank
        scope = network.episodes[self.episode_at]
        self.release = scope.release
        self.floor = max(
            (over(network, i, dates.early_finish[i]) for i in scope.required), default=LONG_AGO
        )
        self.watched = [i for i in scope.required if i in set(members)]
        self.fixed = [
            over(network, i, placed.finish)
            for i in scope.required
            if (placed := generator.placed[i]) is not None
        ]
        # With an earlier plan at hand it is enough to be no worse: what was promised stays.
        self.enough = self.floor
        if before is not None:
            earlier = before.ready_by(scope.id) if scope.id in _ids(before) else None
            self.enough = max(self.floor, self.release, earlier or LONG_AGO)
        self.mark = generator.site.log.mark()
        self.best: _Best | None = None
        self.tried = 0

    def settle(self, effort: Effort) -> None:
        """Find the best order within the effort and leave the generator at it."""
        kept = self._keep_starts()
        if kept is not None and (
            self._good_enough() or (self.kind != REQUIRED and self._all_placed())
        ):
            self._settle_kept(kept)
            return
        self.kept, self.best = {}, None
        if self.kind != REQUIRED:
            self._try(priority_rules(self.network, self.dates, self.members)[0])
            self._finish()
            return
        if self.before is not None:
            self._try(self._key_of_plan(self.before), self._choices_of_plan(self.before))
        if not self._good_enough():
            for key in priority_rules(self.network, self.dates, self.members):
                self._try(key)
                if self._good_enough():
                    break
        if not self._good_enough():
            self._improve(effort)
        if kept is not None and self._no_better_than(kept[0]):
            # Nothing is won by another order: what was promised stays.
            self._settle_kept(kept)
            return
        self._finish()

    def _no_better_than(self, other: _Score) -> bool:
        if self.best is None:
            return True
        score = self.best[0]
        return (other.unplaced, other.ready) <= (score.unplaced, score.ready)

    def _keep_starts(self) -> "_Best | None":
        """The schedule in which no start comes earlier than the plan before had it."""
        if self.before is None or not self.keep:
            return None
        self.kept = self._starts_of_plan(self.before)
        self._try(self._key_of_plan(self.before), self._choices_of_plan(self.before))
        return self.best

    def _settle_kept(self, kept: "_Best") -> None:
        assert self.before is not None
        self.kept = self._starts_of_plan(self.before)
        self.best = kept
        self.generator.kept.update(self.kept)
        self._finish()

    def _all_placed(self) -> bool:
        return self.best is not None and self.best[0].unplaced == 0

    def _good_enough(self) -> bool:
        if self.best is None:
            return False
        if self.dates.hopeless.intersection(self.members):
            return True
        score = self.best[0]
        return score.unplaced == 0 and score.ready <= self.enough

    # -- orders --------------------------------------------------------------------------------

    def _key_of_plan(self, plan: Plan) -> Key:
        places = {
            activity.key: placed.start
            for activity, placed in zip(plan.network.activities, plan.placed, strict=True)
            if placed is not None
        }
        mine = self.network.activities

        def key(i: int) -> tuple[int, ...]:
            return (places.get(mine[i].key, self.dates.late_start[i]), i)

        return key

    def _starts_of_plan(self, plan: Plan) -> dict[int, int]:
        starts = {
            activity.key: placed.start
            for activity, placed in zip(plan.network.activities, plan.placed, strict=True)
            if placed is not None
        }
        return {
            i: starts[self.network.activities[i].key]
            for i in self.members
            if self.network.activities[i].key in starts
        }

    def _choices_of_plan(self, plan: Plan) -> dict[int, int]:
        chosen: dict[tuple[str, str], tuple[str, ...]] = {
            activity.key: activity.choices[placed.choice].people
            for activity, placed in zip(plan.network.activities, plan.placed, strict=True)
            if placed is not None and len(activity.choices) > 1
        }
        forced: dict[int, int] = {}
        for i in self.members:
            activity = self.network.activities[i]
            people = chosen.get(activity.key)
            if people is None:
                continue
            for at, choice in enumerate(activity.choices):
                if choice.people == people:
                    forced[i] = at
        return forced

    # -- trying --------------------------------------------------------------------------------

    def _try(self, key: Key, forced: dict[int, int] | None = None) -> bool:
        """Generate one schedule; whether it is better than the best before."""
        self._clear()
        self.generator.group(self.members, key, forced, self.kept)
        self.tried += 1
        score = self._score()
        if self.best is not None and score.order >= self.best[0].order:
            return False
        self.best = (score, [self.generator.placed[i] for i in self.members], forced or {})
        return True

    def _clear(self) -> None:
        self.generator.site.log.rollback(self.mark)
        for i in self.members:
            self.generator.placed[i] = None
            self.generator.failed.discard(i)

    def _score(self) -> _Score:
        placed = self.generator.placed
        unplaced = sum(1 for i in self.members if placed[i] is None)
        moments = list(self.fixed)
        total = 0
        for i in self.members:
            at = placed[i]
            if at is not None:
                total += at.finish
        for i in self.watched:
            at = placed[i]
            if at is not None:
                moments.append(over(self.network, i, at.finish))
        return _Score(unplaced, max(moments, default=LONG_AGO), total)

    def _finish(self) -> None:
        """Leave the generator at the best schedule, every start as early as its order allows."""
        assert self.best is not None
        _, placed, forced = self.best
        order = {i: p.start for i, p in zip(self.members, placed, strict=True) if p is not None}
        chosen = {i: p.choice for i, p in zip(self.members, placed, strict=True) if p is not None}

        def key(i: int) -> tuple[int, ...]:
            return (order.get(i, NEVER), i)

        for _ in range(MOST_TIGHTENINGS):
            if not self._try(key, {**forced, **chosen}):
                break
            order.update(self._best_starts())
        self._clear()
        self.generator.restore(self.members, self.best[1])

    def _improve(self, effort: Effort) -> None:
        assert self.best is not None
        shake = Shaker(7919 + self.episode_at)
        idle = 0
        while True:
            score = self.best[0]
            met = score.unplaced == 0 and score.ready <= self.release
            if met:
                limit = effort.meets
            elif self.floor > self.release:
                limit = effort.proved
            else:
                limit = effort.slips
            open_still = not met and self.floor <= self.release
            if score.unplaced:
                limit = min(limit, effort.proved)
            patience = effort.patience_slips if open_still else effort.patience
            if self._good_enough() or self.tried >= limit or idle >= patience:
                return
            if effort.stop is not None and effort.stop():
                return
            starts = self._best_starts()
            if self.tried % 2 == 0:
                better = self._try(self._backward_key(starts), self._some_choices(shake))
            else:
                better = self._try(self._shaken_key(starts, shake), self._some_choices(shake))
            idle = 0 if better else idle + 1

    def _best_starts(self) -> dict[int, int]:
        assert self.best is not None
        return {
            i: placed.start
            for i, placed in zip(self.members, self.best[1], strict=True)
            if placed is not None
        }

    def _some_choices(self, shake: "Shaker") -> dict[int, int]:
        """Keep most choices of the best schedule; let one in four go to another person."""
        assert self.best is not None
        forced: dict[int, int] = {}
        for i, placed in zip(self.members, self.best[1], strict=True):
            count = len(self.network.activities[i].choices)
            if count > 1 and placed is not None:
                forced[i] = shake.below(count) if shake.below(4) == 0 else placed.choice
        return forced

    def _shaken_key(self, starts: dict[int, int], shake: "Shaker") -> Key:
        span = 1 + (max(starts.values(), default=0) - min(starts.values(), default=0)) // 8
        moved = {i: starts.get(i, NEVER) - shake.below(span) for i in self.members}

        def key(i: int) -> tuple[int, ...]:
            return (moved[i], i)

        return key

    def _backward_key(self, starts: dict[int, int]) -> Key:
        """Latest starts when the schedule is pushed against its own ready moment.

        People's queues are kept in their order; gear, places and air are not looked at, which is
        enough to tell urgent from idle in the next forward schedule.
        """
        assert self.best is not None
        ready = self.best[0].ready
        latest: dict[int, int] = {}
        free: dict[str, int] = {}
        placed_of = dict(zip(self.members, self.best[1], strict=True))
        for i in sorted(starts, key=lambda i: (-starts[i], -i)):
            activity = self.network.activities[i]
            placed = placed_of[i]
            assert placed is not None
            choice = activity.choices[placed.choice]
            cap = ready
            start_cap = NEVER
            for link in self.network.outgoing[i]:
                if link.succ not in latest:
                    continue
                bound = latest[link.succ] - link.least
                if link.to_finish:
                    continue
                if link.point == START:
                    start_cap = min(start_cap, bound)
                elif link.point == FINISH or activity.coat is None:
                    cap = min(cap, bound)
                else:
                    cap = min(cap, activity.coat.latest_finish(STAGES[link.point - 2], bound))
            for person in choice.people:
                cap = min(cap, free.get(person, NEVER))
            start = min(choice.timing.end_by(cap), start_cap)
            start = max(choice.timing.fit_back(start), starts[i])
            latest[i] = start
            for person in choice.people:
                free[person] = start

        def key(i: int) -> tuple[int, ...]:
            return (latest.get(i, NEVER), starts.get(i, NEVER), i)

        return key


def _ids(plan: Plan) -> set[str]:
    return {scope.id for scope in plan.network.episodes}
