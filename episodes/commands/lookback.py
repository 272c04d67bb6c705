"""`lookback`: what was guessed against what it took, and the ranges that this suggests."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.facts import tell
from episodes.commands.opening import (
    Opened,
    json_option,
    open_season,
    season_argument,
    season_options,
)
from episodes.commands.printing import ExitCode, leave, say

if TYPE_CHECKING:
    from episodes.answers.lookback import LookbackAnswer, Suggestion


@click.command("lookback")
@season_argument
@click.option(
    "--take",
    metavar="NAME",
    help="Write one suggested range into its file; the first guess is kept beside it.",
)
@season_options
@json_option
def command(
    season_argument: Path | None,
    take: str | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """Planned against took, by person and kind of work, by carrier; and what to guess next.

    Learns from steps with `took` (or begun and done on one day) and from parcels that came.
    """
    from episodes.answers.lookback import lookback

    opened = open_season(season_argument, season_option, now_text)
    answer = lookback(opened.season, only=opened.only)
    if take is not None:
        _take(opened, _named(answer, take), as_json)
    if as_json:
        from episodes.exports.lookback_records import lookback_record
        from episodes.exports.records import to_json

        say(to_json(lookback_record(answer)))
    else:
        from episodes.exports.text_lookback import lookback_text

        say(lookback_text(answer))
    leave(ExitCode.MET)


def _named(answer: "LookbackAnswer", name: str) -> "Suggestion":
    """The suggestion for what bears that name, shortened as anywhere."""
    for fits in (
        lambda s: name in (s.name, s.id),
        lambda s: s.id.rpartition(".")[2] == name,
        lambda s: name in s.name,
    ):
        found = [suggestion for suggestion in answer.suggestions if fits(suggestion)]
        if len(found) == 1:
            return found[0]
        if found:
            several = ", ".join(suggestion.name for suggestion in found[:6])
            raise click.BadParameter(f'"{name}" could be {several}', param_hint="--take")
    raise click.BadParameter(
        f'no range is suggested for "{name}"; `episodes lookback` lists those that are',
        param_hint="--take",
    )


def _take(opened: Opened, suggestion: "Suggestion", as_json: bool) -> None:
    from episodes.answers.names import find
    from episodes.exports.text_lookback import range_words
    from episodes.files.editing import set_fact

    thing = find(opened.season, suggestion.name)
    old = range_words(suggestion.written, suggestion.workdays)
    new = range_words(suggestion.proposed, suggestion.workdays)
    first = range_words(suggestion.first_guess, suggestion.workdays)
    said = f"{suggestion.title}: {suggestion.key} {new} (was {old})"

    def edit() -> None:
        set_fact(
            opened.folder,
            suggestion.episode,
            thing.kind,
            suggestion.id,
            suggestion.key,
            new,
            also={"guessed": first},
            clock=opened.clock,
            now=opened.now,
            said=said,
            seen=opened.texts,
        )

    tell(opened, edit, lambda: said, thing, as_json=as_json)
