"""What the screens ask, and of whom: the engine as one interface, and the real one behind it.

The screens are written against `Engine` alone, so tests give them answers made by hand. The real
one, `SeasonEngine`, passes each question on to the answer that the command of that name shows.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from episodes.answers.rows import CheckAnswer

if TYPE_CHECKING:
    from episodes.answers.shots import ShotLine
    from episodes.answers.today import TodayAnswer
    from episodes.answers.why import WhyAnswer
    from episodes.model.season import Season

Box = tuple[str, str]
"""(episode id, parcel id)."""


class Engine(Protocol):
    """Answers for one reading of the season. All times are UTC minutes."""

    @property
    def base(self) -> CheckAnswer:
        """The season as the files have it."""

    def try_arrivals(self, moved: Mapping[Box, int]) -> CheckAnswer:
        """The season with these parcels arriving then instead."""

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


class SeasonEngine:
    """The engine over a season that has been read."""

    def __init__(self, season: "Season") -> None:
        from episodes.answers.late import Desk
        from episodes.answers.open_hours import open_hours

        self._season = season
        self._desk = Desk(season)
        self._hours = open_hours(season)
        self._base = replace(self._desk.base, hours=self._hours)

    @property
    def base(self) -> CheckAnswer:
        return self._base

    def try_arrivals(self, moved: Mapping[Box, int]) -> CheckAnswer:
        return replace(self._desk.try_arrivals(moved), hours=self._hours)

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
