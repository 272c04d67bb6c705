"""`why`: the reasons of a start."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_options
from episodes.commands.printing import ExitCode, leave, say


@click.command("why")
@click.argument("name")
@season_options
@json_option
def command(name: str, season_option: Path | None, now_text: str | None, as_json: bool) -> None:
    """Why NAME, a step, parcel or shot, starts when it does: what waited for what."""
    from episodes.answers.check import check
    from episodes.answers.why import why

    opened = open_season(None, season_option, now_text)
    from episodes.commands.facts import thing_named

    thing = thing_named(opened, name, ("step", "parcel", "shot"))
    answer = why(opened.season, f"{thing.episode}:{thing.id}")
    if as_json:
        from episodes.exports.records import to_json, why_record

        say(to_json(why_record(answer, opened.season.studio.zone)))
    else:
        from episodes.exports.text import why_text

        say(why_text(answer, check(opened.season)))
    leave(ExitCode.MET)
