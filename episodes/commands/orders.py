"""`orders`: what to order and by when."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_argument, season_options
from episodes.commands.printing import ExitCode, leave, say


@click.command("orders")
@season_argument
@season_options
@json_option
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """What to order and by when, what is on its way, what can still go back."""
    from episodes.answers.check import check
    from episodes.answers.orders import orders

    opened = open_season(season_argument, season_option, now_text)
    answer = check(opened.season, only=opened.only)
    lines = orders(answer)
    if as_json:
        from episodes.exports.records import orders_record, to_json

        say(to_json(orders_record(lines, answer)))
    else:
        from episodes.exports.text_lists import orders_text

        say(orders_text(lines, answer))
    leave(ExitCode.MET)
