"""Seasons made up by a seed: every answer obeys the plan format, rule by rule.

The referee in `tests/reference` reads the same files by itself and walks minute by minute; it
shares no code with the program. `EPISODES_SEASONS=500` looks at more seasons, and larger ones.
"""

import os
from pathlib import Path
from typing import Any

import pytest

from tests.asking import MATERIALS, answer
from tests.reference import generate, referee

PRODUCTS = referee.products(MATERIALS)
COUNT = int(os.environ.get("EPISODES_SEASONS", "32"))
SIZES = (6, 10, 14, 18) if COUNT <= 40 else (8, 15, 25, 40, 80, 150)


def _season(seed: int, folder: Path) -> Path:
    return generate.write(seed, SIZES[seed % len(SIZES)], folder / str(seed), PRODUCTS)


@pytest.mark.parametrize("seed", range(COUNT))
def test_a_generated_season_is_answered_as_the_plan_format_says(seed: int, tmp_path: Path) -> None:
    """Plan feasible, dates by definition, critical by re-timing, rows and money right."""
    folder = _season(seed, tmp_path)
    faults = referee.faults(folder, answer(folder), PRODUCTS)
    assert [str(fault) for fault in faults if not fault.doubt] == []


def _without(record: dict[str, Any], episodes: set[str]) -> dict[str, Any]:
    """What an answer says of some episodes: verdicts and rows."""
    return {
        episode["id"]: (
            episode["verdict"],
            episode["ready_by"],
            [(row["id"], row["start"], row["finish"]) for row in episode["steps"]],
        )
        for episode in record["episodes"]
        if episode["id"] in episodes
    }


@pytest.mark.parametrize("seed", range(4))
def test_the_same_season_gives_the_same_answer_twice(seed: int, tmp_path: Path) -> None:
    """The same input gives the same bytes."""
    folder = _season(seed, tmp_path)
    assert answer(folder) == answer(folder)


@pytest.mark.parametrize("seed", range(100, 104))
def test_a_farther_episode_never_delays_a_nearer_one(seed: int, tmp_path: Path) -> None:
    """Leaving the farther episode out does not make the nearer one ready sooner."""
    folder = generate.write(seed, 26, tmp_path / "both", PRODUCTS)
    both = answer(folder)
    farther = both["episodes"][-1]["id"]
    assert len(both["episodes"]) == 2
    (folder / f"{farther}.toml").unlink()
    alone = answer(folder)
    nearer = {both["episodes"][0]["id"]}
    assert _without(both, nearer) == _without(alone, nearer)
