"""Rooms without a month, each tried on the coming release days of the season as it stands.

An idea is put among the season's episodes at one release after another, and planned behind all
that are nearer. The earliest release that it meets is its answer; what it does to the farther rooms
there is its price.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from episodes.amounts import MINUTES_A_DAY
from episodes.answers.check import answer, money
from episodes.answers.odds import on_time
from episodes.answers.planning import Planning, plan_season
from episodes.answers.rows import Verdict
from episodes.answers.verdicts import Judgement, judge
from episodes.answers.why import explain
from episodes.calendars.local_time import zone
from episodes.calendars.release_day import release_of_month
from episodes.model.episode import Episode
from episodes.model.season import Season

LOOKS_AHEAD = 26 * 7 * MINUTES_A_DAY
"""Releases later than this are not tried."""

InMonth = Callable[[str, str], Episode]
"""From an idea's id and a month (`2027-08`) to the idea with its release there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Try:
    """An idea at one release. UTC minutes; `on_time` is a share of samples, None without odds."""

    release: int
    verdict: Verdict
    proved: bool
    ready_by: int | None
    spare_min: int | None
    on_time: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Delay:
    """What an idea does to another room: later by `minutes`; its verdict before and after."""

    episode: str
    title: str
    minutes: int
    before: Verdict
    after: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class IdeaAnswer:
    """One idea against the season.

    Attributes:
        earliest: the first release it meets, None where none within 26 weeks.
        next: the next free release; None where the coming 26 weeks have none.
        hands: likely hands-on minutes by person, as planned.
        delays: other rooms that are ready later, at its earliest release, else at the next.
        held_by: title of the parcel, or else the step, that its ready moment goes back to.
        held_from: when that begins (a parcel: is in hand), UTC minutes.
    """

    id: str
    title: str
    earliest: Try | None
    next: Try | None
    hands: dict[str, int]
    cost: float
    unpriced: int
    delays: tuple[Delay, ...]
    held_by: str
    held_from: int | None

    @property
    def delays_others(self) -> int:
        return sum(delay.minutes for delay in self.delays)


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareAnswer:
    now: int
    zone: str
    read_as_of: bool
    currency: str
    people: dict[str, str]
    ideas: tuple[IdeaAnswer, ...]


def compare(season: Season, in_month: InMonth | None = None, *, odds: bool = True) -> CompareAnswer:
    """Every idea of the season; none of them takes another's month.

    Args:
        in_month: gives an idea at another month, where its dates count from the release; without
            it they stay those of the next free release.
        odds: count how often it would be out in time, too.

    Raises:
        PlanError: faults that only the network shows.
    """
    base = plan_season(season)
    before = {episode.id: judge(base, episode.id) for episode in season.episodes}
    studio = season.studio
    return CompareAnswer(
        now=season.now,
        zone=studio.zone,
        read_as_of=season.read_as_of,
        currency=studio.currency,
        people={person.id: person.title for person in studio.people},
        ideas=tuple(
            _idea(season, idea, before, base, in_month or _moved(season), odds)
            for idea in season.ideas
        ),
    )


def free_months(season: Season) -> Iterator[tuple[str, int]]:
    """(month, release) of the rule's releases that are neither skipped nor taken, from now on."""
    studio = season.studio
    here = zone(studio.zone)
    taken = {f"{here.day(episode.release):%Y-%m}" for episode in season.episodes}
    today = here.day(season.now)
    number = today.year * 12 + today.month - 1
    while True:
        year, month = divmod(number, 12)
        name = f"{year}-{month + 1:02}"
        release = release_of_month(here, studio.release_rule, name)
        if release > season.now + LOOKS_AHEAD:
            return
        if release > season.now and name not in taken and name not in studio.release_rule.skip:
            yield name, release
        number += 1


def _moved(season: Season) -> InMonth:
    here = zone(season.studio.zone)
    ideas = {idea.id: idea for idea in season.ideas}

    def in_month(id: str, month: str) -> Episode:
        release = release_of_month(here, season.studio.release_rule, month)
        return replace(ideas[id], release=release)

    return in_month


def _idea(
    season: Season,
    idea: Episode,
    before: dict[str, Judgement],
    base: Planning,
    in_month: InMonth,
    odds: bool,
) -> IdeaAnswer:
    first: tuple[Try, Planning] | None = None
    met: tuple[Try, Planning] | None = None
    for month, _ in free_months(season):
        tried = _try(season, in_month(idea.id, month), odds)
        first = first or tried
        if tried[0].verdict == "meets":
            met = tried
            break
    chosen = met or first
    planning = None if chosen is None else chosen[1]
    prices = money(planning or _with(season, idea), idea)
    held_by, held_from = ("", None) if planning is None else _held_by(planning, idea.id)
    return IdeaAnswer(
        id=idea.id,
        title=idea.title,
        earliest=None if met is None else met[0],
        next=None if first is None else first[0],
        hands={} if planning is None else _hands(planning, idea.id),
        cost=prices.planned,
        unpriced=prices.unpriced,
        delays=() if planning is None else tuple(_delays(season, planning, before, base)),
        held_by=held_by,
        held_from=held_from,
    )


def _with(season: Season, idea: Episode) -> Planning:
    episodes = sorted((*season.episodes, idea), key=lambda e: (e.release, e.id))
    return plan_season(replace(season, episodes=tuple(episodes)))


def _try(season: Season, idea: Episode, odds: bool) -> tuple[Try, Planning]:
    planning = _with(season, idea)
    judged = judge(planning, idea.id)
    share = on_time(planning, idea.id) if odds and judged.ready_by is not None else None
    return (
        Try(
            release=idea.release,
            verdict=judged.verdict,
            proved=judged.proved,
            ready_by=judged.ready_by,
            spare_min=judged.spare_min,
            on_time=share if share is not None or not odds else 0.0,
        ),
        planning,
    )


def _hands(planning: Planning, id: str) -> dict[str, int]:
    """Likely hands-on minutes of each person in one episode, whoever the plan chose."""
    minutes = {person.id: 0 for person in planning.season.studio.people}
    network = planning.network
    for index in network.scope(id).members:
        activity = network.activities[index]
        if activity.kind not in ("hands", "shot"):
            continue
        placed = planning.plan.placed[index]
        for person in activity.choices[0 if placed is None else placed.choice].people:
            minutes[person] += activity.work
    return {person: total for person, total in minutes.items() if total}


def _delays(
    season: Season, planning: Planning, before: dict[str, Judgement], base: Planning
) -> Iterator[Delay]:
    for episode in season.episodes:
        old, new = base.plan.ready_by(episode.id), planning.plan.ready_by(episode.id)
        if old is None or new is None or new <= old:
            continue
        yield Delay(
            episode=episode.id,
            title=episode.title,
            minutes=new - old,
            before=before[episode.id].verdict,
            after=judge(planning, episode.id).verdict,
        )


def _held_by(planning: Planning, id: str) -> tuple[str, int | None]:
    """The parcel that the ready moment goes back to, else the first thing of its chain."""
    judged = answer(planning, only=id)
    rows = {row.id: row for row in judged.episode(id).steps}
    chain = [rows[link.id] for link in explain(planning, judged, id, "release").chain
             if link.id in rows]  # fmt: skip
    parcels = [row for row in chain if row.kind == "parcel"]
    if parcels:
        return parcels[-1].title, parcels[-1].finish
    return (chain[0].title, chain[0].start) if chain else ("", None)
