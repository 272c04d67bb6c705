"""Problems that only the plan shows: air that keeps a coat waiting, windows missed, no cushion."""

from datetime import datetime

from episodes.amounts import length_in_words
from episodes.answers.planning import Planning
from episodes.answers.verdicts import Judgement
from episodes.calendars.local_time import zone
from episodes.calendars.working_time import NEVER
from episodes.model.episode import Episode
from episodes.network.activity import Activity, Link
from episodes.network.timing import Hands
from episodes.problems import Problem
from episodes.trade.products import STAGES


def problems_of(planning: Planning, episode: Episode, judgement: Judgement) -> list[Problem]:
    """All problems of one episode, errors first, then by line."""
    found = [problem for id, problem in planning.network.problems if id == episode.id]
    found += [p for p in planning.season.problems if _speaks_of(p, episode)]
    if episode.released is None:
        found += _out_of_order(planning, episode)
        found += _recoats(planning, episode)
        found += _air(planning, episode)
        cushion = planning.season.studio.cushion
        if (
            cushion is not None
            and judgement.verdict == "meets"
            and judgement.spare_min is not None
            and judgement.spare_min < cushion
        ):
            found.append(
                Problem(
                    level="warning",
                    code="cushion",
                    where=episode.place,
                    text=f"{length_in_words(judgement.spare_min)} to spare is less than the "
                    f"cushion of {length_in_words(cushion)} you want.",
                    mend="Look at what is critical, and at the parcels with the nearest last day.",
                )
            )
    order = {"error": 0, "warning": 1, "note": 2}
    unique = list(dict.fromkeys(found))
    unique.sort(key=lambda p: (order[p.level], p.where.line if p.where else 0, p.code, p.subject))
    return unique


def _speaks_of(problem: Problem, episode: Episode) -> bool:
    return problem.where is not None and problem.where.file == episode.file


def _open_members(planning: Planning, episode: Episode) -> list[Activity]:
    network = planning.network
    return [
        network.activities[i]
        for i in network.scope(episode.id).members
        if network.activities[i].state != "done"
    ]


def _out_of_order(planning: Planning, episode: Episode) -> list[Problem]:
    """Something done while what it should have waited for is still open."""
    found = []
    for pred, succ, place in planning.network.overtaken:
        later = planning.network.activities[succ]
        if later.episode != episode.id:
            continue
        earlier = planning.network.activities[pred]
        found.append(
            Problem(
                level="warning",
                code="out-of-order",
                where=place or later.place,
                text=f'"{later.id}" is done, but "{earlier.id}", which comes before it, is not.',
                mend=f"Enter {earlier.id} as done if it is, or take it out of that after.",
                subject=later.id,
            )
        )
    return found


def _recoats(planning: Planning, episode: Episode) -> list[Problem]:
    network = planning.network
    found: list[Problem] = []
    missed = set(planning.dates.missed)
    for activity in _open_members(planning, episode):
        for link in network.incoming[activity.index]:
            if link in missed:
                found.append(_missed(planning, link))
            elif link.recoat and link.void_after is not None and _void(planning, link):
                coat = network.activities[link.pred]
                found.append(
                    Problem(
                        level="warning",
                        code="scuff-first",
                        where=link.place or activity.place,
                        text=f'In this air "{coat.id}" can be recoated only after its longest '
                        f"recoat time of {length_in_words(link.most or 0)} is over; "
                        f'"{activity.id}" is planned as if it were scuffed first.',
                        mend="Add a sanding step between the two with opens_window = true, or "
                        "warm the space.",
                        subject=activity.id,
                    )
                )
    return found


def _void(planning: Planning, link: Link) -> bool:
    placed = planning.plan.placed[link.pred]
    coat = planning.network.activities[link.pred].coat
    if placed is None or coat is None or link.most is None:
        return False
    assert link.void_after is not None
    return coat.stage_end(STAGES[link.void_after - 2], placed.finish) > placed.finish + link.most


def _missed(planning: Planning, link: Link) -> Problem:
    network = planning.network
    pred, succ = network.activities[link.pred], network.activities[link.succ]
    if link.recoat:
        return Problem(
            level="error",
            code="recoat-missed",
            where=link.place or succ.place,
            text=f'"{succ.id}" had to begin within {length_in_words(link.most or 0)} of '
            f'"{pred.id}", and that has passed.',
            mend="Sand, then coat: add a sanding step between the two with opens_window = true.",
            subject=succ.id,
        )
    return Problem(
        level="error",
        code="window-missed",
        where=link.place or succ.place,
        text=f'"{succ.id}" had to begin within {length_in_words(link.most or 0)} of '
        f'"{pred.id}", and that can\'t be had any more.',
        mend=f"Widen or drop the within, or do {pred.id} again (failed).",
        subject=succ.id,
    )


def _air(planning: Planning, episode: Episode) -> list[Problem]:
    """Coats that the air keeps waiting: what, until when, by how much, and what would mend it."""
    network = planning.network
    local = zone(network.season.studio.zone)
    found: list[Problem] = []
    for activity in _open_members(planning, episode):
        placed = planning.plan.placed[activity.index]
        if placed is None or activity.coat is None:
            continue
        timing = activity.choices[placed.choice].timing
        if not isinstance(timing, Hands) or timing.gate is None:
            continue
        held = next(
            (
                (before, until)
                for (_, before), (reason, until) in zip(
                    placed.reasons, placed.reasons[1:], strict=False
                )
                if reason.kind == "air" and timing.fit_hours(before) < until
            ),
            None,
        )
        if held is None:
            continue
        without = timing.fit_hours(held[0])
        if without >= NEVER or without >= held[1]:
            continue
        found.append(_closed_air(planning, activity, without, local.local(placed.start)))
    return found


def _closed_air(planning: Planning, activity: Activity, at: int, until: datetime) -> Problem:
    assert activity.coat is not None
    coating = activity.coat.coating
    season = planning.season
    local = zone(season.studio.zone)
    month = local.day(at).month
    celsius, humidity = 21.0, 50.0
    where = "that air"
    if activity.where is not None:
        space = season.studio.space(activity.where)
        air = space.air_by_month[month - 1]
        celsius, humidity, where = air.celsius, air.humidity, space.id
    code = "too-cold"
    if coating.lowest_celsius is not None and celsius < coating.lowest_celsius:
        limit = coating.lowest_celsius
        what = f"{celsius:g} \N{DEGREE SIGN}C there and {coating.product} needs {limit:g}"
    elif coating.highest_celsius is not None and celsius > coating.highest_celsius:
        code = "too-hot"
        limit = coating.highest_celsius
        what = f"{celsius:g} \N{DEGREE SIGN}C there and {coating.product} bears {limit:g}"
    elif coating.highest_humidity is not None and humidity > coating.highest_humidity:
        code = "too-damp"
        what = f"{humidity:g} % there and {coating.product} bears {coating.highest_humidity:g}"
    else:
        # The air of the start is fine, but it would not be touch dry before the air changes.
        what = f"it would not be touch dry before the air of {where} changes"
    return Problem(
        level="warning",
        code=code,
        where=activity.place,
        text=f'"{activity.id}" waits until {until:%Y-%m-%d}: {what}.',
        mend=f"Heat or dry {where} (air), move the step (where), or take another product (coat).",
        subject=activity.id,
    )
