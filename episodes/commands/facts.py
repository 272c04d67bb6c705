"""What the commands that write have in common: find the thing, write, answer what it means."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NoReturn, TypeVar

import click

from episodes.commands.moments import Moments
from episodes.commands.opening import Opened, json_option, season_options
from episodes.commands.printing import ExitCode, complain, leave, say

Command = TypeVar("Command", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Thing:
    """What a fact is about; `id` of a step is JOB.STEP."""

    episode: str
    kind: str
    id: str
    title: str


_FOR_KIND = {
    "step": "started, left, done, failed, dropped",
    "job": "dropped",
    "parcel": "ordered, arrived, returned, failed, dropped",
    "shot": "taken, lost, dropped",
}


def at_option(command: Command) -> Command:
    """`--at WHEN`: when it happened."""
    return click.option(
        "--at",
        "at",
        metavar="WHEN",
        help="When it happened: 19:00, yesterday, sat 10:30, 2027-04-14. Default: now.",
    )(command)


def paid_option(command: Command) -> Command:
    """`--paid AMOUNT`."""
    return click.option(
        "--paid", type=click.FloatRange(min=0), metavar="AMOUNT", help="What it really cost."
    )(command)


def fact_options(command: Command) -> Command:
    """The options of every command that writes a fact."""
    return season_options(json_option(command))


def moments_of(opened: Opened) -> Moments:
    """The words for moments in this season, now."""
    from episodes.calendars.local_time import zone

    return Moments(zone(opened.season.studio.zone), opened.season.now)


def when(opened: Opened, at: str | None) -> date | datetime:
    """When a fact happened, as it is written; now without `--at`.

    Raises:
        click.BadParameter: not a moment, or one still to come.
    """
    moments = moments_of(opened)
    if at is None:
        return moments.written(opened.season.now)
    try:
        return moments.past(at)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--at") from None


def expected(opened: Opened, text: str, option: str) -> date | datetime:
    """When something is to come, as it is written; errors as `when`."""
    try:
        return moments_of(opened).coming(text)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint=option) from None


def thing_named(opened: Opened, name: str, kinds: tuple[str, ...]) -> Thing:
    """The one thing that bears a name, which may be shortened.

    Raises:
        click.UsageError: nothing bears it, several do, or it is of another kind.
    """
    from episodes.answers.names import AmbiguousName, UnknownName, find

    names = [name] if opened.only is None or ":" in name else [f"{opened.only}:{name}", name]
    try:
        try:
            episode, id, kind = find(opened.season, names[0], kinds=kinds)
        except UnknownName:
            if len(names) == 1:
                raise
            episode, id, kind = find(opened.season, names[1], kinds=kinds)
    except AmbiguousName as error:
        raise click.UsageError(str(error)) from None
    except UnknownName as error:
        _refuse_other_kind(opened, name, kinds)
        raise click.UsageError(str(error)) from None
    return Thing(episode, kind, id, title_of(opened, episode, kind, id))


def _refuse_other_kind(opened: Opened, name: str, kinds: tuple[str, ...]) -> None:
    """Say so where the name is known, but as something this command is not for."""
    from episodes.answers.names import AmbiguousName, UnknownName, find

    try:
        _, id, kind = find(opened.season, name)
    except (UnknownName, AmbiguousName):
        return
    if kind not in kinds and kind in _FOR_KIND:
        raise click.UsageError(f'"{id}" is a {kind}; for that there is: {_FOR_KIND[kind]}')


def title_of(opened: Opened, episode: str, kind: str, id: str) -> str:
    """The title of a step, job, parcel or shot."""
    found = opened.season.episode(episode)
    if kind == "step":
        return next(step.title for job in found.jobs for step in job.steps if step.id == id)
    groups: dict[str, tuple[Any, ...]] = {
        "job": found.jobs,
        "parcel": found.parcels,
        "shot": found.shots,
    }
    title: str = next(each.title for each in groups[kind] if each.id == id)
    return title


def moment_words(opened: Opened, value: object) -> str:
    """A written moment in words: `19:00` of today, `Sat 27 Mar 10:30`, `Sat 27 Mar`."""
    from episodes.exports.text_words import Words

    season = opened.season
    moments = moments_of(opened)
    words = Words(season.studio.zone, season.now)
    if isinstance(value, datetime):
        if value.tzinfo is None:
            minute = moments.here.utc(value.date(), value.hour * 60 + value.minute)
        else:
            minute = int(value.timestamp()) // 60
        return words.soon(minute)
    assert isinstance(value, date)
    return "today" if value == moments.today else words.day(moments.here.utc(value, 720))


def write(
    opened: Opened,
    thing: Thing,
    key: str,
    value: object,
    deed: str,
    *,
    also: Mapping[str, object] | None = None,
    as_json: bool,
) -> NoReturn:
    """Write a fact and answer what it means; leaves with 0.

    Args:
        deed: what happened, in words: `done 19:00`.
        also: further keys of the same thing; None removes one.

    Raises:
        PlanError: the season could not be read with it; nothing was written.
    """
    from episodes.files.editing import set_fact

    said = f"{thing.title}: {deed}"

    def edit() -> None:
        set_fact(
            opened.folder,
            thing.episode,
            thing.kind,
            thing.id,
            key,
            value,
            also=also,
            clock=opened.clock,
            now=opened.now,
            said=said,
        )

    tell(opened, edit, lambda: said, thing, as_json=as_json)


def tell(
    opened: Opened,
    change: Callable[[], object],
    said: Callable[[], str],
    thing: Thing | None = None,
    *,
    as_json: bool,
) -> NoReturn:
    """Make a change and answer with the season before and after it; leaves with 0."""
    from episodes.answers.check import check
    from episodes.problems import PlanError

    try:
        before = check(opened.season)
    except PlanError:
        # The change may be what mends it.
        before = None
    try:
        change()
    except PlanError:
        complain("episodes: nothing was written; with this the season could not be read:")
        raise
    try:
        after = check(opened.again().season)
    except PlanError:
        complain(f"episodes: written: {said()}; but the season cannot be answered for:")
        raise
    if as_json:
        from episodes.exports.records import fact_record, to_json

        say(to_json(fact_record(said(), before, after)))
    else:
        from episodes.exports.text_fact import fact_text

        episode = None if thing is None else thing.episode
        id = None if thing is None else thing.id
        say(fact_text(said(), before, after, episode, id))
    leave(ExitCode.MET)
