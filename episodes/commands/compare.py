"""`compare`: rooms without a month against the season as it stands."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.opening import (
    Opened,
    json_option,
    open_season,
    season_argument,
    season_options,
)
from episodes.commands.printing import ExitCode, leave, say
from episodes.problems import PlanError

if TYPE_CHECKING:
    from episodes.problems import Problem


@click.command("compare")
@season_argument
@click.option("--no-odds", is_flag=True, help="Leave the odds out; it answers sooner.")
@season_options
@json_option
def command(
    season_argument: Path | None,
    no_odds: bool,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """The rooms in ideas/: the earliest release each can make, and what that does to the others.

    Each is tried on the release days that no episode has, for 26 weeks ahead, behind all nearer
    rooms.
    """
    from episodes.answers.compare import compare
    from episodes.files.ideas import in_month

    opened = open_season(season_argument, season_option, now_text)
    faults = _faults_of_ideas(opened)
    if faults:
        raise PlanError(faults)
    moved = in_month(opened.folder, opened.season, clock=opened.clock, now=opened.now)
    answer = compare(opened.season, moved, odds=not no_odds)
    if as_json:
        from episodes.exports.compare_records import compare_record
        from episodes.exports.records import to_json

        say(to_json(compare_record(answer)))
    else:
        from episodes.exports.text_compare import compare_text

        say(compare_text(answer))
    leave(ExitCode.MET)


def _faults_of_ideas(opened: Opened) -> "list[Problem]":
    """Errors in `ideas/`: they stop this command alone."""
    return [problem for problem in opened.season.problems if problem.level == "error"]
