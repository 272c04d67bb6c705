"""The tables of an episode: parcels, jobs with steps, shots, ways out."""

from typing import Annotated, Any, Literal

from pydantic import Field, PlainValidator, model_validator

from episodes.amounts import Estimate
from episodes.calendars.week import ExtraHours
from episodes.files import values
from episodes.files.schema import (
    FEW,
    AirTable,
    Bound,
    BoundInstant,
    Fact,
    Flag,
    GearCounts,
    HandsLength,
    HandsSpan,
    Id,
    LeadTime,
    Length,
    Light,
    Makes,
    Names,
    NeedsAir,
    Number,
    People,
    Span,
    Table,
    Text,
    number_from,
    one_of,
)
from episodes.model.episode import Who
from episodes.trade.products import STAGES, Stage


class AfterTable(Table):
    """An entry of `after`; a name alone reads as a table with `step` alone."""

    step: Text | None = None
    gap: Length | None = None
    within: Length | None = None
    or_after: Length | None = None
    from_: Annotated[str | None, one_of("start", "finish"), Field(alias="from")] = None
    to: Annotated[str | None, one_of("start", "finish")] = None
    stage: Annotated[Stage | None, one_of(*STAGES)] = None

    @model_validator(mode="before")
    @classmethod
    def _name_alone(cls, value: Any) -> Any:
        return {"step": value} if isinstance(value, str) else value


Links = Annotated[list[AfterTable], FEW]


class DriesTable(Table):
    touch: Span | None = None
    recoat: Span | None = None
    recoat_by: Length | None = None
    handle: Span | None = None
    cure: Span | None = None
    window: Annotated[tuple[int, int] | None, PlainValidator(values.read_two_lengths)] = None


class Activity(Table):
    """What steps and shots have in common."""

    id: Id | None = None
    title: Text | None = None
    hands: HandsSpan | None = None
    who: People | None = None
    where: Text | None = None
    gear: GearCounts | None = None
    one_go: Flag | None = None
    alone: Flag | None = None
    light: Light | None = None
    makes: Makes | None = None
    needs_air: NeedsAir | None = None
    does: Names | None = None
    after: Links | None = None
    before: Names | None = None
    optional: Flag | None = None
    fallback_only: Flag | None = None
    not_before: Bound | None = None
    not_after: Bound | None = None
    at: BoundInstant | None = None
    cost: Number | None = None
    caution: Text | None = None
    guessed: HandsSpan | None = None
    started: Fact | None = None
    dropped: Fact | None = None


class StepTable(Activity):
    wait: Span | None = None
    also_after: Links | None = None
    coat: Text | None = None
    surface: Text | None = None
    dries: DriesTable | None = None
    opens_window: Flag | None = None
    done: Fact | None = None
    left: HandsLength | None = None
    took: HandsLength | None = None
    failed: Fact | None = None


class ShotTable(Activity):
    of: Text | None = None
    when: Annotated[
        Literal["before", "during", "after"] | None, one_of("before", "during", "after")
    ] = None
    once: Flag | None = None
    covers: Text | None = None
    taken: Fact | None = None
    backed_up: Flag | None = None
    lost: Fact | None = None


class JobTable(Table):
    id: Id | None = None
    title: Text | None = None
    who: People | None = None
    where: Text | None = None
    gear: GearCounts | None = None
    makes: Makes | None = None
    needs_air: NeedsAir | None = None
    after: Links | None = None
    optional: Flag | None = None
    fallback_only: Flag | None = None
    dropped: Fact | None = None
    cost: Number | None = None
    step: list[StepTable] | None = None


class ParcelTable(Table):
    id: Id | None = None
    title: Text | None = None
    kind: Annotated[
        Literal["delivery", "pickup", "made", "answer"] | None,
        one_of("delivery", "pickup", "made", "answer"),
    ] = None
    carrier: Text | None = None
    lead: LeadTime | None = None
    guessed: LeadTime | None = None
    after: Links | None = None
    cost: Number | None = None
    settle: Span | None = None
    return_within: Length | None = None
    replaces: Text | None = None
    optional: Flag | None = None
    fallback_only: Flag | None = None
    not_before: Bound | None = None
    not_after: Bound | None = None
    at: BoundInstant | None = None
    ordered: Fact | None = None
    promised: Fact | None = None
    arrived: Fact | None = None
    failed: Annotated[str | None, one_of("damaged", "wrong", "short")] = None
    returned: Fact | None = None
    dropped: Fact | None = None
    paid: Number | None = None
    refunded: Annotated[float | None, number_from(0, values.LARGEST_NUMBER)] = None


class NewLeadTable(Table):
    """A new order of a parcel; a lead alone reads as a table with `lead` alone."""

    lead: LeadTime | None = None
    carrier: Text | None = None

    @model_validator(mode="before")
    @classmethod
    def _lead_alone(cls, value: Any) -> Any:
        return {"lead": value} if isinstance(value, str) else value


class MoreHoursTable(Table):
    person: Text | None = None
    at: Annotated[ExtraHours | None, PlainValidator(values.read_extra_hours)] = None


class FallbackTable(Table):
    id: Id | None = None
    title: Text | None = None
    cost: Number = 0.0
    loses: Annotated[float, number_from(0, 10)] = 0.0
    parcel: Annotated[dict[str, NewLeadTable], FEW] | None = None
    drop: Names | None = None
    hands: Annotated[
        dict[str, Estimate] | None, PlainValidator(values.by_step(values.read_hands_estimate))
    ] = None
    coat: Annotated[dict[str, str] | None, PlainValidator(values.by_step(values.read_text))] = None
    extra: Annotated[list[MoreHoursTable], FEW] | None = None
    air: dict[str, AirTable] | None = None
    where: Annotated[dict[str, str] | None, PlainValidator(values.by_step(values.read_text))] = None
    who: Annotated[dict[str, Who] | None, PlainValidator(values.by_step(values.read_who))] = None
    use: Names | None = None


class EpisodeTable(Table):
    """The whole of an episode's file."""

    title: Text | None = None
    release: Annotated[Any, PlainValidator(values.read_release)] = None
    room: Text | None = None
    budget: Annotated[float | None, number_from(0, values.LARGEST_NUMBER)] = None
    may_start: Bound | None = None
    released: Fact | None = None
    parcel: list[ParcelTable] | None = None
    job: list[JobTable] | None = None
    shot: list[ShotTable] | None = None
    fallback: list[FallbackTable] | None = None
