"""`costs`: what a room has cost and will cost."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_argument, season_options
from episodes.commands.printing import ExitCode, leave, say
from episodes.commands.writing_tables import form_of, put, table_options


@click.command("costs")
@season_argument
@season_options
@json_option
@table_options
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
    as_csv: bool,
    as_markdown: bool,
    file: Path | None,
) -> None:
    """What each room costs: budget, planned, paid and left, and line by line.

    Planned is what was paid where that is known, else the cost as written, less refunds. A price
    that nobody gave is counted as unknown, never as nothing.
    """
    form = form_of(file, csv=as_csv, markdown=as_markdown, json=as_json)
    from episodes.answers.costs import costs

    opened = open_season(season_argument, season_option, now_text)
    answer = costs(opened.season, only=opened.only)
    if as_json:
        from episodes.exports.money_records import costs_record
        from episodes.exports.records import to_json

        say(to_json(costs_record(answer)))
    elif form is None:
        from episodes.exports.text_costs import costs_text

        say(costs_text(answer))
    else:
        from episodes.exports.cells import to_csv, to_markdown
        from episodes.exports.tables import money_table

        table = money_table(answer)
        put((to_csv if form == ".csv" else to_markdown)(table), form, file, len(table.rows))
    leave(ExitCode.MET)
