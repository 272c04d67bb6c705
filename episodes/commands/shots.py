"""`shots`: what to film, and when it can no longer be filmed."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_argument, season_options
from episodes.commands.printing import ExitCode, leave, say


@click.command("shots")
@season_argument
@season_options
@json_option
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """What to film, when it can no longer be filmed, and what has no copy yet."""
    from episodes.answers.check import check
    from episodes.answers.shots import shots

    opened = open_season(season_argument, season_option, now_text)
    answer = check(opened.season, only=opened.only)
    lines = shots(answer, opened.season)
    if as_json:
        from episodes.exports.records import shots_record, to_json

        say(to_json(shots_record(lines, answer)))
    else:
        from episodes.exports.text_lists import shots_text

        say(shots_text(lines, answer))
    leave(ExitCode.MET)
