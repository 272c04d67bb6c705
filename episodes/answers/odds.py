"""How sure is it? The share of samples in which each episode is out in time, the plan's order kept.

Every length is drawn from its range instead of taken as likely; nothing is planned anew.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from episodes.answers.planning import Planning, plan_season
from episodes.answers.verdicts import judge
from episodes.model.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class ParcelOdds:
    """When to order a parcel.

    Attributes:
        order_by: by samples in time in the hundred (50, 80, 95) the last moment to order it,
            UTC minutes, which may be past; None where no order is in time that often, where it
            is ordered already or where nothing that is required waits for it.
        cap: the share that is in time however early it comes.
    """

    id: str
    title: str
    ordered: bool
    order_by: Mapping[int, int | None]
    cap: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """A length whose uncertainty costs the episode most: `gain` is by how much the share in time
    rises if it were its likely value for certain."""

    episode: str
    id: str
    title: str
    gain: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Shares of the samples ready in each of some cells of one width between two moments."""

    start: int
    end: int
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeOdds:
    """The odds of one episode.

    Attributes:
        on_time: share of samples that are out in time.
        ready: by percentile (10, 50, 80, 90, 95) the ready moment, UTC minutes; None where that
            share of samples is never ready.
        ready_by: the ready moment of the plan, its lengths likely.
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
    ready: Mapping[int, int | None]
    ready_by: int | None
    criticality: Mapping[str, float]
    parcels: tuple[ParcelOdds, ...]
    drivers: tuple[Driver, ...]
    spread: Spread | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OddsAnswer:
    """The odds of a season, read at `now` in `zone`."""

    now: int
    zone: str
    read_as_of: bool
    episodes: tuple[EpisodeOdds, ...]


def odds(
    season: Season, *, only: str | None = None, samples: int | None = None, seed: int | None = None
) -> OddsAnswer:
    """Plan a season and count its outcomes; episodes that are released are left out.

    Args:
        only: id of the one episode to answer for; all are timed either way.
        samples, seed: instead of the studio's.

    Raises:
        PlanError: faults that only the network shows.
    """
    return odds_of(plan_season(season), only=only, samples=samples, seed=seed)


def odds_of(
    planning: Planning,
    *,
    only: str | None = None,
    samples: int | None = None,
    seed: int | None = None,
) -> OddsAnswer:
    """The odds of a season already planned; see `odds`."""
    from episodes.risk.simulation import simulate

    season = planning.season
    settings = season.studio.odds
    samples = settings.samples if samples is None else samples
    seed = settings.seed if seed is None else seed
    ids = [
        episode.id
        for episode in season.episodes
        if (only is None or episode.id == only)
        and judge(planning, episode.id).verdict != "released"
    ]
    outcomes = simulate(
        planning.retimer, ids, samples=samples, seed=seed, correlation=settings.correlation
    )
    activities, index = planning.network.activities, planning.network.index
    found: list[EpisodeOdds] = []
    for outcome in outcomes:
        episode = season.episode(outcome.id)
        spread = outcome.spread
        found.append(
            EpisodeOdds(
                id=episode.id,
                title=episode.title,
                release=episode.release,
                samples=samples,
                seed=seed,
                on_time=outcome.on_time,
                standard_error=outcome.standard_error,
                ready=outcome.ready,
                ready_by=planning.plan.ready_by(episode.id),
                criticality=outcome.criticality,
                parcels=tuple(
                    ParcelOdds(
                        id=parcel.id,
                        title=activities[index[episode.id, parcel.id]].title,
                        ordered=activities[index[episode.id, parcel.id]].state != "open",
                        order_by=parcel.order_by,
                        cap=parcel.cap,
                    )
                    for parcel in outcome.parcels
                ),
                drivers=tuple(
                    Driver(
                        episode=home,
                        id=id,
                        title=activities[index[home, id.removesuffix(".dry")]].title,
                        gain=gain,
                    )
                    for home, id, gain in outcome.drivers
                ),
                spread=None
                if spread is None
                else Spread(start=spread.start, end=spread.end, shares=spread.shares),
            )
        )
    return OddsAnswer(
        now=season.now,
        zone=season.studio.zone,
        read_as_of=season.read_as_of,
        episodes=tuple(found),
    )


def on_time(
    planning: Planning, episode: str, *, samples: int | None = None, seed: int | None = None
) -> float:
    """Share of samples in which one episode of a season already planned is out in time.

    The same figure as `odds_of` gives, without anything else being counted.
    """
    from episodes.risk.simulation import share_in_time

    settings = planning.season.studio.odds
    return share_in_time(
        planning.retimer,
        episode,
        samples=settings.samples if samples is None else samples,
        seed=settings.seed if seed is None else seed,
        correlation=settings.correlation,
    )
