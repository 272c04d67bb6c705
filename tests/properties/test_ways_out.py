"""Ways out of seasons made up by a seed, against every set of fallbacks written in by hand.

A set is written into the plan files as a host would who took it, and the season checked anew. Both
must name the same minimal sets, wherever the list is said to be complete.
`EPISODES_WAYS=200` looks at more seasons.
"""

import os
import shutil
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from random import Random

import pytest

from episodes.answers.check import check
from episodes.answers.planning import plan_season
from episodes.answers.proof import Patience
from episodes.answers.rescue import Way, rescue
from episodes.answers.rescue_trials import THOROUGH, Trials
from episodes.answers.rows import CheckAnswer
from episodes.calendars.local_time import zone
from episodes.files.reading import read_season
from episodes.model.season import Season
from episodes.problems import PlanError
from tests.asking import MATERIALS
from tests.reference import generate, generate_ways, referee
from tests.reference.generate_ways import Table, Tables

PRODUCTS = referee.products(MATERIALS)
SEEDS = range(int(os.environ["EPISODES_WAYS"])) if "EPISODES_WAYS" in os.environ else (33, 51)
MOST = 5
Sets = dict[frozenset[str], CheckAnswer]


@dataclass
class Case:
    """A season with a room that slips, and ways out written for it."""

    folder: Path
    tables: Tables
    episode: str
    ways: list[Table]

    def checked(self, ways: list[Table]) -> CheckAnswer | None:
        """The season with these ways taken by hand; None where that is no season any more."""
        folder = self.folder.with_name("by-hand")
        shutil.copytree(self.folder, folder, dirs_exist_ok=True)
        generate_ways.save(folder, generate_ways.taken(self.tables, self.episode, ways))
        try:
            return check(read_season(folder, clock=0))
        except PlanError:
            return None


def case(seed: int, folder: Path) -> Case | None:
    """A season whose last room is to be out before it is ready; None where it meets anyway."""
    random = Random(f"ways {seed}")
    generate.write(seed, random.choice((8, 11, 14, 28)), folder, PRODUCTS)
    tables = generate_ways.load(folder)
    season = read_season(folder, clock=0)
    episode = season.episodes[-1].id
    ready = plan_season(season).plan.ready_by(episode)
    if ready is None or ready <= season.now + 600:
        return None
    sooner = random.choice((60, 300, 1440, 4320))
    local = zone(season.studio.zone).local(max(ready - sooner, season.now + 60))
    tables[episode]["release"] = local.replace(tzinfo=None)
    generate_ways.save(folder, tables)
    judged = check(read_season(folder, clock=0)).episode(episode)
    if judged.verdict != "slips":
        return None
    hot = {row.id.removesuffix(".dry") for row in judged.steps if row.critical}
    tables[episode]["fallback"] = generate_ways.fallbacks(random, tables, episode, MOST, hot)
    generate_ways.save(folder, tables)
    return Case(folder, tables, episode, tables[episode]["fallback"])


def saved(answer: CheckAnswer | None, before: CheckAnswer, episode: str) -> bool:
    """Whether the room meets, and every nearer one that did before."""
    return (
        answer is not None
        and answer.episode(episode).verdict == "meets"
        and not any(
            was.verdict == "meets" and answer.episode(was.id).verdict == "slips"
            for was in before.episodes
            if was.id != episode
        )
    )


def by_hand(made: Case, before: CheckAnswer) -> Sets:
    """Every set of ways that saves the room, as checked after it was written in."""
    good: Sets = {}
    for size in range(1, len(made.ways) + 1):
        for some in combinations(made.ways, size):
            answer = made.checked(list(some))
            if answer is not None and saved(answer, before, made.episode):
                good[frozenset(way["id"] for way in some)] = answer
    return good


def minimal(good: Sets) -> set[frozenset[str]]:
    return {ids for ids in good if not any(other < ids for other in good)}


@pytest.mark.parametrize("seed", SEEDS)
def test_ways_out_are_the_minimal_sets_of_all_that_save(seed: int, tmp_path: Path) -> None:
    tries = (case(seed + 1000 * more, tmp_path / "season") for more in range(10))
    made = next(made for made in tries if made is not None)
    season = read_season(made.folder, clock=0)
    before = check(season)
    answer = rescue(season, made.episode)
    assert answer.verdict == before.episode(made.episode).verdict == "slips"
    good = by_hand(made, before)
    found = {frozenset(way.fallbacks): way for way in answer.ways if not way.own}
    assert found.keys() <= good.keys()
    for ids, way in found.items():
        assert good[ids].episode(made.episode).spare_min == way.spare_min
        _decided(season, made.episode, way)
    if answer.proved:
        assert found.keys() == minimal(good)


def _decided(season: Season, episode: str, way: Way) -> None:
    """The way works at its last moment, and, where that is proved, not a minute later."""
    base = plan_season(season)
    trials = Trials(base, episode, Patience(2.0))
    at = trials.outcome_at(way.decide_by, way.changes, THOROUGH, prove=True)
    assert at.saved
    if way.decide_exact and way.decide_by + 1 < trials.release:
        after = trials.outcome_at(way.decide_by + 1, way.changes, THOROUGH, prove=True)
        assert not after.saved
