"""What the screens ask, and of whom: the engine as one interface, and the real one behind it.

The screens are written against `Engine` alone, so tests give them answers made by hand. The real
one, `SeasonEngine`, passes each question on to the answer that the command of that name shows.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property, partial
from typing import TYPE_CHECKING, Protocol

from episodes.answers.rows import CheckAnswer

if TYPE_CHECKING:
    from pathlib import Path

    from episodes.answers.compare import CompareAnswer
    from episodes.answers.load import LoadAnswer
    from episodes.answers.lookback import LookbackAnswer
    from episodes.answers.rescue import RescueAnswer, Way
    from episodes.answers.shots import ShotLine
    from episodes.answers.today import TodayAnswer
    from episodes.answers.why import WhyAnswer
    from episodes.model.episode import Fallback
    from episodes.model.season import Season

Box = tuple[str, str]
"""(episode id, parcel id)."""

Taken = tuple[str, "Way"]
"""An episode's id, and a way out that is tried on it."""


class Engine(Protocol):
    """Answers for one reading of the season. All times are UTC minutes."""

    @property
    def base(self) -> CheckAnswer:
        """The season as the files have it."""

    def try_arrivals(self, moved: Mapping[Box, int]) -> CheckAnswer:
        """The season with these parcels arriving then instead."""

    def try_ways(self, moved: Mapping[Box, int], taken: Sequence[Taken]) -> CheckAnswer:
        """The season with these ways out taken, and parcels arriving then instead."""

    def carrier_day(self, box: Box, arrival: int, days: int) -> int:
        """The arrival that many of its carrier's days later (earlier where negative)."""

    def today(self, answer: CheckAnswer) -> "TodayAnswer": ...

    def shots(self, answer: CheckAnswer) -> "tuple[ShotLine, ...]": ...

    def why(self, episode: str, id: str) -> "WhyAnswer":
        """The chain of causes of a start, as the files have the season."""

    def calendar(self, earlier: bytes | None, now: int) -> tuple[bytes, str]:
        """The calendar file and, in words, what it changes against the earlier one.

        Raises:
            EpisodesError: what stands at its place is no calendar file of ours.
        """

    # Long questions: what they return is called somewhere else, in a process of its own.

    def ask_odds(
        self, moved: Mapping[Box, int], taken: Sequence[Taken]
    ) -> Callable[[], dict[str, float]]:
        """By episode, the share of samples in which it is out in time."""

    def ask_odds_lines(
        self, moved: Mapping[Box, int], taken: Sequence[Taken], episode: str
    ) -> Callable[[], tuple[str, ...]]:
        """The odds of one episode in words and as a picture, line by line."""

    def ask_ways(self, moved: Mapping[Box, int], episode: str) -> "Callable[[], RescueAnswer]":
        """The ways out of an episode's slip."""

    def ask_load(
        self, moved: Mapping[Box, int], taken: Sequence[Taken]
    ) -> "Callable[[], LoadAnswer]":
        """How full everybody's weeks are."""

    def ask_ideas(self) -> "Callable[[], CompareAnswer]":
        """The rooms without a month, each against the season."""

    def ask_lookback(self) -> "Callable[[], LookbackAnswer]":
        """What was guessed against what it took."""

    def changes(self, episode: str, way: "Way") -> "tuple[Fallback, ...]":
        """What a way changes in the plan; () where it cannot be written into one."""

    def change_lines(self, episode: str, way: "Way") -> tuple[str, ...]:
        """The same in words, a line a change."""


class SeasonEngine:
    """The engine over a season that has been read.

    Args:
        folder: where it was read from, None where there is none.
        clock, now: as it was read; see `files.reading`.
    """

    def __init__(
        self,
        season: "Season",
        folder: "Path | None" = None,
        *,
        clock: int = 0,
        now: int | None = None,
    ) -> None:
        from episodes.answers.late import Desk
        from episodes.answers.open_hours import open_hours

        self._season = season
        self._folder, self._clock, self._now = folder, clock, now
        self._desk = Desk(season)
        self._hours = open_hours(season)
        self._base = replace(self._desk.base, hours=self._hours)

    @property
    def base(self) -> CheckAnswer:
        return self._base

    def try_arrivals(self, moved: Mapping[Box, int]) -> CheckAnswer:
        return replace(self._desk.try_arrivals(moved), hours=self._hours)

    def try_ways(self, moved: Mapping[Box, int], taken: Sequence[Taken]) -> CheckAnswer:
        from episodes.answers.check import answer
        from episodes.screens.questions import planned

        planning = planned(self._season, moved, self._changes_of(taken))
        return replace(answer(planning), hours=self._hours)

    def carrier_day(self, box: Box, arrival: int, days: int) -> int:
        return self._desk.arrival_moved(box, days, start=arrival)

    def today(self, answer: CheckAnswer) -> "TodayAnswer":
        from episodes.answers.today import today

        return today(answer, self._season)

    def shots(self, answer: CheckAnswer) -> "tuple[ShotLine, ...]":
        from episodes.answers.shots import shots

        return shots(answer, self._season)

    def why(self, episode: str, id: str) -> "WhyAnswer":
        from episodes.answers.why import explain

        return explain(self._desk.planning, self._desk.base, episode, id)

    def calendar(self, earlier: bytes | None, now: int) -> tuple[bytes, str]:
        from episodes.exports.ical import calendar_file

        made = calendar_file(self._desk.base, self._season, now=now, earlier=earlier)
        return made.data, made.summary

    # -- long questions

    @cached_property
    def _data(self) -> bytes:
        import pickle

        return pickle.dumps(self._season)

    def ask_odds(
        self, moved: Mapping[Box, int], taken: Sequence[Taken]
    ) -> Callable[[], dict[str, float]]:
        from episodes.screens.questions import odds_of

        return partial(odds_of, self._data, dict(moved), self._changes_of(taken))

    def ask_odds_lines(
        self, moved: Mapping[Box, int], taken: Sequence[Taken], episode: str
    ) -> Callable[[], tuple[str, ...]]:
        from episodes.screens.questions import odds_lines

        return partial(odds_lines, self._data, dict(moved), self._changes_of(taken), episode)

    def ask_ways(self, moved: Mapping[Box, int], episode: str) -> "Callable[[], RescueAnswer]":
        from episodes.screens.questions import ways_of

        return partial(ways_of, self._data, dict(moved), episode)

    def ask_load(
        self, moved: Mapping[Box, int], taken: Sequence[Taken]
    ) -> "Callable[[], LoadAnswer]":
        from episodes.screens.questions import load_of

        return partial(load_of, self._data, dict(moved), self._changes_of(taken))

    def ask_ideas(self) -> "Callable[[], CompareAnswer]":
        from episodes.screens.questions import ideas_of

        return partial(ideas_of, self._data, self._folder, self._clock, self._now)

    def ask_lookback(self) -> "Callable[[], LookbackAnswer]":
        from episodes.screens.questions import lookback_of

        return partial(lookback_of, self._data)

    def changes(self, episode: str, way: "Way") -> "tuple[Fallback, ...]":
        return way.changes

    def change_lines(self, episode: str, way: "Way") -> tuple[str, ...]:
        from episodes.exports.text_way import way_lines

        season = self._season
        return tuple(
            line
            for change in self.changes(episode, way)
            for line in way_lines(season, season.episode(episode), change)
        )

    def _changes_of(self, taken: Sequence[Taken]) -> "list[tuple[str, tuple[Fallback, ...]]]":
        return [(episode, self.changes(episode, way)) for episode, way in taken]
