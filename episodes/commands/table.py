"""`table`: the season as a table for a spreadsheet or a page."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.opening import Opened, json_option, open_season, season_options
from episodes.commands.printing import ExitCode, leave, say
from episodes.commands.writing_tables import form_of, put, table_options

if TYPE_CHECKING:
    from episodes.exports.cells import Table

KINDS = ("steps", "parcels", "shots", "money")


@click.command("table")
@click.argument("kind", type=click.Choice(KINDS), default="steps")
@season_options
@json_option
@table_options
def command(
    kind: str,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
    as_csv: bool,
    as_markdown: bool,
    file: Path | None,
) -> None:
    """The season as a table: steps, parcels, shots or money.

    Opens in a spreadsheet with nothing read as a formula: text that begins like one has an
    apostrophe before it. Without -o it is printed, as comma-separated values unless --md says
    otherwise.
    """
    form = form_of(file, csv=as_csv, markdown=as_markdown, json=as_json) or ".csv"
    opened = open_season(None, season_option, now_text)
    table = _table(kind, opened, as_json=as_json)
    if as_json:
        from episodes.exports.records import to_json

        say(
            to_json(
                {
                    "table": kind,
                    "columns": list(table.columns),
                    "rows": [list(row) for row in table.rows],
                }
            )
        )
    else:
        from episodes.exports.cells import to_csv, to_markdown

        put((to_csv if form == ".csv" else to_markdown)(table), form, file, len(table.rows))
    leave(ExitCode.MET)


def _table(kind: str, opened: Opened, *, as_json: bool) -> "Table":
    from episodes.exports import tables
    from episodes.exports.records import instants

    if kind == "money":
        from episodes.answers.costs import costs

        return tables.money_table(costs(opened.season, only=opened.only))
    from episodes.answers.check import check

    answer = check(opened.season, only=opened.only)
    moment = (instants if as_json else tables.moments)(answer.zone)
    if kind == "parcels":
        return tables.parcels_table(answer, moment)
    if kind == "shots":
        from episodes.answers.shots import shots

        return tables.shots_table(shots(answer, opened.season), answer, moment)
    return tables.steps_table(answer, moment)
