"""Activities and links of the network, and the network itself.

Activities are numbered by position; a link names its ends by number. The points of an activity
that a link may count from are START, FINISH and the four drying stages of a coat.
"""

from dataclasses import dataclass, field, replace
from typing import Literal

from episodes.calendars.openings import Openings
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.model.season import Season
from episodes.model.studio import AirBorne, AirNeed
from episodes.network.timing import Timing
from episodes.problems import Place, Problem
from episodes.trade.drying import DryingCurve
from episodes.trade.products import STAGES, Coating, Stage

ActivityKind = Literal["hands", "wait", "shot", "parcel"]
ActivityState = Literal["open", "started", "done"]

START = 0
FINISH = 1
POINT: dict[Stage, int] = {stage: 2 + index for index, stage in enumerate(STAGES)}
"""Number of a stage's point: touch 2, recoat 3, handle 4, cure 5."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to staff an activity: who, and how its time runs on their common hours."""

    people: tuple[str, ...]
    timing: Timing


@dataclass(frozen=True, slots=True, kw_only=True)
class Coat:
    """How an activity's coat dries: `times` in reference minutes, likely values.

    Attributes:
        recoat_curve: how it dries until recoat; no air shortens the second side of a window.
    """

    coating: Coating
    curve: DryingCurve
    recoat_curve: DryingCurve
    times: dict[Stage, int]
    _known: dict[tuple[Stage, int], int] = field(default_factory=dict, compare=False, repr=False)

    def stage_end(self, stage: Stage, finish: int) -> int:
        """When the stage is reached if the coat's last stroke is at `finish` (UTC minutes)."""
        key = (stage, finish)
        end = self._known.get(key)
        if end is None:
            curve = self.recoat_curve if stage == "recoat" else self.curve
            end = finish if abs(finish) >= NEVER else curve.over(finish, self.times[stage])
            # A search asks for the same few finishes again and again.
            self._known[key] = end
        return end

    def latest_finish(self, stage: Stage, t: int) -> int:
        """The last finish from which the stage is reached by t."""
        curve = self.recoat_curve if stage == "recoat" else self.curve
        return t if abs(t) >= NEVER else curve.latest(t, self.times[stage])

    def longer(self, minutes: int) -> "Coat":
        """The same drying, each stage an elapsed `minutes` later."""
        return replace(
            self,
            curve=_Later(self.curve, minutes),  # type: ignore[arg-type]
            recoat_curve=_Later(self.recoat_curve, minutes),  # type: ignore[arg-type]
            _known={},
        )


class _Later:
    """A drying curve whose every stage comes a few minutes later on the clock."""

    __slots__ = ("curve", "minutes")

    def __init__(self, curve: DryingCurve, minutes: int) -> None:
        self.curve = curve
        self.minutes = minutes

    def over(self, finish: int, minutes: int) -> int:
        return self.curve.over(finish, minutes) + self.minutes

    def latest(self, over: int, minutes: int) -> int:
        return self.curve.latest(over - self.minutes, minutes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """A step, wait, shot or parcel that takes part in the plan.

    Attributes:
        key: (episode, id).
        choices: ways to staff it; one but for `any_of`.
        earliest: lower bound of the start, UTC minutes (bounds of the plan and `now`).
        at: fixed start, None if free.
        latest_finish: upper bound of the finish from `not_after`, NEVER if none.
        fact_start, fact_finish: what has happened; None where it has not.
        required: the release waits for it, directly or through others.
        behind: it waits for its own episode's release.
        rank: order of planning; smaller first (episodes by release, then what is behind a
            release, then optional work).
        places: how many places of `where` it takes; the whole space is `ALL_PLACES`.
        noisy_until_touch: the coat gives off fumes until touch dry.
    """

    index: int
    key: tuple[str, str]
    kind: ActivityKind
    state: ActivityState
    title: str
    job: str = ""
    choices: tuple[Choice, ...]
    earliest: int = LONG_AGO
    at: int | None = None
    latest_finish: int = NEVER
    fact_start: int | None = None
    fact_finish: int | None = None
    required: bool = True
    optional: bool = False
    behind: bool = False
    rank: tuple[int, int] = (0, 0)
    where: str | None = None
    places: int = 0
    gear: tuple[tuple[str, int], ...] = ()
    makes: frozenset[AirBorne] = frozenset()
    needs_air: frozenset[AirNeed] = frozenset()
    coat: Coat | None = None
    work: int = 0
    light: Openings | None = None
    """Openings of the light it needs, to tell a dark hour from a closed one."""
    next_in_job: int | None = None
    """The job's next step in file order: it frees the place that a drying coat holds."""
    place: Place

    @property
    def id(self) -> str:
        return self.key[1]

    @property
    def episode(self) -> str:
        return self.key[0]

    @property
    def done(self) -> bool:
        return self.state == "done"


ALL_PLACES = 1 << 20
"""What `alone` takes: more places than any space has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Q of the successor against P of the predecessor.

    Q >= P + least, and, where `most` is given, Q <= P + most or (with `or_point`)
    Q >= P(or_point) + or_gap. Q is the successor's start, with `to_finish` its finish.

    Attributes:
        point, or_point: START, FINISH or a stage's POINT.
        void_after: a stage's POINT; where that stage itself comes later than `most` allows, the
            upper bound does not count (scuff first).
        reason: what a start held by it is said to wait for.
    """

    pred: int
    succ: int
    point: int = FINISH
    to_finish: bool = False
    least: int = 0
    most: int | None = None
    or_point: int | None = None
    or_gap: int = 0
    void_after: int | None = None
    recoat: bool = False
    """The upper bound is a coat's longest recoat time."""
    session: int = 0
    """Above 0: it bounds the start of that session of the successor, a piece of work resumed."""
    place: Place | None = None

    @property
    def two_sided(self) -> bool:
        return self.most is not None and self.or_point is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class DryRow:
    """A drying to show: row `JOB.STEP.dry` from the coat's finish to `stage`.

    `release_stage` is the stage the release itself waits for.
    """

    coat: int
    stage: Stage
    release_stage: Stage
    handle: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeScope:
    """What belongs to one episode: its release and its activities by number."""

    id: str
    release: int
    order: int
    members: tuple[int, ...]
    required: tuple[int, ...]
    released: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """The whole season as activities on their own hours, with links.

    Attributes:
        order: activity numbers so that predecessors come first.
        incoming, outgoing: links by activity.
        dries: by number of the coat.
        during: (episode, shot id) -> number of the step it is filmed with.
        absent: (episode, id) of what takes no part: `dropped` (given up, lost, its moment past) or
            `spare` (for a fallback or a cover only).
        openings_of: openings by (people, space, light, noise) for own-hours slack.
    """

    season: Season
    now: int
    start: int
    end: int
    activities: tuple[Activity, ...]
    links: tuple[Link, ...]
    order: tuple[int, ...]
    incoming: tuple[tuple[Link, ...], ...]
    outgoing: tuple[tuple[Link, ...], ...]
    episodes: tuple[EpisodeScope, ...]
    dries: dict[int, DryRow]
    index: dict[tuple[str, str], int]
    during: dict[tuple[str, str], int]
    absent: dict[tuple[str, str], Literal["dropped", "spare"]]
    problems: tuple[tuple[str, Problem], ...]
    """(episode id, problem) found while building."""
    overtaken: tuple[tuple[int, int, Place | None], ...] = ()
    """(earlier, later, line): the later is done, the earlier is not."""
    shares: dict[str, frozenset[str]] = field(default_factory=dict)
    noises: dict[str, frozenset[str]] = field(default_factory=dict)
    places_of: dict[str, int | None] = field(default_factory=dict)
    gear_of: dict[str, int] = field(default_factory=dict)
    lingers: dict[str, dict[AirBorne, int]] = field(default_factory=dict)
    person_openings: dict[str, Openings] = field(default_factory=dict)

    def scope(self, episode: str) -> EpisodeScope:
        return next(scope for scope in self.episodes if scope.id == episode)
