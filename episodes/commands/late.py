"""`late`: what a late delivery does."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.facts import expected, thing_named
from episodes.commands.opening import Opened, json_option, open_season, season_options
from episodes.commands.printing import ExitCode, leave, say

if TYPE_CHECKING:
    from episodes.answers.names import Thing

DEFAULT_ARRIVES_AT = 18 * 60
"""When a parcel without a carrier is in hand on its day; fixed by the plan format."""


@click.command("late")
@click.argument("parcel")
@click.option("--arrives", metavar="WHEN", help="When it comes: 2027-04-28, thu, an instant.")
@click.option("--days", type=click.IntRange(-366, 366), metavar="N",
              help="So many of its carrier's days later than planned.")  # fmt: skip
@season_options
@json_option
def command(
    parcel: str,
    arrives: str | None,
    days: int | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """What happens if PARCEL comes later, and the last day on which it may come.

    Without --arrives or --days it is asked for the day that is planned. Leaves with 1 where a
    release is missed with that arrival.
    """
    from episodes.answers.late import Desk, NotOnItsWayError, with_ways
    from episodes.files.exchanges import load_offers

    if arrives is not None and days is not None:
        raise click.UsageError("give --arrives or --days, not both")
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, parcel, ("parcel",))
    key = (thing.episode, thing.id)
    desk = Desk(opened.season)
    try:
        if arrives is not None:
            moment = _arrival(opened, thing, arrives)
        else:
            moment = desk.arrival_moved(key, days or 0)
        answer = with_ways(opened.season, desk.late(key, moment), offers=load_offers())
    except NotOnItsWayError as error:
        raise click.UsageError(str(error)) from None
    if as_json:
        from episodes.exports.records import late_record, to_json

        say(to_json(late_record(answer)))
    else:
        from episodes.exports.text_late import late_text

        say(late_text(answer, desk.base))
    leave(ExitCode.MET if answer.met else ExitCode.MISSED)


def _arrival(opened: Opened, thing: "Thing", text: str) -> int:
    """UTC minute of an arrival; a bare date is at the carrier's hour."""
    from episodes.calendars.local_time import zone

    when = expected(opened, text, "--arrives")
    here = zone(opened.season.studio.zone)
    if isinstance(when, datetime):
        if when.tzinfo is not None:
            return int(when.timestamp()) // 60
        return here.utc(when.date(), when.hour * 60 + when.minute)
    episode = opened.season.episode(thing.episode)
    carrier = next(p.carrier for p in episode.parcels if p.id == thing.id)
    at = DEFAULT_ARRIVES_AT if carrier is None else opened.season.studio.carrier(carrier).arrives_at
    return here.utc(when, at)
