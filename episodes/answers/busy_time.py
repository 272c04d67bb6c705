"""What does a person's calendar take from their hours? Each busy time, and all of them together."""

from dataclasses import dataclass, replace

from episodes.calendars.openings import Openings
from episodes.model.busy_time import BusyTime
from episodes.model.season import Season
from episodes.network.hours import Hours
from episodes.problems import Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class BusyLine:
    """One busy time; `takes_min` of the person's hours, None where nobody was named."""

    time: BusyTime
    takes_min: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BusyAnswer:
    """A calendar file within [start, end), UTC minutes.

    Attributes:
        file: its name.
        person: id and title; None where nobody was named.
        busy_min: minutes that are busy, each counted once.
        takes_min: minutes of the person's hours that are busy, each counted once.
        hours_min: the person's hours without any of their calendars.
        free: events that are cancelled or marked as free.
        own: events of this program, which do not count.
        named: whether the person's `busy` names the file; None where nobody was named.
    """

    file: str
    now: int
    zone: str
    start: int
    end: int
    lines: tuple[BusyLine, ...]
    busy_min: int
    free: int
    own: int
    problems: tuple[Problem, ...]
    person: tuple[str, str] | None = None
    takes_min: int | None = None
    hours_min: int | None = None
    named: bool | None = None


def busy_time(
    season: Season,
    *,
    file: str,
    times: tuple[BusyTime, ...],
    free: int,
    own: int,
    problems: tuple[Problem, ...],
    start: int,
    end: int,
    person: str | None = None,
    named: bool | None = None,
) -> BusyAnswer:
    """What was understood of a calendar file, against the hours of the person whose it is.

    Args:
        times: by start, reaching into [start, end).
        person: id of the person.
    """
    busy = Openings((each.start, each.end) for each in times).clipped(start, end)
    hours: Openings | None = None
    who: tuple[str, str] | None = None
    if person is not None:
        them = season.studio.person(person)
        who = them.id, them.title
        alone = replace(season.studio, people=(replace(them, busy=()),))
        hours = Hours(replace(season, studio=alone), start, end).person(person)
    lines = tuple(
        BusyLine(
            time=each,
            takes_min=None if hours is None else (hours & Openings([(each.start, each.end)])).total,
        )
        for each in times
    )
    return BusyAnswer(
        file=file,
        now=season.now,
        zone=season.studio.zone,
        start=start,
        end=end,
        lines=lines,
        busy_min=busy.total,
        free=free,
        own=own,
        problems=problems,
        person=who,
        takes_min=None if hours is None else (hours & busy).total,
        hours_min=None if hours is None else hours.total,
        named=named,
    )
