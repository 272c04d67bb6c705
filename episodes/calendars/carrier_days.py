"""A carrier's days: when what is ordered now arrives, and until when to order.

Working days count on the carrier's own days, public holidays and days off out. An order up to the
cutoff counts from that day, the cutoff's own minute included; a later one, or one on a day that is
not the carrier's, from the next of its days. The parcel is in hand on the last day, at
`arrives_at`. Same adjoint pair as everywhere:

    arrival(o, n) <= t   <=>   o <= latest_order(t, n)
"""

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable
from datetime import date

from episodes.calendars.local_time import MINUTES_A_DAY, Zone
from episodes.calendars.week import DayOff
from episodes.calendars.working_time import LONG_AGO, NEVER

_YEARS_BACK = 10
"""How far before the horizon orders are still told apart: an old order is a fact, not a slip."""


class CarrierDays:
    """The carrier's days from before `start` up to `end` (UTC minutes).

    What would come after the horizon is NEVER. Orders from before it are looked up all the same
    (up to ten years back; their holidays must be among `holidays`), since a parcel may have been
    on its way long before a plan is read.

    Attributes:
        arrivals: the arrival moment of each day, rising.
        order_until: the last minute in which an order counts from that day, rising.
    """

    __slots__ = (
        "_arrives_at", "_closed", "_cutoff", "_first", "_floor", "_from", "_last", "_ordinals",
        "_weekdays", "_zone", "arrivals", "order_until",
    )  # fmt: skip

    def __init__(
        self,
        zone: Zone,
        weekdays: frozenset[int],
        start: int,
        end: int,
        *,
        holidays: Collection[date] = frozenset(),
        off: Iterable[DayOff] = (),
        cutoff: int | None = None,
        arrives_at: int = 18 * 60,
    ) -> None:
        """Build the days.

        Args:
            weekdays: Monday is 0.
            off: whole days off; a carrier has no hours, so hours off (a `window`) say nothing.
            cutoff, arrives_at: minutes after midnight; cutoff None for the end of the day.
        """
        self._zone = zone
        self._weekdays = weekdays
        self._cutoff = MINUTES_A_DAY if cutoff is None else cutoff
        self._arrives_at = arrives_at
        self._last = zone.day(max(start, end - 1)).toordinal()
        first = zone.day(start).toordinal()
        self._floor = max(1, first - _YEARS_BACK * 366)
        self._closed = {day.toordinal() for day in holidays}
        for stretch in off:
            if stretch.window is None:
                low, high = stretch.first.toordinal(), stretch.last.toordinal()
                self._closed.update(range(max(low, self._floor), min(high, self._last) + 1))
        self._first = self._last + 1
        self._ordinals: list[int] = []
        self.arrivals: list[int] = []
        self.order_until: list[int] = []
        self._reach_back(first)

    def arrival(self, order: int, workdays: int) -> int:
        """The minute in which something ordered at `order` is in hand; NEVER past the horizon.

        With no working days it comes the same day, or the next of the carrier's days where that
        day's arrival is already past.
        """
        self._know(order)
        index = bisect_left(self.order_until, order) + workdays
        if index < len(self.arrivals) and self.arrivals[index] < order:
            index += 1
        return self.arrivals[index] if index < len(self.arrivals) else NEVER

    def latest_order(self, arrival: int, workdays: int) -> int:
        """The last minute to order in, to have it by `arrival`; LONG_AGO where there is none."""
        if arrival >= NEVER:
            return NEVER
        if arrival <= LONG_AGO:
            return LONG_AGO
        while True:
            index = bisect_right(self.arrivals, arrival) - 1 - workdays
            if index >= 0:
                until = self.order_until[index]
                # On the same day only what is ordered before it comes.
                return until if workdays else min(until, self.arrivals[index])
            if self._first <= self._floor:
                return LONG_AGO
            self._reach_back(self._first - 2 * (self._last + 1 - self._first))

    def next_arrival(self, after: int) -> int:
        """The first of the carrier's arrival moments at or after a minute; NEVER if none is."""
        self._know(after)
        index = bisect_left(self.arrivals, after)
        return self.arrivals[index] if index < len(self.arrivals) else NEVER

    def later(self, arrival: int, days: int) -> int:
        """An arrival moved by some of the carrier's days, to their arrival moments.

        Counted from the day of `arrival`, which need not be the carrier's own; 0 days leave it as
        it is. NEVER past the horizon, LONG_AGO before all days known.
        """
        if days == 0 or not LONG_AGO < arrival < NEVER:
            return arrival
        self._know(arrival)
        day = self._zone.day(arrival).toordinal()
        if days > 0:
            index = bisect_right(self._ordinals, day) + days - 1
            return self.arrivals[index] if index < len(self.arrivals) else NEVER
        while (index := bisect_left(self._ordinals, day) + days) < 0:
            if self._first <= self._floor:
                return LONG_AGO
            self._reach_back(self._first - 2 * (self._last + 1 - self._first))
        return self.arrivals[index]

    def arrival_on(self, day: date) -> int:
        """The arrival moment of any day, the carrier's or not."""
        return self._zone.utc(day, self._arrives_at)

    def _know(self, minute: int) -> None:
        """Make sure that the days from that of `minute` on are there."""
        if minute < self._from:
            self._reach_back(self._first - (self._from - minute) // MINUTES_A_DAY - 2)

    def _reach_back(self, first: int) -> None:
        """Make sure that the days from `first` on are there, as far back as the floor."""
        first = max(first, self._floor)
        if first >= self._first:
            return
        ordinals = [
            ordinal
            for ordinal in range(first, self._first)
            if (ordinal - 1) % 7 in self._weekdays and ordinal not in self._closed
        ]
        arrivals: list[int] = []
        order_until: list[int] = []
        for ordinal in ordinals:
            midnight = self._zone.plain_midnight(ordinal)
            if midnight is None:
                day = date.fromordinal(ordinal)
                at, until = (self._zone.utc(day, m) for m in (self._arrives_at, self._cutoff))
                over = self._zone.utc(day, MINUTES_A_DAY)
            else:
                at, until = midnight + self._arrives_at, midnight + self._cutoff
                over = midnight + MINUTES_A_DAY
            arrivals.append(at)
            order_until.append(min(until, over - 1))
        self._ordinals[:0] = ordinals
        self.arrivals[:0] = arrivals
        self.order_until[:0] = order_until
        self._first = first
        self._from = self._zone.utc(date.fromordinal(first), 0)
