"""One sample of a sweep as the plain, scalar network passes would time it: a second opinion."""

from dataclasses import replace
from typing import Any

import numpy as np

from episodes.calendars.working_time import LONG_AGO
from episodes.network.passes import ForwardPass
from episodes.network.timing import Delivery, Expected, Hands, Timing, Wait
from episodes.risk.draws import Draws
from episodes.risk.layout import Layout
from episodes.risk.timing import RowDelivery, RowExpected, RowHands, RowWait


def number(amount: Any, column: int) -> int:
    return int(amount) if np.ndim(amount) == 0 else int(amount[column])


def scalar_pass(
    layout: Layout, draws: Draws, column: int, *, earliest: dict[int, int] | None = None
) -> ForwardPass:
    """The plan re-timed by the engine's own scalar pass with the lengths of one sample."""
    retimer = layout.retimer
    base = retimer.base
    coats = list(base.coats)
    timings: list[list[Timing]] = [list(some) for some in base.timings]
    for activity in layout.activities:
        index = activity.index
        coat = coats[index]
        if coat is not None:
            row = draws.coat(index)
            times = {stage: number(amount, column) for stage, amount in row.times.items()}
            coats[index] = replace(coat, times=times, _known={})
        if not activity.done:
            timings[index] = [_timing(layout, draws, index, column, timings[index][0])]
            touched = coats[index]
            hands = timings[index][0]
            if isinstance(hands, Hands) and hands.gate is not None:
                assert touched is not None
                hands.gate = replace(hands.gate, touch=touched.times["touch"])
    own = retimer._earliest()
    for index, minute in (earliest or {}).items():
        own[index] = max(own[index], minute)
    return ForwardPass(
        layout.activities,
        sorted(range(len(base.place)), key=lambda i: base.place[i]),
        [list(links) for links in layout.incoming],
        [list(links) for links in layout.outgoing],
        timings=timings,
        coats=coats,
        earliest=own,
        sides=base.sides,
    )


def _timing(layout: Layout, draws: Draws, index: int, column: int, planned: Timing) -> Timing:
    row = draws.timing(index)
    if isinstance(row, RowHands):
        assert isinstance(planned, Hands)
        return Hands(planned.openings, number(row.work, column), planned.one_go, planned.gate)
    if isinstance(row, RowWait):
        return Wait(number(row.work, column))
    if isinstance(row, RowDelivery):
        assert isinstance(planned, Delivery)
        return Delivery(
            planned.carrier, number(row.lead, column), number(row.settle, column), row.extra
        )
    assert isinstance(row, RowExpected)
    arrival = number(row.arrival, column)
    moment = LONG_AGO if arrival <= -(1 << 29) else arrival + layout.origin
    return Expected(moment, number(row.settle, column))
