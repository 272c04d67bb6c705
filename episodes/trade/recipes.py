"""A typical build of a room episode as data: sizes, steps, shots, what to buy, each with a source.

The values live in `recipes/*.toml` (read by `files`); here is only their form. Amounts are
formulas of the recipe's sizes (`formulas`); `builds` works them out for one room. Texts may hold
formulas in braces: `mitre at {90 - corner/2} degrees`.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from episodes.amounts import Estimate

Unit = Literal["m", "m2", "cm", "mm", "count", "min", "times"]
Crew = Literal["host", "one", "pair", "licensed"]
"""Who does a step: the host, any one, two together, a licensed tradesperson with one at hand."""
Spot = Literal["room", "workshop", "desk"]
When = Literal["before", "during", "after"]
Span = tuple[Fraction, Fraction, Fraction]
"""Low, likely and high as parts of a formula's value."""

FIRST_TIME: Span = (Fraction(7, 10), Fraction(1), Fraction(9, 5))
"""Two amateurs doing it for the first time: common practice, no published source."""
WHOLE_UNITS: frozenset[Unit] = frozenset(("count", "min"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One number that a recipe is scaled by; formulas get it in its own unit.

    Attributes:
        asked: `new` asks for it at a terminal; the others keep their default unless given.
    """

    id: str
    title: str
    unit: Unit
    default: Fraction
    lowest: Fraction
    highest: Fraction
    asked: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """What a step comes after: a step of the recipe, or `release`; a stage where one is named."""

    step: str
    stage: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipeStep:
    """One step. Exactly one of `hands` (formula in minutes) and `wait` (elapsed, as written).

    Attributes:
        repeat: formula: the step comes that often, `{n}` counting from 2; neighbours that repeat
            alike take turns (scuff 2, coat 2, scuff 3, coat 3).
        only_if: formula: left out where it is zero.
        spot: where it is done; None: the recipe's own place.
        after: None: follows the step before it.
        gear: planned things, each with a formula of how many.
        tools: what lies ready and nobody queues for.
        cautions: tags of the caution list.
    """

    id: str
    title: str
    who: Crew = "one"
    hands: str | None = None
    wait: str | None = None
    repeat: str | None = None
    only_if: str | None = None
    spot: Spot | None = None
    after: tuple[Link, ...] | None = None
    coat: str | None = None
    surface: str | None = None
    gear: tuple[tuple[str, str], ...] = ()
    tools: tuple[str, ...] = ()
    makes: tuple[str, ...] = ()
    needs_air: tuple[str, ...] = ()
    light: str | None = None
    does: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    one_go: bool = False
    alone: bool = False
    opens_window: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipeShot:
    """A shot worth taking; `once` cannot be retaken later. `of` "": the job as a whole.

    Attributes:
        hands: formula in minutes; of no matter where it runs with its step.
        repeat: formula: so many shots, `{n}` counting from 1.
        of_room: `before` or `after` the room instead of a step: the befores and the reveal.
    """

    id: str
    title: str
    of: str = ""
    when: When = "after"
    hands: str = "15"
    repeat: str | None = None
    once: bool = False
    light: str | None = None
    needs_air: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    of_room: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Buy:
    """One line of the shopping list.

    Attributes:
        count: formula; or `pieces` (pairs of formulas: how many, how long in metres) that are laid
            into sticks of `stock` metres, with `spare` sticks on top.
        kind: how it comes, an id of the kinds in `carriers.toml`.
        needed_for: the first step that needs it.
        after: the step that must be over before it can be ordered.
        settle: wait after arrival, as written.
    """

    id: str
    title: str
    unit: str
    kind: str
    needed_for: str
    count: str | None = None
    pieces: tuple[tuple[str, str], ...] = ()
    stock: str | None = None
    spare: int = 0
    after: str | None = None
    settle: str | None = None
    note: str = ""
    source: str = ""
    """Where the count comes from, where that is not the recipe's own source of purchases."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """One build, or one piece of the work around it.

    Attributes:
        job: the id its job takes, if free.
        spot: where its steps are done unless they say otherwise.
        rank: order of work in one room: what makes dust and wet walls first, cloth last.
        span: factors that make a range of a formula's value.
        brings: recipes that come along with it.
        source: of each kind of value it holds (`sizes`, `hands`, `waits`, `buy`, `shots`).
    """

    id: str
    title: str
    group: str
    job: str
    spot: Spot
    rank: int
    sizes: tuple[Size, ...]
    steps: tuple[RecipeStep, ...]
    shots: tuple[RecipeShot, ...] = ()
    buys: tuple[Buy, ...] = ()
    span: Span = FIRST_TIME
    brings: tuple[str, ...] = ()
    note: str = ""
    source: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrier:
    """A carrier as a new studio gets it: its days, its cutoff, when it is in hand; all local.

    Attributes:
        cutoff, arrives_at: minutes of the day; cutoff None: the end of the day.
        also: other ids under which a studio may have one like it.
    """

    id: str
    title: str
    days: str
    keeps_holidays: bool
    cutoff: int | None
    arrives_at: int
    also: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """A way for things to come (parcel, freight, made to order ..) and how long that takes.

    Attributes:
        parcel_kind: `kind` of the parcel in a plan file.
        carrier: id of the carrier; None: elapsed time, nobody's days.
        lead: as a plan file writes it.
        amount: the same as numbers, in workdays or in minutes.
        return_within: None: not taken back, or nothing to send back.
    """

    id: str
    title: str
    parcel_kind: str
    carrier: str | None
    lead: str
    amount: Estimate
    return_within: str | None
    note: str
    source: dict[str, str]
