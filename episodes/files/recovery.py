"""A change that could not be written: kept aside until it can be.

The disk may be full, the folder read-only or gone. Then the change lies in the user's own state
folder, one JSON file a season, and the next start says so. It is written over nothing: only a file
that is still as the change found it takes it.
"""

import json
import tomllib
from collections.abc import Sequence
from contextlib import suppress
from difflib import SequenceMatcher
from hashlib import sha256
from pathlib import Path
from typing import Any

from episodes.files import journal
from episodes.files.journal import FileChange, stays_inside
from episodes.files.saving import StaleFileError, locked, read_text, save, write_whole
from episodes.problems import EpisodesError


class NotSavedError(EpisodesError):
    """A change could not be written; the text says why and where it is kept, if it is."""


def not_saved(folder: Path, said: str, files: Sequence[FileChange], why: OSError) -> NotSavedError:
    """Keep a change aside and say so.

    Args:
        files: what should have been written, all kept changes of earlier included.
    """
    reason = why.strerror or str(why)
    names = ", ".join(part.file for part in files)
    try:
        place = _keep(folder, said, files)
    except OSError:
        return NotSavedError(
            f"{names} could not be written ({reason}), and the change could not be kept aside "
            f"either: {said}"
        )
    return NotSavedError(
        f"{names} could not be written ({reason}). The change is kept in {place}; when that is "
        "mended, `episodes recover` writes it"
    )


def waiting(folder: Path) -> tuple[str, ...]:
    """What each change that is kept aside did, in words, the oldest first."""
    return tuple(said for said, _ in _read(folder))


def recover(folder: Path, *, clock: int) -> tuple[str, ...]:
    """Write what was kept aside, the oldest first, each as a change that can be undone.

    A file that was edited since takes the change where it touches other lines.

    Returns:
        What was written, in words.

    Raises:
        NothingKeptError: nothing is kept aside for this season.
        StaleFileError: the same lines were edited since; what came before it is written.
        OSError: it still cannot be written; the change stays kept.
    """
    written: list[str] = []
    kept = _read(folder)
    if not kept:
        raise NothingKeptError("nothing is kept aside for this season")
    while kept:
        said, files = kept[0]
        with locked(folder):
            files = tuple(_fitted(folder, part) for part in files)
            for part in files:
                if part.after is not None:
                    save(folder / part.file, part.after, read=part.before)
            journal.record(folder, said, files, at=clock)
        written.append(said)
        kept = kept[1:]
        _write(folder, kept)
    return tuple(written)


def forget(folder: Path) -> None:
    """Throw away what was kept aside."""
    _write(folder, [])


def _fitted(folder: Path, part: FileChange) -> FileChange:
    """A change as it goes into the file that is there now.

    Raises:
        StaleFileError: it touches lines that were edited since.
    """
    path = folder / part.file
    now = read_text(path) if path.is_file() else None
    if now == part.before:
        return part
    if now is not None and part.before is not None and part.after is not None:
        merged = merged_lines(part.before, part.after, now)
        if merged is not None and _reads(merged):
            return FileChange(part.file, now, merged)
    raise StaleFileError(
        f"{part.file} was edited since in the same place: the change kept in {_place(folder)} does "
        "not fit it any more. Make it again by hand, then `episodes recover --forget`"
    )


def merged_lines(before: str, after: str, now: str) -> str | None:
    """The change from `before` to `after` made in `now`; None where both touch the same lines.

    Lines that were changed must stand in `now` as they stood in `before`, and so must the lines
    around an insertion.
    """
    old, new, other = (text.splitlines(keepends=True) for text in (before, after, now))
    same = [
        (block.a, block.b, block.size)
        for block in SequenceMatcher(None, old, other, autojunk=False).get_matching_blocks()
    ]
    result, at = [], 0
    for tag, start, end, first, last in SequenceMatcher(
        None, old, new, autojunk=False
    ).get_opcodes():
        if tag == "equal":
            continue
        shift = next(
            (
                b - a
                for a, b, size in same
                if a <= max(start - 1, 0) and min(end + 1, len(old)) <= a + size
            ),
            None,
        )
        if shift is None or start + shift < at:
            return None
        result += other[at : start + shift] + new[first:last]
        at = end + shift
    return "".join(result + other[at:])


def _reads(text: str) -> bool:
    try:
        tomllib.loads(text)
    except ValueError:
        return False
    return True


class NothingKeptError(EpisodesError):
    """No change is kept aside."""


Kept = list[tuple[str, tuple[FileChange, ...]]]


def _keep(folder: Path, said: str, files: Sequence[FileChange]) -> Path:
    place = _place(folder)
    place.parent.mkdir(parents=True, exist_ok=True)
    _write(folder, [*_read(folder), (said, tuple(files))])
    return place


def _place(folder: Path) -> Path:
    from platformdirs import user_state_path

    name = sha256(str(folder.absolute()).encode(errors="surrogateescape")).hexdigest()[:24]
    return user_state_path("episodes", appauthor=False) / "kept" / f"{name}.json"


def _write(folder: Path, kept: Kept) -> None:
    place = _place(folder)
    if not kept:
        with suppress(FileNotFoundError):
            place.unlink()
        return
    records = [
        {
            "said": said,
            "files": [
                {"file": part.file, "before": part.before, "after": part.after} for part in files
            ],
        }
        for said, files in kept
    ]
    text = json.dumps({"season": str(folder.absolute()), "changes": records}, indent=1)
    write_whole(place, text + "\n")


def _read(folder: Path) -> Kept:
    try:
        data = json.loads(_place(folder).read_text(encoding="utf-8"))
        return [(str(change["said"]), _files(change["files"])) for change in data["changes"]]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return []


def _files(parts: list[dict[str, Any]]) -> tuple[FileChange, ...]:
    files = []
    for part in parts:
        before, after = part["before"], part["after"]
        if not stays_inside(part["file"]) or not isinstance(after, str):
            raise ValueError(part["file"])
        if not isinstance(before, str | None):
            raise TypeError(before)
        files.append(FileChange(part["file"], before, after))
    return tuple(files)
