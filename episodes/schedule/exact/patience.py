"""How much searching a question is worth: counted effort first, the clock as a last stop."""

from collections.abc import Callable
from dataclasses import dataclass, field

CLOCK_OVER_EFFORT = 4.0
"""Seconds of clock allowed for one unit of effort, a slow and busy machine included."""

LEAST_SECONDS = 3.0


@dataclass(slots=True, eq=False)
class Patience:
    """An allowance shared by all questions asked with it.

    Effort is counted by the solver itself, so that the same question gives the same answer on any
    machine; the clock only ends what has gone wrong.

    Args:
        effort: what may be spent in all, in seconds of a quiet core, counted and not measured.
        seconds: of clock; by default several times the effort.
        tell: told in a few words what is being looked for.

    Attributes:
        spent: effort so far.
        halted: whoever waits has had enough: no further search begins.
        stopped_early: the clock or a halt cut a search off, so that the answer may differ from
            one run to the next.
    """

    effort: float
    seconds: float | None = None
    tell: Callable[[str], None] | None = None
    spent: float = 0.0
    clocked: float = 0.0
    halted: bool = False
    stopped_early: bool = False
    _above: "Patience | None" = None
    _stops: list[Callable[[], None]] = field(default_factory=list)

    def __post_init__(self) -> None:
        if self.seconds is None:
            self.seconds = CLOCK_OVER_EFFORT * self.effort + LEAST_SECONDS

    @property
    def left(self) -> float:
        """Effort that may still be spent; 0 when halted."""
        if self.is_halted:
            return 0.0
        mine = max(0.0, self.effort - self.spent)
        return mine if self._above is None else min(mine, self._above.left)

    @property
    def seconds_left(self) -> float:
        """Clock seconds that may still go by."""
        assert self.seconds is not None
        mine = max(0.0, self.seconds - self.clocked)
        return mine if self._above is None else min(mine, self._above.seconds_left)

    @property
    def is_halted(self) -> bool:
        return self.halted or (self._above is not None and self._above.is_halted)

    def part(self, effort: float) -> "Patience":
        """A share: no more than is left; what it spends is spent here too."""
        return Patience(min(effort, self.left), tell=self.tell, _above=self)

    def halt(self) -> None:
        """End the running search and all that would follow it; from any thread."""
        self.halted = True
        for stop in list(self._stops):
            stop()

    def spend(self, effort: float, seconds: float) -> None:
        """Count what a search took."""
        self.spent += effort
        self.clocked += seconds
        if self._above is not None:
            self._above.spend(effort, seconds)

    def cut_short(self) -> None:
        """Note that a search ended by the clock or by a halt."""
        self.stopped_early = True
        if self._above is not None:
            self._above.cut_short()

    def say(self, text: str) -> None:
        """Tell who waits what is being looked for."""
        if self.tell is not None:
            self.tell(text)

    def listen(self, stop: Callable[[], None]) -> None:
        """Call `stop` on a halt, until `deaf`."""
        self._root._stops.append(stop)

    def deaf(self, stop: Callable[[], None]) -> None:
        """Take a `stop` back."""
        self._root._stops.remove(stop)

    @property
    def _root(self) -> "Patience":
        return self if self._above is None else self._above._root
