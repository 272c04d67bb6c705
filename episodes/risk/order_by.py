"""The last moment to order each parcel for a wanted share of samples in time.

In each sample the latest moment at which the parcel may be usable, less that sample's lead and
settling, is the latest order that is still in time. The wanted share then reads off those moments
in falling order: the exact inverse of ordering at that moment and counting. Where the backward
sweep may be too early, the samples are timed with later and later orders instead.
"""

from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from episodes.risk.backward import BackwardSweep
from episodes.risk.estimates import Minutes
from episodes.risk.readiness import met
from episodes.risk.sweep import Sweep
from episodes.risk.tables import LONG_AGO, NEVER, Columns, Mask
from episodes.risk.timing import RowDelivery, RowInHand

SHARES = (50, 80, 95)
"""Samples in time, in the hundred, for which an order moment is given."""


@dataclass(frozen=True)
class LatestOrders:
    """One parcel in some samples.

    Attributes:
        in_time: samples in time however early it comes.
        orders: latest order in time, LONG_AGO where none is; None where it needs no order.
    """

    in_time: Mask
    orders: Minutes | None


def latest_orders(
    sweep: Sweep, latest: BackwardSweep, episode: str, index: int, in_time: Mask
) -> LatestOrders:
    """The latest order of a parcel in every sample.

    Args:
        latest: the backward sweep from the episode's release.
        in_time: samples in which the episode is in time as drawn.
    """
    layout = sweep.layout
    last_start, last_finish = latest.caps(index)
    # Where the parcel itself is not too late, an earlier one saves nothing.
    columns = np.flatnonzero(~in_time & (sweep.finishes[index] > last_finish))
    possible = in_time.copy()
    if columns.size:
        some = sweep.take(columns)
        trial = some.again(some.draws.changed(index, RowInHand()), index, latest.pieces)
        possible[columns] = met(trial, episode)
    timing = sweep.draws.timing(index)
    if not isinstance(timing, RowDelivery):
        return LatestOrders(possible, None)
    orders = np.minimum(timing.end_by(last_finish), last_start)
    orders = np.where(possible, orders, np.int32(LONG_AGO))
    # It is not ordered before what it waits for is over.
    start = sweep.starts[index]
    held = (start > layout.at(layout.network.now)) & (start > orders)
    orders = np.where(held, np.int32(LONG_AGO), orders)
    if index in layout.uneven and index in layout.network.scope(episode).required:
        # As drawn it is in time: its order is early enough.
        orders = np.where(in_time, np.maximum(orders, start), orders)
        try_later(sweep, latest, episode, index, orders)
    return LatestOrders(possible, orders)


def try_later(
    sweep: Sweep, latest: BackwardSweep, episode: str, index: int, orders: Minutes
) -> None:
    """Raise latest orders, in place, where a later one is in time too: halve what lies between."""
    drawn = sweep.draws.timing(index)
    assert isinstance(drawn, RowDelivery)

    def in_time(some: Sweep, columns: Columns, moments: Minutes) -> Mask:
        timing = replace(drawn.take(columns), not_before=moments)
        return met(some.again(some.draws.changed(index, timing), index, latest.pieces), episode)

    columns = np.flatnonzero((orders > LONG_AGO) & (orders < NEVER))
    if columns.size == 0:
        return
    known = orders[columns]
    later = in_time(sweep.take(columns), columns, known + np.int32(1))
    columns, known = columns[later], known[later] + np.int32(1)
    if columns.size == 0:
        return
    some = sweep.take(columns)
    release = sweep.layout.at(sweep.layout.network.scope(episode).release)
    # Behind this it is not even usable by the release.
    too_late = drawn.take(columns).end_by(np.full(columns.size, release, np.int32)) + np.int32(1)
    too_late = np.maximum(too_late, known + np.int32(1))
    while int((too_late - known).max()) > 1:
        middle = known + (too_late - known) // np.int32(2)
        early = in_time(some, columns, middle)
        known = np.where(early, middle, known)
        too_late = np.where(early, np.maximum(too_late, middle + np.int32(1)), middle)
    orders[columns] = known


def order_by(orders: Minutes, share: float) -> int | None:
    """The last moment to order so that `share` samples in the hundred are in time."""
    falling = np.sort(orders)[::-1]
    wanted = max(ceil(round(share * falling.size / 100, 6)), 1)
    moment = int(falling[wanted - 1])
    return None if abs(moment) >= NEVER else moment
