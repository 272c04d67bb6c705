"""`rescue`: what would save a release, what it costs, until when it can be decided."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_options
from episodes.commands.printing import ExitCode, leave, say
from episodes.commands.proving import ProvingCommand


@click.command("rescue", cls=ProvingCommand)
@click.argument("episode", required=False)
@click.option("--no-odds", is_flag=True, help="Leave the odds out; it answers sooner.")
@click.option("--no-suggestions", is_flag=True, help="Only the ways written in the file.")
@click.option(
    "--prove",
    metavar="[=SECONDS]",
    type=click.FloatRange(min=0, min_open=True),
    help="Search on, for a minute or so many seconds, until the list is proved complete.",
)
@season_options
@json_option
def command(
    episode: str | None,
    no_odds: bool,
    no_suggestions: bool,
    prove: float | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """The ways out for EPISODE: cheapest first, each with the last moment to decide it.

    Without EPISODE it is asked for the nearest room that slips, else the nearest. Leaves with 1
    where the release is missed and no way out is known.
    """
    from episodes.answers.check import answer
    from episodes.answers.planning import plan_season
    from episodes.answers.proof import QUICK_EFFORT, Patience, settle
    from episodes.answers.rescue import EFFORT, QUESTIONS, in_need, rescue
    from episodes.commands.rooms import episode_named
    from episodes.files.exchanges import load_offers

    opened = open_season(None, season_option, now_text)
    season = opened.season
    patience = Patience(EFFORT if prove is None else prove)
    planning = settle(plan_season(season), patience.part(QUICK_EFFORT))
    standing = answer(planning)
    if episode is not None:
        id: str | None = episode_named(season, episode)
    else:
        id = opened.only or in_need(standing)
    if id is None:
        raise click.UsageError("no room of this season is still to be released")
    found = rescue(
        season,
        id,
        odds=not no_odds,
        offers=None if no_suggestions else load_offers(),
        base=planning,
        patience=patience,
        tests=QUESTIONS if prove is None else max(QUESTIONS, round(prove * 20)),
    )
    if as_json:
        from episodes.exports.records import to_json
        from episodes.exports.rescue_records import rescue_record

        say(to_json(rescue_record(found)))
    else:
        from episodes.exports.text_rescue import rescue_text

        say(rescue_text(found, standing))
    leave(ExitCode.MET if found.met else ExitCode.MISSED)
