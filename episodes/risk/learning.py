"""What took how long, learned from: a range that moves towards what was measured, not onto it.

A record is x = ln(took / guessed). Records are believed the more of them there are: the mean and
spread of x follow the normal-inverse-gamma rule of Bayes for a normal sample (A. Gelman et al.,
"Bayesian Data Analysis", section 3.3), whose prediction for the next one is Student's t. The
prior says what the user's own range says: no bias, and a spread that fits the range. A group of
records (one person, one kind of work) starts from what the wider group without it teaches.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, cos, exp, log, pi, sin, sqrt

Z10 = 1.2815515655446004
"""The 90th percentile of the standard normal distribution."""

STRENGTH = 4.0
"""Records that the prior counts for, in the mean (kappa) and in the spread (alpha)."""

FARTHEST = 3.0
"""A record farther out than this many spreads is counted as if it were there."""

USUAL_SPREAD = log(1.8 / 0.7) / (2 * Z10)
"""Spread of a length that was written without a range: 0.7 to 1.8 times, as first guesses go
(common practice, no published source)."""


@dataclass(frozen=True, slots=True)
class Learned:
    """Factors for the low, likely and high end of a range; from `n` records, `clipped` of them
    counted as nearer than they were."""

    low: float
    likely: float
    high: float
    n: int
    clipped: int


def spread_of(low: float, high: float) -> float:
    """The spread of x that a range from its 10th to its 90th percentile claims."""
    return log(high / low) / (2 * Z10) if 0 < low < high else USUAL_SPREAD


def clipped(x: float, spread: float) -> float:
    """x drawn in to the farthest that is believed."""
    return max(-FARTHEST * spread, min(FARTHEST * spread, x))


def learn(levels: Sequence[Sequence[tuple[float, float]]], spread: float) -> Learned:
    """Factors for the next length, from records at several levels.

    Args:
        levels: from the widest to the narrowest group, each without the records of the next:
            pairs of (x, spread of the range it was guessed with).
        spread: of the range that the factors are for.
    """
    mean = 0.0
    for level in levels[:-1]:
        xs = [clipped(x, s) for x, s in level]
        mean = (STRENGTH * mean + sum(xs)) / (STRENGTH + len(xs))
    own = levels[-1] if levels else ()
    xs = [clipped(x, s) for x, s in own]
    n = len(xs)
    alpha = STRENGTH + n / 2
    beta = (STRENGTH - 1) * spread**2
    kappa = STRENGTH + n
    middle = mean
    if n:
        average = sum(xs) / n
        middle = (STRENGTH * mean + n * average) / kappa
        beta += sum((x - average) ** 2 for x in xs) / 2
        beta += STRENGTH * n * (average - mean) ** 2 / (2 * kappa)
    reach = sqrt(beta * (kappa + 1) / (alpha * kappa)) * student_quantile(0.9, round(2 * alpha))
    return Learned(
        low=exp(middle - reach),
        likely=exp(middle),
        high=exp(middle + reach),
        n=n,
        clipped=sum(1 for x, s in own if clipped(x, s) != x),
    )


def student_quantile(p: float, degrees: int) -> float:
    """Quantile of Student's t with a whole number of degrees of freedom.

    Found by halving on the distribution function, which for whole degrees is a finite sum
    (M. Abramowitz and I. A. Stegun, "Handbook of Mathematical Functions", 26.7.3 and 26.7.4).
    """
    if p < 0.5:
        return -student_quantile(1 - p, degrees)
    low, high = 0.0, 1.0
    while _student_below(high, degrees) < p:
        high *= 2
    for _ in range(80):
        middle = (low + high) / 2
        if _student_below(middle, degrees) < p:
            low = middle
        else:
            high = middle
    return high


def _student_below(t: float, degrees: int) -> float:
    """Probability of a value below t, t not negative."""
    angle = atan(t / sqrt(degrees))
    within = 0.0
    term = 1.0
    if degrees % 2:
        if degrees > 1:
            term = cos(angle)
            total = term
            for k in range(3, degrees - 1, 2):
                term *= cos(angle) ** 2 * (k - 1) / k
                total += term
            within = sin(angle) * total
        within = 2 / pi * (angle + within)
    else:
        total = term
        for k in range(2, degrees - 1, 2):
            term *= cos(angle) ** 2 * (k - 1) / k
            total += term
        within = sin(angle) * total
    return 0.5 + within / 2
