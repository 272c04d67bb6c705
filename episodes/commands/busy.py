"""`busy`: what was understood of a person's calendar file."""

from datetime import date, datetime
from pathlib import Path

import click

from episodes.commands.opening import Opened, json_option, open_season, season_options
from episodes.commands.people import person_named
from episodes.commands.printing import ExitCode, complain, leave, say

WEEKS = 4


@click.command("busy")
@click.argument("file", metavar="FILE.ics", type=click.Path(path_type=Path))
@click.option("--person", metavar="ID", help="Whose calendar it is: what it takes of their hours.")
@click.option("--from", "from_text", metavar="WHEN", help="From this day or moment. Default: now.")
@click.option("--to", "to_text", metavar="WHEN", help="To this day or moment. Default: four weeks.")
@season_options
@json_option
def command(
    file: Path,
    person: str | None,
    from_text: str | None,
    to_text: str | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """Show what was understood of a calendar file: each busy time, and what was left out.

    The plan reads the files that `busy` names under a person in studio.toml in the same way.
    Nothing is changed.
    """
    from episodes.answers.busy_time import busy_time
    from episodes.files.busy import understand

    opened = open_season(None, season_option, now_text)
    season = opened.season
    who = None if person is None else person_named(opened, person).id
    start = season.now if from_text is None else _moment(from_text, "--from", opened, end=False)
    if to_text is None:
        end = start + WEEKS * 7 * 1440
    else:
        end = _moment(to_text, "--to", opened, end=True)
    if end <= start:
        raise click.UsageError("--to comes before --from")
    found = understand(file, season.studio.zone, start, end)
    faults = [problem for problem in found.problems if problem.level == "error"]
    if faults:
        for problem in faults:
            complain(str(problem))
        leave(ExitCode.WRONG_INPUT)
    answer = busy_time(
        season,
        file=file.name,
        times=found.taken,
        free=found.free,
        own=found.own,
        problems=found.problems,
        start=start,
        end=end,
        person=who,
        named=None if who is None else _named(opened.folder, who, file),
    )
    if as_json:
        from episodes.exports.busy_records import busy_record
        from episodes.exports.records import to_json

        say(to_json(busy_record(answer)))
    else:
        from episodes.exports.text_busy import busy_text

        say(busy_text(answer))
    leave(ExitCode.MET)


def _moment(text: str, option: str, opened: Opened, *, end: bool) -> int:
    """A day's start, its end where `end`, or the moment itself."""
    from episodes.calendars.local_time import zone
    from episodes.commands.moments import Moments, parse_instant

    name = opened.season.studio.zone
    here = zone(name)
    try:
        when = Moments(here, opened.season.now).coming(text)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint=option) from None
    if isinstance(when, datetime):
        return parse_instant(when.isoformat(), name)
    day: date = when
    return here.utc(day, 1440 if end else 0)


def _named(folder: Path, person: str, file: Path) -> bool:
    """Whether the person's `busy` names this file."""
    import tomllib

    studio = tomllib.loads((folder / "studio.toml").read_text(encoding="utf-8-sig"))
    names = [
        name
        for table in studio.get("person", ())
        if table.get("id") == person
        for name in table.get("busy", ())
    ]
    return any((folder / name).resolve() == file.resolve() for name in names)
