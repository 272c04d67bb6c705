"""Opens the screens on a season: checks the terminal first, and never ends in a traceback."""

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from episodes.screens.app import EpisodesApp


def run(
    season_path: Path,
    *,
    clock: int,
    now: int | None,
    ascii: bool,  # noqa: A002
    tick: Callable[[], int] | None = None,
) -> int:
    """Shows the screens until the user leaves.

    Args:
        season_path: a season's folder, or an episode file in it.
        clock: the clock's UTC minute, rounded up.
        now: the moment to hold the season at, None for the clock's.
        ascii: draw with ASCII alone; the environment's EPISODES_ASCII=1 does the same.
        tick: gives the clock's UTC minute while the screens are open; without it the clock
            goes on from `clock` by the seconds since.

    Returns:
        The exit code: 0 left by the user, 2 no terminal to draw on, 3 something broke.

    Raises:
        PlanError: the season cannot be read.
    """
    fault = terminal_fault()
    if fault:
        print(f"episodes: {fault}", file=sys.stderr)  # noqa: T201
        return 2
    from episodes.answers.changed import seen
    from episodes.files.reading import read_season, season_folder
    from episodes.files.seen import read_seen, write_seen
    from episodes.screens.engine import SeasonEngine

    folder, only = season_folder(season_path)
    going = tick or _going(clock)
    season = read_season(folder, clock=clock, now=now)
    engine = SeasonEngine(season, folder, clock=clock, now=now)

    from episodes.screens.app import EpisodesApp
    from episodes.screens.facts import SeasonFiles
    from episodes.screens.forms.desk import Desk
    from episodes.screens.looks import LOOK, from_environment
    from episodes.screens.marks import ASCII, UNICODE

    LOOK.choose(from_environment())
    plain = ascii or os.environ.get("EPISODES_ASCII", "") not in ("", "0")
    files = SeasonFiles(folder, going, now=now, held=season.now if season.read_as_of else None)

    def again() -> SeasonEngine:
        at = going()
        return SeasonEngine(read_season(folder, clock=at, now=now), folder, clock=at, now=now)

    app = EpisodesApp(
        engine,
        files,
        reload=again,
        marks=ASCII if plain else UNICODE,
        room=only,
        desk=Desk(folder, going, now=now),
        earlier=read_seen(folder),
    )
    code = show(app)
    if code == 0:
        write_seen(folder, seen(app.sitting.base))
    return code


def show(app: "EpisodesApp") -> int:
    """Runs the app; the exit code, with one line on standard error where it broke."""
    try:
        app.run()
    finally:
        app.errands.close()
    if app.broken is not None:
        print(_confession(app.broken), file=sys.stderr)  # noqa: T201
        return 3
    return app.return_code or 0


def terminal_fault() -> str:
    """Why the screens cannot be drawn here; "" if they can."""
    # Textual reads from standard input and draws on standard error.
    if not all(stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
        return (
            "the screens need a terminal; `episodes check`, `episodes today` and the other "
            "commands (`episodes --help`) answer without one"
        )
    if os.environ.get("TERM", "") in ("dumb", "unknown"):
        return (
            f"this terminal (TERM={os.environ['TERM']}) cannot draw the screens; "
            "`episodes check` and `episodes today` answer in plain text"
        )
    return ""


def _confession(error: Exception) -> str:
    """One line about a fault of this program: what and where, nothing of the plan."""
    trace, place = error.__traceback__, ""
    while trace is not None:
        code = trace.tb_frame.f_code
        place = f"{Path(code.co_filename).name}:{trace.tb_lineno}"
        trace = trace.tb_next
    return (
        f"episodes: the screens broke ({type(error).__name__} at {place}); this is a fault of the "
        "program, not of your plan. Your files are as they were last saved. The commands, "
        "`episodes check` and the others, still answer."
    )


def _going(clock: int) -> Callable[[], int]:
    """The clock from here on, by the seconds that pass."""
    from time import monotonic

    start = monotonic()
    return lambda: clock + int((monotonic() - start) // 60)
