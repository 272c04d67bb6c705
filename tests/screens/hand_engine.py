"""An engine that has only the answers made by hand, and says what it was asked."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from episodes.answers.compare import CompareAnswer
from episodes.answers.load import LoadAnswer
from episodes.answers.lookback import LookbackAnswer
from episodes.answers.rescue import RescueAnswer, Way
from episodes.answers.rows import CheckAnswer, EpisodeAnswer
from episodes.answers.shots import ShotLine
from episodes.answers.today import AtRisk, Do, OrderBy, TodayAnswer
from episodes.answers.why import WhyAnswer, WhyLink
from episodes.model.episode import Fallback
from episodes.problems import Place
from tests.screens.long_answers import IDEAS, LOAD, LOOKBACK
from tests.screens.season_by_hand import BOX_ROOM, DAY, HERE, LAUNDRY, NOW, ZONE, at, season

WAYS = {
    BOX_ROOM: (
        Way(
            fallbacks=("ready-shelves",), titles=("Buy the shelves ready made",), cost=180.0,
            loses=2.0, ready_by=at("06-28", "17:00"), spare_min=3 * DAY + 16 * 60,
            decide_by=at("06-21", "14:00"), on_time=0.97,
        ),
        Way(
            fallbacks=("third-weekend",), titles=("Builder works a third weekend",), cost=0.0,
            loses=3.0, ready_by=at("07-01", "17:00"), spare_min=16 * 60,
            decide_by=at("06-18", "18:00"), on_time=0.81,
        ),
        Way(
            fallbacks=("give-way",), titles=("A nearer room gives up spare time",), cost=0.0,
            loses=4.0, ready_by=at("07-01", "20:00"), spare_min=13 * 60,
            decide_by=at("06-18", "18:00"), own=True, on_time=0.5,
        ),
    )
}  # fmt: skip
"""The ways out of the farthest room; the last one is no change of a plan."""


SUGGESTED = (
    Way(
        fallbacks=("express",), titles=("Ask for express",), cost=0.0, loses=0.0, priced=False,
        ready_by=at("06-30", "17:00"), spare_min=DAY + 16 * 60, decide_by=at("06-20", "12:00"),
        own=True, on_time=0.9, cautions=("Two people lift the shelves.",),
    ),
)  # fmt: skip


class HandEngine:
    """An engine of answers made by hand.

    A box that comes later than its latest arrival makes its episode slip by the time in excess,
    and the release's verdict with it; that is all it knows.
    """

    def __init__(self, answer: CheckAnswer | None = None) -> None:
        self.base = answer or season()
        self.asked: list[dict[tuple[str, str], int]] = []

    def try_arrivals(self, moved: Mapping[tuple[str, str], int]) -> CheckAnswer:
        self.asked.append(dict(moved))
        return replace(
            self.base, episodes=tuple(self._with(each, moved) for each in self.base.episodes)
        )

    def _with(self, episode: EpisodeAnswer, moved: Mapping[tuple[str, str], int]) -> EpisodeAnswer:
        boxes, late = [], 0
        for box in episode.parcels:
            arrives = moved.get((episode.id, box.id), box.arrives)
            if box.latest_arrival is not None and arrives is not None:
                late = max(late, arrives - box.latest_arrival)
            boxes.append(replace(box, arrives=arrives))
        if late:
            return replace(
                episode, parcels=tuple(boxes), verdict="slips", spare_min=-late,
                ready_by=episode.release + late,
            )  # fmt: skip
        return replace(episode, parcels=tuple(boxes))

    def carrier_day(self, box: tuple[str, str], arrival: int, days: int) -> int:
        """Every day but Sunday is the carrier's."""
        while days:
            arrival += DAY if days > 0 else -DAY
            if HERE.day(arrival).weekday() != 6:
                days += -1 if days > 0 else 1
        return arrival

    def today(self, answer: CheckAnswer) -> TodayAnswer:
        if all(episode.id != LAUNDRY for episode in answer.episodes):
            return TodayAnswer(
                now=NOW, zone=ZONE, read_as_of=True, do=(), order=(), at_risk=(), running=()
            )

        def do(id: str, start: int, minutes: int, *film: str) -> Do:
            row = answer.episode(LAUNDRY).step(id)
            return Do(episode=LAUNDRY, id=id, title=row.title, who=row.who, from_=start,
                      to=start + minutes, hands_min=minutes, critical=row.critical,
                      latest=row.late_start, film_first=film)  # fmt: skip

        return TodayAnswer(
            now=NOW,
            zone=ZONE,
            read_as_of=True,
            do=(
                do("clear.cover", at("04-13", "18:00"), 45),
                do("walls.sand", at("04-13", "18:45"), 80, "raw-joints"),
            ),
            order=tuple(
                OrderBy(episode.id, box.id, box.title, box.order_by)
                for episode in answer.episodes
                for box in episode.parcels
                if box.order_by is not None
            ),
            at_risk=(AtRisk(LAUNDRY, "raw-joints", "Raw joints, close", at("04-19", "20:15")),),
            running=(),
        )

    def shots(self, answer: CheckAnswer) -> tuple[ShotLine, ...]:
        return tuple(
            ShotLine(episode=episode.id, row=row, taken=False, backed_up=False, lost=False,
                     gone_after=at("04-19", "20:15") if row.once else None,
                     ended_by="splash.tile" if row.once else None)
            for episode in answer.episodes
            for row in episode.steps
            if row.kind == "shot"
        )  # fmt: skip

    def why(self, episode: str, id: str) -> WhyAnswer:
        row = self.base.episode(episode).step(id)
        link = WhyLink(id, row.start, row.finish, row.kind, "until Host's next open hours")
        return WhyAnswer(
            id=id, episode=episode, title=row.title, start=row.start, finish=row.finish,
            chain=(link,), slack_min=row.slack_min, slack_work_min=row.slack_work_min,
            critical=row.critical, zone=ZONE,
        )  # fmt: skip

    def calendar(self, earlier: bytes | None, now: int) -> tuple[bytes, str]:
        return b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n", "3 new"

    # -- ways out, odds

    def try_ways(
        self, moved: Mapping[tuple[str, str], int], taken: Sequence[tuple[str, Way]]
    ) -> CheckAnswer:
        ways = dict(taken)
        self.asked.append({(episode, way.fallbacks[0]): 0 for episode, way in taken})
        answer = self.try_arrivals(moved) if moved else self.base
        return replace(
            answer,
            episodes=tuple(
                replace(each, verdict="meets", spare_min=ways[each.id].spare_min,
                        ready_by=ways[each.id].ready_by)
                if each.id in ways
                else each
                for each in answer.episodes
            ),
        )  # fmt: skip

    def ask_odds_lines(self, moved: Any, taken: Any, episode: str) -> Callable[[], tuple[str, ...]]:
        return lambda: (f"{episode}: 93 in 100", "  ▁▅█▃|▁", "  ^ release")

    def ask_odds(self, moved: Any, taken: Any) -> Callable[[], dict[str, float]]:
        share = 0.93 - 0.1 * len(moved) + 0.04 * len(taken)
        return lambda: {each.id: share for each in self.base.episodes}

    def ask_ways(self, moved: Any, episode: str) -> Callable[[], RescueAnswer]:
        judged = self.try_arrivals(moved).episode(episode) if moved else self.base.episode(episode)
        ways = WAYS.get(episode, ()) if judged.verdict == "slips" else ()
        return lambda: RescueAnswer(
            episode=episode, title=judged.title, release=judged.release, verdict=judged.verdict,
            proved=False, ways=ways, before=judged, zone=ZONE, currency="USD", fallbacks=2,
            suggestions=SUGGESTED if ways else (),
        )  # fmt: skip

    def changes(self, episode: str, way: Way) -> tuple[Fallback, ...]:
        if way.titles[0].startswith("A nearer room"):
            return ()
        return (
            Fallback(
                id=way.fallbacks[0], title=way.titles[0], parcel={}, hands={}, coat={}, air={},
                where={}, place=Place("2027-07-box-room.toml", 9),
            ),
        )  # fmt: skip

    def change_lines(self, episode: str, way: Way) -> tuple[str, ...]:
        return ("Left out: Build the shelves",) if self.changes(episode, way) else ()

    def ask_load(self, moved: Any, taken: Any) -> Callable[[], LoadAnswer]:
        return lambda: LOAD

    def ask_ideas(self) -> Callable[[], CompareAnswer]:
        return lambda: IDEAS

    def ask_lookback(self) -> Callable[[], LookbackAnswer]:
        return lambda: LOOKBACK
