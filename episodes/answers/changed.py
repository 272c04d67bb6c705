"""What has changed since the season was last looked at: verdicts, ready moments, arrivals.

`seen` keeps of an answer what a host would remember of it; `changed` holds the next answer against
that. Both are pure: where the memory is kept is another's business.
"""

from dataclasses import dataclass
from typing import Literal

from episodes.answers.rows import CheckAnswer, Verdict

LEAST = 60
"""Minutes by which a moment must have moved to be worth saying."""

What = Literal["new", "gone", "verdict", "ready", "arrival"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenEpisode:
    """One episode as it stood; UTC minutes. `arrives`: parcel to the arrival expected then."""

    id: str
    title: str
    verdict: Verdict
    spare_min: int | None
    ready_by: int | None
    arrives: dict[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What was seen at `at`, UTC minute."""

    at: int
    episodes: tuple[SeenEpisode, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """One thing that is otherwise than it was.

    Attributes:
        parcel: id and title of the parcel whose arrival moved, "" for the rest.
        before, after: UTC minutes: spare time for a verdict, the moment for the others.
    """

    what: What
    episode: str
    title: str
    parcel: str = ""
    parcel_title: str = ""
    verdict_before: Verdict | None = None
    verdict_after: Verdict | None = None
    before: int | None = None
    after: int | None = None


def seen(answer: CheckAnswer) -> Seen:
    """What there is to remember of an answer."""
    return Seen(
        at=answer.now,
        episodes=tuple(
            SeenEpisode(
                id=episode.id,
                title=episode.title,
                verdict=episode.verdict,
                spare_min=episode.spare_min,
                ready_by=episode.ready_by,
                arrives={
                    row.id: row.arrives
                    for row in episode.parcels
                    if row.arrives is not None and row.arrived is None and row.ordered is not None
                },
            )
            for episode in answer.episodes
        ),
    )


def changed(before: Seen, answer: CheckAnswer) -> tuple[Changed, ...]:
    """What is otherwise now: by episode, verdicts before moments before arrivals."""
    earlier = {each.id: each for each in before.episodes}
    now = {each.id: each for each in seen(answer).episodes}
    found: list[Changed] = []
    for id, episode in now.items():
        was = earlier.get(id)
        if was is None:
            found.append(Changed(what="new", episode=id, title=episode.title))
            continue
        if was.verdict != episode.verdict:
            found.append(
                Changed(
                    what="verdict", episode=id, title=episode.title, verdict_before=was.verdict,
                    verdict_after=episode.verdict, before=was.spare_min, after=episode.spare_min,
                )
            )  # fmt: skip
        elif _moved(was.ready_by, episode.ready_by):
            found.append(
                Changed(
                    what="ready", episode=id, title=episode.title,
                    before=was.ready_by, after=episode.ready_by,
                )
            )  # fmt: skip
        titles = {row.id: row.title for row in answer.episode(id).parcels}
        found += [
            Changed(
                what="arrival", episode=id, title=episode.title, parcel=parcel,
                parcel_title=titles[parcel], before=was.arrives[parcel], after=arrival,
            )
            for parcel, arrival in episode.arrives.items()
            if parcel in was.arrives and _moved(was.arrives[parcel], arrival)
        ]  # fmt: skip
    found += [
        Changed(what="gone", episode=id, title=was.title)
        for id, was in earlier.items()
        if id not in now
    ]
    return tuple(found)


def _moved(before: int | None, after: int | None) -> bool:
    if before is None or after is None:
        return before != after
    return abs(after - before) >= LEAST
