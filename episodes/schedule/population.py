"""A population of schedules of one group, crossed, pushed from behind and generated anew.

Activity lists as genes and a two-point crossover (Hartmann: "A competitive genetic algorithm for
resource-constrained project scheduling", Naval Research Logistics 45 (1998) 733-750); every child
is placed from its end first and then from its beginning, so that each is a doubly justified
schedule (Valls, Ballestín, Quintanilla 2005, see `justify`). A child takes the place of the parent
whose turn it is, and only where it is no worse: the population stays mixed. Both sources are from
memory; sizes and rates were found by measuring on public instances.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from random import Random

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.schedule.group import NO_CHOICES, Group, Schedule

FEWEST, MOST = 8, 40
"""Schedules in a population; the most is halved where a group has many members."""

MANY = 90
"""Members from which a group counts as large."""

SCHEDULES_EACH = 60
"""Schedules of the whole effort for each one of the population."""

MUTATION = 0.05
"""Share of a child's activities that move elsewhere in its list, or to other people."""

REACH = 12
"""Places by which a mutation moves an activity at most."""

RIVALS = 3
"""Schedules of which the best becomes the other parent."""

WINDOW = (0.25, 0.75)
"""Least and greatest share of a child's list that comes from one parent in one piece."""

IDLE_ROUNDS = 12
"""Rounds over the whole population without a change, after which it is made anew."""


@dataclass(frozen=True, slots=True)
class Member:
    """One schedule with its activities in the order of their finishes."""

    schedule: Schedule
    order: tuple[int, ...]
    choices: dict[int, int]


class Population:
    """Evolves schedules of one group, for as many as it is given."""

    def __init__(self, group: Group, seed: int) -> None:
        self.group = group
        # `Random.random` gives the same numbers from one seed on every machine and version.
        self.chance = Random(seed).random
        self.before = {i: frozenset(some) for i, some in group.sequencer.before.items()}
        self.behind = {i: frozenset(some) for i, some in group.sequencer.behind.items()}
        self.counts = {
            i: count for i in group.members if (count := len(group.generator.tasks[i].choices)) > 1
        }
        dates = group.dates
        late = [d for i in group.members if (d := dates.late_start[i]) < NEVER]
        last = max(late, default=0)
        self.late = {i: max(min(dates.late_start[i], last), LONG_AGO) for i in group.members}
        spans = [
            dates.early_finish[i] - dates.early_start[i]
            for i in group.members
            if dates.early_finish[i] < NEVER
        ]
        self.unit = max(1, sum(spans) // max(1, 5 * len(spans)))

    def evolve(
        self,
        until: int,
        floor: int,
        seeds: Iterable[Sequence[int]] = (),
        stop: Callable[[], bool] | None = None,
    ) -> None:
        """Better the group's best schedule.

        Args:
            until: schedules tried in the group, at which it ends.
            floor: ready moment that is good enough.
            seeds: lists to begin with.
            stop: asked now and again; it ends once it says yes.
        """
        group = self.group
        most = MOST if len(group.members) < MANY else MOST // 2
        size = max(FEWEST, min(most, (until - group.tried) // SCHEDULES_EACH))

        def over() -> bool:
            best = group.best
            if best is not None and best.unplaced == 0 and best.ready <= floor:
                return True
            return group.tried >= until or (stop is not None and stop())

        first = list(seeds)
        while not over():
            members = self._beginning(size, first, over)
            first = [] if group.best is None else [group.best.listed]
            idle = 0
            while idle < IDLE_ROUNDS and len(members) > 1 and not over():
                idle = 0 if self._round(members, over) else idle + 1

    def _beginning(
        self, size: int, seeds: Sequence[Sequence[int]], over: Callable[[], bool]
    ) -> list[Member]:
        members: list[Member] = []
        known: set[tuple[int, int, int]] = set()
        waiting = list(seeds)
        for _ in range(3 * size):
            if len(members) >= size or over():
                break
            listed = waiting.pop(0) if waiting else self._sampled()
            made = self.group.schedule(listed, NO_CHOICES if waiting else self._free_choices())
            self.group.keep(made)
            again = self.group.schedule(self.group.pushed(made), self.group.choices(made))
            self.group.keep(again)
            better = min(made, again, key=lambda s: s.score)
            if better.score not in known:
                known.add(better.score)
                members.append(self._member(better))
        return members

    def _member(self, schedule: Schedule) -> Member:
        ends = {
            i: (NEVER, NEVER, i) if spot is None else (spot[1], spot[0], i)
            for i, spot in zip(self.group.members, schedule.spots, strict=True)
        }
        order = sorted(self.group.members, key=lambda i: ends[i])
        return Member(schedule, tuple(order), self.group.choices(schedule))

    def _round(self, members: list[Member], over: Callable[[], bool]) -> bool:
        """Each schedule has one child with another; whether any child took its place."""
        changed = False
        for place, one in enumerate(members):
            if over():
                break
            other = min(
                (members[self._below(len(members))] for _ in range(RIVALS)),
                key=lambda member: member.schedule.score,
            )
            if other is one:
                other = members[self._below(len(members))]
            outer, inner = (one, other) if self.chance() < 0.5 else (other, one)
            child = self._child(outer, inner)
            self.group.keep(child)
            if child.score <= one.schedule.score:
                changed = changed or child.score < one.schedule.score
                members[place] = self._member(child)
        return changed

    def _child(self, outer: Member, inner: Member) -> Schedule:
        group = self.group
        count = len(outer.order)
        low, high = WINDOW
        width = int(count * (low + (high - low) * self.chance()))
        begin = self._below(count - width + 1)
        head = outer.order[:begin]
        seen = set(head)
        middle = [i for i in inner.order if i not in seen][:width]
        seen.update(middle)
        order = [*head, *middle, *(i for i in outer.order if i not in seen)]
        choices = dict(outer.choices)
        for i in middle:
            if i in inner.choices:
                choices[i] = inner.choices[i]
        self._mutate(order)
        forced = self._mutated(choices)
        best = group.best
        ready = outer.schedule.ready if best is None else best.ready
        return group.schedule(group.from_behind(order, ready, choices), forced)

    def _mutate(self, order: list[int]) -> None:
        """Move some activities elsewhere between those before and those behind them."""
        for place in range(len(order)):
            if self.chance() >= MUTATION:
                continue
            i = order[place]
            behind, before = self.behind[i], self.before[i]
            low = high = place
            while high + 1 < len(order) and high - place < REACH and order[high + 1] not in behind:
                high += 1
            while low > 0 and place - low < REACH and order[low - 1] not in before:
                low -= 1
            order.insert(low + self._below(high - low + 1), order.pop(place))

    def _mutated(self, choices: dict[int, int]) -> dict[int, int]:
        """The choices, some of them left to whoever is done first, some to anyone."""
        forced = {}
        for i, choice in choices.items():
            dice = self.chance()
            if dice < MUTATION:
                forced[i] = self._below(self.counts[i])
            elif dice >= 3 * MUTATION:
                forced[i] = choice
        return forced

    def _free_choices(self) -> dict[int, int]:
        """Half of the choices left open, the others by chance."""
        return {i: self._below(count) for i, count in self.counts.items() if self.chance() < 0.5}

    def _sampled(self) -> list[int]:
        """A list drawn at random, urgent activities likelier first (regret on latest starts)."""
        sequencer, late, unit = self.group.sequencer, self.late, self.unit
        waits = {i: len(preds) for i, preds in sequencer.before.items()}
        ready = [i for i in self.group.members if not waits[i]]
        drawn: list[int] = []
        while ready:
            worst = max(late[i] for i in ready)
            weights = [1 + (worst - late[i]) / unit for i in ready]
            dice = self.chance() * sum(weights)
            at = 0
            while at < len(weights) - 1 and dice >= weights[at]:
                dice -= weights[at]
                at += 1
            i = ready.pop(at)
            drawn.append(i)
            for j in sequencer.behind[i]:
                waits[j] -= 1
                if not waits[j]:
                    ready.append(j)
        return sequencer.by_rank(drawn)

    def _below(self, limit: int) -> int:
        return int(self.chance() * limit)
