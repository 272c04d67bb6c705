"""What `costs`, `links` and `table` have in common: the form of a table and the file it goes to."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from episodes.commands.printing import say

Command = TypeVar("Command", bound=Callable[..., Any])
FORMS = (".csv", ".md")


def table_options(command: Command) -> Command:
    """`--csv`, `--md` and `-o FILE`."""
    command = click.option(
        "-o",
        "--output",
        "file",
        metavar="FILE.csv|.md",
        type=click.Path(path_type=Path),
        help="Write to this file, as its ending says.",
    )(command)
    command = click.option("--md", "as_markdown", is_flag=True, help="As a Markdown table.")(
        command
    )
    return click.option(
        "--csv", "as_csv", is_flag=True, help="As comma-separated values, for a spreadsheet."
    )(command)


def form_of(file: Path | None, *, csv: bool, markdown: bool, json: bool) -> str | None:
    """`.csv` or `.md`, as asked for in whichever way; None for neither.

    Raises:
        click.UsageError: more than one form is asked for, or the file's ending names none.
    """
    if csv + markdown + json > 1:
        raise click.UsageError("--csv, --md and --json: ask for one of them")
    form = ".csv" if csv else ".md" if markdown else None
    if file is None:
        return form
    if json:
        raise click.UsageError("--json is printed; send it to a file with > FILE")
    if file.suffix.lower() not in FORMS:
        raise click.UsageError(f'-o "{file}": name a file that ends in .csv or .md')
    if form not in (None, file.suffix.lower()):
        raise click.UsageError(f'-o "{file}" and --{"csv" if csv else "md"} do not agree')
    return file.suffix.lower()


def put(text: str, form: str, file: Path | None, rows: int) -> None:
    """Print a table, or write it to its file whole and say so.

    Raises:
        click.UsageError: there is no folder to write into, or no file there.
        OSError: it cannot be written; what was there is still there.
    """
    if file is None:
        say(text)
        return
    from episodes.exports.cells import MARK
    from episodes.exports.safe_text import clean
    from episodes.exports.text_words import counted
    from episodes.files.saving import write_whole

    if file.is_dir():
        raise click.UsageError(f"{file} is a folder; name a file that ends in {form}")
    if not file.parent.is_dir():
        raise click.UsageError(f"there is no folder {file.parent}; make it first")
    write_whole(file.resolve(), (MARK if form == ".csv" else "") + text)
    say(clean(f"{file.name}: {counted(rows, 'row')}."))
