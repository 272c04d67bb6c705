"""`check`: whether each release is met."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_argument, season_options
from episodes.commands.printing import ExitCode, leave, say
from episodes.commands.proving import ProvingCommand, patience_of, prove_option, waited_for


@click.command("check", cls=ProvingCommand)
@season_argument
@season_options
@json_option
@click.option("--all", "all_problems", is_flag=True, help="List every problem, not only three.")
@click.option(
    "--notes", "with_notes", is_flag=True, help="The notes too, and how sound each schedule is."
)
@prove_option
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
    all_problems: bool,
    with_notes: bool,
    prove: float | None,
) -> None:
    """Say whether each release is met, and with how much to spare.

    SEASON is a season's folder, or an episode file in it: then that episode alone is judged.
    Leaves with 1 where a release is missed.
    """
    from episodes.answers.check import check
    from episodes.answers.proof import QUICK_EFFORT

    opened = open_season(season_argument, season_option, now_text)
    patience = patience_of(QUICK_EFFORT if prove is None else prove)
    answer = waited_for(
        patience,
        lambda: check(
            opened.season, only=opened.only, patience=patience, thorough=prove is not None
        ),
    )
    if as_json:
        from episodes.exports.records import check_record, to_json

        say(to_json(check_record(answer, opened.stray_problems)))
    else:
        from episodes.exports.text import check_text

        say(
            check_text(
                answer,
                opened.stray_problems,
                all_problems=all_problems,
                with_notes=with_notes,
            )
        )
    leave(ExitCode.MET if answer.met else ExitCode.MISSED)
