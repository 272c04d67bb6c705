"""`episodes --plain`: the pages of the screen as lines of text, one named or asked for in turn."""

import shlex
from pathlib import Path

import click

from episodes.commands.opening import Opened, open_season
from episodes.commands.printing import ExitCode, at_a_terminal, complain, leave, say
from episodes.problems import EpisodesError

ASK = "page"
"""The value of the option where it names no page."""


def open_plain(season_option: str | None, now_text: str | None, page: str) -> None:
    """Print one page, or at a terminal ask for one after another."""
    from episodes.screens.plain import PAGES

    path = Path(season_option) if season_option is not None else None
    names = ", ".join(PAGES)
    if page == ASK:
        if at_a_terminal():
            _converse(path, now_text, names)
            leave(ExitCode.MET)
        page = PAGES[0]
    if page not in PAGES:
        raise click.BadParameter(f'"{page}" is no page; there are {names}', param_hint="--plain")
    say(_page(path, now_text, page))
    leave(ExitCode.MET)


def _page(path: Path | None, now_text: str | None, name: str) -> str:
    from episodes.files.ideas import in_month
    from episodes.screens.plain import Plain

    opened: Opened = open_season(None, path, now_text)
    months = in_month(opened.folder, opened.season, clock=opened.clock, now=opened.now)
    return Plain(opened.season, opened.only, months).page(name)


def _converse(path: Path | None, now_text: str | None, names: str) -> None:
    """Pages by name or number, commands as on the command line, until q."""
    from episodes.screens.plain import PAGES

    root = click.get_current_context().find_root()
    say(f"Pages: {names}; or their numbers, 1 to {len(PAGES)}.")
    say("Any command works too, as in: done glue. q leaves.")
    say(_page(path, now_text, PAGES[0]))
    while True:
        try:
            line = input("\n> ").strip()
        except EOFError:
            return
        if line in ("q", "quit", "leave"):
            return
        if line.isdecimal() and 1 <= int(line) <= len(PAGES):
            line = PAGES[int(line) - 1]
        try:
            if line in PAGES:
                say(_page(path, now_text, line))
            elif line:
                _run(root, path, now_text, line)
        except click.exceptions.Exit:
            continue
        except click.ClickException as error:
            complain(error.format_message())
        except EpisodesError as error:
            complain(str(error))


def _run(root: click.Context, path: Path | None, now_text: str | None, line: str) -> None:
    """A command as if it stood behind `episodes`."""
    before = [] if path is None else ["--season", str(path)]
    before += [] if now_text is None else ["--now", now_text]
    try:
        words = shlex.split(line)
    except ValueError as error:
        raise click.UsageError(str(error)) from None
    assert isinstance(root.command, click.Group)
    root.command.main([*before, *words], prog_name="episodes", standalone_mode=False)
