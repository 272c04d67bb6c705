"""The journal of changes: what every edit replaced, so that it can be taken back.

`.episodes/journal` is plain text, one JSON object a line. A change names its files with their
text before and after; `{"undone": N}` and `{"redone": N}` say what became of change N. An undo
puts the text from before back only while the file is still as the change left it: what was
edited since by hand is never thrown away. The oldest changes are forgotten beyond `MOST_CHANGES`
or `MOST_BYTES`.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from os import SEEK_END
from pathlib import Path
from typing import Any, BinaryIO

from episodes.files.saving import (
    PRIVATE_FOLDER,
    StaleFileError,
    locked,
    read_text,
    save,
    write_whole,
)
from episodes.problems import EpisodesError

MOST_CHANGES = 200
MOST_BYTES = 5_000_000


class NothingToUndoError(EpisodesError):
    """The journal holds no change that could be taken back, or done again."""


@dataclass(frozen=True, slots=True)
class FileChange:
    """One file's text before and after; None before: the change made it, after: it removed it."""

    file: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change as the user thinks of it: `said` is what it did, in words, `at` when (UTC
    minute; None in journals that did not note it)."""

    said: str
    files: tuple[FileChange, ...]
    number: int = 0
    at: int | None = None


def undo(folder: Path) -> str:
    """Take the last change back.

    Returns:
        What was undone, in words.

    Raises:
        NothingToUndoError: no change is left to take back.
        StaleFileError: a file is no longer as the change left it; nothing was written.
        OSError: a file cannot be written.
    """
    with locked(folder):
        done, _ = _read(folder)
        if not done:
            raise NothingToUndoError("there is nothing to undo here")
        change = done[-1]
        _swap(folder, change, back=True)
        _note(folder, {"undone": change.number})
    return change.said


def redo(folder: Path) -> str:
    """Do again what was undone last; errors as `undo`."""
    with locked(folder):
        _, undone = _read(folder)
        if not undone:
            raise NothingToUndoError("there is nothing to do again here")
        change = undone[-1]
        _swap(folder, change, back=False)
        _note(folder, {"redone": change.number})
    return change.said


def record(
    folder: Path, said: str, files: Sequence[FileChange], *, at: int | None = None
) -> Change:
    """Append a change that has been written. The caller holds the lock.

    Args:
        at: when, UTC minute.
    """
    done, _ = _read(folder)
    number = _last_number(folder) + 1
    change = Change(said=said, files=tuple(files), number=number, at=at)
    path = _path(folder)
    line = _line(_as_record(change))
    size = path.stat().st_size if path.exists() else 0
    if len(done) >= MOST_CHANGES or size + len(line) > MOST_BYTES:
        _shorten(folder, [*done, change])
    else:
        _append(path, line)
    return change


def changes(folder: Path) -> tuple[Change, ...]:
    """What could be undone, the oldest first."""
    return tuple(_read(folder)[0])


def all_changes(folder: Path) -> tuple[Change, ...]:
    """Every change the journal holds, those taken back too, the oldest first."""
    found = (_from_record(record) for record in _lines(folder))
    return tuple(change for change in found if change is not None)


def _swap(folder: Path, change: Change, *, back: bool) -> None:
    """Write the other side of every file of a change, all or none as far as can be seen before."""
    moves = []
    for part in change.files:
        path = folder / part.file
        here, there = (part.after, part.before) if back else (part.before, part.after)
        now = read_text(path) if path.is_file() else None
        if now != here:
            deed = "undone" if back else "done again"
            raise StaleFileError(
                f'{part.file} was edited since: "{change.said}" cannot be {deed} without losing '
                "that; nothing was written"
            )
        moves.append((path, now, there))
    # What comes is written before anything goes: a crash leaves too much, not too little.
    for path, now, there in sorted(moves, key=lambda move: move[2] is None):
        if there is None:
            path.unlink()
        else:
            path.parent.mkdir(exist_ok=True)
            save(path, there, read=now)


def _path(folder: Path) -> Path:
    return folder / PRIVATE_FOLDER / "journal"


def _lines(folder: Path) -> Iterable[dict[str, Any]]:
    """The journal's objects; a line broken by a crash in the middle of a write is skipped."""
    path = _path(folder)
    if not path.is_file():
        return
    # Only line feeds part the lines: JSON escapes those, but not the other line separators.
    for line in path.read_text(encoding="utf-8", errors="replace").split("\n"):
        try:
            record = json.loads(line)
        except ValueError:
            continue
        if isinstance(record, dict):
            yield record


def _read(folder: Path) -> tuple[list[Change], list[Change]]:
    """Changes that stand, oldest first, and changes taken back, the last one last."""
    done: list[Change] = []
    undone: list[Change] = []
    for record in _lines(folder):
        if "undone" in record:
            if done and done[-1].number == record["undone"]:
                undone.append(done.pop())
        elif "redone" in record:
            if undone and undone[-1].number == record["redone"]:
                done.append(undone.pop())
        else:
            change = _from_record(record)
            if change is not None:
                done.append(change)
                undone.clear()
    return done, undone


def _last_number(folder: Path) -> int:
    return max(
        (number for record in _lines(folder) if isinstance(number := record.get("change"), int)),
        default=0,
    )


def _as_record(change: Change) -> dict[str, Any]:
    return {
        "change": change.number,
        "said": change.said,
        **({} if change.at is None else {"at": change.at}),
        "files": [
            {"file": part.file, "before": part.before, "after": part.after} for part in change.files
        ],
    }


def _from_record(record: dict[str, Any]) -> Change | None:
    """A change as it was written; None for a line that was tampered with."""
    said, number, parts = record.get("said"), record.get("change"), record.get("files")
    if not isinstance(said, str) or not isinstance(number, int) or not isinstance(parts, list):
        return None
    files: list[FileChange] = []
    for part in parts:
        if not isinstance(part, dict) or not stays_inside(part.get("file")):
            return None
        before, after = part.get("before"), part.get("after")
        if not isinstance(before, str | None) or not isinstance(after, str | None):
            return None
        if before is None and after is None:
            return None
        files.append(FileChange(part["file"], before, after))
    at = record.get("at")
    when = at if isinstance(at, int) and abs(at) < 1 << 33 else None
    return Change(said=said, files=tuple(files), number=number, at=when)


def stays_inside(file: object) -> bool:
    """A journal that came with a season from elsewhere must not reach outside its folder."""
    if not isinstance(file, str):
        return False
    path = Path(file)
    return path.suffix == ".toml" and not path.is_absolute() and ".." not in path.parts


def _line(record: dict[str, Any]) -> str:
    return json.dumps(record) + "\n"


def _note(folder: Path, record: dict[str, int]) -> None:
    _append(_path(folder), _line(record))


def _append(path: Path, line: str) -> None:
    if path.is_symlink():
        raise EpisodesError(f"{path} is a link to somewhere else; remove it, then try again")
    with path.open("ab+") as file:
        # A crash in the middle of a line must not spoil the next one too.
        if file.tell() and not _ends_with_line_feed(file):
            file.write(b"\n")
        file.write(line.encode())


def _ends_with_line_feed(file: BinaryIO) -> bool:
    file.seek(-1, SEEK_END)
    return file.read(1) == b"\n"


def _shorten(folder: Path, done: list[Change]) -> None:
    """Keep the newest changes: half of what is allowed, so that this happens seldom."""
    kept: list[str] = []
    size = 0
    for change in reversed(done):
        line = _line(_as_record(change))
        if kept and (len(kept) >= MOST_CHANGES // 2 or size + len(line) > MOST_BYTES // 2):
            break
        kept.append(line)
        size += len(line)
    write_whole(_path(folder), "".join(reversed(kept)))
