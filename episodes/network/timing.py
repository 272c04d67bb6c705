"""How an activity uses up time: hands-on work on openings, waits, deliveries, facts.

Each kind answers four questions, in UTC minutes, and nothing else is asked of it:

    fit(t)       the first start at or after t that can really be made; NEVER if none
    end(s)       the finish that a start s (one that fit() may give) leads to
    fit_back(t)  the last start at or before t that can really be made; LONG_AGO if none
    end_by(t)    the last start whose finish is at or before t; LONG_AGO if none

`end` never falls as s rises, so `end_by` and `end` are adjoint: end(s) <= t iff s <= end_by(t) for
starts that can be made. `longer(m)` is the same activity with m more minutes of its own kind.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from episodes.calendars.carrier_days import CarrierDays
from episodes.calendars.openings import Openings, Stretch
from episodes.calendars.working_time import (
    LONG_AGO,
    NEVER,
    finish,
    first_open,
    first_start_one_go,
    last_open,
    latest_start,
    latest_start_one_go,
    open_minutes_before,
    sessions,
)
from episodes.model.studio import Air
from episodes.trade.drying import DryingCurve


class Timing(Protocol):
    """See the module's header for the four questions."""

    def fit(self, t: int) -> int: ...
    def end(self, s: int) -> int: ...
    def fit_back(self, t: int) -> int: ...
    def end_by(self, t: int) -> int: ...
    def longer(self, minutes: int) -> "Timing": ...
    def pieces(self, s: int) -> tuple[Stretch, ...]: ...


def first_start_ending_at_or_after(timing: Timing, y: int) -> int:
    """The first start that can be made and whose finish is y or later."""
    return timing.fit(timing.end_by(y - 1) + 1)


@dataclass(frozen=True, slots=True)
class Gate:
    """Stretches of air in which a coat may lie open: from its start until touch dry inside one.

    Attributes:
        stretches: sorted, disjoint; UTC minutes.
        curve: how the coat dries in the air of its space.
        touch: reference minutes from the coat's finish to touch dry.
        air: (from, to, air) of its space, for words about what it waits for.
    """

    stretches: tuple[Stretch, ...]
    curve: DryingCurve
    touch: int
    air: tuple[tuple[int, int, Air], ...] = ()

    def index_at(self, t: int) -> int:
        """The last stretch that starts at or before t, -1 if none."""
        return bisect_right(self.stretches, (t, NEVER)) - 1


class Hands:
    """Hands-on work: `work` open minutes of its calendar, in one go or pausing at closings."""

    __slots__ = ("_last", "gate", "one_go", "openings", "work")

    def __init__(
        self, openings: Openings, work: int, one_go: bool, gate: Gate | None = None
    ) -> None:
        self.openings = openings
        self.work = work
        self.one_go = one_go
        self.gate = gate
        # The last start that is over before the calendar ends.
        self._last = (
            LONG_AGO if not openings.ends else latest_start(openings, openings.ends[-1], work)
        )

    def fit_hours(self, t: int) -> int:
        """`fit` by the hours alone, the coat's air not looked at."""
        if t >= NEVER:
            return NEVER
        if self.one_go:
            return first_start_one_go(self.openings, t, self.work)
        start = first_open(self.openings, t)
        return start if start <= self._last else NEVER

    def fit(self, t: int) -> int:
        start = self.fit_hours(t)
        gate = self.gate
        if gate is None:
            return start
        while start < NEVER:
            index = gate.index_at(start)
            if index >= 0 and start < gate.stretches[index][1]:
                if gate.curve.over(self.end(start), gate.touch) <= gate.stretches[index][1]:
                    return start
            if index + 1 >= len(gate.stretches):
                return NEVER
            start = self.fit_hours(gate.stretches[index + 1][0])
        return NEVER

    def end(self, s: int) -> int:
        if s >= NEVER:
            return NEVER
        if s <= LONG_AGO:
            return LONG_AGO
        if self.one_go:
            return s + self.work
        index = bisect_right(self.openings.starts, s) - 1
        if index >= 0 and s + self.work <= self.openings.ends[index]:
            return s + self.work  # over before its opening closes, as most work is
        return finish(self.openings, s, self.work)

    def fit_back(self, t: int) -> int:
        start = self._fit_back_hours(t)
        gate = self.gate
        if gate is None:
            return start
        index = gate.index_at(start)
        while index >= 0:
            opens, closes = gate.stretches[index]
            latest = self._end_by_hours(gate.curve.latest(closes, gate.touch))
            start = self._fit_back_hours(min(t, latest))
            if start >= opens:
                return start
            index -= 1
        return LONG_AGO

    def end_by(self, t: int) -> int:
        start = self._end_by_hours(t)
        return start if self.gate is None else self.fit_back(start)

    def longer(self, minutes: int) -> "Hands":
        return Hands(self.openings, self.work + minutes, self.one_go, self.gate)

    def pieces(self, s: int) -> tuple[Stretch, ...]:
        if self.one_go:
            return ((s, s + self.work),)
        index = bisect_right(self.openings.starts, s) - 1
        if index >= 0 and s < self.openings.ends[index] >= s + self.work:
            return ((s, s + self.work),)
        return sessions(self.openings, s, self.work)

    def own_minutes(self, start: int, end: int) -> int:
        """Minutes of its own hours between two moments (negative when they are reversed)."""
        return open_minutes_before(self.openings, end) - open_minutes_before(self.openings, start)

    def _fit_back_hours(self, t: int) -> int:
        if t <= LONG_AGO:
            return LONG_AGO
        if self.one_go:
            # A start at or before t with room behind it: ends by t + work at the latest.
            return latest_start_one_go(self.openings, min(t, NEVER) + self.work, self.work)
        return last_open(self.openings, t)

    def _end_by_hours(self, t: int) -> int:
        if t <= LONG_AGO:
            return LONG_AGO
        if self.one_go:
            return latest_start_one_go(self.openings, t, self.work)
        start = latest_start(self.openings, t, self.work)
        return last_open(self.openings, start)


class Wait:
    """Elapsed time: nobody needed, goes on day and night."""

    __slots__ = ("work",)

    def __init__(self, work: int) -> None:
        self.work = work

    def fit(self, t: int) -> int:
        return t

    def end(self, s: int) -> int:
        return s if abs(s) >= NEVER else s + self.work

    def fit_back(self, t: int) -> int:
        return t

    def end_by(self, t: int) -> int:
        return t if abs(t) >= NEVER else t - self.work

    def longer(self, minutes: int) -> "Wait":
        return Wait(self.work + minutes)

    def pieces(self, s: int) -> tuple[Stretch, ...]:
        return ((s, s + self.work),) if self.work else ()


class Delivery:
    """From the order to usable: lead in workdays of a carrier or elapsed, then settling.

    Attributes:
        carrier: its days; None where the lead is elapsed time.
        lead: workdays or minutes.
        settle: minutes after arrival until it can be used.
        extra: minutes later in hand than the lead says (the one-minute test).
    """

    __slots__ = ("carrier", "extra", "lead", "settle")

    def __init__(self, carrier: CarrierDays | None, lead: int, settle: int, extra: int = 0) -> None:
        self.carrier = carrier
        self.lead = lead
        self.settle = settle
        self.extra = extra

    def arrival(self, order: int) -> int:
        if abs(order) >= NEVER:
            return order
        if self.carrier is None:
            return order + self.lead + self.extra
        arrival = self.carrier.arrival(order, self.lead)
        return arrival if arrival >= NEVER else arrival + self.extra

    def fit(self, t: int) -> int:
        return t

    def end(self, s: int) -> int:
        arrival = self.arrival(s)
        return arrival if abs(arrival) >= NEVER else arrival + self.settle

    def fit_back(self, t: int) -> int:
        return t

    def end_by(self, t: int) -> int:
        if abs(t) >= NEVER:
            return t
        in_hand = t - self.settle - self.extra
        return (
            in_hand - self.lead
            if self.carrier is None
            else self.carrier.latest_order(in_hand, self.lead)
        )

    def longer(self, minutes: int) -> "Delivery":
        return Delivery(self.carrier, self.lead, self.settle, self.extra + minutes)

    def pieces(self, s: int) -> tuple[Stretch, ...]:
        return ((s, self.end(s)),)


class Expected:
    """A delivery whose arrival is known or promised: it ends then, whenever it was ordered."""

    __slots__ = ("arrival_at", "settle")

    def __init__(self, arrival_at: int, settle: int) -> None:
        self.arrival_at = arrival_at
        self.settle = settle

    def arrival(self, order: int) -> int:
        return max(self.arrival_at, order)

    def fit(self, t: int) -> int:
        return t

    def end(self, s: int) -> int:
        return s if s >= NEVER else max(self.arrival_at, s) + self.settle

    def fit_back(self, t: int) -> int:
        return t

    def end_by(self, t: int) -> int:
        if abs(t) >= NEVER:
            return t
        return t - self.settle if t - self.settle >= self.arrival_at else LONG_AGO

    def longer(self, minutes: int) -> "Expected":
        return Expected(self.arrival_at + minutes, self.settle)

    def pieces(self, s: int) -> tuple[Stretch, ...]:
        return ((s, self.end(s)),)


def allowed(stretches: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Stretches of allowed air, merged where they touch."""
    return tuple(Openings(stretches))
