"""In which order a group's activities are placed: predecessors first, whatever the keys say."""

import heapq
from collections.abc import Iterable, Mapping, Sequence

from episodes.network.activity import Network
from episodes.schedule.priorities import Key


class Sequencer:
    """Turns keys into activity lists: every activity behind its predecessors of the group.

    Attributes:
        members: the group's activities, predecessors first.
    """

    def __init__(
        self, network: Network, members: Sequence[int], tied: Mapping[int, tuple[int, ...]]
    ) -> None:
        self.members = list(members)
        inside = set(members)
        self.tied = {i: tails for i, tails in tied.items() if i in inside}
        self.before = {
            i: sorted({link.pred for link in network.incoming[i] if link.pred in inside})
            for i in members
        }
        self.behind: dict[int, list[int]] = {i: [] for i in members}
        for i, preds in self.before.items():
            for pred in preds:
                self.behind[pred].append(i)

    def by_key(self, key: Key) -> list[int]:
        """The list that takes, of all whose predecessors stand in it, the one of least key."""
        return self.by_rank(sorted(self.members, key=key))

    def by_rank(self, wanted: Iterable[int]) -> list[int]:
        """The same, the keys given as an order of all members.

        A wait that is tied to the end of an activity stands right behind it.
        """
        ranked = list(wanted)
        if not self.tied and self._in_order(ranked):
            return ranked
        rank = {i: place for place, i in enumerate(ranked)}
        waits = {i: len(preds) for i, preds in self.before.items()}
        ready = [rank[i] for i in self.members if not waits[i]]
        heapq.heapify(ready)
        listed: list[int] = []
        taken: set[int] = set()
        while ready:
            urgent = [ranked[heapq.heappop(ready)]]
            while urgent:
                i = urgent.pop()
                if i in taken:
                    continue
                taken.add(i)
                listed.append(i)
                fresh = []
                for j in self.behind[i]:
                    waits[j] -= 1
                    if not waits[j]:
                        fresh.append(j)
                        heapq.heappush(ready, rank[j])
                urgent.extend(j for j in self.tied.get(i, ()) if j in fresh)
        return listed

    def _in_order(self, ranked: Sequence[int]) -> bool:
        before = self.before
        seen: set[int] = set()
        for i in ranked:
            for pred in before[i]:
                if pred not in seen:
                    return False
            seen.add(i)
        return True
