"""`why`: the reasons of a start."""

from pathlib import Path

import click

from episodes.commands.facts import thing_named
from episodes.commands.opening import json_option, open_season, season_options
from episodes.commands.printing import ExitCode, leave, say


@click.command("why")
@click.argument("name")
@season_options
@json_option
def command(name: str, season_option: Path | None, now_text: str | None, as_json: bool) -> None:
    """Why NAME, a step, parcel or shot, starts when it does: what waited for what.

    Of a job its first open step is meant, of `release` what decides when the room is ready.
    """
    from episodes.answers.check import answer
    from episodes.answers.planning import plan_season
    from episodes.answers.why import explain

    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, name, ("step", "parcel", "shot", "job", "release"))
    planning = plan_season(opened.season)
    judged = answer(planning)
    reasons = explain(planning, judged, thing.episode, thing.id)
    if as_json:
        from episodes.exports.records import to_json, why_record

        say(to_json(why_record(reasons)))
    else:
        from episodes.exports.text_why import why_text

        say(why_text(reasons, judged))
    leave(ExitCode.MET)
