"""Run the schema over a parsed file and put every departure from it into words, with its line.

pydantic gives up a table that has one bad value. Here each bad value is reported, cut out and
the rest checked again, so that one run finds every fault of a file, also those that only the
reader of the rest can see. What was cut out is remembered: its absence is nobody's second fault.
"""

import copy
from collections.abc import Iterator
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from episodes.files.faults import Faults
from episodes.files.schema import Table
from episodes.files.schema_episode import EpisodeTable
from episodes.files.schema_studio import StudioTable
from episodes.files.source import Source
from episodes.files.toml_spans import Path
from episodes.files.values import NOTES, in_two, nearest, quoted, shown

_TableT = TypeVar("_TableT", bound=Table)

_ROUNDS = 8
_BELONGS = {
    "string_type": "text in quotes",
    "list_type": "a list",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
}
_ARRAYS_OF_TABLES = {
    "job",
    "step",
    "parcel",
    "shot",
    "fallback",
    "person",
    "space",
    "gear",
    "carrier",
}


def check_studio(source: Source, faults: Faults) -> StudioTable:
    """The tables of `studio.toml`; what is wrong goes to `faults` and is left out."""
    return _check(StudioTable, source, faults)


def check_episode(source: Source, faults: Faults) -> EpisodeTable:
    """The tables of an episode's file; what is wrong goes to `faults` and is left out."""
    return _check(EpisodeTable, source, faults)


def _check(model: type[_TableT], source: Source, faults: Faults) -> _TableT:
    data = source.data
    for _ in range(_ROUNDS):
        try:
            return model.model_validate(data)
        except ValidationError as error:
            if data is source.data:
                data = _copied(source, faults)
            departures = error.errors(include_url=False)
        for departure in departures:
            path = tuple(departure["loc"])
            _report(model, departure, path, source, faults)
            source.broken.add(_cut(data, path, departure["type"]))
    return model.model_validate({})


def _copied(source: Source, faults: Faults) -> dict[str, Any]:
    try:
        return copy.deepcopy(source.data)
    except RecursionError:
        faults.add("toml-syntax", source.place(), "lists or tables nested too deep to be a plan.")
        return {}


def _cut(data: dict[str, Any], path: Path, kind: str) -> Path:
    """Take the value at `path` out of the data; returns the path of what is gone.

    An item of a list keeps its place, as an empty table, so that the lines of the others stay
    right; where the list holds no tables the whole list goes.
    """
    container: Any = data
    parents: list[tuple[Any, Path]] = []
    for depth, part in enumerate(path):
        parents.append((container, path[:depth]))
        try:
            container = container[part]
        except (KeyError, IndexError, TypeError):
            break
    for depth in range(len(parents) - 1, -1, -1):
        holder, _ = parents[depth]
        part = path[depth]
        if isinstance(holder, list) and kind == "model_type" and isinstance(part, int):
            holder[part] = {}
            return path[: depth + 1]
        if isinstance(holder, dict) and part in holder:
            del holder[part]
            return path[: depth + 1]
    return path


def _report(model: type[Table], departure: Any, path: Path, source: Source, faults: Faults) -> None:
    if faults.full:
        faults.pass_over()
        return
    kind: str = departure["type"]
    key = _key_in_words(path)
    whose, subject = source.owner(path)
    start = f"{whose}: " if whose else ""
    place = source.place(path)
    if kind == "extra_forbidden":
        known = sorted(set(_known_keys(model, path[:-1])) - NOTES)
        name = str(path[-1])
        near = nearest(name, known) or nearest(name, sorted(NOTES), likeness=0.75)
        text = f"{start}{key}: no such key"
        if near:
            faults.add("unknown-key", place, f"{text}; `{near}`?", subject=subject)
        else:
            mend = _mend_unknown(name, known)
            faults.add("unknown-key", place, f"{text}.", mend, subject=subject)
    elif kind == "value_error":
        text, mend = in_two(departure["ctx"]["error"])
        faults.add("bad-value", place, f"{start}{key}: {text}", mend, subject=subject)
    elif kind == "too_long":
        limits = departure["ctx"]
        text = f"{start}{key} has {limits['actual_length']:,} entries;"
        text += f" at most {limits['max_length']:,} are read."
        faults.add("too-many", place, text, subject=subject)
    elif kind in ("list_type", "model_type") and path[-1] in _ARRAYS_OF_TABLES:
        header = ".".join(str(part) for part in path if isinstance(part, str))
        mend = f"Write [[{header}]], in two brackets, above each one."
        text = (
            f"{start}{key} is {shown_kind(departure['input'])} and a list of tables belongs here."
        )
        faults.add("wrong-type", place, text, mend, subject=subject)
    else:
        belongs = _BELONGS.get(kind, "something else")
        given = departure["input"]
        text = f"{start}{key} is {shown_kind(given)} and {belongs} belongs here."
        mend = f"Write [{quoted(given)}]." if kind == "list_type" and isinstance(given, str) else ""
        faults.add("wrong-type", place, text, mend, subject=subject)


def _key_in_words(path: Path) -> str:
    """`` `after` ``, `` `release.at` `` or `` entry 2 of `after` ``."""
    if path and isinstance(path[-1], int):
        return f"entry {path[-1] + 1} of `{path[-2]}`" if len(path) > 1 else "an entry"
    since = next((at for at in range(len(path), 0, -1) if isinstance(path[at - 1], int)), 0)
    name = ".".join(str(part) for part in path[since:])
    return f"`{quoted(name)[1:-1]}`" if name else "the file"


def shown_kind(value: object) -> str:
    if isinstance(value, dict):
        return "one table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, bool):
        return shown(value)
    if isinstance(value, int | float):
        return f"the number {shown(value)}"
    return shown(value)


def _mend_unknown(name: str, known: list[str]) -> str:
    if name in ("step", "steps"):
        return "Steps stand inside a job: [[job.step]]."
    listed = ", ".join(known) if len(known) <= 12 else ""
    return (
        f"Keys here are {listed}." if listed else "Notes of your own go into `note` or under `x`."
    )


def _known_keys(model: type[BaseModel], path: Path) -> list[str]:
    """Keys of the table at `path`, found by walking the schema along it."""
    table: type[BaseModel] = model
    for part in path:
        fields = {field.alias or name: field for name, field in table.model_fields.items()}
        if isinstance(part, str) and part in fields:
            inner = next(_tables_in(fields[part].annotation), None)
            table = inner or table
    return [field.alias or name for name, field in table.model_fields.items()]


def _tables_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
        return
    for inner in get_args(annotation):
        yield from _tables_in(inner)
