"""`go` keeps a room's plan as it stands; `drift` says how far it has moved since, and why."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.opening import (
    Opened,
    json_option,
    open_season,
    season_options,
)
from episodes.commands.printing import ExitCode, leave, say

if TYPE_CHECKING:
    from episodes.answers.drift import Baseline


@click.command("go")
@click.argument("episode", required=False)
@click.option("--again", is_flag=True, help="Keep today's plan in the place of the one kept.")
@season_options
def go(episode: str | None, again: bool, season_option: Path | None, now_text: str | None) -> None:
    """Keep the plan of EPISODE as it stands, to see later how far it has drifted.

    Without EPISODE: the nearest room that is not out. Nothing in the plan files changes.
    """
    from episodes.answers.check import check
    from episodes.answers.drift import baseline_of
    from episodes.exports.drift_records import baseline_text
    from episodes.exports.safe_text import clean
    from episodes.exports.text_words import words_for
    from episodes.files.kept_plans import keep_plan

    opened = open_season(None, season_option, now_text)
    answer = check(opened.season)
    id = _episode(opened, episode)
    room = answer.episode(id)
    words = words_for(answer)
    earlier = _kept(opened, id)
    if earlier is not None and not again:
        said = words.moment(earlier.said)
        raise click.UsageError(
            f"go was said for {clean(room.title)} on {said}; --again keeps today's plan instead"
        )
    keep_plan(opened.folder, id, baseline_text(baseline_of(room, answer.now)))
    ready = words.moment(room.ready_by, "never")
    say(f"Go: the plan of {clean(room.title)} is kept as it stands, ready {ready}.")
    leave(ExitCode.MET)


@click.command("drift")
@click.argument("episode", required=False)
@season_options
@json_option
def drift(
    episode: str | None, season_option: Path | None, now_text: str | None, as_json: bool
) -> None:
    """How far each room has drifted from the plan kept when go was said, and why."""
    from episodes.answers.check import answer
    from episodes.answers.drift import drift as drifted
    from episodes.answers.planning import plan_season

    opened = open_season(None, season_option, now_text)
    wanted = episode or opened.only
    ids = [e.id for e in opened.season.episodes] if wanted is None else [_episode(opened, wanted)]
    kept = [found for id in ids if (found := _kept(opened, id)) is not None]
    if not kept:
        name = wanted or "a room"
        raise click.UsageError(f"no plan was kept for {name}: `episodes go` keeps today's")
    planning = plan_season(opened.season)
    judged = answer(planning)
    answers = tuple(drifted(planning, judged, baseline) for baseline in kept)
    if as_json:
        from episodes.exports.drift_records import drift_record
        from episodes.exports.records import to_json

        say(to_json(drift_record(answers)))
    else:
        from episodes.exports.text_drift import drift_text

        say(drift_text(answers))
    leave(ExitCode.MET)


def _episode(opened: Opened, name: str | None) -> str:
    """The id of the episode that a name means; None: the nearest that is not out."""
    from episodes.commands.rooms import episode_named

    if name is not None:
        return episode_named(opened.season, name)
    alive = [episode.id for episode in opened.season.episodes if episode.released is None]
    if opened.only is None and not alive:
        raise click.UsageError("every room of this season is out")
    return opened.only or alive[0]


def _kept(opened: Opened, id: str) -> "Baseline | None":
    from episodes.exports.drift_records import baseline_from
    from episodes.files.kept_plans import kept_plan

    text = kept_plan(opened.folder, id)
    return None if text is None else baseline_from(text, f".episodes/go/{id}.json")
