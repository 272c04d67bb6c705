"""What is taken when: people's minutes, gear and places as levels, air as stretches.

All times are UTC minutes, stretches half open. Every change is logged, so that a planner can go
back to an earlier moment (`mark`, `rollback`) without copying anything.
"""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Callable

from episodes.calendars.openings import Stretch


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


class Level:
    """How much of something with a limit is in use over time."""

    __slots__ = ("levels", "limit", "times")

    def __init__(self, limit: int) -> None:
        self.limit = limit
        self.times: list[int] = []
        self.levels: list[int] = []

    def clash(self, start: int, end: int, amount: int) -> Stretch | None:
        """The first stretch inside `[start, end)` in which `amount` more would be too much."""
        times, levels = self.times, self.levels
        room = self.limit - amount
        index = max(bisect_right(times, start) - 1, 0)
        count = len(times)
        while index < count and times[index] < end:
            if levels[index] > room and (index + 1 == count or times[index + 1] > start):
                first = times[index]
                while index + 1 < count and levels[index + 1] > room:
                    index += 1
                return first, times[index + 1] if index + 1 < count else end
            index += 1
        return None

    def add(self, start: int, end: int, amount: int) -> None:
        """Take (or, with a negative amount, free) `amount` over `[start, end)`."""
        if start >= end:
            return
        first = self._break(start)
        last = self._break(end)
        levels = self.levels
        for index in range(first, last):
            levels[index] += amount

    def _break(self, t: int) -> int:
        index = bisect_left(self.times, t)
        if index == len(self.times) or self.times[index] != t:
            level = self.levels[index - 1] if index else 0
            self.times.insert(index, t)
            self.levels.insert(index, level)
        return index


class Stretches:
    """Stretches that may overlap, kept by start: bad air, or air that is needed clean."""

    __slots__ = ("items", "longest")

    def __init__(self) -> None:
        self.items: list[Stretch] = []
        self.longest = 0

    def clash(self, start: int, end: int) -> Stretch | None:
        """The stretch meeting `[start, end)` that ends last."""
        found: Stretch | None = None
        index = bisect_left(self.items, (start - self.longest, 0))
        items = self.items
        for k in range(index, len(items)):
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
