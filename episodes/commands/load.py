"""`load`: how full the weeks are."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_argument, season_options
from episodes.commands.people import person_named
from episodes.commands.printing import ExitCode, leave, say


@click.command("load")
@season_argument
@season_options
@json_option
@click.option("--person", metavar="ID", help="Only this person.")
@click.option(
    "--weeks", type=click.IntRange(1, 530), metavar="N", help="Look no farther than N weeks."
)
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
    person: str | None,
    weeks: int | None,
) -> None:
    """How full the weeks are: hours needed against hours open, by person, gear and place.

    A week is named where more must be done than is open: then no plan meets the releases.
    SEASON may be an episode's file: then no week past its release is looked at. The work of all
    rooms counts in any case, since people and places are shared.
    """
    from episodes.answers.load import load

    opened = open_season(season_argument, season_option, now_text)
    whose = None if person is None else person_named(opened, person).id
    answer = load(opened.season, most=weeks, until=opened.only)
    if as_json:
        from episodes.exports.load_records import load_record
        from episodes.exports.records import to_json

        say(to_json(load_record(answer, person=whose)))
    else:
        from episodes.exports.text_load import load_text

        say(load_text(answer, person=whose))
    leave(ExitCode.MET)
