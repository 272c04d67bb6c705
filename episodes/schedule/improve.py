"""A plan made better with more schedules: the search that `--prove` asks for.

Episode by episode, nearer ones first: a nearer room is never given up for a farther one. All
effort is counted in schedules; whoever calls may stop it earlier, and then holds the best plan
found so far.
"""

from collections.abc import Callable, Mapping

from episodes.network.activity import Network
from episodes.network.dates import Dates
from episodes.network.scope import REQUIRED
from episodes.schedule.group import Effort, Group
from episodes.schedule.plan import Plan
from episodes.schedule.population import Population
from episodes.schedule.priorities import priority_rules
from episodes.schedule.search import merit, plan_groups
from episodes.schedule.settle import Settler

SEED = 7919


def improve(
    network: Network,
    dates: Dates,
    plan: Plan,
    *,
    schedules: int,
    stop: Callable[[], bool] | None = None,
    first: str | None = None,
    floors: Mapping[str, int] | None = None,
) -> Plan:
    """The best plan found from `plan` with so many schedules more.

    Never worse than `plan`, compared episode by episode in the order of planning: fewer steps
    without a place, then an earlier ready moment.

    Args:
        dates: of the same network.
        plan: where the search begins.
        schedules: how many schedules it may cost in all. What a room leaves over goes to those
            behind it.
        stop: asked between schedules; once it says yes the best so far is returned.
        first: an episode that is planned before all others.
        floors: by episode, ready moments that no plan betters, where more is known than dates say.
    """
    known = floors or {}
    left = [schedules]
    open_ends = [len(network.episodes)]

    def settle(group: Group) -> None:
        if group.kind != REQUIRED:
            Settler(group, plan).settle(Effort())
            return
        settler = Settler(group, plan)
        settler.as_before(plan)
        floor = max(group.floor, group.fixed, known.get(group.scope.id, group.floor))
        share = left[0] // max(1, open_ends[0])
        open_ends[0] -= 1
        if not dates.hopeless.intersection(group.members):
            rules = priority_rules(network, dates, group.members)
            Population(group, SEED + group.episode_at).evolve(
                share,
                floor,
                [settler.list_of(plan), *(group.sequencer.by_key(key) for key in rules[:4])],
                stop,
            )
        left[0] -= min(left[0], group.tried)
        settler.finish()

    found = plan_groups(network, dates, settle, first=first)
    return found if merit(found, first) < merit(plan, first) else plan
