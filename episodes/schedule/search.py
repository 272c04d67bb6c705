"""The plan of a season: group by group, several orders each, the best kept.

Groups are the episodes by release (what each release waits for), then what comes after releases,
then what is optional; a nearer group is fixed before a farther one is begun. All effort is counted
in schedules, so the same input gives the same plan.
"""

from collections import defaultdict
from collections.abc import Callable

from episodes.calendars.working_time import NEVER
from episodes.network.activity import FINISH, START, Link, Network
from episodes.network.dates import Dates
from episodes.network.scope import REQUIRED
from episodes.schedule.generate import Generator
from episodes.schedule.group import Effort, Group
from episodes.schedule.plan import Plan
from episodes.schedule.settle import Settler
from episodes.trade.products import STAGES


def make_plan(
    network: Network,
    dates: Dates,
    *,
    effort: Effort | None = None,
    before: Plan | None = None,
    keep: bool = False,
    first: str | None = None,
) -> Plan:
    """The best plan found within the effort.

    Args:
        dates: of the same network.
        before: an earlier plan of nearly the same network; its order is tried first, and kept
            where it is as good as any.
        keep: with `before`: no start comes earlier than it was, so that nothing moves that need
            not. Only where the change makes things later.
        first: an episode whose group is planned before all others.
    """
    chosen = effort or Effort()

    def settle(group: Group) -> None:
        Settler(group, before, keep).settle(chosen)

    plan = plan_groups(network, dates, settle, first=first)
    appointments = _appointments(network, plan)
    if appointments:
        # A nearer room's work stands where a farther one has an appointment: keep it free, if
        # that costs no nearer room anything.
        kept = plan_groups(network, dates, settle, reserved=appointments, first=first)
        if _obeys_links(kept, appointments) and merit(kept, first) < merit(plan, first):
            return kept
    return plan


def plan_groups(
    network: Network,
    dates: Dates,
    settle: Callable[[Group], None],
    *,
    reserved: tuple[int, ...] = (),
    first: str | None = None,
) -> Plan:
    """The plan whose groups are settled one after another.

    Args:
        settle: leaves a group's generator at the schedule it chose.
        reserved: activities placed at their fixed moments before all groups.
    """
    groups: dict[tuple[int, int], list[int]] = defaultdict(list)
    generator = Generator(network, dates.hopeless)
    kept = {index for index in reserved if generator.reserve(index)}
    for index in network.order:
        if generator.to_place(index) and index not in kept:
            groups[network.activities[index].rank].append(index)
    ahead = None if first is None else (REQUIRED, network.scope(first).order)
    for rank in sorted(groups, key=lambda rank: (rank != ahead, rank)):
        settle(Group(network, dates, generator, rank, groups[rank]))
    placed = generator.placed
    return Plan(
        network=network,
        placed=placed,
        kept=dict(generator.kept),
        ran_out=frozenset(i for i in generator.ran_out if placed[i] is None),
    )


def _appointments(network: Network, plan: Plan) -> tuple[int, ...]:
    """Activities at a fixed moment, where some of them found no place in the plan."""
    fixed = [
        a.index
        for a in network.activities
        if a.at is not None and a.state == "open" and a.kind != "parcel" and not a.optional
    ]
    return tuple(fixed) if any(plan.placed[index] is None for index in fixed) else ()


def _obeys_links(plan: Plan, indices: tuple[int, ...]) -> bool:
    """Whether what was placed before its turn keeps its links, upper bounds and windows too."""
    for index in indices:
        placed = plan.placed[index]
        if placed is None:
            continue
        for link in plan.network.incoming[index]:
            base = _point(plan, link, link.point)
            if base is None:
                return False
            moment = placed.finish if link.to_finish else placed.start
            if moment < base + link.least:
                return False
            if link.most is None or moment <= base + link.most:
                continue
            void = None if link.void_after is None else _point(plan, link, link.void_after)
            if void is not None and void > base + link.most:
                continue
            second = None if link.or_point is None else _point(plan, link, link.or_point)
            if second is None or moment < second + link.or_gap:
                return False
    return True


def _point(plan: Plan, link: Link, point: int) -> int | None:
    """When a point of a link's earlier end comes in a plan; None where it has no place."""
    placed = plan.placed[link.pred]
    if placed is None:
        return None
    if point == START:
        return placed.start
    coat = plan.network.activities[link.pred].coat
    if point == FINISH or coat is None:
        return placed.finish
    return coat.stage_end(STAGES[point - 2], placed.finish)


def merit(plan: Plan, first: str | None = None) -> list[tuple[int, int]]:
    """Smaller is better: by episode (`first` before all), what has no place, the ready moment."""
    return [
        (
            sum(1 for index in scope.required if plan.placed[index] is None),
            NEVER if (ready := plan.ready_by(scope.id)) is None else ready,
        )
        for scope in sorted(plan.network.episodes, key=lambda s: (s.id != first, s.order))
    ]
