"""From low..likely..high to a length for each normal score: the split lognormal.

With z standard normal the length is m exp(s z), s from the low value below the median and from the
high one above it, so the 10th percentile, the median and the 90th are those written down, and
two values with their geometric mean give a plain lognormal. Scores are cut at one in a thousand a
side: nobody who writes "1..2..10" means 97.
"""

from functools import cache
from math import exp, inf, log
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from episodes.amounts import Estimate

Scores = npt.NDArray[np.float64]
Minutes = npt.NDArray[np.int32]

Z10 = 1.2815515655446004
"""The normal score of the 90th percentile."""

CUT = 3.09
"""Normal score of one in a thousand."""

_STEP = 1 / 256
_REACH = 6.0
"""Edge and step of the table of the normal distribution; its error is below 1e-6."""


def _spread(estimate: Estimate, days: bool) -> tuple[float, float, float, float]:
    """Median, spread below, spread above, and what is added before rounding down.

    Whole days are drawn so that their rounding keeps all three percentiles: half a day is added
    and the result cut. So are minutes that may be none, which have no logarithm.
    """
    shift = 0.5 if days or estimate.low <= 0 else 0.0
    low, likely, high = (value + shift for value in (estimate.low, estimate.likely, estimate.high))
    return likely, log(likely / low) / Z10, log(high / likely) / Z10, 0.5 - shift


def amounts(estimate: Estimate, scores: Scores, *, days: bool = False) -> Minutes:
    """Whole minutes (or workdays, with `days`) for normal scores.

    >>> amounts(Estimate(120, 180, 360), np.array([-Z10, 0.0, Z10])).tolist()
    [120, 180, 360]
    """
    if estimate.certain:
        return np.full(scores.shape, estimate.likely, np.int32)
    likely, below, above, rounding = _spread(estimate, days)
    z = np.clip(scores, -CUT, CUT)
    values = np.exp(z * np.where(z < 0, below, above))
    # A percentile written down must not fall below itself by a last bit.
    return np.floor(values * likely + (rounding + 1e-9)).astype(np.int32)


def score_of_more(
    estimate: Estimate, amount: npt.NDArray[np.int64] | int, *, days: bool = False
) -> Scores:
    """The least normal score whose amount is more than `amount`; inf where none is."""
    least = np.asarray(amount, np.float64) + 1
    if estimate.certain:
        return np.where(least > estimate.likely, inf, -inf)
    likely, below, above, rounding = _spread(estimate, days)
    ratio = np.log(np.maximum(least - rounding, 1e-300) / likely)
    with np.errstate(divide="ignore", invalid="ignore"):
        up = ratio / above if above else np.where(ratio > 0, inf, 0.0)
        down = ratio / below if below else np.full(ratio.shape, -inf)
    return np.where(ratio > 0, up, np.where(ratio < 0, down, 0.0 if below else -inf))


def scores_given_more(scores: Scores, least: Scores | float) -> Scores:
    """Normal scores drawn on the condition that they are `least` or more.

    With u the share of the distribution above a score, what is left above `least` is used up in
    the same proportion, so a high draw stays a high one.
    """
    grid, above = _log_share_above()
    share = np.interp(np.clip(scores, -_REACH, _REACH), grid, above)
    cut = np.interp(np.clip(least, -_REACH, _REACH), grid, above)
    drawn = np.interp(-(share + cut), -above, grid)
    return np.where(np.isneginf(least), scores, np.maximum(drawn, least))


@cache
def _log_share_above() -> tuple[Scores, Scores]:
    grid = np.arange(-_REACH, _REACH + _STEP / 2, _STEP)
    normal = NormalDist()
    return grid, np.array([log(normal.cdf(-z)) for z in grid.tolist()])


def mean(estimate: Estimate) -> float:
    """Mean of the split lognormal, before it is cut and rounded.

    >>> round(mean(Estimate(2, 3, 6)), 3)
    3.636
    """
    if estimate.certain:
        return float(estimate.likely)
    likely, below, above, rounding = _spread(estimate, False)
    normal = NormalDist()
    return likely * (
        exp(below**2 / 2) * normal.cdf(-below) + exp(above**2 / 2) * normal.cdf(above)
    ) - (0.5 - rounding)
