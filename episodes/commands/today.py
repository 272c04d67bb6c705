"""`today`: what to do in the hours of today."""

from pathlib import Path

import click

from episodes.amounts import parse_length
from episodes.commands.opening import json_option, open_season, season_options
from episodes.commands.printing import ExitCode, leave, say


@click.command("today")
@click.option("--person", metavar="ID", help="Only what this person does.")
@click.option("--hours", metavar="TIME", help="Only what begins within so many hours of work: 2h.")
@season_options
@json_option
def command(
    person: str | None,
    hours: str | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """What to do today, what to film before it, what to order, what is drying until when."""
    from episodes.answers.check import check
    from episodes.answers.today import today
    from episodes.commands.people import person_named

    minutes = None
    if hours is not None:
        try:
            minutes = parse_length(hours, hands=True)
        except ValueError as error:
            raise click.BadParameter(str(error), param_hint="--hours") from None
    opened = open_season(None, season_option, now_text)
    who = None if person is None else person_named(opened, person).id
    season = opened.season
    answer = check(season, only=opened.only)
    day = today(answer, season, person=who, hours=minutes)
    if as_json:
        from episodes.exports.records import to_json, today_record

        say(to_json(today_record(day)))
    else:
        from episodes.exports.text_today import today_text

        say(today_text(day, answer))
    leave(ExitCode.MET)
