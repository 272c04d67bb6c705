"""Minimal sets of ways that save a release, by implicit hitting sets.

Sets are tried in the order of their price. One that is proved to fail is grown as long as it still
fails; from then on only sets with something from outside it are tried (R. Reiter, "A theory of
diagnosis from first principles", Artificial Intelligence 32 (1987) 57-95). Growing holds among ways
that can only help; those that may also hurt (another product, another place) are kept apart: what
is learned beside some of them is used beside the same ones alone.

Nothing here knows what a way does: whether a set saves the release is asked, and counted.
"""

import heapq
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, field

Ids = frozenset[str]

MOST_LOOKED_AT = 1 << 16
"""Sets looked at, most of them passed over without a question."""
MOST_TOPS = 16
"""Largest sets without a contradiction that are asked for at once."""


@dataclass(frozen=True, slots=True)
class Price:
    """What one way costs; compared in this order, negative values counting as nothing."""

    loses: float
    cost: float


@dataclass(frozen=True, slots=True)
class Asking:
    """The questions of a search.

    Attributes:
        saves: whether a set saves the release; None where that stays open. Counted.
        weak: whether a quick look proves that a set does not.
        clash: whether two ways change the same thing, so that only one can be taken.
        helps: beside these doubtful ways, which of some others never make anything later, whatever
            more of them is taken.
        stopped: whether to give up, asked between questions.
    """

    saves: Callable[[Ids], bool | None]
    weak: Callable[[Ids], bool]
    clash: Callable[[str, str], bool]
    helps: Callable[[Ids, Ids], Ids]
    stopped: Callable[[], bool] = lambda: False


@dataclass(frozen=True, slots=True)
class Found:
    """`sets` in the order of their price; `complete`: proved that there is no other."""

    sets: tuple[Ids, ...]
    complete: bool


def minimal_sets(
    prices: dict[str, Price], doubtful: Collection[str], ask: Asking, *, questions: int
) -> Found:
    """The minimal sets of ways that save the release.

    Args:
        prices: by way.
        doubtful: ways that may make things later.
        questions: how many sets may be asked for.
    """
    return _Search(prices, frozenset(doubtful), ask, questions).run()


@dataclass(slots=True)
class _Beside:
    """What is known of sets that have the same doubtful ways.

    Attributes:
        helping: ways that only help beside them.
        tops: the largest sets of those without a contradiction; () where they are too many.
        clauses: by the set's ways that do not only help: each holds ways of which a set that saves
            has at least one.
        dead: the same: no such set saves.
    """

    helping: Ids
    tops: tuple[Ids, ...]
    clauses: dict[Ids, list[Ids]] = field(default_factory=dict)
    dead: set[Ids] = field(default_factory=set)


class _Search:
    def __init__(
        self, prices: dict[str, Price], doubtful: Ids, ask: Asking, questions: int
    ) -> None:
        self.prices = prices
        self.doubtful = doubtful
        self.ask = ask
        self.left = questions
        self.known: dict[Ids, bool | None] = {}
        self.beside: dict[Ids, _Beside] = {}
        self.order = tuple(sorted(prices, key=lambda id: (*self._price((id,)), id)))

    def run(self) -> Found:
        found: list[Ids] = []
        open_still: list[Ids] = []
        complete = True
        for looked, ids in enumerate(self._by_price(found)):
            if looked >= MOST_LOOKED_AT or self.ask.stopped() or self.left <= 0:
                complete = False
                break
            if self._ruled_out(ids):
                continue
            outcome = self._saves(ids)
            if outcome:
                found.append(ids)
            elif outcome is None:
                open_still.append(ids)
            else:
                self._learn(ids)
        settled = all(self._ruled_out(ids) for ids in open_still)
        return Found(tuple(found), complete and settled)

    # -- order ---------------------------------------------------------------------------------

    def _price(self, ids: Collection[str]) -> tuple[float, float, int]:
        return (
            round(sum(max(self.prices[id].loses, 0.0) for id in ids), 6),
            round(sum(max(self.prices[id].cost, 0.0) for id in ids), 6),
            len(ids),
        )

    def _by_price(self, found: list[Ids]) -> Iterator[Ids]:
        """Sets by (loses, cost, number), those that contradict themselves or hold a set that is
        found already left out; a set never comes before one of its own parts."""
        order = self.order
        heap: list[tuple[tuple[float, float, int], tuple[int, ...]]] = []

        def push(places: tuple[int, ...]) -> None:
            heapq.heappush(heap, (self._price([order[i] for i in places]), places))

        if order:
            push((0,))
        while heap:
            _, places = heapq.heappop(heap)
            ids = frozenset(order[i] for i in places)
            last = places[-1]
            if last + 1 < len(order):
                push((*places[:-1], last + 1))
            if any(known <= ids for known in found) or self._contradicts(ids):
                continue  # and so does every set that has these and more
            if last + 1 < len(order):
                push((*places, last + 1))
            yield ids

    def _contradicts(self, ids: Ids) -> bool:
        some = sorted(ids)
        return any(
            self.ask.clash(one, other) for at, one in enumerate(some) for other in some[at + 1 :]
        )

    # -- what is known -------------------------------------------------------------------------

    def _ruled_out(self, ids: Ids) -> bool:
        """Whether it is proved already that the set does not save."""
        beside = self.beside.get(ids & self.doubtful)
        if beside is None:
            return False
        apart = ids - beside.helping
        if apart in beside.dead:
            return True
        return any(not clause & ids for clause in beside.clauses.get(apart, ()))

    def _saves(self, ids: Ids) -> bool | None:
        if ids not in self.known:
            if self.ask.weak(ids):
                self.known[ids] = False
            elif self.left <= 0 or self.ask.stopped():
                return None
            else:
                self.left -= 1
                self.known[ids] = self.ask.saves(ids)
        return self.known[ids]

    def _learn(self, ids: Ids) -> None:
        """Grow a set that fails to the largest that still does."""
        beside = self._helped(ids & self.doubtful)
        apart = ids - beside.helping
        quickly = self.ask.weak(ids)
        tops = [top for top in beside.tops if not self._contradicts(top | apart)]
        if tops and len(tops) == len(beside.tops):
            if all(self.ask.weak(top | apart) for top in tops) or (
                not quickly and all(self._saves(top | apart) is False for top in tops)
            ):
                beside.dead.add(apart)
                return
        grown = set(ids)
        for id in self.order:
            if id in beside.helping and id not in grown:
                more = frozenset({*grown, id})
                if self._contradicts(more):
                    continue
                if self.ask.weak(more) or (not quickly and self._saves(more) is False):
                    grown.add(id)
        beside.clauses.setdefault(apart, []).append(beside.helping - grown)

    def _helped(self, doubtful: Ids) -> _Beside:
        if doubtful not in self.beside:
            others = frozenset(
                id
                for id in self.order
                if id not in self.doubtful and not self._contradicts(doubtful | {id})
            )
            helping = self.ask.helps(doubtful, others)
            self.beside[doubtful] = _Beside(helping, self._tops(helping))
        return self.beside[doubtful]

    def _tops(self, helping: Ids) -> tuple[Ids, ...]:
        tops: set[Ids] = {frozenset()}
        for id in self.order:
            if id not in helping:
                continue
            grown: set[Ids] = set()
            for top in tops:
                against = frozenset(other for other in top if self.ask.clash(id, other))
                grown.add((top - against) | {id})
                if against:
                    grown.add(top)
            tops = {top for top in grown if not any(top < other for other in grown)}
            if len(tops) > MOST_TOPS:
                return ()
        return tuple(sorted(tops, key=sorted))
