"""Until when a way out can still be decided, work before it done as planned without it."""

from collections.abc import Callable
from dataclasses import dataclass

THOROUGH_LOOKS = 6
"""Moments looked at thoroughly where a quick plan found nothing and the dates refute nothing."""

Look = Callable[[int, bool], bool | None]
"""Whether the way saves the release if it is decided at a moment (UTC minute), told whether to
look thoroughly; None where that stays open."""


@dataclass(frozen=True, slots=True)
class LastMoment:
    """`at`: a UTC minute at which it still works; `exact`: proved that it does not a minute on."""

    at: int
    exact: bool


def last_moment(look: Look, now: int, until: int) -> LastMoment:
    """The last minute of `[now, until)` at which the way still works; it does so now.

    By halving: what can be decided later can be decided sooner. A quick look leaves some moments
    open; the first of them is looked at thoroughly, and the halving goes on behind it if it works.
    """
    good, bad = now, until
    refuted = True
    while bad - good > 1:
        middle = (good + bad) // 2
        works = look(middle, False)
        if works:
            good = middle
        else:
            bad, refuted = middle, works is False
    return LastMoment(good, True) if refuted else _further(look, good, until)


def _further(look: Look, good: int, until: int) -> LastMoment:
    """Go on behind a moment that a quick look left open."""
    works = look(good + 1, True) if good + 1 < until else False
    if not works:
        return LastMoment(good, works is False)
    good += 1
    bad, refuted = until, True
    for _ in range(THOROUGH_LOOKS):
        if bad - good <= 1:
            break
        middle = (good + bad) // 2
        works = look(middle, True)
        if works:
            good = middle
        else:
            bad, refuted = middle, works is False
    return LastMoment(good, refuted and bad - good <= 1)
