"""`demo`: a season in full swing, to try everything on."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.printing import ExitCode, at_a_terminal, leave, say

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable


@click.command("demo")
@click.argument("folder", metavar="[DIR]", required=False, type=click.Path(path_type=Path))
def command(folder: Path | None) -> None:
    """Write an invented season into DIR, or without one open it in a copy that is thrown away.

    It is read from its own day in March 2027, so that it always tells the same story. Nothing
    that is there already is written over.
    """
    if folder is None:
        leave(_try_it())
    write_demo(folder)
    say(
        f"The demo season is in {folder}. Look at it with:\n"
        f"  episodes check {folder}\n"
        f"  episodes --season {folder}"
    )
    leave(ExitCode.MET)


def write_demo(folder: Path) -> None:
    """Write the demo season's files into a folder, which is made if it is not there.

    Raises:
        click.UsageError: a file of that name is there; nothing was written.
        OSError: the folder cannot be written.
    """
    files = list(_files())
    there = [name for name, _ in files if (folder / name).exists()]
    if folder.exists() and not folder.is_dir():
        raise click.UsageError(f"{folder} is a file; name a folder")
    if there:
        raise click.UsageError(
            f"{folder / there[0]} is there already and is not written over; name another folder"
        )
    for name, text in files:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text)


def _files() -> Iterator[tuple[str, bytes]]:
    """(path inside the season, bytes) of every file of the demo."""
    from importlib.resources import files

    yield from _below(files("episodes") / "demo", "")


def _below(folder: "Traversable", prefix: str) -> Iterator[tuple[str, bytes]]:
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if entry.is_dir() and not entry.name.startswith(("__", ".")):
            yield from _below(entry, f"{prefix}{entry.name}/")
        elif entry.name.endswith(".toml"):
            yield f"{prefix}{entry.name}", entry.read_bytes()


@contextmanager
def _copy() -> Iterator[Path]:
    from tempfile import TemporaryDirectory

    with TemporaryDirectory(prefix="episodes-demo-") as name:
        folder = Path(name) / "friday-rooms"
        write_demo(folder)
        yield folder


def _try_it() -> ExitCode:
    """The demo on the screen; without a terminal what `check` says of it.

    That a release of the demo slips is its story, so that is no reason to leave with 1.
    """
    from episodes.commands.screen import print_check, show

    with _copy() as folder:
        if at_a_terminal():
            return ExitCode(show(folder, None))
        print_check(folder, None)
        return ExitCode.MET
