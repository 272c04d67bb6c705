"""`started`, `left`, `done`, `failed`, `dropped`: what became of a step."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.amounts import length_as_written, length_in_words, parse_length
from episodes.commands.facts import (
    at_option,
    fact_options,
    minute_of,
    thing_named,
    when,
    write,
)
from episodes.commands.opening import Opened, open_season

if TYPE_CHECKING:
    from episodes.answers.names import Thing
    from episodes.model.episode import Step

PARCEL_FAILURES = ("damaged", "wrong", "short")


@click.command("started")
@click.argument("step")
@at_option
@fact_options
def started(
    step: str, at: str | None, season_option: Path | None, now_text: str | None, as_json: bool
) -> None:
    """Write down that STEP was begun."""
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, step, ("step",))
    value = when(opened, at)
    also = _after_a_failure(_step(opened, thing), minute_of(opened, value))
    write(opened, thing, "started", value, "started {when}", also=also, at=value,
          as_json=as_json)  # fmt: skip


@click.command("left")
@click.argument("step")
@click.argument("amount", metavar="TIME")
@at_option
@fact_options
def left(
    step: str,
    amount: str,
    at: str | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """Write down how much hands-on TIME of STEP is still to do: 1h, 45min, 1h30.

    A step that was not begun counts as begun now, or at --at.
    """
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, step, ("step",))
    try:
        minutes = parse_length(amount, hands=True)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="TIME") from None
    written = _step(opened, thing)
    also: dict[str, object] = {} if written.done is None else {"done": None}
    begun = written.started is not None and written.started > (written.failed or 0)
    if at is not None or not begun:
        also["started"] = when(opened, at)
        also |= _after_a_failure(written, minute_of(opened, also["started"]))
    write(opened, thing, "left", length_as_written(minutes),
          f"{length_in_words(minutes)} left", also=also, as_json=as_json)  # fmt: skip


@click.command("done")
@click.argument("step")
@at_option
@click.option("--took", metavar="TIME", help="Hands-on time it took, for the look-back.")
@fact_options
def done(
    step: str,
    at: str | None,
    took: str | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """Write down that STEP is done. A shot named here is taken."""
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, step, ("step", "shot"))
    value = when(opened, at)
    if thing.kind == "shot":
        if took is not None:
            raise click.UsageError("--took is for steps")
        write(opened, thing, "taken", value, "taken {when}",
              also={"lost": None}, at=value, as_json=as_json)  # fmt: skip
    also = _after_a_failure(_step(opened, thing), minute_of(opened, value)) | {"left": None}
    also.pop("done", None)
    if took is not None:
        try:
            also["took"] = length_as_written(parse_length(took, hands=True))
        except ValueError as error:
            raise click.BadParameter(str(error), param_hint="--took") from None
    write(opened, thing, "done", value, "done {when}", also=also,
          at=value, as_json=as_json)  # fmt: skip


@click.command("failed")
@click.argument("name")
@click.argument("how", required=False, type=click.Choice(PARCEL_FAILURES))
@at_option
@fact_options
def failed(
    name: str,
    how: str | None,
    at: str | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """Write down that a step must be done again, or that a parcel is no use.

    For a parcel say how: damaged, wrong or short. One that had not arrived counts as arrived now.
    """
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, name, ("step", "parcel"))
    value = when(opened, at)
    if thing.kind == "step":
        if how is not None:
            raise click.UsageError(f'"{thing.id}" is a step; {how} is for parcels')
        write(opened, thing, "failed", value, "failed {when}, comes again",
              also={"left": None}, at=value, as_json=as_json)  # fmt: skip
    if how is None:
        raise click.UsageError(
            f"say how it failed: {', '.join(PARCEL_FAILURES)}; as in: "
            f"episodes failed {thing.id} damaged"
        )
    parcel = next(p for p in opened.season.episode(thing.episode).parcels if p.id == thing.id)
    also: dict[str, object] = {}
    if parcel.arrived is None or at is not None:
        also["arrived"] = value
    write(opened, thing, "failed", how, f"came {how}", also=also, as_json=as_json)


@click.command("dropped")
@click.argument("name")
@at_option
@fact_options
def dropped(
    name: str, at: str | None, season_option: Path | None, now_text: str | None, as_json: bool
) -> None:
    """Write down that a job, step, parcel or shot was given up; what hung on it goes on."""
    opened = open_season(None, season_option, now_text)
    thing = thing_named(opened, name, ("job", "step", "parcel", "shot"))
    value = when(opened, at)
    write(opened, thing, "dropped", _day(value), "given up {when}",
          at=value, as_json=as_json)  # fmt: skip


def _step(opened: Opened, thing: "Thing") -> "Step":
    return next(
        step
        for job in opened.season.episode(thing.episode).jobs
        for step in job.steps
        if step.id == thing.id
    )


def _after_a_failure(step: "Step", minute: int) -> dict[str, object]:
    """What else to write so that work at this minute counts although the step failed once.

    What is later than the failure counts, and the failure stays for the look-back; what was done
    before it does not go with a new start.
    """
    if step.failed is None:
        return {}
    return {"done": None} if minute > step.failed else {"done": None, "failed": None}


def _day(value: object) -> object:
    """The day alone, for facts that are dates in the plan."""
    from datetime import datetime

    return value.date() if isinstance(value, datetime) else value
