"""`compare`: rooms without a month against the season as it stands."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.opening import (
    Opened,
    json_option,
    open_season,
    season_argument,
    season_options,
)
from episodes.commands.printing import ExitCode, leave, say
from episodes.problems import PlanError

if TYPE_CHECKING:
    from episodes.answers.compare import InMonth
    from episodes.problems import Problem


@click.command("compare")
@season_argument
@click.option("--no-odds", is_flag=True, help="Leave the odds out; it answers sooner.")
@season_options
@json_option
def command(
    season_argument: Path | None,
    no_odds: bool,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """The rooms in ideas/: the earliest release each can make, and what that does to the others.

    Each is tried on the release days that no episode has, for 26 weeks ahead, behind all nearer
    rooms.
    """
    from episodes.answers.compare import compare

    opened = open_season(season_argument, season_option, now_text)
    faults = _faults_of_ideas(opened)
    if faults:
        raise PlanError(faults)
    answer = compare(opened.season, _in_month(opened), odds=not no_odds)
    if as_json:
        from episodes.exports.compare_records import compare_record
        from episodes.exports.records import to_json

        say(to_json(compare_record(answer)))
    else:
        from episodes.exports.text_compare import compare_text

        say(compare_text(answer))
    leave(ExitCode.MET)


def _faults_of_ideas(opened: Opened) -> "list[Problem]":
    """Errors in `ideas/`: they stop this command alone."""
    return [problem for problem in opened.season.problems if problem.level == "error"]


def _in_month(opened: Opened) -> "InMonth":
    """An idea with its release in another month, read again: its dates may count from it."""
    from dataclasses import replace

    from episodes.calendars.local_time import zone
    from episodes.calendars.release_day import release_of_month
    from episodes.files.reading import read_season
    from episodes.files.saving import read_text
    from episodes.model.episode import Episode

    season = opened.season
    ideas = {idea.id: idea for idea in season.ideas}
    texts = {id: read_text(opened.folder / idea.file) for id, idea in ideas.items()}
    here, rule = zone(season.studio.zone), season.studio.release_rule

    def in_month(id: str, month: str) -> Episode:
        text = texts[id]
        idea = ideas[id]
        if '"release' not in text and "'release" not in text:
            return replace(idea, release=release_of_month(here, rule, month))
        moved = f'release = "{month}"\n{_without_release(text)}'
        again = read_season(
            opened.folder,
            clock=opened.clock,
            now=opened.now,
            overrides={opened.folder / idea.file: moved},
        )
        return next(each for each in again.ideas if each.id == id)

    return in_month


def _without_release(text: str) -> str:
    """An idea's text without a release of its own."""
    import tomllib

    from episodes.files.editing import Edit, edited

    if "release" not in tomllib.loads(text):
        return text
    return edited(text, [Edit(kind="episode", id="", key="release", value=None)], file="idea")
