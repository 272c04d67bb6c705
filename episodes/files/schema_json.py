"""The plan format as JSON Schema, for editors that complete keys and for other programs.

pydantic knows the tables and their keys; what form a value takes is in the functions that read
values, so each of them is said here as a schema. TOML's own dates and times have no JSON type:
they stand as text in the form that TOML gives them (RFC 3339). What JSON Schema cannot say is left
to the reader: which names exist, what bears on what, which key is required where a default may
give it.
"""

import inspect
from collections.abc import Callable, Mapping
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue, models_json_schema

from episodes.files import values
from episodes.files.schema_episode import EpisodeTable
from episodes.files.schema_studio import StudioTable

Fragment = dict[str, Any]
DIALECT = "https://json-schema.org/draft/2020-12/schema"

_LENGTH = r"(\d{1,7}h[0-5]?\d(min)?|\d{1,9}(min|h|d|w))"
_HANDS = r"(\d{1,7}h[0-5]?\d(min)?|\d{1,9}(min|h))"
_DAY = r"\d{4}-\d{2}-\d{2}"
_CLOCK = r"\d{2}:\d{2}(:\d{2}(\.\d+)?)?"
_MOMENT = rf"{_DAY}([T ]{_CLOCK}(Z|[+-]\d{{2}}:\d{{2}})?)?"
_WINDOW = r"\d{1,2}:\d{2}\s*-\s*\d{1,2}:\d{2}"


TOML = "x-toml"
"""Marks what TOML writes without quotes, by its own name for the type."""


def _text(pattern: str, *examples: str, toml: str = "") -> Fragment:
    fragment: Fragment = {"type": "string", "pattern": f"^{pattern}$", "examples": list(examples)}
    return {**fragment, TOML: toml} if toml else fragment


def _range(length: str) -> str:
    return rf"\s*{length}(\.\.{length}){{0,2}}\s*"


def _names() -> Fragment:
    return {
        "type": "array",
        "items": {"type": "string"},
        "uniqueItems": True,
        "maxItems": values.MOST_ENTRIES,
    }


def _forms() -> dict[Callable[..., Any], Fragment]:
    """By the function that reads it, the schema of a value."""
    fact = _text(_MOMENT, "2027-04-02", "2027-04-02T18:30:00", toml="date or date-time")
    from_release = _text(rf"release([+-]{_LENGTH})?", "release-14d", "release+1w")
    whole_month = _text(r"\d{4}-(0[1-9]|1[0-2])", "2027-05")
    some_people: Fragment = {
        "type": "object",
        "properties": {"any_of": {**_names(), "minItems": 1}},
        "required": ["any_of"],
        "additionalProperties": False,
    }
    counts: Fragment = {
        "type": "object",
        "additionalProperties": {"type": "integer", "minimum": 1, "maximum": 10_000},
    }
    workdays = r"\d{1,4}(\.\.\d{1,4}){0,2} workdays?"
    return {
        values.read_id: _text(r"[a-z0-9][a-z0-9-]{0,99}", "boot-shelf"),
        values.read_text: {"type": "string", "maxLength": values.LONGEST_TEXT},
        values.read_number: _number(-values.LARGEST_NUMBER, values.LARGEST_NUMBER),
        values.read_length: _text(rf"\s*{_LENGTH}\s*", "2d", "45min"),
        values.read_hands_length: _text(rf"\s*{_HANDS}\s*", "1h30", "45min"),
        values.read_estimate: _text(_range(_LENGTH), "24h", "1d..2d..4d"),
        values.read_hands_estimate: _text(_range(_HANDS), "45min", "2h..3h..6h"),
        values.read_lead: _text(
            rf"({workdays}|{_range(_LENGTH)})", "4..6..12 workdays", "3d..5d..14d"
        ),
        values.read_fact: fact,
        values.read_bound: {"anyOf": [fact, from_release]},
        values.read_bound_instant: {
            "anyOf": [_text(_MOMENT, "2027-04-02T18:30:00", toml="date-time"), from_release]
        },
        values.read_time: _text(_CLOCK, "18:30:00", toml="time"),
        values.read_month: whole_month,
        values.read_release: {"anyOf": [whole_month, fact]},
        values.read_day_off: _text(
            rf"{_DAY}(\s*\.\.\s*{_DAY}|\s+{_WINDOW})?",
            "2027-03-20", "2027-03-20..2027-03-28", "2027-04-15 18:00-20:00",
        ),
        values.read_extra_hours: _text(rf"{_DAY}\s+{_WINDOW}", "2027-04-16 09:00-17:00"),
        values.read_names: _names(),
        values.read_who: {"anyOf": [_names(), some_people]},
        values.read_gear: {"anyOf": [_names(), counts]},
        values.read_two_lengths: {
            "type": "array",
            "items": _text(rf"\s*{_LENGTH}\s*", "1h"),
            "minItems": 2,
            "maxItems": 2,
        },
        values.read_flag: {"type": "boolean"},
    }  # fmt: skip


def _number(low: float, high: float, kind: str = "number") -> Fragment:
    return {"type": kind, "minimum": low, "maximum": high}


def _made(read: Callable[..., Any], forms: Mapping[Callable[..., Any], Fragment]) -> Fragment:
    """The schema of a function that another one made, told by what that one gave it."""
    maker = read.__qualname__.partition(".")[0]
    given = inspect.getclosurevars(read).nonlocals
    if maker in ("number_from", "whole_from"):
        kind = "integer" if maker == "whole_from" else "number"
        return _number(given["low"], given["high"], kind)
    if maker == "one_of":
        return {"enum": list(given["choices"])}
    if maker == "some_of":
        return {**_names(), "items": _form(given["one"], forms)}
    if maker == "by_step":
        inner = _form(given["read"], forms)
        return {
            "type": "object",
            "additionalProperties": {
                "anyOf": [inner, {"type": "object", "additionalProperties": inner}]
            },
        }
    raise KeyError(f"no schema for what {read.__qualname__} reads")


def _form(read: Callable[..., Any], forms: Mapping[Callable[..., Any], Fragment]) -> Fragment:
    return dict(forms[read]) if read in forms else _made(read, forms)


class _Generator(GenerateJsonSchema):
    """Says of each value what the function that reads it takes."""

    ignored_warning_kinds = {"skipped-choice", "non-serializable-default"}  # noqa: RUF012

    def __init__(self, *arguments: Any, **more: Any) -> None:
        super().__init__(*arguments, **more)
        self._forms = _forms()

    def function_plain_schema(self, schema: Any) -> JsonSchemaValue:
        return _form(schema["function"]["function"], self._forms)

    def default_schema(self, schema: Any) -> JsonSchemaValue:
        found = super().default_schema(schema)
        if found.get("default", "") is None:
            # Left out is not the same as given as nothing: TOML has no nothing.
            found.pop("default")
        return found

    def nullable_schema(self, schema: Any) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])


def plan_schema(meanings: Mapping[tuple[str, str], str] | None = None) -> Fragment:
    """The schema of both kinds of file; either matches a file of that kind.

    Args:
        meanings: (name of the table's class, key) to what the key means.
    """
    models = [(StudioTable, "validation"), (EpisodeTable, "validation")]
    _, schema = models_json_schema(models, schema_generator=_Generator)  # type: ignore[arg-type]
    tables = schema["$defs"]
    for name, table in tables.items():
        table.pop("description", None)
        for key, field in table.get("properties", {}).items():
            field.pop("title", None)
            meaning = (meanings or {}).get((name, key))
            if meaning:
                field["description"] = meaning
    for name, keys in _REQUIRED.items():
        tables[name]["required"] = list(keys)
    tables["AfterTable"] = {"anyOf": [{"type": "string"}, tables["AfterTable"]]}
    lead = _forms()[values.read_lead]
    tables["NewLeadTable"] = {"anyOf": [lead, tables["NewLeadTable"]]}
    return {
        "$schema": DIALECT,
        "title": "Plan files: studio.toml, and one file an episode",
        "anyOf": [{"$ref": "#/$defs/StudioTable"}, {"$ref": "#/$defs/EpisodeTable"}],
        "$defs": {name: tables[name] for name in sorted(_used(tables))},
    }


def _used(tables: Mapping[str, Fragment]) -> set[str]:
    """The tables that the two kinds of file lead to; others are values that are read from text."""
    found: set[str] = set()
    open_ends = ["StudioTable", "EpisodeTable"]
    while open_ends:
        name = open_ends.pop()
        if name not in found:
            found.add(name)
            open_ends += _references(tables[name])
    return found


def _references(fragment: object) -> list[str]:
    if isinstance(fragment, dict):
        own = [fragment["$ref"].rpartition("/")[2]] if "$ref" in fragment else []
        return own + [name for inner in fragment.values() for name in _references(inner)]
    if isinstance(fragment, list):
        return [name for inner in fragment for name in _references(inner)]
    return []


_REQUIRED = {
    "StudioTable": ("name", "timezone", "person"),
    "PersonTable": ("id", "hours"),
    "SpaceTable": ("id",),
    "GearTable": ("id",),
    "CarrierTable": ("id",),
    "JobTable": ("id", "step"),
    "FallbackTable": ("id",),
    "MoreHoursTable": ("person", "at"),
}
"""What no default can give."""
