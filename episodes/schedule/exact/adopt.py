"""A solution of the exact search made the plan: every start as early as its order allows.

The exact search knows no reasons and stops at any plan as good as the best. Generated anew in the
order of its starts, its people kept, it moves to the left and says what moved each start; where
that order alone does not lead as far (a window's other side, an order in the air), its starts are
kept as least starts. Rooms that the search left out are planned behind it, as always.
"""

from collections.abc import Mapping, Sequence

from episodes.calendars.working_time import NEVER
from episodes.network.activity import Network
from episodes.network.dates import Dates, over
from episodes.schedule.generate import Generator
from episodes.schedule.group import Effort, Group
from episodes.schedule.plan import Plan
from episodes.schedule.settle import Settler
from episodes.schedule.starts import Spot

MOST_TIGHTENINGS = 4
"""Times the plan is generated again in the order of its own starts."""


def adopt(
    network: Network,
    dates: Dates,
    spots: Mapping[int, Spot],
    caps: Mapping[str, int],
    *,
    effort: Effort,
    before: Plan | None = None,
) -> Plan | None:
    """The plan that has these spots for its beginning; None where it does not keep the caps.

    Args:
        spots: members of the search by number.
        caps: by episode, when it has to be ready at the latest.
        before: an earlier plan, whose order what was left out keeps.
    """
    generator = Generator(network, dates.hopeless)
    members = [index for index in network.order if index in spots]
    sequencer = generator.sequencer(members)
    empty = generator.site.snapshot()
    choices = {i: spots[i][2] for i in members if len(network.activities[i].choices) > 1}
    starts = {i: spots[i][0] for i in members}
    best: tuple[list[int], dict[int, int]] | None = None
    at = dict(starts)
    for delayed in ({}, starts):
        for _ in range(MOST_TIGHTENINGS):
            listed = sequencer.by_key(lambda i: (at[i], i))  # noqa: B023
            good = generator.generate(listed, choices, delayed) and _keeps(network, generator, caps)
            now = {i: generator.starts[i] for i in members}
            generator.clear(members, empty)
            if not good or (best is not None and sum(now.values()) >= sum(at.values())):
                break
            at, best = now, (listed, delayed)
        if best is not None:
            break
    if best is None:
        return None
    generator.generate(*(best[0], choices, best[1]), explain=True)
    generator.kept.update(best[1])
    _rest(network, dates, generator, members, effort, before)
    placed = generator.placed
    return Plan(
        network=network,
        placed=placed,
        kept=dict(generator.kept),
        ran_out=frozenset(i for i in generator.ran_out if placed[i] is None),
    )


def _keeps(network: Network, generator: Generator, caps: Mapping[str, int]) -> bool:
    return all(_ready(network, generator, episode) <= cap for episode, cap in caps.items())


def _ready(network: Network, generator: Generator, episode: str) -> int:
    return max(
        (
            NEVER if generator.spots[i] is None else over(network, i, generator.finishes[i])
            for i in network.scope(episode).required
        ),
        default=network.now,
    )


def _rest(
    network: Network,
    dates: Dates,
    generator: Generator,
    members: Sequence[int],
    effort: Effort,
    before: Plan | None,
) -> None:
    """Plan what the search left out, group by group."""
    inside = set(members)
    groups: dict[tuple[int, int], list[int]] = {}
    for index in network.order:
        if generator.to_place(index) and index not in inside:
            groups.setdefault(network.activities[index].rank, []).append(index)
    for rank in sorted(groups):
        Settler(Group(network, dates, generator, rank, groups[rank]), before).settle(effort)
