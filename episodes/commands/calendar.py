"""`calendar`: the dates as a calendar file that other programs subscribe to."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.opening import Opened, open_season, season_argument, season_options
from episodes.commands.people import person_named
from episodes.commands.printing import ExitCode, complain, leave, say

if TYPE_CHECKING:
    from episodes.answers.rows import CheckAnswer

EVERYBODY = "all"
"""Said instead of a person: one file for the studio and one beside it for each person."""

LARGEST_EARLIER = 32 * 1024 * 1024
"""Bytes; no file of ours comes near, so a larger one is somebody else's."""


@click.command("calendar")
@season_argument
@season_options
@click.option(
    "-o",
    "--output",
    "file",
    metavar="FILE.ics",
    required=True,
    type=click.Path(path_type=Path),
    help="Where to write; take the same place each time.",
)
@click.option(
    "--person",
    metavar="ID",
    help='Only what this person does; "all": FILE.ics and a FILE.PERSON.ics beside it for each.',
)
@click.option("--private", is_flag=True, help='Only when somebody is busy; every title is "Busy".')
@click.option("--tasks", is_flag=True, help="Orders as tasks with a due date, not as events.")
@click.option("--waits", is_flag=True, help="Waits and drying too.")
@click.option("--alarms", is_flag=True, help="An alarm before each session of work and each shot.")
def command(
    season_argument: Path | None,
    season_option: Path | None,
    now_text: str | None,
    file: Path,
    person: str | None,
    private: bool,
    tasks: bool,
    waits: bool,
    alarms: bool,
) -> None:
    """Write work, shots, order-by dates and releases as a calendar file.

    Subscribe to the file in the calendar program, don't import it: a subscription follows when
    the plan changes, an import keeps the old dates. Write to the same FILE.ics each time; what
    stood there tells what has moved and what is cancelled.
    """
    from episodes.answers.check import answer
    from episodes.answers.planning import plan_season
    from episodes.answers.precedence import precedences
    from episodes.exports.ical import calendar_file
    from episodes.exports.ical_entries import Options
    from episodes.exports.ical_state import EarlierFileError

    opened = open_season(season_argument, season_option, now_text)
    wanted = _wanted(opened, file, person)
    earlier = {place: _earlier(place) for place, _ in wanted}
    planning = plan_season(opened.season)
    judged = answer(planning, only=opened.only)
    links = precedences(planning, waits=waits)
    made = {}
    refused = False
    for place, whose in wanted:
        options = Options(person=whose, private=private, tasks=tasks, waits=waits, alarms=alarms)
        try:
            made[place] = calendar_file(
                judged,
                opened.season,
                now=judged.now,
                earlier=earlier[place],
                options=options,
                links=links,
            )
        except EarlierFileError as error:
            complain(f"{place}: not written over, {error}; name another file or move this one away")
            refused = True
    if refused:
        leave(ExitCode.WRONG_INPUT)
    for place, calendar in made.items():
        if calendar.data != earlier[place]:
            _write(place, calendar.data)
    say(_said(judged, {place: calendar.summary for place, calendar in made.items()}))
    leave(ExitCode.MET)


def _wanted(opened: Opened, file: Path, person: str | None) -> list[tuple[Path, str | None]]:
    """The files to write, each with whose it is; None for everybody's.

    Raises:
        click.UsageError: nobody is called so.
    """
    if person is None:
        return [(file, None)]
    people = opened.season.studio.people
    if person.casefold() != EVERYBODY:
        return [(file, person_named(opened, person).id)]
    beside = [(file.with_name(f"{file.stem}.{who.id}{file.suffix}"), who.id) for who in people]
    return [(file, None), *beside]


def _said(judged: "CheckAnswer", summaries: "dict[Path, str]") -> str:
    from episodes.exports.safe_text import clean
    from episodes.exports.text_words import read_as_of

    several = len(summaries) > 1
    address = "these addresses" if several else "this address"
    thing = "files" if several else "file"
    lines = [
        read_as_of(judged),
        *(f"{place.name}: {summary}." for place, summary in summaries.items()),
        *(
            f"{episode.title} slips: its dates are tentative."
            for episode in judged.episodes
            if episode.verdict == "slips"
        ),
        f"Subscribe to {address}, don't import the {thing} (an import does not follow changes):",
        *(f"  {place.resolve().as_uri()}" for place in summaries),
    ]
    return "\n".join(clean(line) for line in lines if line)


def _earlier(file: Path) -> bytes | None:
    """What stands at the file's place; None for nothing.

    Raises:
        click.UsageError: there is no folder to write into, or what stands there is no file.
        OSError: it cannot be read.
    """
    if file.is_file():
        if file.stat().st_size > LARGEST_EARLIER:
            raise click.UsageError(
                f"{file} is not a calendar file of this program; it is left alone"
            )
        return file.read_bytes()
    if file.exists():
        raise click.UsageError(f"{file} is not a file; name one that ends in .ics")
    if not file.parent.is_dir():
        raise click.UsageError(f"there is no folder {file.parent}; make it first")
    return None


def _write(file: Path, data: bytes) -> None:
    """Put the file in its place whole: a subscriber never reads half of it."""
    from episodes.files.saving import write_whole

    write_whole(file.resolve(), data.decode())
