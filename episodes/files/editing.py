"""Changing one value of a plan file and leaving every other character as the user wrote it.

An edit finds the table of a step, parcel, shot or person, whether it is written as `[[parcel]]`
or inside `parcel = [{ ... }]`, and puts, replaces, adds to or removes one key. Comments, order,
indentation and line endings stay. `tomlkit` writes the values; where they go is decided on the
text itself, because a document written back as a whole by `tomlkit` (seen with 0.13 to 0.15)
moves tables of arrays that take turns. What comes out is read again and must differ from what
went in by exactly the change that was asked for.

A change is read as a whole season before it is saved: one that would leave the season unreadable
is refused with the faults, and nothing is written.
"""

import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from episodes.files import journal
from episodes.files.journal import Change, FileChange
from episodes.files.plan_text import written
from episodes.files.recovery import not_saved
from episodes.files.saving import StaleFileError, locked, read_text, save
from episodes.files.toml_spans import Path as TomlPath
from episodes.files.toml_spans import Table, Value, find, tables_of
from episodes.problems import EpisodesError

EditKind = Literal[
    "step", "parcel", "shot", "job", "fallback", "episode", "person", "space", "gear", "carrier"
]
_OF_STUDIO = frozenset(("person", "space", "gear", "carrier"))
STUDIO_FILE = "studio.toml"


class ChangedMeanwhileError(StaleFileError):
    """The same thing was changed by somebody else since it was read; nothing was written."""


class EditError(EpisodesError):
    """The file does not have what is to be edited, or has it in a form that cannot be edited."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One key of one table.

    Attributes:
        kind: what the table is; a step's `id` is JOB.STEP, an episode's "".
        value: text, number, true or false, date, instant, or a sequence of those; None removes
            the key.
        add: put the value at the end of the key's array instead of replacing it.
    """

    kind: EditKind
    id: str
    key: str
    value: object
    add: bool = False


def set_fact(
    folder: Path,
    episode: str,
    kind: str,
    id: str,
    key: str,
    value: object,
    *,
    also: Mapping[str, object] | None = None,
    clock: int,
    now: int | None = None,
    said: str = "",
    seen: Mapping[str, str] | None = None,
) -> Change:
    """Write one fact, and what goes with it, into an episode's file (or the studio's).

    Args:
        folder: the season's folder.
        episode: id of the episode; "" for a kind of the studio.
        value: as in `Edit`.
        also: further keys of the same table that change with it; None removes one.
        clock: the clock's UTC minute, rounded up.
        now: the moment the season is read from, where that is not the clock.
        said: the change in words, for the journal.
        seen: by name, the texts of the season's files as whoever decides this has read them.

    Returns:
        The change as it stands in the journal.

    Raises:
        PlanError: the season could not be read with that change; nothing was written.
        EditError, StaleFileError, LockedError: in words why nothing was written.
        ChangedMeanwhileError: what is to be set is no longer as it was `seen`.
        NotSavedError: the file could not be written; the change is kept aside.
        OSError: a file cannot be read.
    """
    pairs = [(key, value), *(also or {}).items()]
    edits = [Edit(kind=_kind(kind), id=id, key=name, value=it) for name, it in pairs]
    return change(folder, episode, edits, clock=clock, now=now, said=said, seen=seen)


def change(
    folder: Path,
    episode: str,
    edits: Sequence[Edit],
    *,
    clock: int,
    now: int | None = None,
    said: str = "",
    seen: Mapping[str, str] | None = None,
) -> Change:
    """Make several edits of one file as one change; arguments and errors as `set_fact`."""
    from episodes.files.reading import read_season

    name = STUDIO_FILE if edits[0].kind in _OF_STUDIO else f"{episode}.toml"
    path = folder / name
    said = said or "; ".join(_in_words(edit) for edit in edits)
    files: list[FileChange] = []
    try:
        with _held(folder):
            before = read_text(path)
            if seen is not None and seen.get(name, before) != before:
                _refuse_what_moved(seen[name], before, edits, name)
            after = edited(before, edits, file=name)
            read_season(folder, clock=clock, now=now, overrides={path: after})
            if after == before:
                return Change(said=said, files=())
            files.append(FileChange(name, before, after))
            save(path, after, read=before)
            return journal.record(folder, said, files, at=clock)
    except OSError as error:
        if not files or read_back(path) == files[0].after:
            raise
        raise not_saved(folder, said, files, error) from error


@contextmanager
def _held(folder: Path) -> Iterator[None]:
    """The season's lock; where none can be made (a folder that is not writable) nobody else
    writes there either, and what is asked for is worked out all the same, to be kept aside."""
    lock = locked(folder)
    try:
        lock.__enter__()
    except OSError:
        yield
        return
    try:
        yield
    finally:
        lock.__exit__(None, None, None)


def read_back(path: Path) -> str | None:
    """What a file holds now, None where it cannot be read."""
    try:
        return read_text(path)
    except (OSError, EpisodesError):
        return None


def _refuse_what_moved(seen: str, now: str, edits: Sequence[Edit], file: str) -> None:
    """Edits of other things than somebody else's fit together; edits of the same do not.

    Raises:
        ChangedMeanwhileError: a key that is to be set has got another value since it was read.
    """
    old, new = (tomllib.loads(text, parse_float=str) for text in (seen, now))
    for edit in edits:
        if edit.add:
            continue
        was, is_now = _value(old, edit, file), _value(new, edit, file)
        if was != is_now:
            stands = "gone" if is_now is None else f"{is_now}"
            raise ChangedMeanwhileError(
                f'{file}: `{edit.key}` of "{edit.id or "the episode"}" was changed meanwhile and '
                f"is {stands} now; nothing was written. Look at it again, then say so once more"
            )


def _value(data: dict[str, Any], edit: Edit, file: str) -> object:
    try:
        table: Any = data
        for part in _path_to(data, edit, file):
            table = table[part]
    except EditError:
        return None
    return table.get(edit.key)


def edited(text: str, edits: Iterable[Edit], *, file: str) -> str:
    """The text with the edits made.

    Raises:
        EditError: no such table, or one that is written in a way this cannot edit.
    """
    for edit in edits:
        text = _edited_once(text, edit, file)
    return text


def _edited_once(text: str, edit: Edit, file: str) -> str:
    try:
        data = tomllib.loads(text, parse_float=str)
        tables = tables_of(text)
    except ValueError as error:
        raise EditError(f"{file} cannot be read: {error}") from None
    path = _path_to(data, edit, file)
    place = find(tables, path)
    if place is None or (isinstance(place, Value) and place.entries is None):
        raise EditError(f'{file}: "{edit.id}" is written in a way that cannot be edited here')
    splices = _splices(text, place, edit, file)
    after = _spliced(text, splices)
    if not _differs_only_by(data, after, path, edit):
        raise EditError(
            f'{file}: "{edit.key}" of "{edit.id}" cannot be changed without touching more than '
            "it; edit the file by hand"
        )
    return after


Splice = tuple[int, int, str]
"""Replace the text from one offset to another by this."""


def _splices(text: str, place: Table | Value, edit: Edit, file: str) -> list[Splice]:
    entries = place.entries or []
    index, entry = next(
        ((i, entry) for i, entry in enumerate(entries) if entry.key == (edit.key,)), (-1, None)
    )
    if entry is None:
        if edit.value is None:
            return []
        value = _written([edit.value] if edit.add else edit.value)
        return [_new_entry(text, place, f"{edit.key} = {value}")]
    if edit.value is None:
        return [_removal(text, place, index)]
    if edit.add:
        if entry.value.items is None:
            raise EditError(f'{file}: "{edit.key}" of "{edit.id}" is not a list')
        return _addition(text, entry.value, _written(edit.value))
    return [(entry.value.start, entry.value.end, _written(edit.value))]


def _new_entry(text: str, place: Table | Value, line: str) -> Splice:
    entries = place.entries or []
    if isinstance(place, Value):
        if not entries:
            return (place.start, place.end, "{ " + line + " }")
        end = entries[-1].value.end
        return (end, end, f", {line}")
    newline = _newline(text)
    if entries:
        indent = _indent(text, entries[-1].start)
        at = _line_end(text, entries[-1].value.end)
    elif place.path:
        indent = _indent(text, place.start)
        at = _line_end(text, place.header_end)
    else:
        return (0, 0, line + newline)
    return (at, at, newline + indent + line)


def _removal(text: str, place: Table | Value, index: int) -> Splice:
    entries = place.entries or []
    entry = entries[index]
    if isinstance(place, Value):
        if index:
            return (entries[index - 1].value.end, entry.value.end, "")
        return (entry.start, entries[1].start if len(entries) > 1 else entry.value.end, "")
    end = _line_end(text, entry.value.end)
    comment = text[entry.value.end : end].lstrip()
    if comment.strip():
        # The comment was the user's, and may say more than the value did.
        return (entry.start, end, comment)
    start = entry.start - len(_indent(text, entry.start))
    after = end + (2 if text.startswith("\r\n", end) else 1)
    return (start, min(after, len(text)), "")


def _addition(text: str, array: Value, value: str) -> list[Splice]:
    items = array.items or []
    if not items:
        return [(array.start, array.end, f"[{value}]")]
    last = items[-1]
    if "\n" not in text[array.start : last.start] or _line_end(text, last.end) >= array.end:
        return [(last.end, last.end, f", {value}")]
    # One item a line: the new one gets a line of its own, behind the last one's comment.
    end = _line_end(text, last.end)
    line = _newline(text) + _indent(text, last.start) + value
    behind = text[last.end : end].lstrip()
    if behind.startswith(","):
        return [(end, end, line + ",")]
    return [(last.end, end, "," + text[last.end : end] + line)]


def _spliced(text: str, splices: Iterable[Splice]) -> str:
    for start, end, new in sorted(splices, reverse=True):
        text = text[:start] + new + text[end:]
    return text


def _differs_only_by(data: dict[str, Any], after: str, path: TomlPath, edit: Edit) -> bool:
    """Whether the new text reads as the old one with just this edit."""
    try:
        read = tomllib.loads(after, parse_float=str)
    except ValueError:
        return False
    table: Any = data
    for part in path:
        table = table[part]
    if edit.value is None:
        table.pop(edit.key, None)
    else:
        value = tomllib.loads(f"x = {_written(edit.value)}", parse_float=str)["x"]
        table[edit.key] = [*table.get(edit.key, ()), value] if edit.add else value
    return read == data


def _path_to(data: dict[str, Any], edit: Edit, file: str) -> TomlPath:
    if edit.kind == "episode":
        return ()
    if edit.kind == "step":
        job, _, step = edit.id.partition(".")
        at = _index(data, "job", job)
        if at is not None:
            index = _index(data["job"][at], "step", step)
            if index is not None:
                return ("job", at, "step", index)
    else:
        at = _index(data, edit.kind, edit.id)
        if at is not None:
            return (edit.kind, at)
    raise EditError(f'{file} has no {edit.kind} "{edit.id}"')


def _index(table: dict[str, Any], key: str, id: str) -> int | None:
    rows = table.get(key)
    if not isinstance(rows, list):
        return None
    return next(
        (i for i, row in enumerate(rows) if isinstance(row, dict) and row.get("id") == id), None
    )


def _written(value: object) -> str:
    """A value in TOML."""
    import tomlkit

    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_written(item) for item in value) + "]"
    if isinstance(value, (str, Mapping)):
        return written(value)
    return tomlkit.item(value).as_string()


def _kind(kind: str) -> EditKind:
    known: dict[str, EditKind] = {
        "step": "step", "parcel": "parcel", "shot": "shot", "job": "job", "fallback": "fallback",
        "episode": "episode", "person": "person", "space": "space", "gear": "gear",
        "carrier": "carrier",
    }  # fmt: skip
    return known[kind]


def _in_words(edit: Edit) -> str:
    name = edit.id or "episode"
    if edit.value is None:
        return f"{name}: {edit.key} removed"
    return f"{name}: {edit.key} {'added ' if edit.add else ''}{edit.value}"


def _newline(text: str) -> str:
    at = text.find("\n")
    return "\r\n" if at > 0 and text[at - 1] == "\r" else "\n"


def _line_end(text: str, at: int) -> int:
    """Where the line of this offset ends, before its line break."""
    end = text.find("\n", at)
    if end < 0:
        return len(text)
    return end - 1 if end > at and text[end - 1] == "\r" else end


def _indent(text: str, at: int) -> str:
    """The blanks before this offset, back to the start of its line."""
    start = text.rfind("\n", 0, at) + 1
    lead = text[start:at]
    return lead if not lead.strip() else lead[: len(lead) - len(lead.lstrip())]
