"""What has a room cost so far, and what will it still cost? Line by line, and added up.

The sums are those of `check`: planned is what was paid where a price is known to have been paid,
else the cost as written, less refunds, over all that takes part; paid is what was paid less
refunds, whatever became of the thing. A price that nobody gave is counted as unknown, never as
nothing.
"""

from dataclasses import dataclass
from typing import Literal

from episodes.model.episode import Episode, Job, Parcel, Shot, Step
from episodes.model.season import Season
from episodes.network.activity import Network
from episodes.network.expand import expand

CostKind = Literal["parcel", "job", "step", "shot"]
CostState = Literal["open", "ordered", "arrived", "failed", "returned", "done", "dropped"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """One thing that costs money, or brings some; money in the studio's currency.

    Attributes:
        job: id of its job, "" for parcels and shots.
        cost: as written, None where no price is given; negative is income.
        paid, refunded: as written, None where nothing was.
        planned: what it counts for in the plan; 0 for what takes no part.
        takes_part: False for what was dropped, or waits for a fallback.
    """

    episode: str
    id: str
    title: str
    kind: CostKind
    job: str = ""
    job_title: str = ""
    state: CostState
    cost: float | None
    paid: float | None = None
    refunded: float | None = None
    planned: float
    takes_part: bool = True

    @property
    def net_paid(self) -> float:
        """Paid less refunded."""
        return (self.paid or 0.0) - (self.refunded or 0.0)

    @property
    def unpriced(self) -> bool:
        """Whether it is bought at a price that nobody has given."""
        return self.kind == "parcel" and self.takes_part and self.paid is None and self.cost is None


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeCosts:
    """One room's money: its lines in the file's order, parcels first, then jobs, then shots.

    Attributes:
        unpaid: planned less paid: what nobody has entered as paid yet.
        left: budget less planned; None without a budget.
    """

    id: str
    title: str
    released: bool
    budget: float | None
    lines: tuple[CostLine, ...]

    @property
    def planned(self) -> float:
        return round(sum(line.planned for line in self.lines), 2)

    @property
    def paid(self) -> float:
        return round(sum(line.net_paid for line in self.lines), 2)

    @property
    def unpaid(self) -> float:
        return round(self.planned - self.paid, 2)

    @property
    def left(self) -> float | None:
        return None if self.budget is None else round(self.budget - self.planned, 2)

    @property
    def unpriced(self) -> int:
        return sum(line.unpriced for line in self.lines)

    def of_job(self, job: str) -> float:
        """What a job costs: its own price and its steps'."""
        return round(sum(line.planned for line in self.lines if line.job == job), 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class CostsAnswer:
    """The money of a season's rooms, by release."""

    now: int
    zone: str
    read_as_of: bool
    currency: str
    episodes: tuple[EpisodeCosts, ...]


def costs(season: Season, *, only: str | None = None) -> CostsAnswer:
    """The money of every room of a season, or of one.

    Raises:
        PlanError: faults that only the network shows.
    """
    network = expand(season)
    return CostsAnswer(
        now=season.now,
        zone=season.studio.zone,
        read_as_of=season.read_as_of,
        currency=season.studio.currency,
        episodes=tuple(
            costs_of(network, episode)
            for episode in season.episodes
            if only is None or episode.id == only
        ),
    )


def costs_of(network: Network, episode: Episode) -> EpisodeCosts:
    """One room's money. What a network leaves out (dropped, for a fallback only) costs nothing."""
    absent = network.absent
    lines: list[CostLine] = []
    for parcel in episode.parcels:
        lines.append(_parcel(episode, parcel, (episode.id, parcel.id) in absent))
    for job in episode.jobs:
        lines += _job(episode, job, [(episode.id, step.id) in absent for step in job.steps])
    for shot in episode.shots:
        if shot.cost is not None:
            lines.append(_activity(episode, shot, (episode.id, shot.id) in absent))
    return EpisodeCosts(
        id=episode.id,
        title=episode.title,
        released=episode.released is not None,
        budget=episode.budget,
        lines=tuple(line for line in lines if line.takes_part or line.paid or line.refunded),
    )


def _parcel(episode: Episode, parcel: Parcel, absent: bool) -> CostLine:
    takes_part = not absent
    planned = 0.0
    if takes_part or parcel.paid or parcel.refunded:
        price = parcel.paid if parcel.paid is not None else parcel.cost
        planned = (price or 0.0) - (parcel.refunded or 0.0)
    return CostLine(
        episode=episode.id,
        id=parcel.id,
        title=parcel.title,
        kind="parcel",
        state=_state(parcel, absent),
        cost=parcel.cost,
        paid=parcel.paid,
        refunded=parcel.refunded,
        planned=planned,
        takes_part=takes_part,
    )


def _state(parcel: Parcel, absent: bool) -> CostState:
    if parcel.returned is not None:
        return "returned"
    if parcel.failed is not None:
        return "failed"
    if parcel.arrived is not None:
        return "arrived"
    if absent:
        return "dropped"
    return "open" if parcel.ordered is None else "ordered"


def _job(episode: Episode, job: Job, absent: list[bool]) -> list[CostLine]:
    """A job's own price, where any of its steps takes part, and the prices of its steps."""
    lines = []
    if job.cost is not None:
        taking_part = not all(absent)
        done = all(
            step.done is not None for step, gone in zip(job.steps, absent, strict=True) if not gone
        )
        lines.append(
            CostLine(
                episode=episode.id,
                id=job.id,
                title=job.title,
                kind="job",
                job=job.id,
                job_title=job.title,
                state="dropped" if not taking_part else "done" if done else "open",
                cost=job.cost,
                planned=job.cost if taking_part else 0.0,
                takes_part=taking_part,
            )
        )
    for step, gone in zip(job.steps, absent, strict=True):
        if step.cost is not None:
            lines.append(_activity(episode, step, gone, job))
    return lines


def _activity(
    episode: Episode, written: Step | Shot, absent: bool, job: Job | None = None
) -> CostLine:
    fact = written.done if isinstance(written, Step) else written.taken
    return CostLine(
        episode=episode.id,
        id=written.id,
        title=written.title,
        kind="step" if isinstance(written, Step) else "shot",
        job="" if job is None else job.id,
        job_title="" if job is None else job.title,
        state="dropped" if absent else "open" if fact is None else "done",
        cost=written.cost,
        planned=0.0 if absent else written.cost or 0.0,
        takes_part=not absent,
    )
