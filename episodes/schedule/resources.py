"""What is taken when: people's minutes, gear and places as levels, air as stretches.

All times are UTC minutes, stretches half open. Every change is logged, so that a planner can go
back to an earlier moment (`mark`, `rollback`); what is asked back to again and again is copied
once and put back whole (`copy`, `put_back`).
"""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Callable, Iterable, Mapping

from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import LONG_AGO

Holder = tuple[str, str]
"""What has a limit: "gear" or "space", and its id."""


class Taken:
    """Disjoint stretches that one person works."""

    __slots__ = ("ends", "starts")

    def __init__(self) -> None:
        self.starts: list[int] = []
        self.ends: list[int] = []

    def clash(self, start: int, end: int) -> Stretch | None:
        """The first taken stretch that meets `[start, end)`."""
        index = bisect_right(self.ends, start)
        if index < len(self.starts) and self.starts[index] < end:
            return self.starts[index], self.ends[index]
        return None

    def add(self, start: int, end: int) -> None:
        index = bisect_left(self.starts, start)
        self.starts.insert(index, start)
        self.ends.insert(index, end)

    def remove(self, start: int, end: int) -> None:
        index = bisect_left(self.starts, start)
        while self.ends[index] != end:
            index += 1
        del self.starts[index]
        del self.ends[index]

    def copy(self) -> tuple[list[int], list[int]]:
        return self.starts[:], self.ends[:]

    def put_back(self, copied: tuple[list[int], list[int]]) -> None:
        self.starts[:], self.ends[:] = copied


class Levels:
    """How much is free of everything that has a limit, over time.

    All limits are packed into one integer a breakpoint: each holder has a field, and above it one
    guard bit that a subtraction borrows when more is asked than is free. So one subtraction and
    one comparison look at all gear and places together.

    Args:
        over: how many users may hold something beyond its limit (facts win over limits).
    """

    __slots__ = ("_guard", "_holders", "free", "limits", "times", "units")

    def __init__(self, limits: Mapping[Holder, int], over: int = 0) -> None:
        self.limits = dict(limits)
        self.units: dict[Holder, int] = {}
        self._holders: list[tuple[int, Holder]] = []
        shift = full = guard = 0
        for holder, limit in limits.items():
            self.units[holder] = 1 << shift
            full += limit << shift
            shift += (limit * (1 + over)).bit_length()
            guard += 1 << shift
            self._holders.append((1 << shift, holder))
            shift += 1
        self._guard = guard
        self.times: list[int] = [2 * LONG_AGO]
        self.free: list[int] = [full + guard]

    def need(self, amounts: Iterable[tuple[Holder, int]]) -> int:
        """Amounts packed; more than there is counts as all there is."""
        return sum(
            min(amount, self.limits[holder]) * self.units[holder]
            for holder, amount in amounts
            if holder in self.limits
        )

    def clash(self, start: int, end: int, need: int) -> Stretch | None:
        """The first stretch that meets `[start, end)` in which `need` is more than is free."""
        times, free, guard = self.times, self.free, self._guard
        if start >= end:
            return None
        index = bisect_right(times, start) - 1
        count = len(times)
        while index < count and times[index] < end:
            if (free[index] - need) & guard != guard:
                first = times[index]
                index += 1
                while (free[index] - need) & guard != guard:
                    index += 1
                return first, times[index]
            index += 1
        return None

    def short_of(self, end: int, need: int) -> Holder:
        """What there is too little of in the last minute before `end`."""
        index = bisect_left(self.times, end) - 1
        left = self.free[index] - need
        return next(holder for guard, holder in self._holders if not left & guard)

    def claim(self, start: int, span: int, need: int) -> int:
        """Take `need` for `span` minutes from the first moment at or after `start` from which it
        is free; that moment."""
        times, free, guard = self.times, self.free, self._guard
        index = bisect_right(times, start) - 1
        count = len(times)
        begin = index
        end = start + span
        while index < count and times[index] < end:
            if (free[index] - need) & guard != guard:
                index += 1
                while (free[index] - need) & guard != guard:
                    index += 1
                begin = index
                start = times[index]
                end = start + span
            index += 1
        # From here on `begin` is the level that holds the start, `index` the first behind the end.
        if index == count or times[index] != end:
            times.insert(index, end)
            free.insert(index, free[index - 1])
        if times[begin] != start:
            begin += 1
            index += 1
            times.insert(begin, start)
            free.insert(begin, free[begin - 1])
        for at in range(begin, index):
            free[at] -= need
        return start

    def claim_back(self, end: int, span: int, need: int, least: int) -> int:
        """Take `need` for `span` minutes that end by `end`, as late as it is free; the moment.

        Nothing is taken where that is before `least`.
        """
        times, free, guard = self.times, self.free, self._guard
        index = bisect_left(times, end) - 1
        start = end - span
        while index >= 0:
            if (free[index] - need) & guard != guard:
                start = times[index] - span
            elif times[index] <= start:
                break
            index -= 1
        if start >= least:
            self.take(start, start + span, need)
        return start

    def take(self, start: int, end: int, need: int) -> None:
        """Take (or, with a negative need, free) over `[start, end)`."""
        times, free = self.times, self.free
        first = bisect_left(times, start)
        if first == len(times) or times[first] != start:
            times.insert(first, start)
            free.insert(first, free[first - 1])
        last = bisect_left(times, end, first)
        if last == len(times) or times[last] != end:
            times.insert(last, end)
            free.insert(last, free[last - 1])
        for index in range(first, last):
            free[index] -= need

    def copy(self) -> tuple[list[int], list[int]]:
        return self.times[:], self.free[:]

    def put_back(self, copied: tuple[list[int], list[int]]) -> None:
        self.times[:], self.free[:] = copied


class Stretches:
    """Stretches that may overlap, kept by start: bad air, or air that is needed clean."""

    __slots__ = ("items", "longest")

    def __init__(self) -> None:
        self.items: list[Stretch] = []
        self.longest = 0

    def clash(self, start: int, end: int) -> Stretch | None:
        """The stretch meeting `[start, end)` that ends last."""
        found: Stretch | None = None
        items = self.items
        for k in range(bisect_left(items, (start - self.longest, 0)), len(items)):
            a, b = items[k]
            if a >= end:
                break
            if b > start and (found is None or b > found[1]):
                found = items[k]
        return found

    def add(self, start: int, end: int) -> None:
        insort(self.items, (start, end))
        self.longest = max(self.longest, end - start)

    def remove(self, start: int, end: int) -> None:
        del self.items[bisect_left(self.items, (start, end))]

    def copy(self) -> list[Stretch]:
        return self.items[:]

    def put_back(self, copied: list[Stretch]) -> None:
        self.items[:] = copied


class Log:
    """Undo list: what to call to take each change back."""

    __slots__ = ("steps",)

    def __init__(self) -> None:
        self.steps: list[tuple[Callable[..., None], tuple[int, ...]]] = []

    def mark(self) -> int:
        return len(self.steps)

    def rollback(self, mark: int) -> None:
        while len(self.steps) > mark:
            call, arguments = self.steps.pop()
            call(*arguments)
