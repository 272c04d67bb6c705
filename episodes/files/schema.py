"""What a plan file may hold: one pydantic class a TOML table, shared parts first.

Only the shape is settled here: which keys there are and what form their values take. All keys
are optional, since `[defaults]` may give any of them: what is required, which names exist and how
keys bear on each other is the reading modules' to say. `schema_studio` and `schema_episode` have
the tables of the two kinds of file; `schema_check` runs them. pydantic goes no further.
"""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, PlainValidator

from episodes.amounts import Estimate, Lead
from episodes.files import values
from episodes.files.values import Moment
from episodes.model.episode import Who

Id = Annotated[str, PlainValidator(values.read_id)]
Text = Annotated[str, PlainValidator(values.read_text)]
Number = Annotated[float, PlainValidator(values.read_number)]
Length = Annotated[int, PlainValidator(values.read_length)]
HandsLength = Annotated[int, PlainValidator(values.read_hands_length)]
Span = Annotated[Estimate, PlainValidator(values.read_estimate)]
HandsSpan = Annotated[Estimate, PlainValidator(values.read_hands_estimate)]
LeadTime = Annotated[Lead, PlainValidator(values.read_lead)]
Fact = Annotated[Any, PlainValidator(values.read_fact)]
"""date or datetime."""
Bound = Annotated[Moment, PlainValidator(values.read_bound)]
BoundInstant = Annotated[Moment, PlainValidator(values.read_bound_instant)]
Names = Annotated[tuple[str, ...], PlainValidator(values.read_names)]
People = Annotated[Who, PlainValidator(values.read_who)]
GearCounts = Annotated[tuple[tuple[str, int], ...], PlainValidator(values.read_gear)]
Flag = Annotated[bool, PlainValidator(values.read_flag)]

Light = Annotated[Literal["day", "dark"], PlainValidator(values.one_of("day", "dark"))]
Makes = Annotated[frozenset[Any], PlainValidator(values.some_of("dust", "fumes", "noise"))]
NeedsAir = Annotated[frozenset[Any], PlainValidator(values.some_of("still", "fresh", "quiet"))]


def number_from(low: float, high: float) -> PlainValidator:
    return PlainValidator(values.number_from(low, high))


def whole_from(low: int, high: int) -> PlainValidator:
    return PlainValidator(values.whole_from(low, high))


def one_of(*choices: str) -> PlainValidator:
    return PlainValidator(values.one_of(*choices))


FEW = Field(max_length=values.MOST_ENTRIES)
"""For lists and tables of which no plan has many."""


class Table(BaseModel):
    """A TOML table: unknown keys are faults; notes, links, tags and `x` may stand anywhere."""

    model_config = ConfigDict(extra="forbid", strict=True, arbitrary_types_allowed=True)

    note: Text | None = None
    link: Text | None = None
    tags: Names | None = None
    x: dict[str, Any] | None = None


class AirTable(Table):
    celsius: Annotated[float | None, number_from(-40, 60)] = None
    fahrenheit: Annotated[float | None, number_from(-40, 140)] = None
    humidity: Annotated[float | None, number_from(1, 100)] = None
