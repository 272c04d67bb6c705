"""Does a late parcel slip the release, what moves with it, and the last arrival that would do."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from episodes.answers.check import answer
from episodes.answers.parcel_rows import Budget, latest_arrival
from episodes.answers.planning import QUICK, Planning, plan_season, with_arrivals
from episodes.answers.rescue import RescueAnswer, late_ways
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, Verdict
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.model.season import Season
from episodes.network.activity import Activity
from episodes.network.hours import Hours
from episodes.network.timing import Delivery, Expected
from episodes.problems import EpisodesError
from episodes.schedule.trials import ArrivalTrials
from episodes.trade.exchanges import Offers

TO_THE_MINUTE = 24
"""Halvings that end at one minute for any span of a season."""


class NotOnItsWayError(EpisodesError):
    """The parcel has arrived, or takes no part: nothing of it can be late."""


@dataclass(frozen=True, slots=True)
class LateEpisode:
    id: str
    title: str
    verdict: Verdict
    spare_min: int | None
    verdict_before: Verdict
    spare_before: int | None


@dataclass(frozen=True, slots=True)
class Moved:
    """A start that had to move, UTC minutes; None where it has no place."""

    episode: str
    id: str
    title: str
    from_: int | None
    to: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LateAnswer:
    """The season with one parcel in hand at `arrives`. `episodes`: its own, then those it moves."""

    parcel: str
    title: str
    episode: str
    arrives: int
    planned: int | None
    before: EpisodeAnswer
    after: EpisodeAnswer
    verdict: Verdict
    proved: bool
    spare_min: int | None
    ready_by: int | None
    latest_arrival: int | None
    latest_exact: bool
    episodes: tuple[LateEpisode, ...]
    moved: tuple[Moved, ...]
    zone: str
    season: str
    ways: RescueAnswer | None = None
    """Ways out where it slips; None where none were looked for."""

    @property
    def met(self) -> bool:
        return all(episode.verdict != "slips" for episode in self.episodes)


def late(
    season: Season,
    episode_id: str,
    parcel_id: str,
    *,
    arrives: int | None = None,
    days: int | None = None,
) -> LateAnswer:
    """What a parcel's arrival at another moment does.

    Args:
        arrives: UTC minute of the arrival.
        days: or, the planned arrival moved by so many of its carrier's days.

    Raises:
        NotOnItsWayError: the parcel has arrived or takes no part.
        PlanError: faults that only the network shows.
    """
    desk = Desk(season)
    key = (episode_id, parcel_id)
    if arrives is None:
        arrives = desk.arrival_moved(key, days or 0)
    return with_ways(season, desk.late(key, arrives))


def with_ways(season: Season, found: LateAnswer, *, offers: Offers | None = None) -> LateAnswer:
    """The same answer, with the ways out where its episode slips.

    Args:
        offers: what the trade has, for suggestions; None: none are made.
    """
    if found.verdict != "slips":
        return found
    ways = late_ways(season, found.episode, found.parcel, found.arrives, offers=offers)
    return replace(found, ways=ways)


class Desk:
    """A planned season that answers trials quickly: the delivery screen sits at it.

    Attributes:
        base: the season as it stands.
    """

    def __init__(self, season: Season) -> None:
        self.season = season
        self.planning: Planning = plan_season(season)
        self.base: CheckAnswer = answer(self.planning)
        self._hours: Hours | None = None

    def _activity(self, key: tuple[str, str]) -> Activity:
        network = self.planning.network
        if key not in network.index:
            raise NotOnItsWayError(f'"{key[1]}" takes no part in the plan.')
        activity = network.activities[network.index[key]]
        parcel = next(p for p in self.season.episode(key[0]).parcels if p.id == key[1])
        if activity.state == "done" or (parcel.arrived is not None and parcel.failed is None):
            raise NotOnItsWayError(f'"{activity.title}" has arrived; it can\'t be late any more.')
        return activity

    def arrival(self, key: tuple[str, str]) -> int | None:
        """The planned arrival of a parcel, UTC minutes."""
        activity = self._activity(key)
        placed = self.planning.plan.placed[activity.index]
        timing = activity.choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        return None if placed is None else timing.arrival(placed.start)

    def arrival_moved(self, key: tuple[str, str], days: int, *, start: int | None = None) -> int:
        """The planned arrival (or `start`) moved by so many of its carrier's days; negative:
        earlier, but never before now."""
        base = start if start is not None else self.arrival(key)
        if base is None:
            raise NotOnItsWayError(f'"{key[1]}" has no planned arrival.')
        if self._hours is None:
            network = self.planning.network
            self._hours = Hours(self.season, network.start, network.end)
        parcel = next(p for p in self.season.episode(key[0]).parcels if p.id == key[1])
        moved = self._hours.carrier(parcel.carrier).later(base, days)
        return base if moved >= NEVER or moved <= LONG_AGO else max(moved, self.season.now)

    def try_arrivals(self, moved: Mapping[tuple[str, str], int]) -> CheckAnswer:
        """The season with these parcels in hand at these moments (UTC minutes).

        Verdicts and starts are planned anew; what is critical and the last arrivals are those of
        the season as it stands, until the change is kept.

        Raises:
            NotOnItsWayError: one of them has arrived or takes no part.
        """
        for key in moved:
            self._activity(key)
        if not moved:
            return self.base
        return answer(with_arrivals(self.planning, moved, effort=QUICK), like=self.base)

    def late(self, key: tuple[str, str], arrives: int) -> LateAnswer:
        """See the function of the same name."""
        activity = self._activity(key)
        planned = self.arrival(key)
        planning = with_arrivals(self.planning, {key: arrives})
        after = answer(planning)
        latest, exact = self._latest(activity)
        own = key[0]
        before_by_id = {e.id: e for e in self.base.episodes}
        moved = _moved(self.base, after)
        touched = {m.episode for m in moved}
        rows = []
        for episode in after.episodes:
            before = before_by_id[episode.id]
            changed = (before.verdict, before.spare_min) != (episode.verdict, episode.spare_min)
            if episode.id == own or changed or episode.id in touched:
                rows.append(
                    LateEpisode(
                        episode.id,
                        episode.title,
                        episode.verdict,
                        episode.spare_min,
                        before.verdict,
                        before.spare_min,
                    )
                )
        rows.sort(key=lambda row: row.id != own)
        mine = after.episode(own)
        return LateAnswer(
            parcel=key[1],
            title=activity.title,
            episode=own,
            arrives=arrives,
            planned=planned,
            before=before_by_id[own],
            after=mine,
            verdict=mine.verdict,
            proved=mine.proved,
            spare_min=mine.spare_min,
            ready_by=mine.ready_by,
            latest_arrival=latest,
            latest_exact=exact,
            episodes=tuple(rows),
            moved=moved,
            zone=self.season.studio.zone,
            season=self.season.studio.name,
        )

    def _latest(self, activity: Activity) -> tuple[int | None, bool]:
        """The last arrival with a plan in hand, by halving over plans; whether dates prove it."""
        timing = activity.choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        now = self.season.now
        bound = self.planning.needed_by[activity.index]
        if bound >= NEVER or bound <= LONG_AGO or bound - timing.settle < now:
            return None, False
        bound -= timing.settle
        row = self.base.episode(activity.episode).parcel(activity.id)
        if row.latest_exact:
            return row.latest_arrival, True
        trials = ArrivalTrials(self.planning.plan, self.planning.dates, activity.episode)
        known = row.latest_arrival
        return latest_arrival(
            self.planning,
            activity,
            bound,
            planned=known,
            candidate=known,
            kept=lambda x: known is not None and x <= known,
            trials=lambda: trials,
            halvings=TO_THE_MINUTE,
            budget=Budget(orders=200),
        )


def _moved(before: CheckAnswer, after: CheckAnswer) -> tuple[Moved, ...]:
    starts = {(e.id, row.id): row.start for e in before.episodes for row in e.steps}
    found = []
    for episode in after.episodes:
        for row in episode.steps:
            was = starts.get((episode.id, row.id), row.start)
            if was != row.start and row.kind != "dry":
                found.append(Moved(episode.id, row.id, row.title, was, row.start))
    return tuple(found)
