"""`calendar`: the dates as a calendar file that other programs subscribe to."""

from pathlib import Path

import click

from episodes.commands.opening import open_season, season_argument, season_options
from episodes.commands.people import person_named
from episodes.commands.printing import ExitCode, complain, leave, say

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
@click.option("--person", metavar="ID", help="Only what this person does.")
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
    from episodes.answers.check import check
    from episodes.exports.ical import calendar_file
    from episodes.exports.ical_entries import Options
    from episodes.exports.ical_state import EarlierFileError
    from episodes.exports.safe_text import clean
    from episodes.exports.text_words import read_as_of

    opened = open_season(season_argument, season_option, now_text)
    whose = None if person is None else person_named(opened, person).id
    earlier = _earlier(file)
    answer = check(opened.season, only=opened.only)
    options = Options(person=whose, private=private, tasks=tasks, waits=waits, alarms=alarms)
    try:
        made = calendar_file(
            answer, opened.season, now=answer.now, earlier=earlier, options=options
        )
    except EarlierFileError as error:
        complain(f"{file}: not written over, {error}; name another file or move this one away")
        leave(ExitCode.WRONG_INPUT)
    if made.data != earlier:
        _write(file, made.data)
    lines = [
        read_as_of(answer),
        f"{file.name}: {made.summary}.",
        *(
            f"{episode.title} slips: its dates are tentative."
            for episode in answer.episodes
            if episode.verdict == "slips"
        ),
        "Subscribe to this address, don't import the file (an import does not follow changes):",
        f"  {file.resolve().as_uri()}",
    ]
    say("\n".join(clean(line) for line in lines if line))
    leave(ExitCode.MET)


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
