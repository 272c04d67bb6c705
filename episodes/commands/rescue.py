"""`rescue`: what would save a release, what it costs, until when it can be decided."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_options
from episodes.commands.printing import ExitCode, leave, say


@click.command("rescue")
@click.argument("episode", required=False)
@click.option("--no-odds", is_flag=True, help="Leave the odds out; it answers sooner.")
@season_options
@json_option
def command(
    episode: str | None,
    no_odds: bool,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """The ways out for EPISODE: cheapest first, each with the last moment to decide it.

    Without EPISODE it is asked for the nearest room that slips, else the nearest. Leaves with 1
    where the release is missed and no way out is known.
    """
    from episodes.answers.check import check
    from episodes.answers.rescue import in_need, rescue
    from episodes.commands.rooms import episode_named

    opened = open_season(None, season_option, now_text)
    season = opened.season
    if episode is not None:
        id: str | None = episode_named(season, episode)
    else:
        id = opened.only or in_need(check(season))
    if id is None:
        raise click.UsageError("no room of this season is still to be released")
    answer = rescue(season, id, odds=not no_odds)
    if as_json:
        from episodes.exports.records import rescue_record, to_json

        say(to_json(rescue_record(answer)))
    else:
        from episodes.exports.text_rescue import rescue_text

        say(rescue_text(answer, check(season)))
    leave(ExitCode.MET if answer.met else ExitCode.MISSED)
