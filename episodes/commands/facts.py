"""What the commands that write have in common: find the thing, write, answer what it means."""

from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

from episodes.commands.moments import Moments
from episodes.commands.opening import Opened, json_option, season_options
from episodes.commands.printing import ExitCode, complain, leave, say

if TYPE_CHECKING:
    from episodes.answers.names import Thing, ThingKind

Command = TypeVar("Command", bound=Callable[..., Any])


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


def thing_named(opened: Opened, name: str, kinds: "tuple[ThingKind, ...]") -> "Thing":
    """The one thing that bears a name, which may be shortened.

    Raises:
        click.UsageError: nothing bears it, several do, or it is of another kind.
    """
    from episodes.answers.names import AmbiguousNameError, UnknownNameError, find

    season = opened.season
    try:
        if opened.only is not None and ":" not in name:
            # The episode whose file was named is meant, where it has such a thing.
            with suppress(UnknownNameError):
                return find(season, f"{opened.only}:{name}", kinds=kinds)
        return find(season, name, kinds=kinds)
    except AmbiguousNameError as error:
        raise click.UsageError(str(error)) from None
    except UnknownNameError as error:
        _refuse_other_kind(opened, name, kinds)
        raise click.UsageError(str(error)) from None


def _refuse_other_kind(opened: Opened, name: str, kinds: "tuple[ThingKind, ...]") -> None:
    """Say so where the name is known, but as something this command is not for."""
    from episodes.answers.names import AmbiguousNameError, UnknownNameError, find

    try:
        thing = find(opened.season, name)
    except (UnknownNameError, AmbiguousNameError):
        return
    if thing.kind not in kinds and thing.kind in _FOR_KIND:
        commands = _FOR_KIND[thing.kind]
        raise click.UsageError(f'"{thing.id}" is a {thing.kind}; for that there is: {commands}')


def moment_words(opened: Opened, value: date | datetime, *, dated: bool = False) -> str:
    """A written moment in words: `19:00` of today, `Sat 27 Mar 10:30`, `Sat 27 Mar`.

    With `dated` a moment of today has its day too.
    """
    from episodes.exports.text_words import Words

    words = Words(opened.season.studio.zone, opened.season.now)
    if isinstance(value, datetime):
        minute = minute_of(opened, value)
        return words.moment(minute) if dated else words.soon(minute)
    moments = moments_of(opened)
    if value == moments.today and not dated:
        return "today"
    return words.day(moments.here.utc(value, 12 * 60))


def minute_of(opened: Opened, value: object) -> int:
    """UTC minute of a written moment; a bare date is its end, now at the latest."""
    moments = moments_of(opened)
    if not isinstance(value, datetime):
        assert isinstance(value, date)
        return min(moments.here.utc(value, 24 * 60), opened.season.now)
    if value.tzinfo is None:
        return moments.here.utc(value.date(), value.hour * 60 + value.minute)
    return int(value.timestamp()) // 60


def write(
    opened: Opened,
    thing: "Thing",
    key: str,
    value: object,
    deed: str,
    *,
    also: Mapping[str, object] | None = None,
    at: date | datetime | None = None,
    as_json: bool,
) -> NoReturn:
    """Write a fact and answer what it means; leaves with 0.

    Args:
        deed: what happened, in words: `done {when}`.
        at: the moment that stands for `{when}`: short in the answer, with its day in the journal.
        also: further keys of the same thing; None removes one.

    Raises:
        PlanError: the season could not be read with it; nothing was written.
    """
    from episodes.files.editing import set_fact

    said = noted = f"{thing.title}: {deed}"
    if at is not None:
        said = said.replace("{when}", moment_words(opened, at))
        noted = noted.replace("{when}", moment_words(opened, at, dated=True))

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
            said=noted,
            seen=opened.texts,
        )

    tell(opened, edit, lambda: said, thing, as_json=as_json)


def tell(
    opened: Opened,
    change: Callable[[], object],
    said: Callable[[], str],
    thing: "Thing | None" = None,
    *,
    as_json: bool,
) -> NoReturn:
    """Make a change and answer with the season before and after it; leaves with 0."""
    from episodes.answers.check import check
    from episodes.commands.recover import offer
    from episodes.problems import PlanError

    offer(opened.folder)
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
