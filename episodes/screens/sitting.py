"""What one sitting at the screen knows: the engine, the answer shown, what is being tried.

Every page draws from here, so a trial made on one page is seen on all of them.
"""

from collections.abc import Hashable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from episodes.answers.rows import CheckAnswer, EpisodeAnswer
from episodes.exports.text_words import Words
from episodes.problems import EpisodesError
from episodes.screens.engine import Box, Engine, Taken

if TYPE_CHECKING:
    from episodes.answers.rescue import Way
    from episodes.answers.shots import ShotLine
    from episodes.answers.today import TodayAnswer


class Sitting:
    """One reading of the season and what is tried on it.

    Attributes:
        answer: what is shown: the season as planned, or with what is tried.
        moved: the arrivals being tried, parcel to UTC minute; nothing of it is in the files.
        taken: the ways out being tried; nothing of them is in the files either.
        waiting: something is tried that `answer` does not count yet.
        odds: by episode the share of samples in time; None while they are counted, {} where
            there are none.
        room: id of the episode that the head of the screen speaks of.
        words: how moments read here.
    """

    def __init__(self, engine: Engine, room: str | None = None) -> None:
        self.engine = engine
        self.answer: CheckAnswer = engine.base
        self.moved: dict[Box, int] = {}
        self.taken: list[Taken] = []
        self.odds: Mapping[str, float] | None = None
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
        return bool(self.moved or self.taken)

    @property
    def trial(self) -> Hashable:
        """What is tried, as a key: equal where the same is."""
        ways = tuple((episode, way.fallbacks) for episode, way in self.taken)
        return (frozenset(self.moved.items()), ways)

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

    def turn_room(self, by: int) -> None:
        """The head speaks of the next episode, or the one before, in a ring."""
        rooms = [each.id for each in self.answer.episodes]
        if rooms:
            at = rooms.index(self.room) if self.room in rooms else 0
            self.room = rooms[(at + by) % len(rooms)]

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

    def take(self, episode: str, way: "Way") -> bool:
        """Tries a way out, or no more if it is tried already; whether it is tried now.

        Of ways that share a change the later one stands alone.
        """
        tried = [each for each in self.taken if each != (episode, way)]
        on = len(tried) == len(self.taken)
        if on:
            same = set(way.fallbacks)
            tried = [(e, w) for e, w in tried if e != episode or not same & set(w.fallbacks)]
            tried.append((episode, way))
        self.taken = tried
        self.waiting = True
        return on

    def planned(self, box: Box) -> int | None:
        """When the parcel is in hand as the files have it."""
        return self.base.episode(box[0]).parcel(box[1]).arrives

    def put_back(self, box: Box | None = None) -> bool:
        """Drops one tried arrival, or all that is tried; whether there was anything to drop."""
        gone = [box] if box is not None and box in self.moved else []
        dropped = bool(gone)
        if box is None:
            gone = list(self.moved)
            dropped = bool(gone or self.taken)
            self.taken = []
        for each in gone:
            del self.moved[each]
        self.waiting = self.waiting or dropped
        return dropped

    def take_over(self, moved: dict[Box, int], taken: Sequence[Taken] = ()) -> None:
        """Goes on trying what was tried on an earlier reading, as far as it is still there."""
        for (episode, id), arrival in moved.items():
            found = _episode(self.base, episode)
            row = next((row for row in found.parcels if row.id == id), None) if found else None
            if row is not None and row.arrived is None and row.arrives != arrival:
                self.moved[episode, id] = arrival
        self.taken = [
            (episode, way)
            for episode, way in taken
            if _episode(self.base, episode) is not None and self.engine.changes(episode, way)
        ]
        self.waiting = self.trying
        try:
            self.solve()
        except EpisodesError:
            self.put_back()
            self.solve()

    def solve(self) -> None:
        """Lets the engine answer for what is tried, if it has not yet."""
        if not self.waiting:
            return
        self.odds = None
        if self.taken:
            self.answer = self.engine.try_ways(dict(self.moved), tuple(self.taken))
        else:
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
