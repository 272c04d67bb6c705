"""Drying in changing air for whole rows of samples, equal to `trade.drying` to the minute.

Progress is worked out in floating point; the few samples that land so near to a whole minute that
rounding could decide are handed to the exact curve.
"""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from episodes.risk.estimates import Minutes
from episodes.risk.tables import LONG_AGO, NEVER, Columns
from episodes.trade import drying

_UNIT = float(drying._MINUTE)
_ENOUGH = drying._ENOUGH / drying._MINUTE
_DOUBT = 1e-8
"""Minutes of progress below which floating point does not decide; `_ENOUGH` is a hundred times
that, so lengths that come out even are no doubts."""

Floats = npt.NDArray[np.float64]


class RowCurve:
    """One drying curve, its minutes counted from `origin`."""

    def __init__(self, curve: drying.DryingCurve, origin: int) -> None:
        self.exact = curve
        self.origin = origin
        self.starts: Floats = np.array([s - origin for s in curve._starts], np.float64)
        self.speeds: Floats = np.array([rate / _UNIT for rate in curve._rates])
        self.done: Floats = np.array([done / _UNIT for done in curve._done])
        self.by_the_clock = all(rate == drying._MINUTE for rate in curve._rates)

    def over(self, finish: Minutes, minutes: Minutes | int) -> Minutes:
        """When a stage of `minutes` reference time is over; NEVER where it does not dry."""
        if self.by_the_clock:
            sooner: Minutes = np.minimum(finish + minutes, NEVER)
            return sooner
        quick = self._in_one_air(finish, minutes, 1)
        if quick is not None:
            return quick
        needed = np.broadcast_to(np.asarray(minutes, np.float64), finish.shape)
        goal = self._progress(finish) + needed - _ENOUGH
        index = np.maximum(np.searchsorted(self.done, goal, "left") - 1, 0)
        result, doubt = self._solve(goal, index, np.ceil)
        result[finish >= NEVER] = NEVER
        self._settle(result, doubt, finish, needed, self.exact.over)
        return np.where(needed <= 0, finish, result)

    def latest(self, over: Minutes, minutes: Minutes | int) -> Minutes:
        """The latest finish from which the stage is over by `over`."""
        if self.by_the_clock:
            return np.where(np.abs(over) >= NEVER, over, over - minutes).astype(np.int32)
        quick = self._in_one_air(over, minutes, -1)
        if quick is not None:
            return quick
        needed = np.broadcast_to(np.asarray(minutes, np.float64), over.shape)
        goal = self._progress(over) - needed + _ENOUGH
        index = np.maximum(np.searchsorted(self.done, goal, "right") - 1, 0)
        result, doubt = self._solve(goal, index, np.floor)
        result[self.speeds[index] == 0] = LONG_AGO
        result[over >= NEVER] = NEVER
        result[over <= LONG_AGO] = LONG_AGO
        self._settle(result, doubt, over, needed, self.exact.latest)
        return np.where(needed <= 0, over, result)

    def _in_one_air(self, at: Minutes, minutes: Minutes | int, way: int) -> Minutes | None:
        """Where all samples begin and end in one stretch of air: a length for each, whenever.

        Args:
            way: 1 from finish to over, -1 back.
        """
        if at.size == 0:
            return at
        low, high = int(at.min()), int(at.max())
        piece = max(int(np.searchsorted(self.starts, low, "right")) - 1, 0)
        speed = self.speeds[piece]
        until = self.starts[piece + 1] if piece + 1 < self.starts.size else float(NEVER)
        if speed == 0 or high >= until or low < self.starts[piece]:
            return None
        length = np.asarray((np.asarray(minutes, np.float64) - _ENOUGH) / speed)
        whole = np.ceil(length)
        if (np.abs(length - np.rint(length)) < _DOUBT / speed).any():
            return None
        longest = float(whole.max())
        if high + longest >= until if way > 0 else low - longest <= self.starts[piece]:
            return None
        moved: Minutes = at + way * np.maximum(whole, 0).astype(np.int32)
        return moved

    def _progress(self, minute: Minutes) -> Floats:
        at = minute.astype(np.float64)
        index = np.maximum(np.searchsorted(self.starts, at, "right") - 1, 0)
        return self.done[index] + (at - self.starts[index]) * self.speeds[index]

    def _solve(self, goal: Floats, index: Columns, rounding: np.ufunc) -> tuple[Minutes, Columns]:
        """Minutes at which progress reaches the goal, and where rounding is in doubt."""
        speed = self.speeds[index]
        with np.errstate(divide="ignore", invalid="ignore"):
            minute = self.starts[index] + (goal - self.done[index]) / speed
            near = np.abs(minute - np.rint(minute)) < _DOUBT / speed
        near |= np.abs(goal - self.done[index]) < _DOUBT
        near |= np.abs(goal - self.done[np.minimum(index + 1, self.done.size - 1)]) < _DOUBT
        minute = np.where(speed > 0, minute, float(NEVER))
        whole = np.clip(rounding(minute), LONG_AGO, NEVER).astype(np.int32)
        return whole, np.flatnonzero(near)

    def _settle(
        self,
        result: Minutes,
        doubt: Columns,
        at: Minutes,
        needed: Floats,
        exact: Callable[[int, int], int],
    ) -> None:
        for column in doubt.tolist():
            if abs(at[column]) < NEVER:
                minute = exact(int(at[column]) + self.origin, int(needed[column]))
                result[column] = max(min(minute - self.origin, NEVER), LONG_AGO)
