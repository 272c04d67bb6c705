"""`recover` writes what could not be written; `restore` takes a plan file back to an earlier day.

Both work where the season itself cannot be read: that is when they are needed.
"""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.opening import clock_minute, season_folder_of
from episodes.commands.printing import ExitCode, complain, leave, say

if TYPE_CHECKING:
    from episodes.files.kept_texts import KeptText

_season = click.option(
    "--season",
    "season_option",
    metavar="PATH",
    type=click.Path(path_type=Path),
    help="A season's folder, or an episode file in it. Default: the current folder.",
)


@click.command("recover")
@click.option("--forget", is_flag=True, help="Throw away what is kept aside instead.")
@_season
def recover(forget: bool, season_option: Path | None) -> None:
    """Write the changes that could not be written (a full disk, a folder that was read-only).

    They are written over nothing: a file that was edited since keeps what it holds.
    """
    from episodes.exports.safe_text import clean
    from episodes.files import recovery

    folder = season_folder_of(season_option)
    if forget:
        kept = recovery.waiting(folder)
        recovery.forget(folder)
        say(f"Forgotten: {'; '.join(clean(said) for said in kept) or 'nothing was kept aside'}.")
        leave(ExitCode.MET)
    for said in recovery.recover(folder, clock=clock_minute()):
        say(f"Written: {clean(said)}.")
    leave(ExitCode.MET)


@click.command("restore")
@click.argument("file")
@click.option("--to", "number", type=click.IntRange(1), metavar="N", help="Which one of the list.")
@_season
def restore(file: str, number: int | None, season_option: Path | None) -> None:
    """Take a plan FILE back to what it held at an earlier moment.

    Without --to: lists the texts of that file that the journal has kept, the newest first. What
    the file holds now is kept too, so `undo` takes this back.
    """
    from episodes.files import kept_texts

    folder = season_folder_of(season_option)
    try:
        found = kept_texts.kept_texts(folder, file)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="FILE") from None
    if not found:
        raise click.UsageError(f'the journal has no text of "{file}"')
    if number is None:
        for at, text in enumerate(found, start=1):
            say(f"{at:>3}  {_described(text, folder)}")
        leave(ExitCode.MET)
    if number > len(found):
        raise click.BadParameter(f"there are only {len(found)}", param_hint="--to")
    said = f"{file} taken back to {_described(found[number - 1], folder)}"
    kept_texts.put_back(folder, file, found[number - 1], said=said, clock=clock_minute())
    say(f"{said}.")
    leave(ExitCode.MET)


def _described(text: "KeptText", folder: Path) -> str:
    from episodes.commands.opening import zone_of
    from episodes.exports.safe_text import clean
    from episodes.exports.text_words import Words

    when = ""
    if text.at is not None:
        try:
            when = f", {Words(zone_of(folder), clock_minute()).moment(text.at)}"
        except ValueError:
            when = ""
    side = "before" if text.before else "after"
    return f"{side} “{clean(text.said, limit=60)}”{when}, {len(text.text.splitlines())} lines"


def offer(folder: Path) -> None:
    """Say on standard error that changes are kept aside, if there are any."""
    from episodes.files import recovery

    kept = recovery.waiting(folder)
    if kept:
        complain(
            f"episodes: {len(kept)} change(s) could not be written earlier and are kept aside: "
            f"{'; '.join(kept)[:200]}. `episodes recover` writes them, `episodes recover --forget` "
            "throws them away."
        )
