"""Work on openings: where it starts, where it ends, and the latest start that ends in time.

With `W(t)` the open minutes before t, there are exactly two inverses and never a third:

    lo(x) = min {t : W(t) >= x}    a finish lands on a closing
    hi(x) = max {t : W(t) <= x}    a start lands on the next opening

Every finish uses `lo`, every start `hi`. Mixing them is the classic fault: a finish at the next
opening shows a night of slack that is not there. The law, for all integers s, t and w > 0:

    finish(s, w) <= t   <=>   s <= latest_start(t, w)

No work (w = 0) ends where it starts, in both directions. Past the last opening there is no
answer: `NEVER`; before the first: `LONG_AGO`. Neither is ever clipped to an edge.
"""

from bisect import bisect_left, bisect_right

from episodes.calendars.openings import Openings, Stretch

NEVER = 1 << 40
"""Later than any minute of any plan: no opening is left."""

LONG_AGO = -NEVER
"""Earlier than any minute of any plan: no opening comes before."""


def open_minutes_before(openings: Openings, t: int) -> int:
    """W(t): how many open minutes lie before t."""
    index = bisect_right(openings.starts, t) - 1
    if index < 0:
        return 0
    return openings.before[index] + min(t, openings.ends[index]) - openings.starts[index]


def first_open(openings: Openings, t: int) -> int:
    """The first open minute at or after t, or NEVER."""
    index = bisect_right(openings.ends, t)
    if index == len(openings.starts):
        return NEVER
    start = openings.starts[index]
    return start if start > t else t


def last_open(openings: Openings, t: int) -> int:
    """The last open minute at or before t, or LONG_AGO."""
    index = bisect_right(openings.starts, t) - 1
    if index < 0:
        return LONG_AGO
    last = openings.ends[index] - 1
    return t if t <= last else last


def finish(openings: Openings, t: int, work: int) -> int:
    """When `work` open minutes begun at or after t are over; may pause at closings."""
    if work == 0:
        return t
    if t >= NEVER:
        return NEVER
    goal = open_minutes_before(openings, t) + work
    if goal > openings.before[-1]:
        return NEVER
    index = bisect_left(openings.before, goal) - 1
    return openings.starts[index] + goal - openings.before[index]


def latest_start(openings: Openings, t: int, work: int) -> int:
    """The latest s with `finish(s, work) <= t`; LONG_AGO where there is none."""
    if work == 0:
        return t
    if t <= LONG_AGO:
        return LONG_AGO
    goal = open_minutes_before(openings, t) - work
    if goal < 0:
        return LONG_AGO
    index = bisect_right(openings.before, goal) - 1
    return openings.starts[index] + goal - openings.before[index]


def first_start_one_go(openings: Openings, t: int, work: int) -> int:
    """The first start at or after t from which `work` minutes fit into one opening, or NEVER."""
    if work > openings.longest:
        return NEVER
    starts, ends = openings.starts, openings.ends
    index = bisect_right(ends, t)
    for k in range(index, len(starts)):
        start = starts[k] if starts[k] > t else t
        if ends[k] - start >= work:
            return start
    return NEVER


def latest_start_one_go(openings: Openings, t: int, work: int) -> int:
    """The latest start from which `work` minutes in one opening are over by t, or LONG_AGO."""
    if work > openings.longest:
        return LONG_AGO
    starts, ends = openings.starts, openings.ends
    for k in range(bisect_left(starts, t) - 1, -1, -1):
        end = ends[k] if ends[k] < t else t
        if end - starts[k] >= work:
            return end - work
    return LONG_AGO


def sessions(openings: Openings, start: int, work: int) -> tuple[Stretch, ...]:
    """The stretches really worked when `work` open minutes begin at or after start."""
    end = finish(openings, start, work)
    if work == 0 or end >= NEVER:
        return ()
    index = bisect_right(openings.ends, start)
    pieces: list[Stretch] = []
    while index < len(openings.starts) and openings.starts[index] < end:
        pieces.append((max(start, openings.starts[index]), min(end, openings.ends[index])))
        index += 1
    return tuple(pieces)
