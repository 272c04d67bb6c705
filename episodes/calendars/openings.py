"""Sorted, disjoint, half-open stretches of time in which something may happen.

All times are UTC minutes since 1970-01-01. Stretches that touch are one opening, so a closing is
always followed by closed time. Beside the edges stand the open minutes before each opening, which
is all that the calculus in `working_time` needs.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate

Stretch = tuple[int, int]


class Openings:
    """An immutable calendar: openings `[starts[i], ends[i])` and the open minutes before each.

    Attributes:
        starts: UTC minutes, rising.
        ends: UTC minutes; `starts[i] < ends[i] < starts[i + 1]`.
        before: open minutes before opening i; one more entry than there are openings, the last
            being the total.
    """

    __slots__ = ("before", "ends", "longest", "starts")

    def __init__(self, stretches: Iterable[Stretch] = ()) -> None:
        starts: list[int] = []
        ends: list[int] = []
        for start, end in sorted(stretches):
            if start >= end:
                continue
            if ends and start <= ends[-1]:
                if end > ends[-1]:
                    ends[-1] = end
            else:
                starts.append(start)
                ends.append(end)
        self.starts: tuple[int, ...] = tuple(starts)
        self.ends: tuple[int, ...] = tuple(ends)
        lengths = [end - start for start, end in zip(starts, ends, strict=True)]
        self.before: tuple[int, ...] = (0, *accumulate(lengths))
        self.longest: int = max(lengths, default=0)

    @classmethod
    def _sorted(cls, starts: list[int], ends: list[int]) -> "Openings":
        """Openings from edges known to be sorted and disjoint."""
        made = object.__new__(cls)
        made.starts = tuple(starts)
        made.ends = tuple(ends)
        lengths = [end - start for start, end in zip(starts, ends, strict=True)]
        made.before = (0, *accumulate(lengths))
        made.longest = max(lengths, default=0)
        return made

    @property
    def total(self) -> int:
        """All open minutes."""
        return self.before[-1]

    def __len__(self) -> int:
        return len(self.starts)

    def __iter__(self) -> Iterator[Stretch]:
        return iter(zip(self.starts, self.ends, strict=True))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Openings) and self.starts == other.starts and self.ends == other.ends
        )

    def __hash__(self) -> int:
        return hash((self.starts, self.ends))

    def __repr__(self) -> str:
        return f"Openings({list(self)!r})"

    def is_open(self, minute: int) -> bool:
        """Whether the minute `[minute, minute + 1)` lies in an opening."""
        index = bisect_right(self.starts, minute) - 1
        return index >= 0 and minute < self.ends[index]

    def __and__(self, other: "Openings") -> "Openings":
        return intersection((self, other))

    def __or__(self, other: "Openings") -> "Openings":
        return Openings((*self, *other))

    def __sub__(self, other: "Openings") -> "Openings":
        """What is open here and closed in `other`."""
        left: list[Stretch] = []
        index, count = 0, len(other)
        for start, end in self:
            while index < count and other.ends[index] <= start:
                index += 1
            at, k = start, index
            while k < count and other.starts[k] < end:
                if other.starts[k] > at:
                    left.append((at, other.starts[k]))
                at = max(at, other.ends[k])
                k += 1
            if at < end:
                left.append((at, end))
        return Openings(left)

    def clipped(self, start: int, end: int) -> "Openings":
        """The part inside `[start, end)`."""
        return Openings((max(a, start), min(b, end)) for a, b in self if a < end and b > start)


def intersection(calendars: Sequence[Openings]) -> Openings:
    """What is open in all of the calendars at once; of none, nothing."""
    if not calendars:
        return Openings()
    result = calendars[0]
    for other in calendars[1:]:
        if result is other:
            continue
        result = _both(result, other)
    return result


def _both(one: Openings, two: Openings) -> Openings:
    starts_a, ends_a = one.starts, one.ends
    starts_b, ends_b = two.starts, two.ends
    count_a, count_b = len(starts_a), len(starts_b)
    starts: list[int] = []
    ends: list[int] = []
    i = j = 0
    while i < count_a and j < count_b:
        end_a, end_b = ends_a[i], ends_b[j]
        start_a, start_b = starts_a[i], starts_b[j]
        start = start_a if start_a > start_b else start_b
        if end_a < end_b:
            end = end_a
            i += 1
        else:
            end = end_b
            j += 1
        # Openings of each calendar never touch, so neither do these.
        if start < end:
            starts.append(start)
            ends.append(end)
    return Openings._sorted(starts, ends)
