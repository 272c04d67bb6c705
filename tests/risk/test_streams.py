"""Streams of chance: each its own, all of one shape, bound only by what they share."""

import numpy as np
import pytest

from episodes.answers.planning import plan_season
from episodes.risk.streams import Streams, normal_scores
from episodes.risk.timing import RowHands
from tests.risk.small_plan import EPISODE, play
from tests.small_season import season

STEPS = """
[[job]]
id = "bench"
[[job.step]]
id = "cut"
hands = "{cut}"
[[job.step]]
id = "sand"
hands = "30min..1h..2h"
{more}
[[parcel]]
id = "boards"
lead = "2..3..8 workdays"
"""


def test_a_stream_hits_every_part_of_the_distribution_once() -> None:
    drawn = Streams(1, 1000, 0.3).own("2027-04-test:bench.cut")
    assert np.array_equal(np.sort(drawn), normal_scores(1000))
    assert not np.array_equal(drawn, normal_scores(1000))


def test_a_name_or_a_seed_more_gives_another_stream() -> None:
    drawn = {Streams(seed, 200, 0.0).own(name).tobytes() for seed in (1, 2) for name in ("a", "b")}
    assert len(drawn) == 4


@pytest.mark.parametrize("correlation", [0.0, 0.3, 0.8])
def test_what_shares_a_factor_is_correlated_as_asked(correlation: float) -> None:
    streams = Streams(5, 40_000, correlation)
    one = streams.scores("e:a", ("crew:host",))
    two = streams.scores("e:b", ("crew:host",))
    other = streams.scores("e:c", ("crew:builder",))
    assert np.corrcoef(one, two)[0, 1] == pytest.approx(correlation, abs=0.02)
    assert np.corrcoef(one, other)[0, 1] == pytest.approx(0, abs=0.02)
    assert one.std() == pytest.approx(1, abs=0.02)


def test_a_step_of_two_people_shares_with_each_and_keeps_its_spread() -> None:
    streams = Streams(5, 40_000, 0.4)
    both = streams.scores("e:a", ("crew:host", "crew:builder"))
    host = streams.scores("e:b", ("crew:host",))
    assert both.std() == pytest.approx(1, abs=0.02)
    assert np.corrcoef(both, host)[0, 1] == pytest.approx(0.4 / np.sqrt(2), abs=0.02)


def test_an_edit_of_one_step_changes_no_other_draw() -> None:
    """Another length of the first step and a step more: the others' lengths stay to the minute."""
    before = play(
        plan_season(season(STEPS.format(cut="1h..2h..3h", more=""))), samples=500, correlation=0.3
    )
    more = '[[job.step]]\nid = "oil"\nhands = "20min..30min..2h"'
    after = play(
        plan_season(season(STEPS.format(cut="2h..3h..9h", more=more))),
        samples=500,
        correlation=0.3,
    )
    kept = [before.draws.timing(before.index("bench.sand")),
            after.draws.timing(after.index("bench.sand"))]  # fmt: skip
    assert isinstance(kept[0], RowHands)
    assert isinstance(kept[1], RowHands)
    assert np.array_equal(kept[0].work, kept[1].work)
    boards = [p.sweep.finishes[p.index("boards", EPISODE)] for p in (before, after)]
    assert np.array_equal(*boards)
    cut = [p.draws.timing(p.index("bench.cut")) for p in (before, after)]
    assert isinstance(cut[0], RowHands)
    assert isinstance(cut[1], RowHands)
    assert not np.array_equal(cut[0].work, cut[1].work)
