"""`orders`: what to order and by when."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_argument, season_options
from episodes.commands.printing import ExitCode, leave, say


@click.command("orders")
@season_argument
@season_options
@click.option(
    "--sure",
    type=click.IntRange(1, 99),
    metavar="N",
    help="Also the last moment to order each parcel and be in time in N of 100 (see `odds`).",
)
@json_option
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    sure: int | None,
    as_json: bool,
) -> None:
    """What to order and by when, what is on its way, what can still go back."""
    from episodes.answers.check import check
    from episodes.answers.orders import orders, to_be_sure

    opened = open_season(season_argument, season_option, now_text)
    answer = check(opened.season, only=opened.only)
    lines = orders(answer)
    if sure is not None:
        from episodes.answers.odds import odds

        lines = to_be_sure(lines, odds(opened.season, only=opened.only, shares=(sure,)), sure)
    if as_json:
        from episodes.exports.records import orders_record, to_json

        say(to_json(orders_record(lines, answer, sure)))
    else:
        from episodes.exports.text_lists import orders_text

        say(orders_text(lines, answer, sure))
    leave(ExitCode.MET)
