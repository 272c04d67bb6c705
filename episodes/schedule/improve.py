"""A plan made better with more schedules: the search that `--prove` asks for.

Episode by episode, nearer ones first: a nearer room is never given up for a farther one. All
effort is counted in schedules; whoever calls may stop it earlier, and then holds the best plan
found so far.
"""

from collections.abc import Callable

from episodes.network.activity import Network
from episodes.network.dates import Dates
from episodes.schedule.group import Effort
from episodes.schedule.plan import Plan
from episodes.schedule.search import make_plan, merit


def improve(
    network: Network,
    dates: Dates,
    plan: Plan,
    *,
    schedules: int,
    stop: Callable[[], bool] | None = None,
    first: str | None = None,
) -> Plan:
    """The best plan found from `plan` with so many schedules more.

    Never worse than `plan`, compared episode by episode in the order of planning: fewer steps
    without a place, then an earlier ready moment.

    Args:
        dates: of the same network.
        plan: where the search begins.
        schedules: how many schedules it may cost in all.
        stop: asked between schedules; once it says yes the best so far is returned.
        first: an episode that is planned before all others.
    """
    share = max(1, schedules // max(1, len(network.episodes)))
    effort = Effort(
        meets=share, slips=share, proved=share, patience=share, patience_slips=share, stop=stop
    )
    found = make_plan(network, dates, effort=effort, first=first)
    return found if merit(found, first) < merit(plan, first) else plan
