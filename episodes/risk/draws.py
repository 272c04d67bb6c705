"""The lengths of a plan in some samples, as rows: timings and coats by activity.

What a season's calendars, carriers and drying curves are to one plan, `Rows` makes of them for many
samples at once; `Draws` holds what each activity takes in each sample.
"""

from collections.abc import Sequence

import numpy as np

from episodes.calendars.openings import Openings
from episodes.network.activity import Activity
from episodes.network.timing import Delivery, Expected, Hands, Timing, Wait
from episodes.risk.curves import RowCurve
from episodes.risk.layout import Layout
from episodes.risk.tables import NEVER, Columns, MinuteTable
from episodes.risk.timing import (
    Amount,
    RowCarrier,
    RowCoat,
    RowDelivery,
    RowExpected,
    RowGate,
    RowHands,
    RowTiming,
    RowWait,
)
from episodes.trade.drying import DryingCurve
from episodes.trade.products import Stage


class Draws:
    """Timings and coats of every activity in some samples.

    Args:
        count: how many samples.
    """

    def __init__(
        self,
        count: int,
        timings: Sequence[RowTiming | None],
        coats: Sequence[RowCoat | None],
    ) -> None:
        self.count = count
        self._timings = list(timings)
        self._coats = list(coats)

    def timing(self, index: int) -> RowTiming:
        """How a piece of work that is not done uses up time."""
        timing = self._timings[index]
        assert timing is not None
        return timing

    def coat(self, index: int) -> RowCoat:
        coat = self._coats[index]
        assert coat is not None
        return coat

    def take(self, columns: Columns) -> "Draws":
        """Some of the samples; each activity's are picked when it is looked at."""
        return _Some(self, columns)

    def changed(
        self, index: int, timing: RowTiming | None = None, coat: RowCoat | None = None
    ) -> "Draws":
        """The same samples with one activity's timing or coat replaced."""
        return _Changed(self, index, timing, coat)


class _Some(Draws):
    def __init__(self, source: Draws, columns: Columns) -> None:
        self.count = columns.size
        self.source = source
        self.columns = columns
        self._known: dict[int, RowTiming] = {}
        self._known_coats: dict[int, RowCoat] = {}

    def timing(self, index: int) -> RowTiming:
        if index not in self._known:
            self._known[index] = self.source.timing(index).take(self.columns)
        return self._known[index]

    def coat(self, index: int) -> RowCoat:
        if index not in self._known_coats:
            self._known_coats[index] = self.source.coat(index).take(self.columns)
        return self._known_coats[index]


class _Changed(Draws):
    def __init__(
        self, source: Draws, index: int, timing: RowTiming | None, coat: RowCoat | None
    ) -> None:
        self.count = source.count
        self.source = source
        self.index = index
        self._new = timing
        self._new_coat = coat

    def timing(self, index: int) -> RowTiming:
        if index == self.index and self._new is not None:
            return self._new
        return self.source.timing(index)

    def coat(self, index: int) -> RowCoat:
        if index == self.index and self._new_coat is not None:
            return self._new_coat
        return self.source.coat(index)


class Rows:
    """The plan's calendars, carriers and curves as rows, each made once."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self._tables: dict[Openings, MinuteTable] = {}
        # Looking openings up by value means reading all of them.
        self._known: dict[int, tuple[Openings, MinuteTable]] = {}
        self._carriers: dict[int, RowCarrier] = {}
        self._curves: dict[int, RowCurve] = {}

    def table(self, openings: Openings) -> MinuteTable:
        known = self._known.get(id(openings))
        if known is not None:
            return known[1]
        if openings not in self._tables:
            self._tables[openings] = MinuteTable(
                openings, self.layout.origin, self.layout.network.end
            )
        self._known[id(openings)] = openings, self._tables[openings]
        return self._tables[openings]

    def curve(self, curve: DryingCurve) -> RowCurve:
        if id(curve) not in self._curves:
            self._curves[id(curve)] = RowCurve(curve, self.layout.origin)
        return self._curves[id(curve)]

    def carrier(self, delivery: Delivery, longest: int) -> RowCarrier | None:
        days = delivery.carrier
        if days is None:
            return None
        if id(days) not in self._carriers:
            self._carriers[id(days)] = RowCarrier(days, self.layout.origin, longest)
        self._carriers[id(days)].reach(longest)
        return self._carriers[id(days)]

    def timing(self, timing: Timing, work: Amount | None = None, touch: Amount = 0) -> RowTiming:
        """A timing as rows, with other work (or lead) if given.

        Args:
            touch: reference minutes to touch dry of a coat whose air has limits.
        """
        if isinstance(timing, Hands):
            return RowHands(
                self.table(timing.openings),
                timing.work if work is None else work,
                timing.one_go,
                self._gate(timing, touch),
            )
        if isinstance(timing, Wait):
            return RowWait(timing.work if work is None else work)
        if isinstance(timing, Delivery):
            lead = timing.lead if work is None else work
            longest = lead if isinstance(lead, int) else int(lead.max())
            return RowDelivery(self.carrier(timing, longest), lead, timing.settle, timing.extra)
        assert isinstance(timing, Expected)
        return RowExpected(self.layout.at(timing.arrival_at), timing.settle)

    def _gate(self, timing: Hands, touch: Amount) -> RowGate | None:
        gate = timing.gate
        if gate is None:
            return None
        at = self.layout.at
        return RowGate(
            np.array([*(at(a) for a, _ in gate.stretches), NEVER], np.int32),
            np.array([*(at(b) for _, b in gate.stretches), NEVER], np.int32),
            self.curve(gate.curve),
            touch,
        )

    def coat(self, activity: Activity, times: dict[Stage, Amount] | None = None) -> RowCoat | None:
        coat = activity.coat
        if coat is None:
            return None
        known: dict[Stage, Amount] = dict(coat.times)
        return RowCoat(self.curve(coat.curve), self.curve(coat.recoat_curve), times or known)


def as_planned(rows: Rows, count: int = 1) -> Draws:
    """Every length as the plan has it."""
    timings, coats = [], []
    for activity in rows.layout.activities:
        coat = activity.coat
        touch = 0 if coat is None else coat.times.get("touch", 0)
        base = rows.layout.retimer.base.timings[activity.index][0]
        timings.append(None if activity.done else rows.timing(base, touch=touch))
        coats.append(rows.coat(activity))
    return Draws(count, timings, coats)
