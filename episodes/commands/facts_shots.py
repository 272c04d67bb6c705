"""`taken`, `lost`: what became of a shot."""

from datetime import datetime
from pathlib import Path

import click

from episodes.commands.facts import (
    at_option,
    fact_options,
    thing_named,
    when,
    write,
)
from episodes.commands.opening import open_season


@click.command("taken")
@click.argument("shot")
@at_option
@click.option("--backed-up", is_flag=True, help="A second copy exists.")
@fact_options
def taken(
    shot: str,
    at: str | None,
    backed_up: bool,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """Write down that SHOT is taken, or with --backed-up that a copy of it exists."""
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, shot, ("shot",))
    found = next(s for s in opened.season.episode(thing.episode).shots if s.id == thing.id)
    if backed_up and at is None and found.taken is not None and found.lost is None:
        write(opened, thing, "backed_up", True, "backed up", as_json=as_json)
    value = when(opened, at)
    also: dict[str, object] = {"lost": None}
    if backed_up:
        also["backed_up"] = True
    elif found.backed_up:
        # The copy was of an earlier take.
        also["backed_up"] = None
    deed = "taken {when}" + (", backed up" if backed_up else "")
    write(opened, thing, "taken", value, deed, also=also, at=value, as_json=as_json)


@click.command("lost")
@click.argument("shot")
@at_option
@fact_options
def lost(
    shot: str, at: str | None, season_option: Path | None, now_text: str | None, as_json: bool
) -> None:
    """Write down that the footage of SHOT is gone."""
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, shot, ("shot",))
    value = when(opened, at)
    day = value.date() if isinstance(value, datetime) else value
    write(opened, thing, "lost", day, "footage lost {when}",
          at=value, as_json=as_json)  # fmt: skip
