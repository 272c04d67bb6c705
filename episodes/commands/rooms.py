"""From what a user typed to one episode of the season."""

from difflib import get_close_matches

import click

from episodes.model.season import Season


def episode_named(season: Season, name: str) -> str:
    """The id of the one episode that a name means: its id, a part of it, or its file.

    Raises:
        click.UsageError: none bears it, or several do.
    """
    bare = name.rpartition("/")[2].removesuffix(".toml")
    ids = [episode.id for episode in season.episodes]
    found = [id for id in ids if id == bare] or [id for id in ids if bare in id]
    if len(found) == 1:
        return found[0]
    if found:
        raise click.UsageError(f'"{name}" could be {", ".join(found)}')
    near = get_close_matches(bare, ids, n=1, cutoff=0.4) or ids[:1]
    hint = f'; did you mean "{near[0]}"?' if near else ""
    raise click.UsageError(f'no episode is called "{name}"{hint}')
