"""Changes of a plan as a person makes them: add, change, rename, move a step, parcel, shot or job.

A change is a small record (`Put`, `AddTable`, `AddStep`, `MoveStep`, `Rename`, `Remove`) made on
the texts of a season's files as they stand at that moment, so what somebody else changed
meanwhile in another place stays. Names that would come to mean another thing, or nothing, are
spelled anew in every file. What comes out is read as a whole season before it is written, and is
one entry of the journal.
"""

import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from episodes.files.editing import STUDIO_FILE, Edit, EditError, EditKind, edited
from episodes.files.growing import NewText, grown, write
from episodes.files.journal import Change
from episodes.files.plan_text import Block
from episodes.files.saving import texts_of
from episodes.files.writing_names import (
    Mention,
    Register,
    episode_of,
    parsed,
    path_of,
    renamed,
)
from episodes.files.writing_proof import require_moved, require_one_more
from episodes.files.writing_tables import insert, put, take
from episodes.model.episode import Ref

Kind = Literal["step", "parcel", "shot", "job", "fallback"]
"""What can be added, renamed, removed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Put:
    """A key of a thing gets a value, None removes it. An episode's `id` is ""."""

    kind: EditKind
    id: str
    key: str
    value: object


@dataclass(frozen=True, slots=True, kw_only=True)
class AddLink:
    """One entry more at the end of a list such as `after`; the list is made where there is none."""

    kind: EditKind
    id: str
    key: str
    value: object


@dataclass(frozen=True, slots=True, kw_only=True)
class AddTable:
    """A parcel, shot, job or way out more, behind the last of its kind."""

    kind: Kind
    entries: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class AddStep:
    """A step more in a job, behind its step `after` (own id); "" first, None last."""

    job: str
    entries: Mapping[str, Any]
    after: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveStep:
    """Step JOB.STEP into `job`, behind its step `after` (own id); "" first, None last."""

    id: str
    job: str
    after: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rename:
    """Another id; a step's new one is its own, without its job's."""

    kind: Kind
    id: str
    new: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Remove:
    """A thing goes, with what can only go with it; what waited for it is bridged."""

    kind: Kind
    id: str


Op = Put | AddLink | AddTable | AddStep | MoveStep | Rename | Remove
Texts = dict[str, str]
"""Plan files by their name from the season's folder on."""


def changed(texts: Mapping[str, str], file: str, ops: Iterable[Op]) -> Texts:
    """The season's files with the changes made to the episode in `file`.

    Args:
        texts: every plan file of the season: names in all of them are kept true.

    Raises:
        EditError: what is to be changed is not there, or written in a way that cannot be edited.
        PlanError: a file is no TOML.
    """
    result = dict(texts)
    if file not in result:
        raise EditError(f"{file} is not there any more")
    parsed(file, result[file])
    for op in ops:
        result = _changed_once(result, file, op)
    return result


def save(
    folder: Path,
    file: str,
    ops: Sequence[Op],
    said: str,
    *,
    clock: int,
    now: int | None = None,
) -> Change:
    """Make changes as one, on the files as they are now.

    Args:
        said: the change in words, for the journal.

    Raises:
        EditError: see `changed`; nothing was written.
        PlanError: the season could not be read with them; nothing was written.
        StaleFileError, LockedError: in words why nothing was written.
        OSError: a file cannot be read or written.
    """
    texts = new_texts(texts_of(folder), file, ops)
    if not texts:
        return Change(said=said, files=())
    return write(folder, texts, said, clock=clock, now=now)


def new_texts(texts: Mapping[str, str], file: str, ops: Iterable[Op]) -> list[NewText]:
    """The files that changes make other ones; arguments and errors as `changed`."""
    after = changed(texts, file, ops)
    return [NewText(name, texts[name], text) for name, text in after.items() if text != texts[name]]


def _changed_once(texts: Texts, file: str, op: Op) -> Texts:
    match op:
        case Put():
            edit = Edit(kind=op.kind, id=op.id, key=op.key, value=op.value)
            return {**texts, file: edited(texts[file], [edit], file=file)}
        case AddLink():
            edit = Edit(kind=op.kind, id=op.id, key=op.key, value=op.value, add=True)
            return {**texts, file: edited(texts[file], [edit], file=file)}
        case Remove():
            from episodes.files.writing_removal import without

            return without(texts, file, op.kind, op.id)
        case AddTable():
            after = grown(texts[file], [Block(kind=op.kind, entries=dict(op.entries))], file=file)
            return _meanings_kept(texts, file, after, _as_it_was)
        case AddStep():
            after = _step_added(texts[file], file, op)
            return _meanings_kept(texts, file, after, _as_it_was)
        case MoveStep():
            return _step_moved(texts, file, op)
        case Rename():
            return _renamed(texts, file, op)


# ---------------------------------------------------------------------------- steps


def _step_added(text: str, file: str, op: AddStep) -> str:
    array = (*path_of(text, "job", op.job), "step")
    ids = _step_ids(text, op.job)
    after = insert(text, array, _position(ids, op.after, op.job), op.entries, file=file)
    require_one_more(text, after, f"step {op.job}.{op.entries.get('id')}", file)
    return after


def _step_ids(text: str, job: str) -> list[str]:
    data = tomllib.loads(text, parse_float=str)
    table = next(each for each in data["job"] if each.get("id") == job)
    return [str(step.get("id", "")) for step in table.get("step", ())]


def _position(ids: Sequence[str], after: str | None, job: str) -> int:
    """The number of a new step behind step `after`."""
    if after is None:
        return len(ids)
    if not after:
        return 0
    if after not in ids:
        raise EditError(f'"{job}" has no step "{after}" any more')
    return ids.index(after) + 1


def _step_moved(texts: Texts, file: str, op: MoveStep) -> Texts:
    text = texts[file]
    job, _, own = op.id.partition(".")
    array = path_of(text, "step", op.id)
    there = (*path_of(text, "job", op.job), "step")
    index = array[-1]
    assert isinstance(index, int)
    ids = _step_ids(text, op.job)
    if op.job == job:
        ids.remove(own)
    elif len(_step_ids(text, job)) == 1:
        raise EditError(f'"{op.id}" is the only step of its job; move the others, or the job')
    position = _position(ids, op.after, op.job)
    if op.job == job and position == index:
        return texts
    rest, piece = take(text, array[:-1], index, file=file)
    after = put(rest, there, position, piece, file=file)
    if op.job != job and own in ids:
        # The reader says so, with the line.
        return {**texts, file: after}
    require_moved(text, after, f"step {op.id}", f"step {op.job}.{own}", file)
    if op.job == job:
        return _meanings_kept(texts, file, after, _as_it_was)
    return _meanings_kept(texts, file, after, _other_id("step", op.id, f"{op.job}.{own}"))


# ---------------------------------------------------------------------------- names

Remap = Callable[[str, str], str]
"""From what a thing is and its id to its new id."""


def _as_it_was(kind: str, id: str) -> str:
    return id


def _other_id(kind: Kind, id: str, new: str) -> Remap:
    def remap(of: str, name: str) -> str:
        if of == kind and name == id:
            return new
        if kind == "job" and of == "step" and name.startswith(f"{id}."):
            return new + name[len(id) :]
        return name

    return remap


def _renamed(texts: Texts, file: str, op: Rename) -> Texts:
    job = op.id.partition(".")[0]
    new = f"{job}.{op.new}" if op.kind == "step" else op.new
    edit = Edit(kind=op.kind, id=op.id, key="id", value=op.new)
    after = edited(texts[file], [edit], file=file)
    if op.kind == "fallback" or Register(texts).bears(file, new):
        # Nothing names a way out; an id that is borne is for the reader to say, with the line.
        return {**texts, file: after}
    return _meanings_kept(texts, file, after, _other_id(op.kind, op.id, new))


def _meanings_kept(texts: Texts, file: str, after: str, remap: Remap) -> Texts:
    """The texts with `after` in the place of `file`, and every name meaning what it meant."""
    before = Register(texts)
    episode = episode_of(file)
    meant: dict[tuple[str, str, str, str, Any], Ref] = {}
    for mention in before.mentions():
        ref = before.meaning(mention)
        if ref is None:
            continue
        if ref.episode == episode:
            ref = replace(ref, id=remap(ref.kind, ref.id))
        own = remap(mention.kind, mention.id) if mention.file == file else mention.id
        meant[mention.file, mention.kind, own, mention.key, mention.rest] = ref
    result = {**texts, file: after}
    register = Register(result, like=before)
    wrong: list[tuple[Mention, str]] = []
    for mention in register.mentions():
        ref = meant.get(mention.at)
        if ref is not None and register.meaning(mention) != ref:
            wrong.append((mention, register.spelling(mention, ref)))
    for mention, name in wrong:
        result[mention.file] = renamed(result[mention.file], mention, name)
    return result


def names_in(texts: Mapping[str, str], file: str, kind: Kind, id: str) -> tuple[Mention, ...]:
    """Every place in the season that names a thing, or a step of a job."""
    register = Register(texts)
    episode = episode_of(file)
    found = []
    for mention in register.mentions():
        ref = register.meaning(mention)
        if ref is None or ref.episode != episode:
            continue
        if ref.id == id or (kind == "job" and ref.id.startswith(f"{id}.")):
            found.append(mention)
    return tuple(found)


def table_of(text: str, kind: str, id: str) -> dict[str, Any]:
    """What a plan file says of a thing, dates and numbers as TOML reads them; a job's steps too.

    Raises:
        EditError: there is no such thing, or the text is no TOML.
    """
    try:
        table: Any = tomllib.loads(text)
    except ValueError as error:
        raise EditError(f"the file cannot be read: {error}") from None
    for part in path_of(text, kind, id):
        table = table[part]
    assert isinstance(table, dict)
    return table


__all__ = [
    "STUDIO_FILE", "AddLink", "AddStep", "AddTable", "Kind", "MoveStep", "Op", "Put", "Remove",
    "Rename", "changed", "names_in", "new_texts", "save", "table_of",
]  # fmt: skip
