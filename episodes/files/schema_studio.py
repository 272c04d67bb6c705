"""The tables of `studio.toml`: people, places, gear, carriers, the release rule, defaults."""

from typing import Annotated, Any

from pydantic import BeforeValidator, PlainValidator

from episodes.calendars.week import DayOff, ExtraHours
from episodes.files import values
from episodes.files.schema import (
    FEW,
    AirTable,
    Fact,
    Flag,
    Id,
    Length,
    Names,
    Table,
    Text,
    number_from,
    one_of,
    whole_from,
)
from episodes.files.schema_episode import ParcelTable, ShotTable, StepTable

Off = Annotated[list[Annotated[DayOff, PlainValidator(values.read_day_off)]], FEW]
Extra = Annotated[list[Annotated[ExtraHours, PlainValidator(values.read_extra_hours)]], FEW]
TimeOfDay = Annotated[Any, PlainValidator(values.read_time)]
_NO_NOTES = BeforeValidator(values.without_notes)
Week = Annotated[dict[str, Annotated[list[str], FEW]], _NO_NOTES]
"""Hours of a week as written; the reader makes them `WeekHours`, key by key."""


class ReleaseTable(Table):
    on: Text | None = None
    at: TimeOfDay | None = None
    skip: list[Annotated[str, PlainValidator(values.read_month)]] | None = None


class PlaceTable(Table):
    latitude: Annotated[float | None, number_from(-90, 90)] = None
    longitude: Annotated[float | None, number_from(-180, 180)] = None


class PersonTable(Table):
    id: Id | None = None
    title: Text | None = None
    hours: Week | None = None
    keeps_holidays: Flag = False
    off: Off | None = None
    extra: Extra | None = None
    could: Extra | None = None
    busy: Names | None = None


class LingersTable(Table):
    dust: Length | None = None
    fumes: Length | None = None


class SpaceTable(Table):
    id: Id | None = None
    title: Text | None = None
    hours: Week | None = None
    noise_hours: Week | None = None
    off: Off | None = None
    holds: Annotated[int | None, whole_from(1, 1_000)] = None
    air: AirTable | None = None
    air_by_month: Annotated[dict[str, AirTable], _NO_NOTES] | None = None
    shares_air_with: Names | None = None
    hears: Names | None = None
    lingers: LingersTable | None = None
    forbids: Names | None = None


class GearTable(Table):
    id: Id | None = None
    title: Text | None = None
    count: Annotated[int, whole_from(1, 10_000)] = 1


class CarrierTable(Table):
    id: Id | None = None
    title: Text | None = None
    days: Text | None = None
    keeps_holidays: Flag = True
    off: Off | None = None
    cutoff: TimeOfDay | None = None
    arrives_at: TimeOfDay | None = None


class OddsTable(Table):
    samples: Annotated[int, whole_from(100, 1_000_000)] = 10_000
    seed: Annotated[int, whole_from(0, 2**63 - 1)] = 1
    correlation: Annotated[float, number_from(0, 1)] = 0.3


class DefaultsTable(Table):
    step: StepTable | None = None
    shot: ShotTable | None = None
    parcel: ParcelTable | None = None


class StudioTable(Table):
    """The whole of `studio.toml`."""

    name: Text | None = None
    timezone: Text | None = None
    release: ReleaseTable | None = None
    place: PlaceTable | None = None
    holidays: Text | None = None
    currency: Text | None = None
    units: Annotated[str, one_of("metric", "us")] = "metric"
    cushion: Length | None = None
    calendar_id: Text | None = None
    as_of: Fact | None = None
    person: list[PersonTable] | None = None
    space: list[SpaceTable] | None = None
    gear: list[GearTable] | None = None
    carrier: list[CarrierTable] | None = None
    odds: OddsTable | None = None
    defaults: DefaultsTable | None = None
