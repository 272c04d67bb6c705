"""`check`: whether each release is met."""

from pathlib import Path

import click

from episodes.commands.opening import json_option, open_season, season_argument, season_options
from episodes.commands.printing import ExitCode, complain, leave, say

DEFAULT_PROOF_SECONDS = 60


class ProvingCommand(click.Command):
    """`--prove` alone or `--prove=SECONDS`, one word: what follows is never its value."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        end = args.index("--") if "--" in args else len(args)
        words = [
            f"--prove={DEFAULT_PROOF_SECONDS}" if word == "--prove" and at < end else word
            for at, word in enumerate(args)
        ]
        return super().parse_args(ctx, words)


@click.command("check", cls=ProvingCommand)
@season_argument
@season_options
@json_option
@click.option("--all", "all_problems", is_flag=True, help="List every problem, not only three.")
@click.option(
    "--prove",
    metavar="[=SECONDS]",
    type=click.FloatRange(min=0, min_open=True),
    help="Search on for proofs (not there yet: answers as without it).",
)
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
    all_problems: bool,
    prove: float | None,
) -> None:
    """Say whether each release is met, and with how much to spare.

    SEASON is a season's folder, or an episode file in it: then that episode alone is judged.
    Leaves with 1 where a release is missed.
    """
    from episodes.answers.check import check

    opened = open_season(season_argument, season_option, now_text)
    answer = check(opened.season, only=opened.only)
    if prove is not None:
        complain("note: the search for proofs is not there yet; this is the answer without it")
    if as_json:
        from episodes.exports.records import check_record, to_json

        say(to_json(check_record(answer, opened.stray_problems)))
    else:
        from episodes.exports.text import check_text

        say(check_text(answer, opened.stray_problems, all_problems=all_problems))
    leave(ExitCode.MET if answer.met else ExitCode.MISSED)
