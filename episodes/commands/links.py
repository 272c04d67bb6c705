"""`links`: the link list for a video's description."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_argument, season_options
from episodes.commands.printing import ExitCode, complain, leave, say
from episodes.commands.writing_tables import form_of, put, table_options


@click.command("links")
@season_argument
@season_options
@json_option
@table_options
@click.option("--no-prices", is_flag=True, help="Leave the prices out.")
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
    as_csv: bool,
    as_markdown: bool,
    file: Path | None,
    no_prices: bool,
) -> None:
    """The link list for a video's description: every parcel that carries a link, and its price.

    SEASON may be an episode's file, for that room alone. Left out is what was sent back or
    replaced; what carries no link is named on standard error.
    """
    form = form_of(file, csv=as_csv, markdown=as_markdown, json=as_json)
    from episodes.answers.links import links
    from episodes.exports.text_costs import links_markdown, links_text, without_a_link

    opened = open_season(season_argument, season_option, now_text)
    answer = links(opened.season, only=opened.only)
    if as_json:
        from episodes.exports.money_records import links_record
        from episodes.exports.records import to_json

        say(to_json(links_record(answer)))
        leave(ExitCode.MET)
    rows = sum(len(episode.lines) for episode in answer.episodes)
    if form == ".csv":
        from episodes.exports.cells import to_csv
        from episodes.exports.tables import links_table

        put(to_csv(links_table(answer, prices=not no_prices)), form, file, rows)
    elif form == ".md":
        put(links_markdown(answer, prices=not no_prices), form, file, rows)
    else:
        say(links_text(answer, prices=not no_prices))
    missing = without_a_link(answer)
    if missing:
        complain(f"note: {missing}")
    leave(ExitCode.MET)
