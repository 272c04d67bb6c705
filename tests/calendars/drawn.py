"""Calendars for the law tests, drawn by hypothesis, and their minutes one by one.

Each calendar is small enough to be written down minute by minute, and is probed at every edge, the
minute before and the minute after, besides minutes from anywhere on and around it.
"""

from bisect import bisect_left
from collections.abc import Iterator
from random import Random

from hypothesis import settings
from hypothesis import strategies as st

from episodes.calendars.openings import Openings, Stretch

CALENDARS = 200
PROBES = 500

# 200 calendars x 500 probes a law in the everyday profile, 2,000 x 500 in the profile `deep`.
law = settings(max_examples=max(CALENDARS, settings().max_examples))

_LENGTHS = st.one_of(st.integers(1, 3), st.integers(1, 40), st.integers(1, 400))


@st.composite
def calendars(draw: st.DrawFn) -> Openings:
    """Up to thirty openings after one another; closed time between them of any length."""
    at = draw(st.integers(-2_000, 2_000))
    stretches: list[Stretch] = []
    for gap, length in draw(st.lists(st.tuples(_LENGTHS, _LENGTHS), max_size=30)):
        stretches.append((at + gap, at + gap + length))
        at += gap + length
    return Openings(stretches)


seeds = st.integers(0, 2**32 - 1)


def instants(openings: Openings, random: Random) -> list[int]:
    """PROBES minutes: every edge and both its neighbours, the rest from all over."""
    edges = [*openings.starts, *openings.ends]
    probes = sorted({edge + by for edge in edges for by in (-1, 0, 1)})
    low, high = (min(edges) - 50, max(edges) + 50) if edges else (-50, 50)
    probes += [random.randint(low, high) for _ in range(PROBES - len(probes))]
    random.shuffle(probes)
    assert len(probes) == PROBES
    return probes


def amounts_of_work(openings: Openings, random: Random) -> Iterator[int]:
    """Without end: none, an opening's length and one off, all there is and one off, any."""
    lengths = [end - start for start, end in openings] or [1]
    while True:
        yield max(
            0,
            random.choice(
                (
                    random.choice(lengths) + random.randint(-1, 1),
                    random.choice(openings.before) + random.randint(-1, 1),
                    openings.total + random.randint(-1, 1),
                    random.randint(1, openings.total + 1),
                    random.randint(1, 60),
                    random.randint(0, 2),
                )
            ),
        )


class Minutes:
    """The open minutes of a calendar written down one by one: slow, and plain to see."""

    def __init__(self, openings: Openings) -> None:
        self.minutes = [minute for start, end in openings for minute in range(start, end)]
        self.set = frozenset(self.minutes)
        self.ahead: dict[int, int] = {}
        for minute in reversed(self.minutes):
            self.ahead[minute] = self.ahead.get(minute + 1, 0) + 1

    def worked(self, start: int, work: int) -> list[int] | None:
        """The first `work` open minutes from `start` on, None if there are not so many."""
        first = bisect_left(self.minutes, start)
        found = self.minutes[first : first + work]
        return found if len(found) == work else None

    def in_one_go(self, start: int, work: int) -> bool:
        """Whether it is open for so many minutes from `start` on, one after the other."""
        return self.ahead.get(start, 0) >= work
