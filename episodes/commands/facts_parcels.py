"""`ordered`, `arrived`, `returned`: what became of a parcel."""

from pathlib import Path

import click

from episodes.commands.facts import (
    at_option,
    expected,
    fact_options,
    moment_words,
    paid_option,
    thing_named,
    when,
    write,
)
from episodes.commands.opening import open_season


@click.command("ordered")
@click.argument("parcel")
@at_option
@click.option("--promised", metavar="WHEN", help="When they say it comes: 2027-04-12, thu.")
@paid_option
@fact_options
def ordered(
    parcel: str,
    at: str | None,
    promised: str | None,
    paid: float | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """Write down that PARCEL was ordered, or what they promise for it now."""
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, parcel, ("parcel",))
    also: dict[str, object] = {}
    deed = ""
    if promised is not None:
        coming = expected(opened, promised, "--promised")
        also["promised"] = coming
        deed = f", promised {moment_words(opened, coming)}"
    if paid is not None:
        also["paid"] = _amount(paid)
    found = next(p for p in opened.season.episode(thing.episode).parcels if p.id == thing.id)
    if found.ordered is not None and at is None and also:
        # Ordered already: this is only the new promise, or the price.
        key, value = next(iter(also.items()))
        write(opened, thing, key, value, deed.removeprefix(", ") or "paid", also=also,
              as_json=as_json)  # fmt: skip
    value = when(opened, at)
    write(opened, thing, "ordered", value, "ordered {when}" + deed,
          also=also, at=value, as_json=as_json)  # fmt: skip


@click.command("arrived")
@click.argument("parcel")
@at_option
@paid_option
@fact_options
def arrived(
    parcel: str,
    at: str | None,
    paid: float | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """Write down that PARCEL is in hand: opened, counted, whole."""
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, parcel, ("parcel",))
    value = when(opened, at)
    also: dict[str, object] = {} if paid is None else {"paid": _amount(paid)}
    write(opened, thing, "arrived", value, "arrived {when}",
          also=also, at=value, as_json=as_json)  # fmt: skip


@click.command("returned")
@click.argument("parcel")
@at_option
@click.option("--refunded", type=click.FloatRange(min=0), metavar="AMOUNT", help="What came back.")
@fact_options
def returned(
    parcel: str,
    at: str | None,
    refunded: float | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """Write down that PARCEL was sent back."""
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, parcel, ("parcel",))
    value = when(opened, at)
    also: dict[str, object] = {} if refunded is None else {"refunded": _amount(refunded)}
    write(opened, thing, "returned", value, "sent back {when}",
          also=also, at=value, as_json=as_json)  # fmt: skip


def _amount(value: float) -> int | float:
    """Money as one would write it: 45, not 45.0."""
    return int(value) if value.is_integer() else value
