"""How one group is settled within a small effort: priority rules first, then what betters them.

With an earlier plan at hand its order comes first, so that one changed fact moves few steps, and
it is enough to be no worse: what was promised stays.
"""

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.scope import REQUIRED
from episodes.schedule.group import Effort, Group, Schedule
from episodes.schedule.plan import Plan
from episodes.schedule.priorities import Key, Shaker, priority_rules


class Settler:
    """Settles one group."""

    def __init__(self, group: Group, before: Plan | None = None, keep: bool = False) -> None:
        self.group = group
        self.network = group.network
        self.members = group.members
        self.before = before
        self.keeps = keep and before is not None
        self.enough = group.floor
        if before is not None:
            known = any(scope.id == group.scope.id for scope in before.network.episodes)
            earlier = before.ready_by(group.scope.id) if known else None
            self.enough = max(group.floor, group.release, earlier or LONG_AGO)

    def settle(self, effort: Effort) -> None:
        """Find the best order within the effort and leave the generator at it."""
        group, before = self.group, self.before
        kept = self._keep_starts(before) if before is not None and self.keeps else None
        if kept is not None and (
            self._good_enough() or (group.kind != REQUIRED and kept.unplaced == 0)
        ):
            self._settle_kept(kept)
            return
        group.best = None
        if group.kind != REQUIRED:
            group.try_key(priority_rules(self.network, group.dates, self.members)[0])
            group.finish()
            return
        if before is not None:
            group.try_key(self._key_of_plan(before), self._choices_of_plan(before))
        if not self._good_enough():
            for key in priority_rules(self.network, group.dates, self.members):
                group.try_key(key)
                if self._good_enough():
                    break
        if not self._good_enough():
            self._improve(effort)
        if kept is not None and self._no_better_than(kept):
            # Nothing is won by another order: what was promised stays.
            self._settle_kept(kept)
            return
        group.finish()

    def as_before(self, plan: Plan) -> Schedule:
        """The schedule of an earlier plan's order, people and kept starts."""
        group = self.group
        kept = {i: plan.kept[i] for i in self.members if i in plan.kept}
        made = group.schedule(self.list_of(plan), self._choices_of_plan(plan), kept)
        group.keep(made)
        return made

    def list_of(self, plan: Plan) -> list[int]:
        """The members in the order of an earlier plan's starts."""
        return self.group.sequencer.by_key(self._key_of_plan(plan))

    def finish(self) -> None:
        """Leave the generator at the best schedule."""
        best = self.group.best
        if best is not None:
            self.group.generator.kept.update(best.delayed)
        self.group.finish()

    def _no_better_than(self, kept: Schedule) -> bool:
        best = self.group.best
        return best is None or kept.score[:2] <= best.score[:2]

    def _keep_starts(self, before: Plan) -> Schedule | None:
        """The schedule in which no start comes earlier than the plan before had it."""
        group = self.group
        group.try_list(
            group.sequencer.by_key(self._key_of_plan(before)),
            self._choices_of_plan(before),
            self._starts_of_plan(before),
        )
        return group.best

    def _settle_kept(self, kept: Schedule) -> None:
        self.group.best = kept
        self.group.generator.kept.update(kept.delayed)
        self.group.finish()

    def _good_enough(self) -> bool:
        best = self.group.best
        if best is None:
            return False
        if self.group.dates.hopeless.intersection(self.members):
            return True
        return best.unplaced == 0 and best.ready <= self.enough

    # -- the plan before -----------------------------------------------------------------------

    def _key_of_plan(self, plan: Plan) -> Key:
        starts = self._starts_of_plan(plan)
        late = self.group.dates.late_start

        def key(i: int) -> tuple[int, ...]:
            return (starts.get(i, late[i]), i)

        return key

    def _starts_of_plan(self, plan: Plan) -> dict[int, int]:
        starts = {
            activity.key: placed.start
            for activity, placed in zip(plan.network.activities, plan.placed, strict=True)
            if placed is not None
        }
        mine = self.network.activities
        return {i: starts[mine[i].key] for i in self.members if mine[i].key in starts}

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

    # -- improving -----------------------------------------------------------------------------

    def _improve(self, effort: Effort) -> None:
        """Push the best schedule back and forth, else shake it, until the effort is spent."""
        group = self.group
        assert group.best is not None
        shake = Shaker(7919 + group.episode_at)
        idle = 0
        pushed: Schedule | None = None
        while True:
            best = group.best
            met = best.unplaced == 0 and best.ready <= group.release
            if met:
                limit = effort.meets
            elif group.floor > group.release:
                limit = effort.proved
            else:
                limit = effort.slips
            open_still = not met and group.floor <= group.release
            if best.unplaced:
                limit = min(limit, effort.proved)
            patience = effort.patience_slips if open_still else effort.patience
            if self._good_enough() or group.tried >= limit or idle >= patience:
                return
            if effort.stop is not None and effort.stop():
                return
            if best is not pushed:
                pushed = best
                better = group.try_list(group.pushed(best), self._some_choices(best, None))
                idle += 1
            else:
                better = group.try_key(
                    self._shaken_key(best, shake), self._some_choices(best, shake)
                )
            idle = 0 if better else idle + 1

    def _some_choices(self, best: Schedule, shake: Shaker | None) -> dict[int, int]:
        """The choices of a schedule; shaken, one in four goes to another person."""
        forced = self.group.choices(best)
        if shake is not None:
            for i in forced:
                count = len(self.network.activities[i].choices)
                other = shake.below(count)
                if shake.below(4) == 0:
                    forced[i] = other
        return forced

    def _shaken_key(self, best: Schedule, shake: Shaker) -> Key:
        starts = {
            i: spot[0] for i, spot in zip(self.members, best.spots, strict=True) if spot is not None
        }
        span = 1 + (max(starts.values(), default=0) - min(starts.values(), default=0)) // 8
        moved = {i: starts.get(i, NEVER) - shake.below(span) for i in self.members}

        def key(i: int) -> tuple[int, ...]:
            return (moved[i], i)

        return key
