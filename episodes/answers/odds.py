"""How sure is it? The share of samples in which each episode is out in time, the plan's order kept.

Every length is drawn from its range instead of taken as likely; nothing is planned anew.
Season, planning and answer can be pickled, so another process can count.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from episodes.answers.planning import Planning, plan_season
from episodes.answers.verdicts import judge
from episodes.model.season import Season
from episodes.network.timing import Delivery, Expected

if TYPE_CHECKING:
    from episodes.risk.outcome import Outcome, ParcelOutcome

DriverKind = Literal["hands", "wait", "shot", "parcel", "dry"]

SHARES = (50, 80, 95)
"""Samples in time, in the hundred, for which an order moment is given unless others are asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ParcelOdds:
    """When to order a parcel.

    Attributes:
        order_by: by samples in time in the hundred (50, 80, 95) the last moment to order it,
            UTC minutes, which may be past; None where no order is in time that often, where it
            is ordered already or where nothing that is required waits for it.
        harmless_until: ordered by then, it costs at most one sample in the hundred; None as above.
        cap: the share that is in time however early it comes.
    """

    id: str
    title: str
    ordered: bool
    optional: bool
    order_by: Mapping[float, int | None]
    harmless_until: int | None
    cap: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """A length whose uncertainty costs the episode most.

    Attributes:
        gain: by how much the share in time rises if it were its likely value for certain.
        likely_min: what it would be, in minutes; None for a parcel.
        arrives: for a parcel, when it would be in hand, UTC minute.
        ordered: a parcel that is on its way.
    """

    episode: str
    id: str
    title: str
    kind: DriverKind
    gain: float
    likely_min: int | None = None
    arrives: int | None = None
    ordered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Shares of the samples ready in each of some cells of one width between two moments, the
    release on an edge: a moment belongs to the cell that ends with it. The ends hold what lies
    beyond them."""

    start: int
    end: int
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeOdds:
    """The odds of one episode.

    Attributes:
        on_time: share of samples that are out in time.
        ceiling: share of samples that could be in time if nothing ever waited for a person, a
            place, gear or air; no order of work does better.
        ready: by percentile (10, 50, 80, 90, 95) the ready moment, UTC minutes; None where that
            share of samples is never ready.
        ready_by, verdict: the ready moment and verdict of the plan, its lengths likely.
        criticality: by id, share of samples in which one minute more moves the ready moment.
        spread: None where nothing is ever ready.
    """

    id: str
    title: str
    release: int
    samples: int
    seed: int
    on_time: float
    standard_error: float
    ceiling: float
    ready: Mapping[int, int | None]
    ready_by: int | None
    verdict: str
    criticality: Mapping[str, float]
    parcels: tuple[ParcelOdds, ...]
    drivers: tuple[Driver, ...]
    spread: Spread | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OddsAnswer:
    """The odds of a season, read at `now` in `zone`.

    Attributes:
        titles: of all episodes of the season, by id.
        as_planned: the plan keeps all its links and bounds; where it does not (an appointment is
            past and not ticked off), it was moved on until it does.
    """

    now: int
    zone: str
    read_as_of: bool
    episodes: tuple[EpisodeOdds, ...]
    titles: Mapping[str, str]
    as_planned: bool = True


def odds(
    season: Season,
    *,
    only: str | None = None,
    samples: int | None = None,
    seed: int | None = None,
    shares: Sequence[float] = SHARES,
    progress: Callable[[float], None] | None = None,
) -> OddsAnswer:
    """Plan a season and count its outcomes; episodes that are released are left out.

    Args:
        only: id of the one episode to answer for; all are timed either way.
        samples, seed: instead of the studio's.
        shares: samples in time, in the hundred, for which an order moment is wanted.
        progress: told now and then how much is done, from 0 to 1.

    Raises:
        PlanError: faults that only the network shows.
    """
    planning = plan_season(season)
    return odds_of(
        planning, only=only, samples=samples, seed=seed, shares=shares, progress=progress
    )


def odds_of(
    planning: Planning,
    *,
    only: str | None = None,
    samples: int | None = None,
    seed: int | None = None,
    shares: Sequence[float] = SHARES,
    progress: Callable[[float], None] | None = None,
) -> OddsAnswer:
    """The odds of a season already planned; see `odds`."""
    from episodes.risk.simulation import simulate

    season = planning.season
    settings = season.studio.odds
    samples = settings.samples if samples is None else samples
    seed = settings.seed if seed is None else seed
    outcomes = simulate(
        planning.retimer,
        [id for id in _not_out(planning) if only is None or id == only],
        samples=samples,
        seed=seed,
        correlation=settings.correlation,
        shares=shares,
        progress=progress,
    )
    return OddsAnswer(
        now=season.now,
        zone=season.studio.zone,
        read_as_of=season.read_as_of,
        episodes=tuple(_episode(planning, outcome, samples, seed) for outcome in outcomes),
        titles={episode.id: episode.title for episode in season.episodes},
        as_planned=not planning.retimer.differs(),
    )


def on_time(
    planning: Planning, episode: str, *, samples: int | None = None, seed: int | None = None
) -> float | None:
    """Share of samples in which one episode of a season already planned is out in time.

    The same figure as `odds_of` gives, without anything else being counted; None where the samples
    would be of another plan than this, so that there is nothing to count.
    """
    return _shares(planning, [episode], samples, seed).get(episode)


def on_times(
    planning: Planning, *, samples: int | None = None, seed: int | None = None
) -> dict[str, float]:
    """As `on_time`, by id for all episodes that are not released, timed once for all of them."""
    return _shares(planning, _not_out(planning), samples, seed)


def _not_out(planning: Planning) -> list[str]:
    return [
        episode.id
        for episode in planning.season.episodes
        if judge(planning, episode.id).verdict != "released"
    ]


def _shares(
    planning: Planning, episodes: Sequence[str], samples: int | None, seed: int | None
) -> dict[str, float]:
    from episodes.risk.outcome import SweepDiffersError
    from episodes.risk.simulation import shares_in_time

    settings = planning.season.studio.odds
    try:
        found = shares_in_time(
            planning.retimer,
            episodes,
            samples=settings.samples if samples is None else samples,
            seed=settings.seed if seed is None else seed,
            correlation=settings.correlation,
        )
    except SweepDiffersError:
        return {}
    return dict(zip(episodes, found, strict=True))


def _episode(planning: Planning, outcome: "Outcome", samples: int, seed: int) -> EpisodeOdds:
    episode = planning.season.episode(outcome.id)
    spread = outcome.spread
    return EpisodeOdds(
        id=episode.id,
        title=episode.title,
        release=episode.release,
        samples=samples,
        seed=seed,
        on_time=outcome.on_time,
        standard_error=outcome.standard_error,
        ceiling=outcome.ceiling,
        ready=outcome.ready,
        ready_by=planning.plan.ready_by(episode.id),
        verdict=judge(planning, episode.id).verdict,
        criticality=outcome.criticality,
        parcels=tuple(_parcel(planning, episode.id, parcel) for parcel in outcome.parcels),
        drivers=tuple(_driver(planning, *driver) for driver in outcome.drivers),
        spread=None
        if spread is None
        else Spread(start=spread.start, end=spread.end, shares=spread.shares),
    )


def _parcel(planning: Planning, episode: str, parcel: "ParcelOutcome") -> ParcelOdds:
    activity = planning.network.activities[planning.network.index[episode, parcel.id]]
    return ParcelOdds(
        id=parcel.id,
        title=activity.title,
        ordered=activity.state != "open",
        optional=not activity.required,
        order_by=parcel.order_by,
        harmless_until=parcel.harmless_until,
        cap=parcel.cap,
    )


def _driver(planning: Planning, episode: str, id: str, gain: float) -> Driver:
    dry = id.endswith(".dry") and (episode, id) not in planning.network.index
    index = planning.network.index[episode, id.removesuffix(".dry") if dry else id]
    activity = planning.network.activities[index]
    placed = planning.plan.placed[index]
    timing = planning.retimer.base.timings[index][0]
    kind: DriverKind = "dry" if dry else activity.kind
    likely: int | None = activity.work
    arrives: int | None = None
    if dry and activity.coat is not None:
        likely = activity.coat.times.get(planning.network.dries[index].release_stage)
    elif kind == "parcel":
        likely = None
        if placed is not None and isinstance(timing, (Delivery, Expected)):
            arrives = timing.arrival(placed.start)
    return Driver(
        episode=episode,
        id=id,
        title=activity.title,
        kind=kind,
        gain=gain,
        likely_min=likely,
        arrives=arrives,
        ordered=kind == "parcel" and activity.state == "started",
    )
