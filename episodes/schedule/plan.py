"""A plan: where every activity stands, and why it could not stand earlier."""

from dataclasses import dataclass, field

from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import Network
from episodes.network.dates import ready


@dataclass(frozen=True, slots=True)
class Reason:
    """What moved a start last. `kind` is one of the answers' because-kinds; `id` may be None."""

    kind: str
    id: str | None = None
    episode: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One activity in the plan. UTC minutes.

    Attributes:
        choice: which of its choices of people.
        start: for what has begun, when it goes on; the fact is in the network.
        reasons: all that moved the start on its way, the last one last, each with the moment it
            moved it to.
    """

    start: int
    finish: int
    choice: int = 0
    pieces: tuple[Stretch, ...] = ()
    reasons: tuple[tuple[Reason, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Where everything stands; `placed[i]` is None for what no plan was found for.

    Attributes:
        ran_out: activities that found no opening before the calendar's end.
        kept: starts of an earlier plan that were kept though an earlier one would do, by
            activity: nothing moves that need not.
    """

    network: Network
    placed: tuple[Placed | None, ...]
    ran_out: frozenset[int] = frozenset()
    kept: dict[int, int] = field(default_factory=dict)

    @property
    def finishes(self) -> tuple[int, ...]:
        return tuple(NEVER if p is None else p.finish for p in self.placed)

    def ready_by(self, episode: str) -> int | None:
        """When all that the release waits for is over; None where something has no place."""
        moment = ready(self.network, episode, self.finishes)
        if moment >= NEVER:
            return None
        if moment <= LONG_AGO:
            return self.network.now
        return moment
