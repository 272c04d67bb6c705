"""The rows of an answer: a step, a parcel, an episode as the plan and the dates see them.

Times are UTC minutes; None where there is none. Names and meanings are those of the plan format's
JSON answers, which `exports/records.py` writes from these.
"""

from dataclasses import dataclass, field
from typing import Literal

from episodes.calendars.openings import Stretch
from episodes.problems import Place, Problem

Kind = Literal["hands", "wait", "dry", "parcel", "shot", "release"]
State = Literal["open", "started", "done", "dropped"]
Verdict = Literal["meets", "slips", "released"]
BecauseKind = Literal[
    "step", "parcel", "person", "space", "gear", "air", "light", "hours", "window", "now", "bound"
]


@dataclass(frozen=True, slots=True)
class Because:
    """What held a start: of several, the last one passed on the way to it."""

    kind: BecauseKind
    id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """A step, drying, parcel, shot or the release itself.

    Beside the contract's keys: `episode`, `job` (id of the job, "" for parcels and shots),
    `work_min` (likely hands-on or elapsed minutes still to do), `optional`, `once`, `light`,
    `gear`, `cautions` (lines to show where the step is shown), `place` (its line in the file),
    `after_release` (the release does not wait for it), `of` (a shot's subject as a name, "" none).
    """

    id: str
    episode: str
    job: str
    title: str
    kind: Kind
    state: State
    critical: bool = False
    early_start: int | None = None
    early_finish: int | None = None
    late_start: int | None = None
    late_finish: int | None = None
    slack_min: int | None = None
    slack_work_min: int | None = None
    start: int | None = None
    finish: int | None = None
    sessions: tuple[Stretch, ...] = ()
    who: tuple[str, ...] = ()
    where: str | None = None
    because: Because | None = None
    work_min: int = 0
    optional: bool = False
    once: bool = False
    light: str | None = None
    gear: tuple[tuple[str, int], ...] = ()
    cautions: tuple[str, ...] = ()
    after_release: bool = False
    of: str = ""
    note: str = ""
    link: str = ""
    place: Place | None = None
    coat_windows: tuple[tuple[int, int | None], ...] = ()
    """A coat over another: where the coat underneath, as planned, lets it start; None: no end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ParcelRow:
    """A parcel's dates: `arrives` before settling; `return_by` the last moment to send it back."""

    id: str
    episode: str
    title: str
    kind: str
    state: State
    order_by: int | None = None
    arrives: int | None = None
    latest_arrival: int | None = None
    latest_exact: bool = False
    return_by: int | None = None
    cost: float | None = None
    carrier: str | None = None
    ordered: int | None = None
    promised: int | None = None
    arrived: int | None = None
    failed: str | None = None
    returned: int | None = None
    optional: bool = False
    link: str = ""
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Money:
    budget: float | None
    planned: float
    paid: float
    left: float | None
    unpriced: int = 0
    """How many parcels have neither a cost nor a price paid."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Metric:
    """One question that guides ask of a schedule, answered for one room; see `health`.

    Attributes:
        code: its name; a note of that code says what to do where it is not `ok`.
        value: what was counted or measured; None where it cannot be told.
        of: out of how many; None where that means nothing.
        limit: the most (of an index the least) that is asked for, a share where `of` is given.
        subjects: ids of what is counted.
    """

    code: str
    value: float | None
    of: int | None = None
    limit: float | None = None
    ok: bool = True
    subjects: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeAnswer:
    """One episode judged. `steps` by start (None last), then id; the release is among them."""

    id: str
    title: str
    release: int
    verdict: Verdict
    proved: bool
    ready_by: int | None
    ready_floor: int | None
    spare_min: int | None
    room_by: int | None
    steps: tuple[StepRow, ...]
    parcels: tuple[ParcelRow, ...]
    money: Money
    problems: tuple[Problem, ...]
    room: str | None = None
    cushion: int | None = None
    """The spare time the host wants, minutes; None if not said."""
    jobs: tuple[tuple[str, str], ...] = ()
    """(id, title) of the jobs, in the file's order."""
    health: tuple[Metric, ...] = ()
    """What guides ask of a schedule; nothing for a room that is out."""

    def step(self, id: str) -> StepRow:
        return next(row for row in self.steps if row.id == id)

    def parcel(self, id: str) -> ParcelRow:
        return next(row for row in self.parcels if row.id == id)


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckAnswer:
    """The whole season judged at `now`; `people`, `spaces` and `gear_titles` map id to title."""

    now: int
    zone: str
    read_as_of: bool
    season: str
    episodes: tuple[EpisodeAnswer, ...]
    people: dict[str, str]
    spaces: dict[str, str]
    gear_titles: dict[str, str]
    currency: str = ""
    hours: dict[str, tuple[Stretch, ...]] = field(default_factory=dict)
    """Person to the stretches they can work, from `now` to the last release; busy time is out."""

    def episode(self, id: str) -> EpisodeAnswer:
        return next(answer for answer in self.episodes if answer.id == id)

    @property
    def met(self) -> bool:
        """Whether no episode slips."""
        return all(answer.verdict != "slips" for answer in self.episodes)
