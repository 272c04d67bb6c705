"""Writing a plan file so that nothing is lost: whole or not at all, and never over a change.

A file is written beside itself, forced to the disk and moved into place, so that a crash leaves
the old text or the new one. A lock in `.episodes/` keeps two programs from writing at once, and a
text that has changed since it was read is never overwritten. Symbolic links are followed and the
file's permissions kept. Plan files are UTF-8 without a byte order mark.
"""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from glob import escape
from pathlib import Path

from episodes.problems import EpisodesError

PRIVATE_FOLDER = ".episodes"
LARGEST_PLAN = 8 * 1024 * 1024
"""Bytes of a file that is still looked into; the reader refuses larger ones."""

LOCK_SECONDS = 5.0
"""How long to wait for another program's write before saying so."""


class StaleFileError(EpisodesError):
    """A file changed, came or went since it was read; nothing was written."""


class LockedError(EpisodesError):
    """Another program holds the lock of the season for longer than a write takes."""


def read_text(path: Path) -> str:
    """The text of a plan file, line endings as they are, without a byte order mark.

    Raises:
        OSError: it cannot be read.
        EpisodesError: it is not UTF-8.
    """
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise EpisodesError(
            f"{path.name} is not UTF-8 text (byte {error.start}); save it as UTF-8"
        ) from None


def texts_of(folder: Path) -> dict[str, str]:
    """The plan files of a season by name (`ideas/x.toml` for an idea), those that can be read."""
    texts = {}
    for pattern in ("*.toml", "ideas/*.toml"):
        for path in folder.glob(pattern):
            with suppress(OSError, EpisodesError):
                if path.stat().st_size > LARGEST_PLAN:
                    continue
                texts[path.relative_to(folder).as_posix()] = read_text(path)
    return texts


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the season's lock while reading, changing and writing.

    Raises:
        LockedError: another program does not let go of it.
        OSError: the lock cannot be made (a folder that is not writable).
    """
    from filelock import FileLock, Timeout

    private = folder / PRIVATE_FOLDER
    private.mkdir(exist_ok=True)
    lock = FileLock(private / "lock", timeout=LOCK_SECONDS)
    try:
        lock.acquire()
    except Timeout:
        raise LockedError(
            f"another program is writing in {folder}; try again when it has finished"
        ) from None
    try:
        yield
    finally:
        lock.release()


def save(path: Path, text: str, *, read: str | None) -> None:
    """Put `text` in the place of what was read from `path`.

    Args:
        path: the file; a symbolic link stays one and its target is written.
        read: the text as it was read; None for a file that must not be there yet.

    Raises:
        StaleFileError: the file no longer holds `read`.
        OSError: it cannot be written; the old text is still there.
    """
    target = Path(os.path.realpath(path))
    if read is None:
        if target.exists():
            raise StaleFileError(f"{path.name} is there already; nothing was written")
    elif not target.is_file() or read_text(target) != read:
        raise StaleFileError(
            f"{path.name} changed while it was being edited; nothing was written, try again"
        )
    _sweep_up(target)
    write_whole(target, text)


def _sweep_up(target: Path) -> None:
    """Remove what a program that was killed in the middle of a save has left beside a file.

    Whoever saves holds the season's lock, so nobody else's save is under way.
    """
    for left in target.parent.glob(f".{escape(target.name)}.*.tmp"):
        with suppress(OSError):
            left.unlink()


def remove(path: Path, *, read: str | None) -> None:
    """Remove a file that still holds what was read from it.

    Raises:
        StaleFileError: it no longer does.
        OSError: it cannot be removed.
    """
    if not path.is_file() or read_text(path) != read:
        raise StaleFileError(
            f"{path.name} changed while it was being moved; nothing was written, try again"
        )
    path.unlink()


def write_whole(target: Path, text: str) -> None:
    """Replace a file by `text` in one move, keeping its permissions.

    Raises:
        OSError: the old text is still there.
    """
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".tmp", dir=target.parent)
    beside = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            shutil.copymode(target, beside)
        else:
            beside.chmod(0o666 & ~_umask())
        os.replace(beside, target)
    except BaseException:
        with suppress(OSError):
            beside.unlink()
        raise
    _sync_folder(target.parent)


def _umask() -> int:
    # The mask can only be read by setting it.
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _sync_folder(folder: Path) -> None:
    """Make the move itself last through a power cut, where the system can do that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
