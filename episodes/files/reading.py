"""A season from its folder: every file read, every name resolved, every fault found in one run.

`read_season` is the one way from plan files to the model. A fault stops nothing by itself: the
rest is read on and all faults are raised together, in the order of files and lines. Faults in
`ideas/` stop nobody else: such an idea is left out and its faults go along with the season.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from episodes.calendars.openings import Stretch
from episodes.files.context import Context, Ground
from episodes.files.crosschecks import check_episode, things_of
from episodes.files.faults import Faults
from episodes.files.folder import Folder, PlanFile
from episodes.files.holiday_cache import read_holidays
from episodes.files.names import Names
from episodes.files.reading_episode import read_episode, releases_of
from episodes.files.reading_studio import StudioReader, check_defaults, ground_of
from episodes.files.schema_check import check_studio
from episodes.files.source import Source
from episodes.files.values import in_two, quoted
from episodes.model.episode import Episode
from episodes.model.season import Season
from episodes.model.studio import Studio
from episodes.problems import PlanError, Problem


def season_folder(path: Path) -> tuple[Path, str | None]:
    """The season's folder, and the id of the episode if its file was named.

    Raises:
        PlanError: nothing there, or a file that is no plan.
    """
    folder = Folder.of(path)
    return folder.path, folder.named


def read_season(
    path: Path,
    *,
    clock: int,
    now: int | None = None,
    overrides: Mapping[Path, str] | None = None,
) -> Season:
    """The season in a folder, or the one that an episode's file belongs to.

    Args:
        clock: the clock's UTC minute, rounded up.
        now: the moment to read the season at; else the studio's `as_of`, else the clock.
        overrides: texts to take for files instead of what is on the disk.

    Raises:
        PlanError: something is wrong; `problems` has every fault of every file.
    """
    faults = Faults()
    names = Names()
    folder = Folder.of(path, overrides or {})
    source = folder.studio(faults)
    files = folder.plans(names, faults)
    if source is None:
        raise PlanError(_all(faults, folder.idea_faults))
    reader = StudioReader(source, check_studio(source, faults), names, faults)
    as_of = reader.as_of()
    at = now if now is not None else as_of if as_of is not None else clock
    studio = reader.studio()
    ground = ground_of(reader, studio, at)
    check_defaults(Context(ground, names, faults, source, "", at, None))
    releases = releases_of(files, ground)
    episodes, ideas = _episodes(files, ground, names, studio, releases)
    last = max([at, *releases.values()])
    studio = _with_busy(studio, reader, folder.path, at, last, faults)
    zone = ground.zone
    years = range(zone.day(at).year - 1, zone.day(last).year + 4)
    holidays = _holidays(studio, source, years, faults)
    problems = _all(faults, folder.idea_faults)
    if faults.errors:
        raise PlanError(problems)
    return Season(
        studio=studio,
        episodes=tuple(sorted(episodes, key=lambda episode: (episode.release, episode.id))),
        ideas=tuple(sorted(ideas, key=lambda idea: idea.id)),
        now=at,
        holidays=holidays,
        problems=tuple(problems),
        read_as_of=now is None and as_of is not None,
    )


def _episodes(
    files: list[PlanFile],
    ground: Ground,
    names: Names,
    studio: Studio,
    releases: Mapping[str, int],
) -> tuple[list[Episode], list[Episode]]:
    """The episodes, and the ideas that have no fault."""
    coated: set[str] = set()
    read = [(file, read_episode(file, ground, names, releases[file.id], coated)) for file in files]
    things = things_of(episode for _, episode in read)
    for file, episode in read:
        check_episode(episode, things, studio, coated, file.faults)
    episodes = [episode for file, episode in read if not file.idea]
    ideas = [episode for file, episode in read if file.idea and not file.faults.errors]
    return episodes, ideas


def _with_busy(
    studio: Studio, reader: StudioReader, folder: Path, now: int, last: int, faults: Faults
) -> Studio:
    """The studio with the busy time of its people's calendar files, around now and the last
    release."""
    named = {table.id: table.busy for table in reader.table.person or () if table.busy}
    if not named:
        return studio
    from episodes.files.busy import AHEAD, BEFORE, read_busy

    people = []
    for person in studio.people:
        stretches: list[Stretch] = []
        for index, name in enumerate(named.get(person.id) or ()):
            place = reader.busy_place(person.id, index)
            file = folder / name
            if not file.is_file():
                text = f"person {quoted(person.id)}: the calendar file {quoted(name)} is not there."
                mend = "It stands beside studio.toml; name another, or leave `busy` out."
                faults.add("unreadable", place, text, mend, subject=person.id)
                continue
            busy, problems = read_busy(file, studio.zone, now - BEFORE, last + AHEAD)
            stretches.extend(busy)
            for problem in problems:
                faults.take(replace(problem, where=problem.where or place))
        people.append(replace(person, busy=tuple(sorted(stretches))))
    return replace(studio, people=tuple(people))


def _holidays(studio: Studio, source: Source, years: range, faults: Faults) -> frozenset[date]:
    if studio.holidays is None:
        return frozenset()
    try:
        return read_holidays(studio.holidays, years)
    except ValueError as fault:
        text, mend = in_two(fault)
        faults.add("bad-value", source.place(("holidays",)), f"`holidays`: {text}", mend)
        return frozenset()


def _all(faults: Faults, of_ideas: Iterable[Faults]) -> list[Problem]:
    """Everything found, once, by file and line."""
    found = dict.fromkeys(faults.sorted())
    for more in of_ideas:
        found |= dict.fromkeys(more.sorted())
    problems = sorted(
        found, key=lambda each: (each.where.file, each.where.line) if each.where else ("", 0)
    )
    dropped = faults.dropped + sum(more.dropped for more in of_ideas)
    if dropped:
        text = f"and {dropped:,} more, which are not shown."
        problems.append(Problem(level="error", code="too-many", where=None, text=text))
    return problems
