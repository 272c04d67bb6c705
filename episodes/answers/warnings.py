"""Problems that only the plan shows: air that keeps a coat waiting, windows missed, no cushion."""

from collections.abc import Iterable
from itertools import pairwise

from episodes.amounts import length_in_words
from episodes.answers.planning import Planning
from episodes.answers.verdicts import Judgement
from episodes.calendars.local_time import zone
from episodes.model.episode import Episode
from episodes.network.activity import Activity, Link
from episodes.network.timing import Gate, Hands
from episodes.problems import Problem
from episodes.trade.limits import in_words, mends, outside
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
    return ranked(found)


def ranked(problems: Iterable[Problem]) -> list[Problem]:
    """Each problem once, errors first, then by line."""
    order = {"error": 0, "warning": 1, "note": 2}
    return sorted(
        dict.fromkeys(problems),
        key=lambda p: (order[p.level], p.where.line if p.where else 0, p.code, p.subject),
    )


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
    found: list[Problem] = []
    for activity in _open_members(planning, episode):
        placed = planning.plan.placed[activity.index]
        if placed is None or activity.coat is None:
            continue
        timing = activity.choices[placed.choice].timing
        if not isinstance(timing, Hands) or timing.gate is None:
            continue
        # Dust or fumes of somebody else's are "air" too; only what the hours alone would allow
        # sooner has waited for warmth or dry air.
        held = next(
            (
                before
                for (_, before), (reason, _) in pairwise(placed.reasons)
                if reason.kind == "air" and timing.fit_hours(before) < timing.fit(before)
            ),
            None,
        )
        if held is None:
            continue
        at, until = timing.fit_hours(held), timing.fit(held)
        found.append(_closed_air(planning, activity, timing.gate, at, until))
    return found


def _closed_air(planning: Planning, activity: Activity, gate: Gate, at: int, until: int) -> Problem:
    """The words of it.

    Args:
        at: when it could begin by the hours of its people and space alone.
        until: when the air lets it.
    """
    assert activity.coat is not None
    coating = activity.coat.coating
    studio = planning.season.studio
    local = zone(studio.zone)
    space = activity.where or "the air"
    # The air of that moment may do and turn before the coat is touch dry.
    since, out = next(
        (start, found)
        for start, end, air in gate.air
        if end > at and (found := outside(coating, air)) is not None
    )
    said = in_words(out, coating.product, fahrenheit=studio.units == "us")
    if since <= at:
        why = f"{space} is at {said}."
    else:
        why = (
            f"begun before, it would not be touch dry by {local.day(since)}, when {space} goes to "
            f"{said}."
        )
    return Problem(
        level="warning",
        code=out.why,
        where=activity.place,
        text=f'"{activity.id}" waits until {local.day(until)}: {why}',
        mend=mends([out.why], space),
        subject=activity.id,
    )
