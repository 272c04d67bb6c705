"""What one sitting at the screen knows: the engine, the answer shown, the arrivals being tried.

Every page draws from here, so a trial made on one page is seen on all of them.
"""

from functools import cached_property
from typing import TYPE_CHECKING

from episodes.answers.rows import CheckAnswer, EpisodeAnswer
from episodes.exports.text_words import Words
from episodes.problems import EpisodesError
from episodes.screens.engine import Box, Engine

if TYPE_CHECKING:
    from episodes.answers.shots import ShotLine
    from episodes.answers.today import TodayAnswer


class Sitting:
    """One reading of the season and what is tried on it.

    Attributes:
        answer: what is shown: the season as planned, or with the tried arrivals.
        moved: the arrivals being tried, parcel to UTC minute; nothing of it is in the files.
        waiting: arrivals were moved and `answer` does not count them yet.
        room: id of the episode that the head of the screen speaks of.
        words: how moments read here.
    """

    def __init__(self, engine: Engine, room: str | None = None) -> None:
        self.engine = engine
        self.answer: CheckAnswer = engine.base
        self.moved: dict[Box, int] = {}
        self.waiting = False
        known = room is not None and _episode(self.answer, room) is not None
        self.room = room if room is not None and known else _nearest(self.answer)
        self.words = Words(self.answer.zone, self.answer.now)

    @property
    def base(self) -> CheckAnswer:
        """The season as the files have it."""
        return self.engine.base

    @property
    def zone(self) -> str:
        return self.answer.zone

    @property
    def now(self) -> int:
        return self.answer.now

    @property
    def trying(self) -> bool:
        return bool(self.moved)

    @cached_property
    def today(self) -> "TodayAnswer":
        return self.engine.today(self.base)

    @cached_property
    def shots(self) -> "tuple[ShotLine, ...]":
        return self.engine.shots(self.base)

    def episode(self, id: str | None = None) -> EpisodeAnswer | None:
        """The episode as shown, by default the one in the head; None in an empty season."""
        return _episode(self.answer, id or self.room)

    def before(self, id: str | None = None) -> EpisodeAnswer | None:
        """The same episode without what is tried."""
        return _episode(self.base, id or self.room)

    def move(self, box: Box, days: int) -> None:
        """Tries a parcel that many of its carrier's days later than it stands now."""
        here = self.moved.get(box, self.planned(box))
        if here is None:
            return
        there = self.engine.carrier_day(box, here, days)
        if there == self.planned(box):
            self.moved.pop(box, None)
        else:
            self.moved[box] = there
        self.waiting = True

    def planned(self, box: Box) -> int | None:
        """When the parcel is in hand as the files have it."""
        return self.base.episode(box[0]).parcel(box[1]).arrives

    def put_back(self, box: Box | None = None) -> bool:
        """Drops one tried arrival, or all of them; whether there was anything to drop."""
        gone = [box] if box is not None and box in self.moved else []
        if box is None:
            gone = list(self.moved)
        for each in gone:
            del self.moved[each]
        self.waiting = self.waiting or bool(gone)
        return bool(gone)

    def take_over(self, moved: dict[Box, int]) -> None:
        """Goes on trying what was tried on an earlier reading, as far as it is still there."""
        for (episode, id), arrival in moved.items():
            found = _episode(self.base, episode)
            row = next((row for row in found.parcels if row.id == id), None) if found else None
            if row is not None and row.arrived is None and row.arrives != arrival:
                self.moved[episode, id] = arrival
        self.waiting = bool(self.moved)
        try:
            self.solve()
        except EpisodesError:
            self.put_back()
            self.solve()

    def solve(self) -> None:
        """Lets the engine answer for what is tried, if it has not yet."""
        if not self.waiting:
            return
        self.answer = self.engine.try_arrivals(dict(self.moved)) if self.moved else self.base
        self.waiting = False


def _nearest(answer: CheckAnswer) -> str:
    """The nearest episode that is not out yet, else the last one."""
    coming = [each.id for each in answer.episodes if each.verdict != "released"]
    if coming:
        return coming[0]
    return answer.episodes[-1].id if answer.episodes else ""


def _episode(answer: CheckAnswer, id: str) -> EpisodeAnswer | None:
    return next((each for each in answer.episodes if each.id == id), None)
