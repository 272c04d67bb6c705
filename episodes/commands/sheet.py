"""`sheet`: one room on paper, and the band alone as a picture."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.opening import open_season, season_options
from episodes.commands.printing import ExitCode, leave, say

if TYPE_CHECKING:
    from episodes.answers.sheet import SheetAnswer

MOST_DAYS = 31
_OWN_PAGE = b'<meta name="generator" content="episodes">'
_OWN_BAND = b'aria-labelledby="band-title band-desc"'


@click.command("sheet")
@click.argument("episode", required=False)
@click.option(
    "-o",
    "--output",
    "page",
    metavar="FILE.html",
    type=click.Path(path_type=Path),
    help="Where to write the sheet.",
)
@click.option(
    "--band",
    metavar="FILE.svg",
    type=click.Path(path_type=Path),
    help="Where to write the band alone, as a picture.",
)
@click.option(
    "--days",
    type=click.IntRange(1, MOST_DAYS),
    default=7,
    show_default=True,
    help="How many days of the week plan, today's among them.",
)
@season_options
def command(
    episode: str | None,
    page: Path | None,
    band: Path | None,
    days: int,
    season_option: Path | None,
    now_text: str | None,
) -> None:
    """Write EPISODE's sheet for the wall: the days ahead, orders, shots, lists, cautions.

    One file that any browser shows, on a phone too, and that prints on A4 and Letter in black and
    white. Without EPISODE it is the nearest room that is not out yet.
    """
    from episodes.answers.sheet import next_room, sheet
    from episodes.commands.rooms import episode_named

    if page is None and band is None:
        raise click.UsageError("say where to write: -o FILE.html, or --band FILE.svg")
    opened = open_season(None, season_option, now_text)
    season = opened.season
    id = opened.only or next_room(season) if episode is None else episode_named(season, episode)
    if id is None:
        raise click.UsageError("no room of this season is still to be released")
    for file, mark in ((page, _OWN_PAGE), (band, _OWN_BAND)):
        if file is not None:
            _may_write(file, mark)
    answer = sheet(season, id, days=days)
    if page is not None:
        from episodes.exports.sheet.page import sheet_page

        _write(page, sheet_page(answer))
    if band is not None:
        from episodes.exports.band_svg import band_file

        _write(band, band_file(answer.check, answer.episode))
    say(_said(answer, [file for file in (page, band) if file is not None]))
    leave(ExitCode.MET)


def _said(answer: "SheetAnswer", written: list[Path]) -> str:
    from episodes.exports.safe_text import clean
    from episodes.exports.text_words import read_as_of, verdict_sentence, words_for

    lines = [
        read_as_of(answer.check),
        verdict_sentence(answer.episode, words_for(answer.check)),
        *(clean(f"Written: {file}") for file in written),
    ]
    return "\n".join(line for line in lines if line)


def _may_write(file: Path, mark: bytes) -> None:
    """Only what this command wrote itself is written over.

    Raises:
        click.UsageError: something else stands there, or there is no folder.
    """
    if file.is_file():
        with file.open("rb") as stream:
            if mark not in stream.read(4096):
                raise click.UsageError(
                    f"{file} is not written over: this command did not write it; name another file"
                )
    elif file.exists():
        raise click.UsageError(f"{file} is not a file")
    elif not file.parent.is_dir():
        raise click.UsageError(f"there is no folder {file.parent}; make it first")


def _write(file: Path, text: str) -> None:
    """Put the file in its place whole."""
    from episodes.files.saving import write_whole

    write_whole(file.resolve(), text)
