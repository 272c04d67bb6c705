"""The plan of a season: group by group, several orders each, the best kept.

Groups are the episodes by release (what each release waits for), then what comes after releases,
then what is optional; a nearer group is fixed before a farther one is begun. Within a group the
first orders come from priority rules, then from backward-forward improvement, then from shaken
copies of the best. All effort is counted in schedules, so the same input gives the same plan.
"""

from collections import defaultdict

from episodes.calendars.working_time import NEVER
from episodes.network.activity import Network
from episodes.network.dates import Dates
from episodes.network.scope import REQUIRED
from episodes.schedule.generate import Generator
from episodes.schedule.group import Effort, Group
from episodes.schedule.plan import Plan


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
    effort = effort or Effort()
    generator = _all_groups(network, dates, effort, before, keep, reserved=(), first=first)
    plan = _plan_of(network, generator)
    appointments = _appointments(network, plan)
    if appointments:
        # A nearer room's work stands where a farther one has an appointment: keep it free, if
        # that costs no nearer room anything.
        other = _all_groups(
            network, dates, effort, before, keep, reserved=appointments, first=first
        )
        kept = _plan_of(network, other)
        if _obeys_links(kept, appointments) and merit(kept, first) < merit(plan, first):
            return kept
    return plan


def _plan_of(network: Network, generator: Generator) -> Plan:
    return Plan(
        network=network,
        placed=tuple(generator.placed),
        kept=dict(generator.kept),
        ran_out=frozenset(i for i in generator.ran_out if generator.placed[i] is None),
    )


def _all_groups(
    network: Network,
    dates: Dates,
    effort: Effort,
    before: Plan | None,
    keep: bool,
    reserved: tuple[int, ...],
    first: str | None,
) -> Generator:
    groups: dict[tuple[int, int], list[int]] = defaultdict(list)
    generator = Generator(network, dates.hopeless)
    kept = {index for index in reserved if generator.reserve(index)}
    for index in network.order:
        activity = network.activities[index]
        if generator.to_place(index) and index not in kept:
            groups[activity.rank].append(index)
    ahead = None if first is None else (REQUIRED, network.scope(first).order)
    for rank in sorted(groups, key=lambda rank: (rank != ahead, rank)):
        Group(network, dates, generator, rank, groups[rank], before, keep).settle(effort)
    return generator


def _appointments(network: Network, plan: Plan) -> tuple[int, ...]:
    """Activities at a fixed moment, where some of them found no place in the plan."""
    fixed = [
        a.index
        for a in network.activities
        if a.at is not None and a.state == "open" and a.kind != "parcel" and not a.optional
    ]
    return tuple(fixed) if any(plan.placed[index] is None for index in fixed) else ()


def _obeys_links(plan: Plan, indices: tuple[int, ...]) -> bool:
    for index in indices:
        placed = plan.placed[index]
        if placed is None:
            continue
        for link in plan.network.incoming[index]:
            pred = plan.placed[link.pred]
            if pred is None or pred.finish + link.least > (
                placed.finish if link.to_finish else placed.start
            ):
                return False
    return True


def merit(plan: Plan, first: str | None = None) -> list[tuple[int, int]]:
    """Smaller is better: by episode (`first` before all), what has no place, the ready moment."""
    return [
        (
            sum(1 for index in scope.required if plan.placed[index] is None),
            NEVER if (ready := plan.ready_by(scope.id)) is None else ready,
        )
        for scope in sorted(plan.network.episodes, key=lambda s: (s.id != first, s.order))
    ]
