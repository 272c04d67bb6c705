"""The long questions as functions that another process can run: pickled season in, answer out.

Each takes the season as bytes (`pickle`), pickled once an engine, and what is tried on it. None
imports anything heavy before it is called.
"""

import pickle
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from episodes.model.episode import Episode, Fallback
from episodes.model.season import Season

if TYPE_CHECKING:
    from episodes.answers.compare import CompareAnswer
    from episodes.answers.load import LoadAnswer
    from episodes.answers.lookback import LookbackAnswer
    from episodes.answers.planning import Planning
    from episodes.answers.rescue import RescueAnswer

Moved = Mapping[tuple[str, str], int]
"""(episode, parcel) to the tried arrival, UTC minute."""

Taken = Sequence[tuple[str, tuple[Fallback, ...]]]
"""Episode and the changes of a way out that is tried on it."""


def odds_of(data: bytes, moved: Moved, taken: Taken) -> dict[str, float]:
    """Share of samples in which each episode that is not out yet is out in time."""
    from episodes.answers.odds import on_times

    return on_times(planned(_season(data), moved, taken))


def odds_lines(data: bytes, moved: Moved, taken: Taken, episode: str) -> tuple[str, ...]:
    """The odds of one episode in words, with the picture of its ready moment."""
    from episodes.answers.odds import odds_of as counted
    from episodes.exports.text_odds import odds_text

    text = odds_text(counted(planned(_season(data), moved, taken), only=episode))
    # On a sheet lines are folded: the release stands in the picture itself, and is named below.
    return tuple(
        f"| is the release{line.strip().removeprefix('^ release')}"
        if line.strip().startswith("^ release")
        else line
        for line in text.splitlines()
    )


def ways_of(data: bytes, moved: Moved, episode: str) -> "RescueAnswer":
    """The ways out of one episode's slip, the tried arrivals counted in."""
    from episodes.answers.rescue import rescue
    from episodes.files.exchanges import load_offers

    return rescue(arriving(_season(data), moved), episode, odds=True, offers=load_offers())


def load_of(data: bytes, moved: Moved, taken: Taken) -> "LoadAnswer":
    """How full the weeks are."""
    from episodes.answers.load import load_of as answer

    return answer(planned(_season(data), moved, taken))


def ideas_of(data: bytes, folder: Path | None, clock: int, now: int | None) -> "CompareAnswer":
    """Every idea against the season.

    Args:
        folder: where the ideas' files are, so that their dates count from each month tried.
        clock, now: as for reading the season.
    """
    from episodes.answers.compare import compare

    season = _season(data)
    if folder is None:
        return compare(season)
    from episodes.files.ideas import in_month

    return compare(season, in_month(folder, season, clock=clock, now=now))


def lookback_of(data: bytes) -> "LookbackAnswer":
    """What was guessed against what it took."""
    from episodes.answers.lookback import lookback

    return lookback(_season(data))


def planned(season: Season, moved: Moved, taken: Taken) -> "Planning":
    """The season planned with what is tried."""
    from episodes.answers.changes import taking
    from episodes.answers.planning import QUICK, plan_season, with_arrivals

    if not taken:
        planning = plan_season(season)
        return with_arrivals(planning, moved, effort=QUICK) if moved else planning
    season = arriving(season, moved)
    extra: dict[str, tuple[tuple[int, int], ...]] = {}
    air: dict[str, tuple[float | None, float | None]] = {}
    for episode, changes in taken:
        changed = taking(season, episode, changes)
        season = changed.season
        for person, stretches in changed.extra.items():
            extra[person] = (*extra.get(person, ()), *stretches)
        air |= changed.air
    return plan_season(season, effort=QUICK, extra=extra, air=air)


def arriving(season: Season, moved: Moved) -> Season:
    """The season with parcels expected at other moments."""
    if not moved:
        return season

    def with_moved(episode: Episode) -> Episode:
        parcels = tuple(
            replace(parcel, promised=moved[episode.id, parcel.id], arrived=None, failed=None)
            if (episode.id, parcel.id) in moved
            else parcel
            for parcel in episode.parcels
        )
        return replace(episode, parcels=parcels)

    return replace(season, episodes=tuple(with_moved(each) for each in season.episodes))


def _season(data: bytes) -> Season:
    season = pickle.loads(data)
    assert isinstance(season, Season)
    return season
