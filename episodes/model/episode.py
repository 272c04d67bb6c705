"""One episode as the user wrote it: parcels, jobs with steps, shots, ways out.

Defaults are already applied (step, job, `[defaults]`), names already resolved, dates already UTC
minutes: a bare date stands for its start as a lower bound and for its end as an upper one, facts
of today read as now at the latest. What no value was given for is None, never a made-up value.
"""

from dataclasses import dataclass, field
from typing import Literal

from episodes.amounts import Estimate, Lead
from episodes.calendars.openings import Stretch
from episodes.model.studio import AirBorne, AirNeed
from episodes.problems import Place
from episodes.trade.cautions import Caution
from episodes.trade.products import Coating, Stage

RefKind = Literal["step", "job", "parcel", "shot", "release"]
Light = Literal["day", "dark"]
ParcelKind = Literal["delivery", "pickup", "made", "answer"]
When = Literal["before", "during", "after"]


@dataclass(frozen=True, slots=True)
class Ref:
    """A name resolved: what kind of thing, of which episode, its id there (a step: JOB.STEP)."""

    kind: RefKind
    episode: str
    id: str

    @property
    def qualified(self) -> str:
        return f"{self.episode}:{self.id}"


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """One entry of `after`: what must come first, and how far apart.

    `plain` entries (a string) follow the rules of the contract for coats; an entry with `gap`,
    `within` or `or_after` counts from a coat's finish and asks for no stage unless it names one.
    Minutes throughout.
    """

    target: Ref
    gap: int | None = None
    within: int | None = None
    or_after: int | None = None
    stage: Stage | None = None
    from_start: bool = False
    to_finish: bool = False
    place: Place

    @property
    def plain(self) -> bool:
        return self.gap is None and self.within is None and self.or_after is None


@dataclass(frozen=True, slots=True)
class Who:
    """The people of a step: all of them, or any one of them (`any_of`)."""

    people: tuple[str, ...] = ()
    any_of: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A step of a job; `id` is the full JOB.STEP. Exactly one of `hands` and `wait` is given.

    `after` None: it follows the step before it in the file. `gear` pairs an id with a count.
    `caution` is its own line, `known_cautions` are the trade's for what it makes and does (those
    of its coat are the coat's).
    """

    id: str
    job: str
    title: str
    hands: Estimate | None = None
    wait: Estimate | None = None
    who: Who = Who()
    where: str | None = None
    gear: tuple[tuple[str, int], ...] = ()
    one_go: bool = False
    alone: bool = False
    light: Light | None = None
    makes: frozenset[AirBorne] = frozenset()
    needs_air: frozenset[AirNeed] = frozenset()
    does: tuple[str, ...] = ()
    after: tuple[After, ...] | None = None
    also_after: tuple[After, ...] = ()
    before: tuple[Ref, ...] = ()
    coating: Coating | None = None
    surface: str = ""
    opens_window: bool = False
    optional: bool = False
    fallback_only: bool = False
    not_before: int | None = None
    not_after: int | None = None
    at: int | None = None
    cost: float | None = None
    caution: str = ""
    known_cautions: tuple[Caution, ...] = ()
    note: str = ""
    link: str = ""
    tags: tuple[str, ...] = ()
    guessed: Estimate | None = None
    """The hands-on time first written, where a look-back's suggestion took its place."""
    started: int | None = None
    done: int | None = None
    left: int | None = None
    took: int | None = None
    failed: int | None = None
    dropped: int | None = None
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    id: str
    title: str
    after: tuple[After, ...] = ()
    optional: bool = False
    fallback_only: bool = False
    dropped: int | None = None
    cost: float | None = None
    steps: tuple[Step, ...]
    note: str = ""
    place: Place
    _places: dict[str, int] = field(default_factory=dict, compare=False, repr=False)

    def at(self, id: str) -> int | None:
        """The place of a step in the file's order, by its full id; None for no step of the job.

        Looked up, not sought: a job may have thousands of steps, each asking for its neighbours.
        """
        if not self._places:
            self._places.update({step.id: place for place, step in enumerate(self.steps)})
        return self._places.get(id)

    def behind(self, id: str) -> tuple[Step, ...]:
        """The steps behind one of its own."""
        place = self.at(id)
        assert place is not None
        return self.steps[place + 1 :]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """Something that must come: a delivery, a pick-up, a piece made to order, a yes.

    `promised` and `arrived` are instants (a bare date: that day at the carrier's `arrives_at`).
    """

    id: str
    title: str
    kind: ParcelKind = "delivery"
    carrier: str | None = None
    lead: Lead | None = None
    guessed: Lead | None = None
    """The lead first written, where a look-back's suggestion took its place."""
    after: tuple[After, ...] = ()
    cost: float | None = None
    settle: Estimate = Estimate(0, 0, 0)
    return_within: int | None = None
    replaces: str | None = None
    optional: bool = False
    fallback_only: bool = False
    not_before: int | None = None
    not_after: int | None = None
    at: int | None = None
    ordered: int | None = None
    promised: int | None = None
    arrived: int | None = None
    failed: str | None = None
    returned: int | None = None
    dropped: int | None = None
    paid: float | None = None
    refunded: float | None = None
    note: str = ""
    link: str = ""
    tags: tuple[str, ...] = ()
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """Something to film. `of` None: the room. `once`: it can't be taken again later.

    `where` None (after the reader applied the rule): it needs no space.
    """

    id: str
    title: str
    of: Ref | None = None
    when: When = "after"
    hands: Estimate | None = None
    who: Who = Who()
    where: str | None = None
    gear: tuple[tuple[str, int], ...] = ()
    one_go: bool = True
    alone: bool = False
    light: Light | None = None
    makes: frozenset[AirBorne] = frozenset()
    needs_air: frozenset[AirNeed] = frozenset()
    does: tuple[str, ...] = ()
    once: bool = False
    after: tuple[After, ...] = ()
    before: tuple[Ref, ...] = ()
    covers: str | None = None
    optional: bool = False
    fallback_only: bool = False
    not_before: int | None = None
    not_after: int | None = None
    at: int | None = None
    cost: float | None = None
    caution: str = ""
    known_cautions: tuple[Caution, ...] = ()
    note: str = ""
    link: str = ""
    tags: tuple[str, ...] = ()
    guessed: Estimate | None = None
    started: int | None = None
    taken: int | None = None
    backed_up: bool = False
    lost: int | None = None
    dropped: int | None = None
    place: Place


@dataclass(frozen=True, slots=True)
class NewLead:
    lead: Lead
    carrier: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fallback:
    """A way out the host would accept, and its price. Mappings are keyed by ids of the episode."""

    id: str
    title: str
    cost: float = 0.0
    loses: float = 0.0
    parcel: dict[str, NewLead]
    drop: tuple[Ref, ...] = ()
    hands: dict[str, Estimate]
    coat: dict[str, Coating]
    extra: tuple[tuple[str, Stretch], ...] = ()
    """(person, opening in UTC minutes)."""
    air: dict[str, tuple[float | None, float | None]]
    """Space to (degC or None, percent or None)."""
    where: dict[str, str]
    who: dict[str, Who] = field(default_factory=dict)
    """Step or shot to the people who do it instead."""
    use: tuple[Ref, ...] = ()
    note: str = ""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Episode:
    """One room and its release. Times are UTC minutes; `file` is the name its problems show."""

    id: str
    title: str
    release: int
    room: str | None = None
    budget: float | None = None
    may_start: int | None = None
    released: int | None = None
    parcels: tuple[Parcel, ...] = ()
    jobs: tuple[Job, ...] = ()
    shots: tuple[Shot, ...] = ()
    fallbacks: tuple[Fallback, ...] = ()
    file: str
    note: str = ""
    place: Place
