"""A season with some of its ways out taken, or with time moved on as planned.

Both only rewrite what was written; planning it is the caller's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from episodes.amounts import Estimate
from episodes.answers.planning import Planning
from episodes.calendars.openings import Stretch
from episodes.model.episode import Episode, Fallback, Parcel, Shot, Step
from episodes.model.season import Season
from episodes.network.timing import Delivery, Expected, Hands

AirByHand = dict[str, tuple[float | None, float | None]]


@dataclass(frozen=True, slots=True)
class Changed:
    """A season rewritten, with what its network needs beside it: hours added, air changed."""

    season: Season
    extra: dict[str, tuple[Stretch, ...]]
    air: AirByHand


def taking(season: Season, episode: str, ways: Sequence[Fallback]) -> Changed:
    """The season with these ways out of one episode taken now, together."""
    extra: dict[str, tuple[Stretch, ...]] = {}
    air: AirByHand = {}
    changed = season.episode(episode)
    for way in ways:
        changed = _take(changed, way, season.now)
        for person, stretch in way.extra:
            extra[person] = (*extra.get(person, ()), stretch)
        for space, (celsius, humidity) in way.air.items():
            before = air.get(space, (None, None))
            air[space] = (
                before[0] if celsius is None else celsius,
                before[1] if humidity is None else humidity,
            )
    episodes = tuple(changed if e.id == episode else e for e in season.episodes)
    return Changed(replace(season, episodes=episodes), extra, air)


def _take(episode: Episode, way: Fallback, now: int) -> Episode:
    dropped = {(ref.kind, ref.id) for ref in way.drop}
    used = {(ref.kind, ref.id) for ref in way.use}

    def step(written: Step) -> Step:
        if ("step", written.id) in dropped or ("job", written.job) in dropped:
            written = replace(written, dropped=now)
        if ("step", written.id) in used or ("job", written.job) in used:
            written = replace(written, fallback_only=False)
        if written.id in way.hands:
            written = replace(written, hands=way.hands[written.id])
        if written.id in way.coat:
            written = replace(written, coating=way.coat[written.id])
        if written.id in way.where:
            written = replace(written, where=way.where[written.id])
        if written.id in way.who:
            written = replace(written, who=way.who[written.id])
        return written

    def parcel(written: Parcel) -> Parcel:
        if ("parcel", written.id) in dropped:
            written = replace(written, dropped=now)
        if ("parcel", written.id) in used:
            written = replace(written, fallback_only=False)
        if written.id in way.parcel:
            # A new order, placed now: what was ordered before does not count any more.
            new = way.parcel[written.id]
            written = replace(
                written,
                lead=new.lead,
                carrier=new.carrier or written.carrier,
                ordered=None,
                promised=None,
                arrived=None,
                failed=None,
            )
        return written

    def shot(written: Shot) -> Shot:
        if ("shot", written.id) in dropped:
            written = replace(written, dropped=now)
        if ("shot", written.id) in used:
            written = replace(written, fallback_only=False)
        if written.id in way.hands:
            written = replace(written, hands=way.hands[written.id])
        if written.id in way.where:
            written = replace(written, where=way.where[written.id])
        if written.id in way.who:
            written = replace(written, who=way.who[written.id])
        return written

    return replace(
        episode,
        jobs=tuple(
            replace(
                job,
                fallback_only=job.fallback_only and ("job", job.id) not in used,
                steps=tuple(step(written) for written in job.steps),
            )
            for job in episode.jobs
        ),
        parcels=tuple(parcel(written) for written in episode.parcels),
        shots=tuple(shot(written) for written in episode.shots),
    )


def at_later(planning: Planning, moment: int) -> Season:
    """The season read at a later moment, all that was planned before it done as planned."""
    season = planning.season
    network, plan = planning.network, planning.plan

    def facts(episode: str, id: str) -> tuple[int | None, int | None, int | None]:
        """(begun, over, hands-on minutes left) by the plan, where they are past by then."""
        index = network.index.get((episode, id), network.during.get((episode, id), -1))
        placed = None if index < 0 else plan.placed[index]
        if placed is None or network.activities[index].state == "done":
            return None, None, None
        activity = network.activities[index]
        begun = activity.fact_start if activity.fact_start is not None else placed.start
        if begun >= moment and activity.fact_start is None:
            return None, None, None
        if placed.finish <= moment:
            return begun, placed.finish, None
        timing = activity.choices[placed.choice].timing
        left = timing.own_minutes(moment, placed.finish) if isinstance(timing, Hands) else None
        return begun, None, left

    def step(episode: str, written: Step) -> Step:
        begun, over, left = facts(episode, written.id)
        if over is not None:
            return replace(written, started=begun, done=over, failed=None)
        if begun is None:
            return written
        if left is None and written.wait is not None:
            left = _placed_finish(planning, episode, written.id) - moment
        return replace(written, started=begun, left=left, failed=None)

    def parcel(episode: str, written: Parcel) -> Parcel:
        index = network.index.get((episode, written.id))
        placed = None if index is None else plan.placed[index]
        if placed is None or index is None or written.arrived is not None:
            return written
        timing = network.activities[index].choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        arrival = timing.arrival(placed.start)
        # What came and was no use is ordered again: the order that counts is the planned one.
        ordered = written.ordered if network.activities[index].state == "started" else None
        if ordered is None and placed.start < moment:
            ordered = placed.start
        if ordered is None and arrival > moment:
            return written
        if arrival <= moment:
            return replace(written, ordered=ordered, promised=None, arrived=arrival, failed=None)
        return replace(written, ordered=ordered, promised=arrival, failed=None)

    def shot(episode: str, written: Shot) -> Shot:
        begun, over, left = facts(episode, written.id)
        if over is not None:
            return replace(written, taken=over, lost=None)
        if begun is None or (episode, written.id) in network.during:
            return written
        hands = written.hands if left is None else Estimate(left, left, left)
        return replace(written, started=begun, hands=hands)

    return replace(
        season,
        now=moment,
        episodes=tuple(
            replace(
                episode,
                jobs=tuple(
                    replace(job, steps=tuple(step(episode.id, s) for s in job.steps))
                    for job in episode.jobs
                ),
                parcels=tuple(parcel(episode.id, p) for p in episode.parcels),
                shots=tuple(shot(episode.id, s) for s in episode.shots),
            )
            for episode in season.episodes
        ),
    )


def _placed_finish(planning: Planning, episode: str, id: str) -> int:
    placed = planning.plan.placed[planning.network.index[episode, id]]
    assert placed is not None
    return placed.finish
