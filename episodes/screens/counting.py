"""What is being counted elsewhere for the sitting as it stands: odds, ways out.

What has been answered is kept as long as the files stay as they are, so that a trial taken back
shows its odds at once; what is asked for a state that is gone is dropped.
"""

from collections.abc import Callable, Hashable
from time import monotonic
from typing import TYPE_CHECKING

from episodes.screens.errands import Errands, Failed, Question

if TYPE_CHECKING:
    from episodes.answers.compare import CompareAnswer
    from episodes.answers.load import LoadAnswer
    from episodes.answers.lookback import LookbackAnswer
    from episodes.answers.rescue import RescueAnswer
    from episodes.screens.sitting import Sitting

ODDS_AFTER = 0.25
"""Seconds without another trial before its odds are counted."""

MOST_KEPT = 64
"""Answers kept; the oldest goes."""


class Counting:
    """Asks for what a page needs, and tells the app when it has come.

    Args:
        errands: where it is worked out.
        arrived: called with the name of what has come, in the app's own turn.
    """

    def __init__(self, errands: Errands, arrived: Callable[[str], None]) -> None:
        self._errands = errands
        self._arrived = arrived
        self._known: dict[tuple[str, Hashable], object] = {}
        self._asked: dict[str, tuple[Hashable, float]] = {}
        """By name: for what it was asked, and when."""

    def forget(self) -> None:
        """The files are read anew: nothing that was answered or asked holds any more."""
        self._known.clear()
        self._asked.clear()

    def waiting(self, name: str) -> int | None:
        """For how many whole seconds an answer is waited for; None if none is."""
        asked = self._asked.get(name)
        return None if asked is None else int(monotonic() - asked[1])

    # -- what can be asked

    def odds(self, sitting: "Sitting") -> None:
        """Has the odds of what is shown counted and put into the sitting."""
        if sitting.waiting or sitting.odds is not None:
            return
        moved, taken = dict(sitting.moved), tuple(sitting.taken)
        found = self._get(
            "odds",
            sitting.trial,
            lambda: sitting.engine.ask_odds(moved, taken),
            after=ODDS_AFTER,
            urgent=False,
        )
        if isinstance(found, dict):
            sitting.odds = found
        elif found is not None:
            sitting.odds = {}

    def odds_lines(self, sitting: "Sitting", episode: str) -> "tuple[str, ...] | None":
        """The odds of one episode in words and as a picture; None while they are counted."""
        moved, taken = dict(sitting.moved), tuple(sitting.taken)
        found = self._get(
            "odds lines",
            (sitting.trial, episode),
            lambda: sitting.engine.ask_odds_lines(moved, taken, episode),
        )
        if isinstance(found, Failed):
            return ("They could not be counted.",)
        return found if isinstance(found, tuple) else None

    def ways(self, sitting: "Sitting", episode: str) -> "RescueAnswer | Failed | None":
        """The ways out of an episode's slip with the arrivals tried; None while they are sought."""
        from episodes.answers.rescue import RescueAnswer

        moved = dict(sitting.moved)
        key = (frozenset(moved.items()), episode)
        found = self._get("ways", key, lambda: sitting.engine.ask_ways(moved, episode))
        assert found is None or isinstance(found, RescueAnswer | Failed)
        return found

    def load(self, sitting: "Sitting") -> "LoadAnswer | Failed | None":
        """How full the weeks are, with what is tried."""
        from episodes.answers.load import LoadAnswer

        moved, taken = dict(sitting.moved), tuple(sitting.taken)
        found = self._get("load", sitting.trial, lambda: sitting.engine.ask_load(moved, taken))
        assert found is None or isinstance(found, LoadAnswer | Failed)
        return found

    def ideas(self, sitting: "Sitting") -> "CompareAnswer | Failed | None":
        """The rooms without a month against the season as the files have it."""
        from episodes.answers.compare import CompareAnswer

        found = self._get("ideas", (), sitting.engine.ask_ideas)
        assert found is None or isinstance(found, CompareAnswer | Failed)
        return found

    def lookback(self, sitting: "Sitting") -> "LookbackAnswer | Failed | None":
        """What was guessed against what it took."""
        from episodes.answers.lookback import LookbackAnswer

        found = self._get("lookback", (), sitting.engine.ask_lookback)
        assert found is None or isinstance(found, LookbackAnswer | Failed)
        return found

    # -- asking

    def _get(
        self,
        name: str,
        key: Hashable,
        question: Callable[[], Question],
        *,
        after: float = 0.0,
        urgent: bool = True,
    ) -> object:
        if (name, key) in self._known:
            return self._known[name, key]
        asked = self._asked.get(name)
        if asked is None or asked[0] != key:
            self._asked[name] = (key, monotonic())
            self._errands.ask(
                name,
                question(),
                lambda answer: self._take(name, key, answer),
                after=after,
                urgent=urgent,
            )
        return self._known.get((name, key))

    def _take(self, name: str, key: Hashable, answer: object) -> None:
        asked = self._asked.get(name)
        if asked is None or asked[0] != key:
            return
        del self._asked[name]
        if len(self._known) >= MOST_KEPT:
            del self._known[next(iter(self._known))]
        self._known[name, key] = answer
        self._arrived(name)
