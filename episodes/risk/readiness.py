"""When an episode is ready in each sample, and whether it is out in time."""

import numpy as np

from episodes.risk.estimates import Minutes
from episodes.risk.sweep import Sweep
from episodes.risk.tables import LONG_AGO, NEVER, Mask


def over_for_release(sweep: Sweep, index: int) -> Minutes:
    """When an activity is over for the release: its finish, or its coat's drying."""
    row = sweep.layout.network.dries.get(index)
    if row is None or sweep.layout.activities[index].coat is None:
        return sweep.finishes[index]
    return sweep.stage(index, row.release_stage)


def ready(sweep: Sweep, episode: str) -> Minutes:
    """When all that an episode's release waits for is over; NEVER in samples without any time."""
    moment = np.full(sweep.count, LONG_AGO, np.int32)
    for index in sweep.layout.network.scope(episode).required:
        np.maximum(moment, over_for_release(sweep, index), out=moment)
    return np.minimum(moment, np.int32(NEVER), out=moment)


def kept(sweep: Sweep, episode: str) -> Mask:
    """Samples in which the episode's required work keeps its last moments, fixed starts and
    windows that count from facts."""
    fine = np.ones(sweep.count, np.bool_)
    layout = sweep.layout
    for index in layout.network.scope(episode).required:
        activity = layout.activities[index]
        if activity.done:
            continue
        if activity.kind != "parcel":
            fine &= sweep.finishes[index] <= layout.at(activity.latest_finish)
        if activity.at is not None:
            fine &= sweep.starts[index] == layout.at(activity.at)
        if index in sweep.missed:
            fine &= ~sweep.missed[index]
    return fine


def met(sweep: Sweep, episode: str) -> Mask:
    """Samples in which the episode is out in time."""
    release = sweep.layout.at(sweep.layout.network.scope(episode).release)
    return (ready(sweep, episode) <= release) & kept(sweep, episode)
