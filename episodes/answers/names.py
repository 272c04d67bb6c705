"""From what a user typed to the one thing it means.

A name may be shortened as long as one thing open bears it: `glue` for `bench.glue`. Full names
always work; `EPISODE:NAME` says which room. What is done is found only where nothing open fits.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from episodes.model.episode import Episode
from episodes.model.season import Season
from episodes.problems import EpisodesError

ThingKind = Literal["step", "parcel", "shot", "job", "release"]


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing of one episode; `open` while it is neither done nor dropped."""

    kind: ThingKind
    episode: str
    id: str
    title: str
    open: bool

    @property
    def qualified(self) -> str:
        return f"{self.episode}:{self.id}"


class UnknownNameError(EpisodesError):
    """Nothing bears the name; `near` holds the nearest names."""

    def __init__(self, name: str, near: tuple[str, ...]) -> None:
        hint = f"; did you mean {', '.join(near)}?" if near else "."
        super().__init__(f'Nothing in this season is called "{name}"{hint}')
        self.near = near


class AmbiguousNameError(EpisodesError):
    """Several things bear the name; `candidates` holds their full names."""

    def __init__(self, name: str, candidates: tuple[str, ...]) -> None:
        shown = ", ".join(candidates[:6]) + (", ..." if len(candidates) > 6 else "")
        super().__init__(f'"{name}" could be {shown}. Write one of these.')
        self.candidates = candidates


def find(season: Season, name: str, *, kinds: Iterable[ThingKind] | None = None) -> Thing:
    """The thing that a name means.

    Args:
        kinds: look only among these.

    Raises:
        UnknownNameError: nothing bears it.
        AmbiguousNameError: more than one thing does.
    """
    wanted = None if kinds is None else frozenset(kinds)
    things = [t for t in _things(season) if wanted is None or t.kind in wanted]
    episode, _, bare = name.rpartition(":")
    if episode:
        room = [t for t in things if t.episode == episode]
        if not room:
            room = [t for t in things if episode in t.episode]
        things, name = room, bare
    for fits in (
        lambda t: t.id == name,
        lambda t: t.id.rpartition(".")[2] == name,
        lambda t: t.id.startswith(name) or t.id.rpartition(".")[2].startswith(name),
        lambda t: name.lower() in t.title.lower() or name in t.id,
    ):
        found = [t for t in things if fits(t)]
        alive = [t for t in found if t.open]
        if len(alive) == 1:
            return alive[0]
        if len(found) == 1:
            return found[0]
        if found:
            several = len({t.episode for t in found}) > 1
            raise AmbiguousNameError(
                name, tuple(t.qualified if several else t.id for t in alive or found)
            )
    names = sorted({t.id for t in things} | {t.id.rpartition(".")[2] for t in things})
    raise UnknownNameError(name, tuple(get_close_matches(name, names, n=3, cutoff=0.5)))


def _things(season: Season) -> list[Thing]:
    found: list[Thing] = []
    for episode in season.episodes:
        found.extend(_of(episode))
    return found


def _of(episode: Episode) -> Iterable[Thing]:
    alive = episode.released is None
    for job in episode.jobs:
        given_up = job.dropped is not None
        done = all(step.done is not None for step in job.steps)
        yield Thing("job", episode.id, job.id, job.title, alive and not given_up and not done)
        for step in job.steps:
            failed = step.failed is not None and not (step.done and step.done > step.failed)
            over = (step.done is not None and not failed) or step.dropped is not None
            yield Thing(
                "step", episode.id, step.id, step.title, alive and not over and not given_up
            )
    for parcel in episode.parcels:
        over = parcel.arrived is not None or parcel.dropped is not None
        yield Thing("parcel", episode.id, parcel.id, parcel.title, alive and not over)
    for shot in episode.shots:
        over = shot.taken is not None or shot.dropped is not None
        yield Thing("shot", episode.id, shot.id, shot.title, alive and not over)
    yield Thing("release", episode.id, "release", "Release", alive)
