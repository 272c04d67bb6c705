"""The command `episodes`: a table of names, a group that loads what is asked for, a last resort.

The help is printed from the table, so nothing of the engine is imported for it. Whatever goes
wrong ends in one clear line and an exit code, never in a traceback: faults in the plan are listed
one a line (2), all else is a failure (3).
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NoReturn

import click

from episodes.commands.printing import ExitCode

__all__ = ["COMMANDS", "ExitCode", "episodes", "main", "run"]


@dataclass(frozen=True, slots=True)
class Row:
    """One command: the group it is listed in, its module and the name in it, its help in a line."""

    group: str
    module: str
    attribute: str
    help: str


PLAN = "Plan a room back from its release"
LATE = "See whether a late delivery matters"
DATES = "Put the dates into a calendar, on paper, into a table"
DAY = "Day by day"
WROTE = "Write down what happened"
LEARN = "Learn, and look things up"


def _asks(group: str, module: str, help: str) -> Row:
    return Row(group, module, "command", help)


def _writes(module: str, attribute: str, help: str) -> Row:
    return Row(WROTE, module, attribute, help)


COMMANDS: dict[str, Row] = {
    "check": _asks(PLAN, "check", "Say whether each release is met, and with how much to spare."),
    "why": _asks(PLAN, "why", "Why a step starts when it does."),
    "odds": _asks(PLAN, "odds", "How often each release is met, and what that hangs on."),
    "load": _asks(PLAN, "load", "How full the weeks are, by person, gear and place."),
    "costs": _asks(PLAN, "costs", "What each room costs: planned, paid, left."),
    "compare": _asks(PLAN, "compare", "The rooms in ideas/: the earliest release each can make."),
    "new": _asks(PLAN, "new", "Write a new episode from recipes."),
    "add": _asks(PLAN, "add", "Put a recipe, a step, a parcel or a shot into an episode."),
    "late": _asks(LATE, "late", "What a late delivery does, and the last day it may come."),
    "rescue": _asks(LATE, "rescue", "What would save a release, its price, and until when."),
    "orders": _asks(LATE, "orders", "What to order and by when."),
    "calendar": _asks(DATES, "calendar", "Write the dates as a calendar file."),
    "sheet": _asks(DATES, "sheet", "Write a room's sheet for the wall: days, orders, shots."),
    "table": _asks(DATES, "table", "The season as a table for a spreadsheet or a page."),
    "links": _asks(DATES, "links", "The link list for a video's description."),
    "today": _asks(DAY, "today", "What to do today, what to film first, what to order."),
    "shots": _asks(DAY, "shots", "What to film, and when it can no longer be filmed."),
    "drift": Row(DAY, "go", "drift", "How far a room has moved since go was said, and why."),
    "ordered": _writes("facts_parcels", "ordered", "A parcel was ordered."),
    "arrived": _writes("facts_parcels", "arrived", "A parcel is in hand."),
    "returned": _writes("facts_parcels", "returned", "A parcel was sent back."),
    "started": _writes("facts_steps", "started", "A step was begun."),
    "left": _writes("facts_steps", "left", "How much of a step is still to do."),
    "done": _writes("facts_steps", "done", "A step is done."),
    "failed": _writes("facts_steps", "failed", "A step must be done again; a parcel is no use."),
    "taken": _writes("facts_shots", "taken", "A shot is taken."),
    "lost": _writes("facts_shots", "lost", "A shot's footage is gone."),
    "dropped": _writes("facts_steps", "dropped", "A job, step, parcel or shot was given up."),
    "off": _writes("off", "command", "Somebody is away."),
    "undo": _writes("undo", "undo", "Take the last change back."),
    "redo": _writes("undo", "redo", "Do again what was undone."),
    "recover": _writes("recover", "recover", "Write what could not be written earlier."),
    "restore": _writes("recover", "restore", "Take a plan file back to an earlier day."),
    "go": _writes("go", "go", "Keep a room's plan as it stands, to measure its drift."),
    "lookback": _asks(LEARN, "lookback", "Guessed against took, and what to guess next."),
    "recipes": _asks(LEARN, "recipes", "What can be built: hours, shots, shopping."),
    "materials": _asks(LEARN, "materials", "Products, how they dry, and in which air."),
    "schema": _asks(LEARN, "schema", "What a plan file may hold, key by key."),
    "busy": _asks(LEARN, "busy", "What was understood of a person's calendar file."),
    "completion": _asks(LEARN, "completion", "Lines that make a shell complete words."),
    "demo": _asks(LEARN, "demo", "A season in full swing, to try everything on."),
}


class LazyGroup(click.Group):
    """Commands that are imported when they are run."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        from importlib import import_module

        row = COMMANDS.get(cmd_name)
        if row is None:
            return None
        command = getattr(import_module(f"episodes.commands.{row.module}"), row.attribute)
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(name, COMMANDS, n=1)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            raise click.UsageError(f'there is no command "{name}"{hint}', ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        width = max(map(len, COMMANDS))
        for group in dict.fromkeys(row.group for row in COMMANDS.values()):
            rows = [
                (name.ljust(width), row.help)
                for name, row in COMMANDS.items()
                if row.group == group
            ]
            with formatter.section(group):
                formatter.write_dl(rows)


@click.group(
    cls=LazyGroup,
    name="episodes",
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog=(
        "Exit codes: 0 met or done, 1 a release is missed, 2 the input is wrong, "
        "3 any other failure."
    ),
)
@click.option("--version", is_flag=True, help="Print the versions a fault report needs, and stop.")
@click.option(
    "--season",
    "season_option",
    metavar="PATH",
    type=click.Path(),
    help="A season's folder, or an episode file in it. Default: the current folder.",
)
@click.option(
    "--now",
    "now_text",
    metavar="INSTANT",
    help="Answer as of this moment instead of the clock's.",
)
@click.option("--ascii", "ascii_only", is_flag=True, help="Draw the screen in ASCII alone.")
@click.option(
    "--plain",
    "plain_page",
    metavar="[PAGE]",
    is_flag=False,
    flag_value="page",
    help="The screen's pages as lines of text, for screen readers and pipes.",
)
@click.option(
    "--log",
    "log_file",
    metavar="FILE",
    type=click.Path(dir_okay=False),
    help="Write what happens, and the details of a failure, to this file.",
)
@click.pass_context
def episodes(
    ctx: click.Context,
    version: bool,
    season_option: str | None,
    now_text: str | None,
    ascii_only: bool,
    plain_page: str | None,
    log_file: str | None,
) -> None:
    """Plan a month's room backwards from its release.

    Alone it opens the screen; without a terminal it prints what `check` says.
    """
    if log_file is not None:
        _log_to(log_file)
    if version:
        click.echo(_versions())
        ctx.exit(ExitCode.MET)
    if plain_page is not None and ctx.invoked_subcommand is None:
        from episodes.commands.plain import open_plain

        open_plain(season_option, now_text, plain_page)
    if ctx.invoked_subcommand is None:
        from episodes.commands.screen import open_screen

        open_screen(season_option, now_text, ascii_only)


def main() -> NoReturn:
    """The installed command."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: Sequence[str]) -> int:
    """Run the command line and return its exit code; nothing is raised past here."""
    _print_what_it_can()
    try:
        result = episodes.main(list(arguments), prog_name="episodes", standalone_mode=False)
        return result if isinstance(result, int) else ExitCode.MET
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.ClickException as error:
        return _usage(error)
    except (KeyboardInterrupt, click.Abort):
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        from episodes.commands.printing import hush

        hush()
        return ExitCode.MET
    except Exception as error:  # noqa: BLE001 - the last resort is meant to catch all of them
        return _failure(error)


def _print_what_it_can() -> None:
    """A terminal that lacks a character gets `?` for it instead of ending the program."""
    import io

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _usage(error: click.ClickException) -> int:
    from episodes.commands.printing import complain

    context = getattr(error, "ctx", None)
    path = context.command_path if context is not None else "episodes"
    complain(f"{path}: {error.format_message()}")
    if isinstance(error, click.UsageError):
        complain(f"Try `{path} --help`.")
    return ExitCode.WRONG_INPUT if isinstance(error, click.UsageError) else ExitCode.FAILED


def _failure(error: Exception) -> int:
    """Say what went wrong in as many lines as there are faults, and choose the code."""
    from episodes.commands.printing import complain
    from episodes.problems import EpisodesError, PlanError

    if isinstance(error, PlanError):
        faults = [problem for problem in error.problems if problem.level == "error"]
        for problem in faults or error.problems:
            complain(str(problem))
        return ExitCode.WRONG_INPUT
    _note_details(error)
    if isinstance(error, EpisodesError):
        complain(f"episodes: {error}")
    elif isinstance(error, OSError):
        name = f"{error.filename}: " if error.filename else ""
        complain(f"episodes: {name}{error.strerror or error}")
    else:
        kind, words = type(error).__name__, str(error)
        complain(
            f"episodes: a fault of the program, not of the plan: {kind}"
            + (f": {words}" if words else "")
            + ". With `episodes --log FILE ...` the details are kept for a report."
        )
    return ExitCode.FAILED


def _log_to(file: str) -> None:
    import logging

    try:
        handler = logging.FileHandler(file, encoding="utf-8")
    except OSError as error:
        raise click.UsageError(f"--log {file}: {error.strerror}") from None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    root = logging.getLogger("episodes")
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)


def _note_details(error: Exception) -> None:
    """The traceback goes to the log, where one was asked for, and nowhere else."""
    logging = sys.modules.get("logging")
    if logging is not None:
        root = logging.getLogger("episodes")
        if root.handlers:
            root.error("failed", exc_info=error)


def _versions() -> str:
    """Package, Python and time zone data: what a report of a fault must name."""
    import platform
    from importlib.metadata import PackageNotFoundError, version

    from episodes import __version__

    try:
        zones = f"tzdata {version('tzdata')}"
    except PackageNotFoundError:
        zones = "time zones of the system"
    return f"episodes {__version__}, Python {platform.python_version()}, {zones}"
