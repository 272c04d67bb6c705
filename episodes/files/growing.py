"""Putting new tables into plan files that are there, and new files into a season: all or nothing.

A new table goes behind the last of its kind, in the form that the file has them: a `[[shot]]` of
its own, or one more line of `shot = [...]`. Not a character of what was there changes; what comes
out is read again and must be the old file and the new tables. The season is read with the change
before anything is written, and one undo takes all of it back.
"""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from episodes.files import journal
from episodes.files.editing import STUDIO_FILE, EditError
from episodes.files.journal import Change, FileChange
from episodes.files.plan_text import Block, block_text, section, written
from episodes.files.saving import (
    PRIVATE_FOLDER,
    locked,
    read_text,
    remove,
    save,
    write_whole,
)
from episodes.files.toml_spans import Table, Value, find, tables_of
from episodes.model.season import Season

SECTIONS = {
    "person": "people",
    "space": "places",
    "gear": "gear",
    "carrier": "carriers",
    "parcel": "what must come",
    "shot": "what is filmed",
    "job": "the work",
}


@dataclass(frozen=True, slots=True)
class NewText:
    """A file's text as it will be; None before: the file is new, after: it is to go."""

    name: str
    before: str | None
    after: str | None


def grown(text: str, blocks: Iterable[Block], *, file: str) -> str:
    """The text with the blocks put in.

    Raises:
        EditError: the file is no TOML, or writes a kind in a form that takes no more of it.
    """
    for block in blocks:
        text = _grown_once(text, block, file)
    return text


def _grown_once(text: str, block: Block, file: str) -> str:
    try:
        data = tomllib.loads(text, parse_float=str)
        tables = tables_of(text)
    except ValueError as error:
        raise EditError(f"{file} cannot be read: {error}") from None
    newline = "\r\n" if "\r\n" in text else "\n"
    there = find(tables, (block.kind,))
    if isinstance(there, Value):
        after = _one_more_line(text, there, block, newline, file)
    else:
        after = _one_more_table(text, tables, block, newline)
    if not _is_only_added(data, after, block):
        raise EditError(f'{file}: "{block.id}" cannot be put in; edit the file by hand')
    return after


def _one_more_table(text: str, tables: Sequence[Table], block: Block, newline: str) -> str:
    own = [table for table in tables if table.path[:1] == (block.kind,)]
    added = block_text(block)
    if own:
        last = own[-1]
        end = last.entries[-1].value.end if last.entries else last.header_end
        at = _line_end(text, end)
        return text[:at] + _broken("\n\n" + added.rstrip("\n"), newline) + text[at:]
    head = section(SECTIONS[block.kind]) if block.kind in SECTIONS else ""
    gap = "" if not text or text.endswith("\n\n") else "\n" if text.endswith("\n") else "\n\n"
    return text + _broken(gap + head + added, newline)


def _one_more_line(text: str, array: Value, block: Block, newline: str, file: str) -> str:
    if array.items is None:
        raise EditError(f"{file}: `{block.kind}` is not a list")
    item = written(block.entries)
    if not array.items:
        return text[: array.start] + f"[{newline}  {item},{newline}]" + text[array.end :]
    last = array.items[-1]
    close = text.rfind("]", last.end, array.end)
    start = text.rfind("\n", 0, last.start) + 1
    if start <= array.start:
        return text[: last.end] + f", {item}" + text[last.end :]
    # One item a line: behind the last line of the last item and its comment.
    indent = text[start : last.start] if not text[start : last.start].strip() else "  "
    end = min(_line_end(text, last.end), close)
    comma = "" if text[last.end : end].lstrip().startswith(",") else ","
    line = f"{newline}{indent}{item},"
    behind, tail = text[last.end : end], text[end:]
    if end == close:
        behind, tail = behind.rstrip(), newline + tail
    return text[: last.end] + comma + behind + line + tail


def _is_only_added(data: dict[str, Any], after: str, block: Block) -> bool:
    try:
        read = tomllib.loads(after, parse_float=str)
    except ValueError:
        return False
    alone = tomllib.loads(block_text(block), parse_float=str)[block.kind]
    return read == {**data, block.kind: [*data.get(block.kind, ()), *alone]}


def trial(folder: Path, texts: Sequence[NewText], *, clock: int, now: int | None = None) -> Season:
    """The season as it would be read with these texts.

    Raises:
        PlanError: it could not be read; every fault.
    """
    from episodes.files.reading import read_season

    overrides = {folder / text.name: text.after for text in texts if text.after is not None}
    # A folder that is not there yet is reached through the file that will be in it.
    path = folder if folder.is_dir() else folder / STUDIO_FILE
    return read_season(path, clock=clock, now=now, overrides=overrides)


def write(
    folder: Path, texts: Sequence[NewText], said: str, *, clock: int, now: int | None = None
) -> Change:
    """Write the texts as one change, whole or not at all.

    Args:
        said: the change in words, for the journal.

    Raises:
        PlanError: the season could not be read with them; nothing was written.
        StaleFileError, LockedError: in words why nothing was written.
        OSError: a file cannot be written; what was written before it is taken back.
    """
    trial(folder, texts, clock=clock, now=now)
    made = [each for each in (folder, *folder.parents) if not each.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    with locked(folder):
        written_now: list[NewText] = []
        try:
            # What goes, goes last: a crash leaves too much, not too little.
            for text in sorted(texts, key=lambda text: text.after is None):
                path = folder / text.name
                path.parent.mkdir(exist_ok=True)
                if text.after is None:
                    remove(path, read=text.before)
                else:
                    save(path, text.after, read=text.before)
                written_now.append(text)
        except BaseException:
            for text in written_now:
                _take_back(folder / text.name, text.before)
            if made:
                _remove_empty(folder)
            raise
        # A studio stays when its first episode is undone: a folder without one is no season.
        kept = [text for text in texts if text.name != STUDIO_FILE or text.before is not None]
        return journal.record(
            folder, said, [FileChange(text.name, text.before, text.after) for text in kept]
        )


def current(folder: Path, name: str) -> str | None:
    """The text of a file of the season; None where it is not there."""
    path = folder / name
    return read_text(path) if path.is_file() else None


def _take_back(path: Path, before: str | None) -> None:
    with suppress(OSError):
        if before is None:
            path.unlink()
        else:
            write_whole(path, before)


def _remove_empty(folder: Path) -> None:
    with suppress(OSError):
        (folder / PRIVATE_FOLDER / "lock").unlink(missing_ok=True)
        (folder / PRIVATE_FOLDER).rmdir()
        folder.rmdir()


def _broken(text: str, newline: str) -> str:
    return text.replace("\n", newline)


def _line_end(text: str, at: int) -> int:
    """Where the line of this offset ends, before its line break."""
    end = text.find("\n", at)
    if end < 0:
        return len(text)
    return end - 1 if end > at and text[end - 1] == "\r" else end


def ids_of(text: str, kinds: Iterable[str]) -> set[str]:
    """The ids that a file gives to tables of these kinds; errors of the text are the reader's."""
    try:
        data: Mapping[str, Any] = tomllib.loads(text, parse_float=str)
    except ValueError:
        return set()
    found: set[str] = set()
    for kind in kinds:
        rows = data.get(kind)
        if isinstance(rows, list):
            found |= {str(row["id"]) for row in rows if isinstance(row, dict) and "id" in row}
    return found
