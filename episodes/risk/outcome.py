"""What the samples say of an episode, as plain figures: what chance hands on to the answers."""

from collections.abc import Mapping
from dataclasses import dataclass


class SweepDiffersError(AssertionError):
    """At likely lengths the sweep does not give the plan: a fault of the program."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ParcelOutcome:
    """One parcel.

    Attributes:
        order_by: by share of samples in time, the last moment to order it, UTC minutes; None
            where no order is in time that often.
        harmless_until: the last moment to order it that costs at most one sample in the hundred.
        cap: the share that could be had however early it comes.
    """

    id: str
    order_by: Mapping[float, int | None]
    harmless_until: int | None
    cap: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How the ready moments lie between two moments (UTC minutes): shares of all samples in
    cells of one width, the release on an edge. The ends hold what lies beyond them; what is never
    ready is in none."""

    start: int
    end: int
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What the samples say of one episode.

    Attributes:
        ceiling: share of samples in which it could be in time if nothing waited for a person, a
            place, gear or air: no order of work does better.
        ready: by percentile, UTC minute; None where that share of samples is never ready.
        criticality: by id (a drying as `JOB.STEP.dry`), share of samples in which one minute
            more moves the ready moment.
        drivers: (episode, id, gain): whose certainty would make the odds better, best first.
    """

    id: str
    on_time: float
    standard_error: float
    ceiling: float
    ready: Mapping[int, int | None]
    criticality: Mapping[str, float]
    parcels: tuple[ParcelOutcome, ...]
    drivers: tuple[tuple[str, str, float], ...]
    spread: Spread | None
