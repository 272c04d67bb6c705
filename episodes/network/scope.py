"""What the release waits for, in which order things are planned, and the finished network.

Required is everything that is neither optional nor behind its own release, and all that such
things wait for. A circle of links is found here and told in the user's names.
"""

import heapq
from collections import defaultdict
from dataclasses import replace

from episodes.calendars.working_time import NEVER
from episodes.network.activity import Activity, DryRow, EpisodeScope, Link, Network
from episodes.network.draft import Draft
from episodes.network.entries import RELEASE
from episodes.network.links import LinkBuilder
from episodes.problems import PlanError, Problem
from episodes.trade.products import STAGES, Stage

REQUIRED, AFTER_RELEASE, OPTIONAL = 0, 1, 2
"""Classes of planning order; each in the order of the episodes' releases."""


def finish_network(draft: Draft, built: LinkBuilder) -> Network:
    """Freeze a draft and its links.

    Raises:
        PlanError: circles of links, unknown stages.
    """
    activities = draft.activities
    links = [link for link in built.links if _counts(draft, link)]
    overtaken = {
        link.succ: (link.pred, link.succ, link.place)
        for link in built.links
        if activities[link.succ].state == "done"
        and activities[link.pred].state != "done"
        and not link.to_finish
    }
    order = _topological(draft, links)
    if draft.faults:
        raise PlanError(draft.faults)
    incoming: list[list[Link]] = [[] for _ in activities]
    outgoing: list[list[Link]] = [[] for _ in activities]
    for link in links:
        incoming[link.succ].append(link)
        outgoing[link.pred].append(link)
    orders = {episode.id: place for place, episode in enumerate(draft.season.episodes)}
    behind = _behind(draft, outgoing)
    required = _required(draft, behind, incoming, order)
    ranks = [
        _rank(
            activity, orders[activity.episode], activity.index in required, activity.index in behind
        )
        for activity in activities
    ]
    for index in reversed(order):
        for link in incoming[index]:
            ranks[link.pred] = min(ranks[link.pred], ranks[index])
    for activity in list(activities):
        activities[activity.index] = replace(
            activity,
            required=activity.index in required,
            behind=activity.index in behind,
            rank=ranks[activity.index],
        )
    members: dict[str, list[int]] = defaultdict(list)
    for activity in activities:
        if activity.id != RELEASE:
            members[activity.episode].append(activity.index)
    studio = draft.season.studio
    shares = {
        space.id: frozenset(
            {space.id, *space.shares_air_with}
            | {other.id for other in studio.spaces if space.id in other.shares_air_with}
        )
        for space in studio.spaces
    }
    noises = {
        space.id: frozenset(
            {space.id, *space.hears}
            | {other.id for other in studio.spaces if space.id in other.hears}
        )
        for space in studio.spaces
    }
    return Network(
        season=draft.season,
        now=draft.season.now,
        start=draft.hours.start,
        end=draft.hours.end,
        activities=tuple(activities),
        links=tuple(links),
        order=tuple(order),
        incoming=tuple(tuple(some) for some in incoming),
        outgoing=tuple(tuple(some) for some in outgoing),
        episodes=tuple(
            EpisodeScope(
                id=episode.id,
                release=episode.release,
                order=orders[episode.id],
                members=tuple(members[episode.id]),
                required=tuple(i for i in members[episode.id] if i in required),
                released=episode.released,
            )
            for episode in draft.season.episodes
        ),
        dries=_dries(activities, built, required),
        index=draft.index,
        during=draft.during,
        absent=draft.absent,
        problems=tuple(draft.problems),
        overtaken=tuple(overtaken.values()),
        shares=shares,
        noises=noises,
        places_of={space.id: space.holds for space in studio.spaces},
        gear_of={gear.id: gear.count for gear in studio.gear},
        lingers={space.id: dict(space.lingers) for space in studio.spaces},
    )


def _counts(draft: Draft, link: Link) -> bool:
    """Facts win: nothing holds what is done, and nothing holds the start of what has begun."""
    succ = draft.activities[link.succ]
    if succ.state == "done":
        return False
    return succ.state == "open" or link.to_finish


def _topological(draft: Draft, links: list[Link]) -> list[int]:
    """Predecessors first, ties by number; adds a fault for a circle."""
    count = len(draft.activities)
    waits = [0] * count
    successors: list[list[int]] = [[] for _ in range(count)]
    for link in links:
        if draft.activities[link.pred].state == "done":
            continue
        waits[link.succ] += 1
        successors[link.pred].append(link.succ)
    ready = [index for index in range(count) if waits[index] == 0]
    heapq.heapify(ready)
    order: list[int] = []
    while ready:
        index = heapq.heappop(ready)
        order.append(index)
        for other in successors[index]:
            waits[other] -= 1
            if waits[other] == 0:
                heapq.heappush(ready, other)
    if len(order) < count:
        draft.faults.append(_circle(draft, links, {i for i in range(count) if waits[i] > 0}))
    return order


def _circle(draft: Draft, links: list[Link], stuck: set[int]) -> Problem:
    before: dict[int, Link] = {}
    for link in links:
        if link.succ in stuck and link.pred in stuck:
            before.setdefault(link.succ, link)
    index = min(before)
    seen: list[int] = []
    while index not in seen:
        seen.append(index)
        index = before[index].pred
    circle = [*seen[seen.index(index) :], index]
    episodes = {draft.activities[i].episode for i in circle}
    names = [
        draft.activities[i].id
        if len(episodes) == 1
        else f"{draft.activities[i].episode}:{draft.activities[i].id}"
        for i in circle
    ]
    link = before[circle[0]]
    activity = draft.activities[circle[0]]
    return Problem(
        level="error",
        code="circle",
        where=link.place or activity.place,
        text=f"These wait for each other in a circle: {' waits for '.join(names)}.",
        mend="Take one of these names out of an after or before.",
        subject=activity.id,
    )


def _behind(draft: Draft, outgoing: list[list[Link]]) -> set[int]:
    """What waits for its own episode's release, directly or through others."""
    found: set[int] = set()
    for episode in draft.season.episodes:
        open_ends = [draft.index[episode.id, RELEASE]]
        while open_ends:
            for link in outgoing[open_ends.pop()]:
                other = draft.activities[link.succ]
                if link.succ not in found and other.episode == episode.id:
                    found.add(link.succ)
                    open_ends.append(link.succ)
    return found


def _required(
    draft: Draft,
    behind: set[int],
    incoming: list[list[Link]],
    order: list[int],
) -> set[int]:
    activities = draft.activities
    required = {
        activity.index
        for activity in activities
        if activity.required and not activity.optional and activity.index not in behind
    }
    for index in reversed(order):
        if index not in required:
            continue
        for link in incoming[index]:
            pred = activities[link.pred]
            if link.pred in required or pred.id == RELEASE or pred.state == "done":
                continue
            required.add(link.pred)
            if pred.optional:
                draft.problems.append(
                    (
                        pred.episode,
                        Problem(
                            level="warning",
                            code="optional-but-needed",
                            where=pred.place,
                            text=f'"{pred.id}" is optional, but "{activities[index].id}" '
                            "waits for it, so the release does too.",
                            mend="Make both optional, or take it out of that after.",
                            subject=pred.id,
                        ),
                    )
                )
    return required


def _rank(activity: Activity, order: int, required: bool, behind: bool) -> tuple[int, int]:
    if required:
        return (REQUIRED, order)
    if activity.optional:
        return (OPTIONAL, order)
    if behind and activity.latest_finish >= NEVER and activity.at is None:
        return (AFTER_RELEASE, order)
    # What has a last moment of its own is planned with its room, before farther rooms take it.
    return (REQUIRED, order)


def _dries(activities: list[Activity], built: LinkBuilder, required: set[int]) -> dict[int, DryRow]:
    rows: dict[int, DryRow] = {}
    for activity in activities:
        if activity.coat is None:
            continue
        needed = built.needed.get(activity.index, [])
        waited = [stage for stage, _ in needed]
        firm = [stage for stage, succ in needed if succ in required]
        rows[activity.index] = DryRow(
            coat=activity.index,
            stage=_latest(waited),
            release_stage=_latest(firm),
        )
    return rows


def _latest(stages: list[Stage]) -> Stage:
    return max(stages, key=STAGES.index) if stages else "handle"
