"""Every place in a season's plan files that names something, and what it means there.

Names resolve by the reader's own search (`files.names`), so a change that would make one of them
mean another thing, or nothing, is seen before it is written, and the name can be spelled so that
it still means what it did: `cut`, `bench.cut`, `2027-05-laundry:bench.cut`.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from episodes.files.editing import STUDIO_FILE, Edit, EditError, edited
from episodes.files.faults import Faults
from episodes.files.names import EpisodeNames, Names, collect, tables
from episodes.files.plan_text import written
from episodes.files.source import Source, load
from episodes.files.toml_spans import Entry, Path, Value, find, tables_of
from episodes.model.episode import Ref
from episodes.problems import Place, PlanError

_KEYED = ("parcel", "hands", "coat", "where", "who")
"""Keys of a way out whose tables are keyed by names."""

Texts = Mapping[str, str]
"""Plan files by their name from the season's folder on."""


@dataclass(frozen=True, slots=True)
class Mention:
    """One place that names something.

    Attributes:
        file: the plan file, by name.
        kind, id: what the naming thing is and its id; a step's is JOB.STEP.
        key: the key of it that names; `rest` the way on from there.
        name: as it is written.
        job: the job whose steps may be named by their own id alone; "" for none.
        is_key: the name is the key of a table.
    """

    file: str
    kind: str
    id: str
    key: str
    rest: Path
    name: str
    job: str
    is_key: bool = False

    @property
    def at(self) -> tuple[str, str, str, str, Path]:
        """Where it is, by ids: stays the same while other things come and go."""
        return (self.file, self.kind, self.id, self.key, self.rest)


def episode_of(file: str) -> str:
    """The id of the episode or idea in a file: its stem."""
    return FilePath(file).stem


def mentions(file: str, data: Mapping[str, Any]) -> Iterator[Mention]:
    """Every name in one plan file, in its order."""
    for _, job in tables(data, "job"):
        id = str(job.get("id", ""))
        yield from _links(file, "job", id, "after", job, "")
        for _, step in tables(job, "step"):
            full = f"{id}.{step.get('id', '')}"
            for key in ("after", "also_after"):
                yield from _links(file, "step", full, key, step, id)
            yield from _listed(file, "step", full, "before", step, id)
    for _, parcel in tables(data, "parcel"):
        id = str(parcel.get("id", ""))
        yield from _links(file, "parcel", id, "after", parcel, "")
        yield from _single(file, "parcel", id, "replaces", parcel)
    for _, shot in tables(data, "shot"):
        id = str(shot.get("id", ""))
        yield from _links(file, "shot", id, "after", shot, "")
        yield from _listed(file, "shot", id, "before", shot, "")
        for key in ("of", "covers"):
            yield from _single(file, "shot", id, key, shot)
    for _, way in tables(data, "fallback"):
        id = str(way.get("id", ""))
        for key in ("drop", "use"):
            yield from _listed(file, "fallback", id, key, way, "")
        for key in _KEYED:
            yield from _keys(file, id, key, way)


def _links(
    file: str, kind: str, id: str, key: str, table: Mapping[str, Any], job: str
) -> Iterator[Mention]:
    entries = table.get(key)
    for index, entry in enumerate(entries if isinstance(entries, list) else ()):
        if isinstance(entry, str):
            yield Mention(file, kind, id, key, (index,), entry, job)
        elif isinstance(entry, dict) and isinstance(entry.get("step"), str):
            yield Mention(file, kind, id, key, (index, "step"), entry["step"], job)


def _listed(
    file: str, kind: str, id: str, key: str, table: Mapping[str, Any], job: str
) -> Iterator[Mention]:
    names = table.get(key)
    for index, name in enumerate(names if isinstance(names, list) else ()):
        if isinstance(name, str):
            yield Mention(file, kind, id, key, (index,), name, job)


def _single(file: str, kind: str, id: str, key: str, table: Mapping[str, Any]) -> Iterator[Mention]:
    if isinstance(name := table.get(key), str):
        yield Mention(file, kind, id, key, (), name, "")


def _keys(file: str, id: str, key: str, table: Mapping[str, Any]) -> Iterator[Mention]:
    """`hands = { "bench.cut" = .. }`, or the nested `hands = { bench = { cut = .. } }`."""
    inner = table.get(key)
    for name, value in inner.items() if isinstance(inner, dict) else ():
        if key != "parcel" and isinstance(value, dict):
            for step in value:
                yield Mention(file, "fallback", id, key, (name, step), f"{name}.{step}", "", True)
        else:
            yield Mention(file, "fallback", id, key, (name,), name, "", True)


# ---------------------------------------------------------------------------- what they mean


class Register:
    """The names of a season's files as they would be read, and what each mention means.

    Attributes:
        texts: the files.
        data: what each says, but for the studio's.
    """

    def __init__(self, texts: Texts, *, like: "Register | None" = None) -> None:
        """Reads the files; with `like`, only those that are not as they are there.

        Raises:
            PlanError: a file is no TOML.
        """
        self.texts = dict(texts)
        self.data: dict[str, dict[str, Any]] = {}
        self._names = Names()
        for file, text in texts.items():
            if file == STUDIO_FILE:
                continue
            if like is not None and like.texts.get(file) == text:
                self.data[file] = like.data[file]
                self._names.episodes[episode_of(file)] = like.names(file)
                continue
            source = parsed(file, text)
            self.data[file] = source.data
            self._names.episodes[episode_of(file)] = collect(source, episode_of(file), Faults())

    def names(self, file: str) -> EpisodeNames:
        """The names that a file's things bear."""
        return self._names.episodes[episode_of(file)]

    def bears(self, file: str, name: str) -> bool:
        """Whether something of that file bears a name, ways out included."""
        names = self.names(file)
        return name in names.known or name in names.fallbacks

    def mentions(self) -> Iterator[Mention]:
        for file, data in self.data.items():
            yield from mentions(file, data)

    def meaning(self, mention: Mention, name: str | None = None) -> Ref | None:
        """What it names, None where that is nothing; with `name`, what that would mean there."""
        return self._names.find(
            mention.name if name is None else name,
            episode=episode_of(mention.file),
            job=mention.job or None,
            place=Place(mention.file),
            saying="",
            faults=Faults(),
        )

    def spelling(self, mention: Mention, ref: Ref) -> str:
        """The shortest name that means `ref` at the place of a mention.

        Raises:
            EditError: no name does.
        """
        names = [f"{ref.episode}:{ref.id}"]
        if ref.episode == episode_of(mention.file):
            names.insert(0, ref.id)
            job, dot, step = ref.id.partition(".")
            if dot and job == mention.job:
                names.insert(0, step)
        for name in names:
            if self.meaning(mention, name) == ref:
                return name
        raise EditError(f"{mention.file}: nothing can be written there that means {ref.qualified}")


def parsed(file: str, text: str) -> Source:
    """A plan file without its lines: those take most of the time to find, and names need none.

    Raises:
        PlanError: it is no TOML.
    """
    try:
        return Source(file, FilePath(file), tomllib.loads(text, parse_float=str), {})
    except (ValueError, RecursionError):
        faults = Faults()
        load(FilePath(file), file, text, faults)
        raise PlanError(faults.sorted()) from None


# ---------------------------------------------------------------------------- writing them


def renamed(text: str, mention: Mention, name: str) -> str:
    """The text of the mention's file with another name there.

    Raises:
        EditError: it is written in a form in which the new name has no place.
    """
    path = (*path_of(text, mention.kind, mention.id), mention.key, *mention.rest)
    if mention.is_key:
        return _key_renamed(text, mention, path, name)
    place = find(tables_of(text), path)
    if not isinstance(place, Value):
        raise EditError(f'{mention.file}: `{mention.key}` of "{mention.id}" cannot be edited here')
    return text[: place.start] + written(name) + text[place.end :]


def _key_renamed(text: str, mention: Mention, path: Path, name: str) -> str:
    depth = len(mention.rest)
    entry = _entry_at(text, path, depth)
    if entry is None:
        raise EditError(
            f'{mention.file}: `{mention.key}` of "{mention.id}" names "{mention.name}" in a form '
            "that cannot be edited here; write it as a quoted name"
        )
    # The last parts of the key are the name; what stands before them leads to the table.
    kept = entry.key[: len(entry.key) - depth]
    key = ".".join([*(written(part) for part in kept), written(name)])
    end = entry.value.start
    between = text[entry.start : end]
    blank = between[len(between.rstrip(" =\t")) :]
    return text[: entry.start] + key + blank + text[end:]


def _entry_at(text: str, path: Path, parts: int) -> Entry | None:
    """The entry whose key ends a path, where the last `parts` of it all stand in that key."""
    for table in tables_of(text):
        if table.path == path[: len(table.path)]:
            found = _inside(table.entries, path[len(table.path) :], parts)
            if found is not None:
                return found
    return None


def _inside(entries: list[Entry], path: Path, parts: int) -> Entry | None:
    for entry in entries:
        if entry.key == path and len(entry.key) >= parts:
            return entry
        if entry.key == path[: len(entry.key)]:
            value, rest = entry.value, path[len(entry.key) :]
            while rest and value.items is not None and isinstance(rest[0], int):
                value, rest = value.items[rest[0]], rest[1:]
            if value.entries is not None and rest:
                found = _inside(value.entries, rest, parts)
                if found is not None:
                    return found
    return None


def path_of(text: str, kind: str, id: str) -> Path:
    """The way to a thing of a plan file.

    Raises:
        EditError: the file has no such thing.
    """
    data = tomllib.loads(text, parse_float=str)
    if kind == "episode":
        return ()
    if kind == "step":
        job, _, step = id.partition(".")
        for at, table in tables(data, "job"):
            if table.get("id") == job:
                for index, inner in tables(table, "step"):
                    if inner.get("id") == step:
                        return ("job", at, "step", index)
    else:
        for at, table in tables(data, kind):
            if table.get("id") == id:
                return (kind, at)
    raise EditError(f'there is no {kind} "{id}" in the file any more')


def without_key(text: str, mention: Mention) -> str:
    """The text without the entry of a table that is keyed by a name.

    Raises:
        EditError: it is written in a form in which it cannot be taken out alone.
    """
    path = (*path_of(text, mention.kind, mention.id), mention.key, *mention.rest)
    refusal = EditError(
        f'{mention.file}: "{mention.name}" in `{mention.key}` of "{mention.id}" cannot be taken '
        "out here; edit the file by hand"
    )
    entry = _entry_at(text, path, len(mention.rest))
    holder = find(tables_of(text), path[: -len(mention.rest)])
    if entry is None or holder is None or holder.entries is None:
        raise refusal
    if not isinstance(holder, Value):
        start, end = text.rfind("\n", 0, entry.start) + 1, text.find("\n", entry.value.end)
        return text[:start] + text[end + 1 if end >= 0 else len(text) :]
    if len(holder.entries) == 1:
        edit = Edit(kind="fallback", id=mention.id, key=mention.key, value=None)
        return edited(text, [edit], file=mention.file)
    index = next((i for i, each in enumerate(holder.entries) if each.start == entry.start), None)
    if index is None:
        raise refusal
    if index:
        return text[: holder.entries[index - 1].value.end] + text[entry.value.end :]
    return text[: entry.start] + text[holder.entries[1].start :]
