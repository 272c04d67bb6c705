"""How an activity uses up time, in every sample at once: the rows of `network.timing`.

The same four questions, answered for arrays of minutes from the origin; an amount is one number
for all samples or one a sample. `place` is `fit` and `end` in one.
"""

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from episodes.calendars import working_time
from episodes.calendars.carrier_days import CarrierDays
from episodes.risk.curves import RowCurve
from episodes.risk.estimates import Minutes
from episodes.risk.tables import LONG_AGO, NEVER, Columns, MinuteTable, offset
from episodes.trade.products import Stage

Amount = Minutes | int


def taken(amount: Amount, columns: Columns) -> Amount:
    """An amount of some samples only."""
    return amount if isinstance(amount, int) else amount[columns]


class RowTiming(Protocol):
    """See `network.timing`; arrays are of one shape, minutes from the origin."""

    def place(self, t: Minutes) -> tuple[Minutes, Minutes]: ...
    def end(self, s: Minutes) -> Minutes: ...
    def fit_back(self, t: Minutes) -> Minutes: ...
    def end_by(self, t: Minutes) -> Minutes: ...
    def longer(self, minutes: int) -> "RowTiming": ...
    def take(self, columns: Columns) -> "RowTiming": ...


def first_start_ending_at_or_after(timing: RowTiming, y: Minutes) -> Minutes:
    """The first start that can be made and whose finish is y or later."""
    start, _ = timing.place(timing.end_by(y - np.int32(1)) + np.int32(1))
    return start


@dataclass(frozen=True)
class RowGate:
    """Stretches of air in which a coat may lie open until touch dry; the last opens NEVER."""

    opens: Minutes
    closes: Minutes
    curve: RowCurve
    touch: Amount

    def take(self, columns: Columns) -> "RowGate":
        return replace(self, touch=taken(self.touch, columns))


@dataclass(frozen=True)
class RowHands:
    """Hands-on work."""

    table: MinuteTable
    work: Amount
    one_go: bool
    gate: RowGate | None = None

    def place(self, t: Minutes, into: Minutes | None = None) -> tuple[Minutes, Minutes]:
        start, end = self._place_hours(t, into)
        if self.gate is None:
            return start, end
        # Coats that would not be touch dry inside a stretch of air go on to the next one.
        columns = np.arange(t.size)
        while columns.size:
            gate = self.gate.take(columns)
            begun = start[columns]
            number = np.searchsorted(gate.opens, begun, "right") - 1
            inside = (number >= 0) & (begun < gate.closes.take(number))
            dry = gate.curve.over(end[columns], gate.touch)
            inside &= dry <= gate.closes.take(number)
            columns = columns[~inside & (begun < NEVER)]
            if columns.size:
                onward = gate.opens.take(number[~inside & (begun < NEVER)] + 1)
                start[columns], end[columns] = self.take(columns)._place_hours(onward)
        return start, end

    def _place_hours(self, t: Minutes, into: Minutes | None = None) -> tuple[Minutes, Minutes]:
        if self.one_go:
            return self.table.in_one_go(t, self.work)
        return self.table.pausing(t, self.work, into)

    def end(self, s: Minutes) -> Minutes:
        if self.one_go:
            return np.where(np.abs(s) >= NEVER, s, s + self.work)
        end = self.table.look_up(self.table.lo, self.table.before(s) + self.work)
        far = np.abs(s) >= NEVER
        return np.where(far, s, end) if far.any() else end

    def fit_back(self, t: Minutes) -> Minutes:
        start = self._fit_back_hours(t)
        if self.gate is None:
            return start
        result = np.full(t.shape, LONG_AGO, np.int32)
        columns = np.arange(t.size)
        number = np.searchsorted(self.gate.opens, start, "right") - 1
        while columns.size:
            columns, number = columns[number >= 0], number[number >= 0]
            some = self.take(columns)
            assert some.gate is not None
            latest = some.gate.curve.latest(some.gate.closes.take(number), some.gate.touch)
            latest = some._end_by_hours(latest)
            start = some._fit_back_hours(np.minimum(t[columns], latest))
            found = start >= some.gate.opens.take(number)
            result[columns[found]] = start[found]
            columns, number = columns[~found], number[~found] - 1
        return result

    def end_by(self, t: Minutes) -> Minutes:
        start = self._end_by_hours(t)
        return start if self.gate is None else self.fit_back(start)

    def back(self, t: Minutes) -> tuple[Minutes, Minutes]:
        """Last start that ends by t, and its end; LONG_AGO where none does."""
        if self.one_go or self.gate is not None:
            start = self.end_by(t)
            return start, self.end(start)
        return self.table.pausing_back(t, self.work)

    def _fit_back_hours(self, t: Minutes) -> Minutes:
        if self.one_go:
            end: Minutes = t + self.work
            start = self.table.in_one_go_back(end, self.work)
        else:
            start = self.table.last_open(t)
        return np.where(t <= LONG_AGO, np.int32(LONG_AGO), start)

    def _end_by_hours(self, t: Minutes) -> Minutes:
        if self.one_go:
            return self.table.in_one_go_back(t, self.work)
        return self.table.pausing_back(t, self.work)[0]

    def longer(self, minutes: int) -> "RowHands":
        return replace(self, work=self.work + minutes)

    def take(self, columns: Columns) -> "RowHands":
        gate = None if self.gate is None else self.gate.take(columns)
        return RowHands(self.table, taken(self.work, columns), self.one_go, gate)

    # -- sessions ------------------------------------------------------------------------------

    def session(self, start: Minutes, end: Minutes, number: int) -> tuple[Minutes, Minutes]:
        """Start and end of one session of work from `start` to `end`; NEVER where it has fewer."""
        opening = self.table.opening(start) + number
        begins = start if number == 0 else self.table.starts.take(opening, mode="clip")
        over = np.minimum(self.table.ends.take(opening, mode="clip"), end)
        there = (begins < end) & (end < NEVER)
        return np.where(there, begins, NEVER), np.where(there, over, NEVER)

    def resumed_after(self, bound: Minutes, session: int, value: Minutes) -> Minutes:
        """The least raw start from `bound` whose given session begins at or after `value`."""
        result = bound.copy()
        columns = np.flatnonzero(value > bound)
        at = bound[columns]
        while columns.size:
            some = self.take(columns)
            start, end = some.place(at)
            result[columns] = start
            begins, _ = some.session(start, end, session)
            early = begins < value[columns]
            _, first = some.session(start, end, 0)
            columns, first = columns[early], first[early]
            # Sessions fall into openings one after another: count back from the first opening
            # that is late enough.
            starts = self.table.starts
            enough = np.searchsorted(starts[:-1], value[columns], "left") - session
            known = (enough > 0) & (enough < self.table.count)
            jump = starts.take(np.where(known, enough, 0))
            at = np.where(known, np.maximum(first, jump), first)
        return result


@dataclass(frozen=True)
class RowWait:
    """Elapsed time."""

    work: Amount

    def place(self, t: Minutes) -> tuple[Minutes, Minutes]:
        return t, self.end(t)

    def end(self, s: Minutes) -> Minutes:
        return np.where(np.abs(s) >= NEVER, s, s + self.work)

    def fit_back(self, t: Minutes) -> Minutes:
        return t

    def end_by(self, t: Minutes) -> Minutes:
        return np.where(np.abs(t) >= NEVER, t, t - self.work)

    def longer(self, minutes: int) -> "RowWait":
        return RowWait(self.work + minutes)

    def take(self, columns: Columns) -> "RowWait":
        return RowWait(taken(self.work, columns))


class RowCarrier:
    """A carrier's days as arrays, far enough back for the longest lead."""

    def __init__(self, days: CarrierDays, origin: int, longest: int) -> None:
        self.days = days
        self.origin = origin
        self._longest = -1
        self.reach(longest)

    def reach(self, longest: int) -> None:
        """Make sure that orders `longest` working days before the origin are known."""
        if longest <= self._longest:
            return
        self._longest = longest
        self.days.latest_order(self.origin, longest)
        never = [working_time.NEVER]
        self.arrivals = self._row(self.days.arrivals + never)
        self.order_until = self._row(self.days.order_until + never)

    def _row(self, minutes: list[int]) -> Minutes:
        return np.array([offset(minute, self.origin) for minute in minutes], np.int32)

    def arrival(self, order: Minutes, workdays: Amount) -> Minutes:
        last = self.arrivals.size - 1
        index = np.searchsorted(self.order_until, order, "left") + workdays
        index = np.minimum(index, last)
        index += self.arrivals.take(index) < order
        moments: Minutes = self.arrivals.take(index, mode="clip")
        return moments

    def latest_order(self, arrival: Minutes, workdays: Amount) -> Minutes:
        index = np.searchsorted(self.arrivals[:-1], arrival, "right") - 1 - workdays
        at = np.maximum(index, 0)
        until = self.order_until.take(at)
        same_day = np.minimum(until, self.arrivals.take(at))
        until = np.where(np.asarray(workdays) == 0, same_day, until)
        result = np.where(index >= 0, until, np.int32(LONG_AGO))
        return np.where(np.abs(arrival) >= NEVER, arrival, result)


@dataclass(frozen=True)
class RowDelivery:
    """From the order to usable. `lead` in workdays of the carrier, or minutes without one.

    Attributes:
        not_before: it is not ordered before this moment.
    """

    carrier: RowCarrier | None
    lead: Amount
    settle: Amount
    extra: int = 0
    not_before: Amount = LONG_AGO

    def place(self, t: Minutes) -> tuple[Minutes, Minutes]:
        start = np.maximum(t, np.asarray(self.not_before, np.int32))
        return start, self.end(start)

    def end(self, s: Minutes) -> Minutes:
        if self.carrier is None:
            arrival = s + self.lead
        else:
            arrival = self.carrier.arrival(s, self.lead)
        usable = np.minimum(arrival + (self.settle + self.extra), NEVER)
        return np.where(np.abs(s) >= NEVER, s, np.where(arrival >= NEVER, NEVER, usable))

    def fit_back(self, t: Minutes) -> Minutes:
        return t

    def end_by(self, t: Minutes) -> Minutes:
        return np.where(np.abs(t) >= NEVER, t, self.latest_order(t - (self.settle + self.extra)))

    def latest_order(self, in_hand: Minutes) -> Minutes:
        """The last order that is in hand by then."""
        if self.carrier is None:
            order: Minutes = in_hand - self.lead
            return order
        return self.carrier.latest_order(in_hand, self.lead)

    def longer(self, minutes: int) -> "RowDelivery":
        return replace(self, extra=self.extra + minutes)

    def take(self, columns: Columns) -> "RowDelivery":
        lead, settle = taken(self.lead, columns), taken(self.settle, columns)
        not_before = taken(self.not_before, columns)
        return RowDelivery(self.carrier, lead, settle, self.extra, not_before)


@dataclass(frozen=True)
class RowExpected:
    """A delivery whose arrival does not hang on its order."""

    arrival: Amount
    settle: Amount

    def place(self, t: Minutes) -> tuple[Minutes, Minutes]:
        return t, self.end(t)

    def end(self, s: Minutes) -> Minutes:
        usable = np.minimum(np.maximum(s, self.arrival) + self.settle, NEVER)
        return np.where(s >= NEVER, s, usable).astype(np.int32)

    def fit_back(self, t: Minutes) -> Minutes:
        return t

    def end_by(self, t: Minutes) -> Minutes:
        order = np.where(t - self.settle >= self.arrival, t - self.settle, LONG_AGO)
        return np.where(np.abs(t) >= NEVER, t, order).astype(np.int32)

    def longer(self, minutes: int) -> "RowExpected":
        return RowExpected(self.arrival + minutes, self.settle)

    def take(self, columns: Columns) -> "RowExpected":
        return RowExpected(taken(self.arrival, columns), taken(self.settle, columns))


@dataclass(frozen=True)
class RowInHand:
    """A parcel that is there whenever it is asked for: what an early one could save."""

    def place(self, t: Minutes) -> tuple[Minutes, Minutes]:
        return t, self.end(t)

    def end(self, s: Minutes) -> Minutes:
        return np.full(s.shape, LONG_AGO, np.int32)

    def fit_back(self, t: Minutes) -> Minutes:
        return t

    def end_by(self, t: Minutes) -> Minutes:
        return np.full(t.shape, NEVER, np.int32)

    def longer(self, minutes: int) -> "RowInHand":
        return self

    def take(self, columns: Columns) -> "RowInHand":
        return self


@dataclass(frozen=True)
class RowCoat:
    """How a coat dries: reference minutes by stage, `later` elapsed minutes on top."""

    curve: RowCurve
    recoat_curve: RowCurve
    times: dict[Stage, Amount]
    later: int = 0

    def stage_end(self, stage: Stage, finish: Minutes) -> Minutes:
        curve = self.recoat_curve if stage == "recoat" else self.curve
        over = np.minimum(curve.over(finish, self.times[stage]) + np.int32(self.later), NEVER)
        return np.where(np.abs(finish) >= NEVER, finish, over)

    def latest_finish(self, stage: Stage, t: Minutes) -> Minutes:
        curve = self.recoat_curve if stage == "recoat" else self.curve
        latest = curve.latest(t - np.int32(self.later), self.times[stage])
        return np.where(np.abs(t) >= NEVER, t, latest)

    def longer(self, minutes: int) -> "RowCoat":
        return replace(self, later=self.later + minutes)

    def take(self, columns: Columns) -> "RowCoat":
        times = {stage: taken(amount, columns) for stage, amount in self.times.items()}
        return RowCoat(self.curve, self.recoat_curve, times, self.later)
