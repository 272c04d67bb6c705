"""Whose hours are wanting? The reason of a slip that no parcel and no drying explains.

Where every release is met a plan in hand shows that the hours do; so this is asked only where one
is missed. A room that its dates alone make late is held against the whole run up to the release,
one that only its plan makes late against every stretch of weeks, as `load` does.
"""

from collections.abc import Mapping

from episodes.answers.demand import Demand, Squeeze, edges, weeks
from episodes.answers.planning import Planning
from episodes.answers.verdicts import Judgement
from episodes.calendars.local_time import zone
from episodes.problems import Problem


def overbooked(
    planning: Planning, judgements: Mapping[str, Judgement]
) -> dict[str, tuple[Problem, ...]]:
    """The warnings `overbooked` of each room that slips, by its id.

    A stretch is told once, with the last of its rooms that slips.
    """
    late = [id for id, judgement in judgements.items() if judgement.verdict == "slips"]
    if not late:
        return {}
    releases = {scope.id: scope.release for scope in planning.network.episodes}
    by_plan = any(
        (floor := judgements[id].ready_floor) is not None and floor <= releases[id] for id in late
    )
    demand = Demand(planning, edges(planning, weeks(planning) if by_plan else None))
    found: dict[str, list[Problem]] = {}
    for group in demand.groups():
        squeeze = demand.tightest(group) if by_plan else demand.by_releases(group)
        if squeeze is None or squeeze.over_min <= 0:
            continue
        slipping = [id for id in squeeze.episodes if id in late]
        if slipping:
            found.setdefault(slipping[-1], []).append(_problem(planning, squeeze))
    return {id: tuple(problems) for id, problems in found.items()}


def _problem(planning: Planning, squeeze: Squeeze) -> Problem:
    studio = planning.season.studio
    people = [studio.person(id) for id in squeeze.people]
    who = " and ".join(person.title for person in people)
    verb = "is" if len(people) == 1 else "are together"
    when = f"by {_moment(planning, squeeze.end)}"
    if squeeze.start > planning.network.now:
        when = f"between {_moment(planning, squeeze.start)} and {_moment(planning, squeeze.end)}"
    return Problem(
        level="warning",
        code="overbooked",
        where=people[0].place,
        text=f"{who} {verb} overbooked: {_hours(squeeze.needed_min)} of work must be done {when}, "
        f"and {_hours(squeeze.open_min)} are open.",
        mend="Add hours (extra), let somebody else do some of it (who), or drop something; "
        "`episodes load` shows the weeks.",
        subject=squeeze.people[0],
    )


def _moment(planning: Planning, minute: int) -> str:
    local = zone(planning.season.studio.zone).local(minute)
    return f"{local:%Y-%m-%d %H:%M}"


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"
