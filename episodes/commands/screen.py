"""`episodes` alone: the screen; without a terminal what `check` says."""

from pathlib import Path

import click

from episodes.commands.opening import clock_minute, now_of, open_season
from episodes.commands.printing import ExitCode, at_a_terminal, leave, say

NOTHING_HERE = """\
Nothing is planned here yet.
  episodes demo          a season in full swing: break it, then ask `late`
  episodes demo FOLDER   the same, written into a folder of yours
  episodes new           your own: a few questions, then a verdict and a date
A season is a folder with a studio.toml and a file for each episode."""


def open_screen(season_option: str | None, now_text: str | None, ascii_only: bool) -> None:
    """Open the screen on a season, or print its verdicts where there is no terminal."""
    path = Path(season_option) if season_option is not None else Path()
    if not at_a_terminal():
        leave(print_check(path, now_text))
    if season_option is None and not (path / "studio.toml").exists():
        say(NOTHING_HERE)
        begin(now_text, ascii_only)
        leave(ExitCode.MET)
    click.get_current_context().exit(show(path, now_text, ascii_only))


def begin(now_text: str | None, ascii_only: bool) -> None:
    """The first five minutes: a room of one's own, the demo, or nothing yet.

    Ends with the screen on what was made, where it is wanted.
    """
    context = click.get_current_context()
    kinds = click.Choice(("new", "demo", "leave"), case_sensitive=False)
    wish = click.prompt("Begin with", default="new", type=kinds)
    if wish == "leave":
        return
    from importlib import import_module

    module = import_module(f"episodes.commands.{wish}")
    try:
        context.invoke(module.command)
    except click.exceptions.Exit as end:
        if end.exit_code != ExitCode.MET:
            raise
    if wish == "new" and click.confirm("Open the screen on it?", default=True):
        context.exit(show(Path(), now_text, ascii_only))


def show(path: Path, now_text: str | None, ascii_only: bool = False) -> int:
    """Show the screens until the user leaves, drawn in ASCII alone if asked; the exit code."""
    from episodes.files.reading import season_folder
    from episodes.screens.launch import run

    folder, _ = season_folder(path)
    offer_kept(folder)
    now = now_of(now_text, folder)
    return run(path, clock=clock_minute(), now=now, ascii=ascii_only, tick=clock_minute)


def offer_kept(folder: Path) -> None:
    """Ask about changes that could not be written earlier, where there are any."""
    from episodes.commands.recover import offer
    from episodes.exports.safe_text import clean
    from episodes.files import recovery
    from episodes.problems import EpisodesError

    if not recovery.waiting(folder):
        return
    offer(folder)
    if click.confirm("Write them now?", default=True):
        try:
            for said in recovery.recover(folder, clock=clock_minute()):
                say(f"Written: {clean(said)}.")
        except (EpisodesError, OSError) as error:
            say(f"Not written: {clean(str(error))}")


def print_check(path: Path, now_text: str | None) -> ExitCode:
    """Print what `check` says of a season; the code that `check` would leave with."""
    from episodes.answers.check import check
    from episodes.exports.text import check_text

    opened = open_season(path, None, now_text)
    answer = check(opened.season, only=opened.only)
    say(check_text(answer, opened.stray_problems))
    return ExitCode.MET if answer.met else ExitCode.MISSED
