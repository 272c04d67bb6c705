"""The texts that a plan file has had, as the journal keeps them, and the way back to one.

Every change has its file's text before and after; a text that stands in two neighbouring changes
counts once. So a file that was spoiled by hand can be taken back to what it was after, or before,
any change that the journal still holds.
"""

from dataclasses import dataclass
from pathlib import Path

from episodes.files import journal
from episodes.files.journal import FileChange, stays_inside
from episodes.files.saving import locked, save


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptText:
    """A text of a file: that from before or from after a change, `at` UTC minute if noted."""

    text: str
    before: bool
    said: str
    at: int | None


def kept_texts(folder: Path, file: str) -> tuple[KeptText, ...]:
    """The texts of one file, the newest first; what it holds now is left out.

    Args:
        file: its name from the season's folder on, with or without `.toml`.

    Raises:
        ValueError: no name of a plan file of the season.
    """
    file = _name(file)
    now = _bytes_as_text(folder / file)
    found: list[KeptText] = []
    last: str | None = None
    for change in journal.all_changes(folder):
        for part in change.files:
            if part.file != file:
                continue
            if part.before is not None and part.before != last:
                found.append(_kept(part.before, change, before=True))
            if part.after is not None:
                found.append(_kept(part.after, change, before=False))
            last = part.after
    newest: dict[str, KeptText] = {}
    for text in reversed(found):
        if text.text != now:
            newest.setdefault(text.text, text)
    return tuple(newest.values())


def put_back(folder: Path, file: str, text: KeptText, *, said: str, clock: int) -> None:
    """Write a kept text in the place of what the file holds, as a change that can be undone.

    A file that is no text is put aside beside itself first, since the journal cannot hold it.

    Raises:
        StaleFileError, LockedError, OSError: nothing was written.
    """
    file = _name(file)
    path = folder / file
    with locked(folder):
        now = _bytes_as_text(path)
        if now is None and path.exists():
            path.replace(path.with_name(f"{path.name}.spoiled"))
        save(path, text.text, read=now)
        journal.record(folder, said, [FileChange(file, now, text.text)], at=clock)


def _kept(text: str, change: journal.Change, *, before: bool) -> KeptText:
    return KeptText(text=text, before=before, said=change.said, at=change.at)


def _name(file: str) -> str:
    name = file if file.endswith(".toml") else f"{file}.toml"
    if not stays_inside(name):
        raise ValueError(f'"{file}" is no plan file of the season')
    return name


def _bytes_as_text(path: Path) -> str | None:
    """The file's text; None where there is none or it is not UTF-8."""
    try:
        return path.read_bytes().decode("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        return None
