"""Priority rules: which activity is placed first among those whose predecessors are placed."""

from collections.abc import Callable, Sequence

from episodes.calendars.working_time import NEVER
from episodes.network.activity import Network
from episodes.network.dates import Dates

Key = Callable[[int], tuple[int, ...]]
"""Smaller is placed first."""


def priority_rules(network: Network, dates: Dates, members: Sequence[int]) -> list[Key]:
    """Six orders, the best on average first: latest start, latest finish, longest tail, least
    slack, earliest start, file order."""
    tails = _tails(network, dates, members)

    def late_start(i: int) -> tuple[int, ...]:
        return (dates.late_start[i], dates.late_finish[i], i)

    def late_finish(i: int) -> tuple[int, ...]:
        return (dates.late_finish[i], dates.early_start[i], i)

    def longest_tail(i: int) -> tuple[int, ...]:
        return (-tails[i], dates.late_start[i], i)

    def least_slack(i: int) -> tuple[int, ...]:
        late = dates.late_finish[i]
        return (late - dates.early_finish[i] if late < NEVER else NEVER, dates.late_start[i], i)

    def early_start(i: int) -> tuple[int, ...]:
        return (dates.early_start[i], dates.late_start[i], i)

    def in_file_order(i: int) -> tuple[int, ...]:
        return (i,)

    return [late_start, late_finish, longest_tail, least_slack, early_start, in_file_order]


def _tails(network: Network, dates: Dates, members: Sequence[int]) -> dict[int, int]:
    """Elapsed likely minutes on the longest way from each member to the group's end."""
    tails: dict[int, int] = {}
    inside = set(members)
    for i in reversed([i for i in network.order if i in inside]):
        behind = max((tails.get(link.succ, 0) for link in network.outgoing[i]), default=0)
        tails[i] = behind + min(dates.early_finish[i] - dates.early_start[i], NEVER)
    return tails


class Shaker:
    """A small fixed generator of numbers: the same sequence on every machine."""

    __slots__ = ("state",)

    def __init__(self, seed: int) -> None:
        self.state = seed

    def below(self, limit: int) -> int:
        """A number in 0..limit-1 (linear congruence modulo 2^31 - 1, multiplier 48271)."""
        self.state = self.state * 48271 % 2147483647
        return self.state % limit if limit > 0 else 0
