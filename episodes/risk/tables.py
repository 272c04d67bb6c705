"""Openings as tables by the minute: the calculus of working time for whole rows of samples.

Three tables a calendar (`W`, `hi`, `lo`, see `calendars.working_time`) answer a start or a finish
by two look-ups, whatever the calendar's shape. Minutes count from an origin, so that they fit 32
bits; a look-up past the table's edge is NEVER, never clipped to the edge.
"""

from functools import cached_property

import numpy as np
import numpy.typing as npt

from episodes.calendars import working_time
from episodes.calendars.openings import Openings
from episodes.risk.estimates import Minutes

NEVER = 1 << 29
"""Later than any minute of any sample; sums of it with a few lengths still fit 32 bits."""

LONG_AGO = -NEVER

FAR = NEVER // 2
"""From here on a bound binds nothing: a NEVER less a few lengths."""

Columns = npt.NDArray[np.int64]
Mask = npt.NDArray[np.bool_]


def offset(minute: int, origin: int) -> int:
    """A UTC minute counted from the origin."""
    if minute >= working_time.NEVER:
        return NEVER
    if minute <= working_time.LONG_AGO:
        return LONG_AGO
    return max(min(minute - origin, NEVER), LONG_AGO)


class MinuteTable:
    """One calendar from `origin` to `end`, UTC minutes.

    Attributes:
        starts, ends: edges of the openings, from the origin; NEVER behind the last.
        count: how many openings there are.
        longest: minutes of the longest.
    """

    def __init__(self, openings: Openings, origin: int, end: int) -> None:
        size = max(end - origin, 1)
        edges = [
            (max(a, origin) - origin, min(b, end) - origin)
            for a, b in openings
            if a < end and b > origin
        ]
        self.count = len(edges)
        self.longest = max((b - a for a, b in edges), default=0)
        starts = np.array([a for a, _ in edges], np.int32)
        ends = np.array([b for _, b in edges], np.int32)
        steps = np.zeros(size + 1, np.int8)
        steps[starts] += 1
        steps[ends] -= 1
        is_open = np.cumsum(steps[:-1], dtype=np.int8)
        self.open_before: Minutes = np.zeros(size + 1, np.int32)
        np.cumsum(is_open, out=self.open_before[1:])
        minutes = np.flatnonzero(is_open).astype(np.int32)
        never = np.array([NEVER], np.int32)
        self.hi: Minutes = np.concatenate((minutes, never))
        self.lo: Minutes = np.concatenate((-never, minutes + np.int32(1), never))
        self.starts: Minutes = np.concatenate((starts, never))
        self.ends: Minutes = np.concatenate((ends, never))
        self._size = size
        self._places: Columns = np.empty((2, 0), np.int64)

    @cached_property
    def _begun(self) -> Minutes:
        """By minute t: how many openings start before t."""
        flags = np.zeros(self._size + 1, np.int32)
        flags[self.starts[:-1] + 1] = 1
        return np.cumsum(flags, dtype=np.int32)

    def before(self, t: Minutes) -> Minutes:
        """Open minutes before t."""
        return self.look_up(self.open_before, t)

    def opening(self, t: Minutes) -> Minutes:
        """Number of the last opening that starts at or before t, -1 if none."""
        return self.look_up(self._begun, t + np.int32(1)) - np.int32(1)

    def pausing(
        self, t: Minutes, work: Minutes | int, into: Minutes | None = None
    ) -> tuple[Minutes, Minutes]:
        """First start at or after t, and the finish `work` open minutes later.

        Args:
            into: two rows to write them to; without it they are made.
        """
        start, end = np.empty((2, t.size), np.int32) if into is None else into
        place, done = self._scratch(t.size)
        np.copyto(place, t)
        # Numpy looks up quickest at 64-bit places, clipped, into rows that are there already.
        self._before.take(place, mode="clip", out=done)
        self.hi.take(done, mode="clip", out=start)
        np.add(done, work, out=done)
        self.lo.take(done, mode="clip", out=end)
        if end.size and int(end.max()) >= NEVER:
            start[end >= NEVER] = NEVER
        return start, end

    @cached_property
    def _before(self) -> Columns:
        return self.open_before.astype(np.int64)

    def look_up(self, table: Minutes, at: Minutes) -> Minutes:
        """Values of one of the tables at some places, those outside it taken at its edges."""
        place, _ = self._scratch(at.size)
        np.copyto(place, at)
        found: Minutes = table.take(place, mode="clip")
        return found

    def _scratch(self, size: int) -> tuple[Columns, Columns]:
        """Two rows of places to look up at, the same each time: new ones cost page faults."""
        if self._places.shape[1] != size:
            self._places = np.empty((2, size), np.int64)
        return self._places[0], self._places[1]

    def in_one_go(self, t: Minutes, work: Minutes | int) -> tuple[Minutes, Minutes]:
        """First start at or after t with room for all the work in one opening, and its finish."""
        work = np.broadcast_to(np.asarray(work, np.int32), t.shape)
        start = self.look_up(self.hi, self.before(t))
        start[work > self.longest] = NEVER
        number = self.opening(start)
        short = np.flatnonzero((self.ends.take(number) - start < work) & (start < NEVER))
        while short.size:
            # On to the next opening, for those alone that have no room in this one.
            number[short] += 1
            at = number[short]
            start[short] = self.starts.take(at)
            short = short[(self.ends.take(at) - start[short] < work[short]) & (at < self.count)]
        return start, np.minimum(start + work, NEVER)

    def last_open(self, t: Minutes) -> Minutes:
        """The last open minute at or before t."""
        done = self.before(t + np.int32(1))
        return np.where(done > 0, self.look_up(self.hi, done - 1), np.int32(LONG_AGO))

    def pausing_back(self, t: Minutes, work: Minutes | int) -> tuple[Minutes, Minutes]:
        """Last start whose work is over by t, and when it is over then; LONG_AGO where none is."""
        place, left = self._scratch(t.size)
        np.copyto(place, t)
        self._before.take(place, mode="clip", out=left)
        start, end = np.empty((2, t.size), np.int32)
        self.lo.take(left, mode="clip", out=end)
        np.subtract(left, work, out=left)
        self.hi.take(left, mode="clip", out=start)
        if left.size and int(left.min()) < 0:
            start[left < 0] = end[left < 0] = LONG_AGO
        return start, end

    def in_one_go_back(self, t: Minutes, work: Minutes | int) -> Minutes:
        """Last start whose work is over by t, all in one opening."""
        work = np.broadcast_to(np.asarray(work, np.int32), t.shape)
        number = self.opening(t - np.int32(1))
        number[work > self.longest] = -1
        ends = np.minimum(self.ends.take(number), t)
        short = np.flatnonzero((ends - self.starts.take(number) < work) & (number >= 0))
        while short.size:
            number[short] -= 1
            at = number[short]
            ends[short] = np.minimum(self.ends.take(at), t[short])
            short = short[(ends[short] - self.starts.take(at) < work[short]) & (at >= 0)]
        return np.where(number >= 0, ends - work, np.int32(LONG_AGO))
