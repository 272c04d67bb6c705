"""`odds`: how often each release is met when lengths of time are what they are: uncertain."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from episodes.commands.opening import (
    json_option,
    open_season,
    season_argument,
    season_options,
)
from episodes.commands.printing import ExitCode, leave, say

LONG = 50_000
"""From so many samples on, how far it has come is shown."""


@contextmanager
def _progress(shown: bool) -> Iterator[Callable[[float], None] | None]:
    """A bar on standard error, where somebody looks at it."""
    if not shown or not sys.stderr.isatty():
        yield None
        return
    with click.progressbar(length=100, label="Playing through", file=sys.stderr) as bar:
        yield lambda share: bar.update(int(share * 100) - bar.pos)
        bar.update(100 - bar.pos)


@click.command("odds")
@season_argument
@season_options
@click.option(
    "--samples",
    type=click.IntRange(100, 1_000_000),
    metavar="N",
    help="How many times the plan is played through. Default: studio.toml's, else 10000.",
)
@click.option(
    "--seed",
    type=click.IntRange(0, 2**63 - 1),
    metavar="N",
    help="Another seed gives other samples of the same chances. Default: studio.toml's, else 1.",
)
@json_option
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    samples: int | None,
    seed: int | None,
    as_json: bool,
) -> None:
    """How often each release is met, when everything takes as long as its range allows.

    The plan's order is kept; lengths, drying and deliveries are drawn. Also: what would help most
    if it were certain, and the last moment to order each parcel for 50, 80 and 95 in 100.
    """
    from episodes.answers.odds import odds

    opened = open_season(season_argument, season_option, now_text)
    asked = opened.season.studio.odds.samples if samples is None else samples
    with _progress(asked >= LONG) as progress:
        answer = odds(
            opened.season, only=opened.only, samples=samples, seed=seed, progress=progress
        )
    if as_json:
        from episodes.exports.odds_records import odds_record
        from episodes.exports.records import to_json

        say(to_json(odds_record(answer)))
    else:
        from episodes.exports.text_odds import odds_text

        say(odds_text(answer))
    leave(ExitCode.MET)
