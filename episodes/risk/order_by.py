"""The last moment to order each parcel for a wanted share of samples in time.

In each sample the latest moment at which the parcel may be usable, less that sample's lead and
settling, is the latest order that is still in time. The wanted share then reads off those moments
in falling order: the exact inverse of ordering at that moment and counting.
"""

from dataclasses import dataclass
from math import ceil

import numpy as np

from episodes.risk.backward import BackwardSweep
from episodes.risk.estimates import Minutes
from episodes.risk.sweep import Sweep, met
from episodes.risk.tables import LONG_AGO, NEVER, Mask
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
    return LatestOrders(possible, np.where(held, np.int32(LONG_AGO), orders))


def order_by(orders: Minutes, share: int) -> int | None:
    """The last moment to order so that `share` samples in the hundred are in time."""
    falling = np.sort(orders)[::-1]
    moment = int(falling[ceil(share * falling.size / 100) - 1])
    return None if abs(moment) >= NEVER else moment
