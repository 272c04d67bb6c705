"""Rooms without a month: tried in one, and given one.

An idea is `ideas/slug.toml`. Given a month it becomes `YYYY-MM-slug.toml` beside the studio: the
same text but for a release of its own, which the file's name says from then on.
"""

import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from episodes.calendars.local_time import zone
from episodes.calendars.release_day import release_of_month
from episodes.files.editing import Edit, EditError, edited
from episodes.files.folder import IDEAS
from episodes.files.growing import NewText, write
from episodes.files.journal import Change
from episodes.files.reading import read_season
from episodes.files.saving import read_text
from episodes.model.episode import Episode
from episodes.model.season import Season

InMonth = Callable[[str, str], Episode]
"""From an idea's id and a month (`2027-08`) to the idea with its release there."""


def in_month(folder: Path, season: Season, *, clock: int, now: int | None = None) -> InMonth:
    """Gives ideas of a season their release in a month; where their dates count from the release
    the file is read again for it.

    Args:
        clock, now: as for reading the season.

    Raises:
        OSError: an idea's file cannot be read.
    """
    ideas = {idea.id: idea for idea in season.ideas}
    texts = {id: read_text(folder / idea.file) for id, idea in ideas.items()}
    here, rule = zone(season.studio.zone), season.studio.release_rule

    def moved(id: str, month: str) -> Episode:
        text, idea = texts[id], ideas[id]
        if '"release' not in text and "'release" not in text:
            return replace(idea, release=release_of_month(here, rule, month))
        there = f'release = "{month}"\n{_without_release(text)}'
        again = read_season(folder, clock=clock, now=now, overrides={folder / idea.file: there})
        return next(each for each in again.ideas if each.id == id)

    return moved


def promote(
    folder: Path, idea: str, month: str, said: str, *, clock: int, now: int | None = None
) -> Change:
    """Give an idea a month: its file becomes that of an episode, as one change.

    Args:
        idea: its id, the stem of its file in `ideas/`.
        month: `2027-08`.
        said: the change in words, for the journal.
        clock, now: as for reading the season.

    Returns:
        The change as it stands in the journal; its first file is the new one.

    Raises:
        EditError: there is no such idea, or its release cannot be taken out of the text.
        PlanError: the season could not be read with it there; nothing was written.
        StaleFileError, LockedError: in words why nothing was written; an episode of that name is
            there already.
        OSError: a file cannot be written.
    """
    old, new = f"{IDEAS}/{idea}.toml", f"{month}-{idea}.toml"
    if not (folder / old).is_file():
        raise EditError(f"{old} is not there any more")
    text = read_text(folder / old)
    texts = [NewText(new, None, _without_release(text)), NewText(old, text, None)]
    return write(folder, texts, said, clock=clock, now=now)


def _without_release(text: str) -> str:
    """An idea's text without a release of its own."""
    if "release" not in tomllib.loads(text):
        return text
    edit = Edit(kind="episode", id="", key="release", value=None)
    return edited(text, [edit], file="the idea")
