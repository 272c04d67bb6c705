"""Entries of `after` as data: what is waited for and how, and what of it passes on by a bridge."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from episodes.amounts import length_as_written, parse_length
from episodes.files.editing import Edit, edited
from episodes.files.names import tables
from episodes.files.plan_text import written
from episodes.files.toml_spans import Path, Value, find, tables_of
from episodes.files.writing_names import Mention, episode_of, path_of
from episodes.files.writing_tables import take
from episodes.model.episode import Ref


@dataclass(frozen=True, slots=True)
class Link:
    """What something waits for, and how: the other keys of its entry."""

    ref: Ref
    options: tuple[tuple[str, Any], ...] = ()


def owner(mention: Mention) -> Ref:
    """The thing that names."""
    return Ref(mention.kind, episode_of(mention.file), mention.id)  # type: ignore[arg-type]


def gap_of(options: Iterable[tuple[str, Any]]) -> int:
    """Minutes of `gap`; 0 where there is none, or none that can be read."""
    gap = dict(options).get("gap")
    try:
        return parse_length(gap) if isinstance(gap, str) else 0
    except ValueError:
        return 0


def passed_on(options: tuple[tuple[str, Any], ...], gap: int) -> tuple[tuple[str, Any], ...]:
    """What of an entry passes on past something that goes: not how soon it had to follow."""
    passed = {key: value for key, value in options if key not in ("within", "or_after")}
    if gap:
        passed["gap"] = length_as_written(gap + gap_of(options))
    return tuple(passed.items())


def options_of(data: Mapping[str, Any], mention: Mention) -> tuple[tuple[str, Any], ...]:
    """The keys of an entry beside the name."""
    if len(mention.rest) < 2:
        return ()
    table: Any = data
    if mention.kind == "step":
        job, _, own = mention.id.partition(".")
        holder = next(each for _, each in tables(data, "job") if each.get("id") == job)
        table = next(each for _, each in tables(holder, "step") if each.get("id") == own)
    else:
        table = next(each for _, each in tables(data, mention.kind) if each.get("id") == mention.id)
    entry = table[mention.key][mention.rest[0]]
    return tuple((key, value) for key, value in entry.items() if key != "step")


def entry_replaced(text: str, mention: Mention, entries: list[Any], *, keeps_empty: bool) -> str:
    """The list of a mention with these entries in the place of its own.

    Args:
        keeps_empty: a list of nothing says something: this step follows no other.
    """
    array: Path = (*path_of(text, mention.kind, mention.id), mention.key)
    index = mention.rest[0]
    assert isinstance(index, int)
    if not entries:
        text, _ = take(text, array, index, file=mention.file)
        place = find(tables_of(text), array)
        empty = isinstance(place, Value) and not place.items
        if empty and not keeps_empty:
            edit = Edit(kind=mention.kind, id=mention.id, key=mention.key, value=None)  # type: ignore[arg-type]
            text = edited(text, [edit], file=mention.file)
        return text
    place = find(tables_of(text), (*array, index))
    assert isinstance(place, Value)
    new = ", ".join(map(written, entries))
    return text[: place.start] + new + text[place.end :]
