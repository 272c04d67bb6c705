"""What a way can touch: episodes that have a part in a room's plan, ways that exclude others."""

from collections.abc import Iterator
from dataclasses import replace

from episodes.model.episode import After, Episode, Fallback, Ref, Shot, Step
from episodes.model.season import Season


def clash(one: Fallback, other: Fallback) -> bool:
    """Whether two ways change the same thing: only one of the two can be taken."""
    return bool(_changed(one) & _changed(other))


def _changed(way: Fallback) -> set[tuple[str, str]]:
    return {
        *(("parcel", id) for id in way.parcel),
        *(("hands", id) for id in way.hands),
        *(("coat", id) for id in way.coat),
        *(("where", id) for id in way.where),
        *(("who", id) for id in way.who),
        *((f"air {what}", id) for id, air in way.air.items() for what in _said(air)),
    }


def _said(air: tuple[float | None, float | None]) -> Iterator[str]:
    names = ("celsius", "humidity")
    return (what for what, value in zip(names, air, strict=True) if value is not None)


def narrowed(season: Season, episode: str) -> Season:
    """The season without the farther episodes that can have no part in this one's plan."""
    at = season.episodes.index(season.episode(episode))
    kept = {each.id for each in season.episodes[: at + 1]}
    kept |= {each.id for each in season.episodes[at + 1 :] if _holds_something(each)}
    waits_for = {each.id: set(_waited_for(each)) for each in season.episodes}
    holds_back = {each.id: {ref.episode for ref in _held(each)} for each in season.episodes}
    grew = True
    while grew:
        before = len(kept)
        kept |= {other for id in kept for other in waits_for[id]}
        kept |= {id for id, others in holds_back.items() if others & kept}
        grew = len(kept) > before
    if len(kept) == len(season.episodes):
        return season
    return replace(season, episodes=tuple(each for each in season.episodes if each.id in kept))


def begun(episode: Episode) -> set[str]:
    """Ids of the steps and shots that have begun or are over."""
    return {
        thing.id
        for thing in _things(episode)
        if thing.started is not None
        or (thing.done if isinstance(thing, Step) else thing.taken) is not None
    }


def _holds_something(episode: Episode) -> bool:
    """Whether what has happened in it may still take someone, some place or some air."""
    return any(
        thing.started is not None
        or (
            isinstance(thing, Step)
            and thing.done is not None
            and (bool(thing.makes) or thing.coating is not None)
        )
        for thing in _things(episode)
    )


def _things(episode: Episode) -> Iterator[Step | Shot]:
    for job in episode.jobs:
        yield from job.steps
    yield from episode.shots


def _waited_for(episode: Episode) -> Iterator[str]:
    """Episodes that something of this one waits for."""
    entries: list[After] = []
    for job in episode.jobs:
        entries += job.after
        for step in job.steps:
            entries += (*(step.after or ()), *step.also_after)
    for parcel in episode.parcels:
        entries += parcel.after
    for shot in episode.shots:
        entries += shot.after
        if shot.of is not None:
            yield shot.of.episode
    yield from (entry.target.episode for entry in entries)


def _held(episode: Episode) -> Iterator[Ref]:
    """What waits for something of this episode, told here and not where it waits."""
    for job in episode.jobs:
        for step in job.steps:
            yield from step.before
    for shot in episode.shots:
        yield from shot.before
        if shot.of is not None and shot.of.episode != episode.id:
            yield shot.of
