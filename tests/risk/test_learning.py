"""Ranges that move towards what was measured, by the rule of Bayes for a normal sample."""

from math import exp, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.risk.learning import USUAL_SPREAD, learn, spread_of, student_quantile

SPREAD = spread_of(120, 360)
FIVE = [(log(took / guessed), SPREAD) for took, guessed in
        ((4.2, 3), (2.5, 2), (1.6, 1), (4.4, 4), (4.8, 3))]  # fmt: skip


def hours(records: list[tuple[float, float]]) -> list[float]:
    learned = learn([records], SPREAD)
    return [round(3 * factor, 2) for factor in (learned.low, learned.likely, learned.high)]


def test_without_records_the_middle_stays_and_the_ends_are_those_of_the_range_and_a_little() -> (
    None
):
    low, likely, high = hours([])
    assert likely == 3
    assert low < 2
    assert 5 < high < 6


def test_five_records_move_the_middle_about_halfway() -> None:
    # Worked by hand from the update rule: kappa 4 + 5, mean 5 x 0.319 / 9.
    assert hours(FIVE) == [2.23, 3.58, 5.75]


def test_more_records_of_the_same_ratio_are_believed_more() -> None:
    middles = [learn([[(0.3, SPREAD)] * n], SPREAD).likely for n in (1, 3, 10, 100)]
    assert middles == sorted(middles)
    assert middles[-1] == pytest.approx(exp(0.3), rel=0.02)


def test_one_wild_record_counts_as_three_spreads_and_is_counted_as_drawn_in() -> None:
    wild = learn([[(log(10), SPREAD)]], SPREAD)
    tame = learn([[(3 * SPREAD, SPREAD)]], SPREAD)
    assert (wild.low, wild.likely, wild.high) == (tame.low, tame.likely, tame.high)
    assert (wild.clipped, tame.clipped) == (1, 0)


def test_a_group_starts_from_what_the_wider_group_teaches() -> None:
    alone = learn([[], [(0.0, SPREAD)] * 3], SPREAD)
    among_slow = learn([[(0.5, SPREAD)] * 8, [(0.0, SPREAD)] * 3], SPREAD)
    assert among_slow.likely > alone.likely == pytest.approx(1)


def test_a_length_without_a_range_gets_the_usual_spread() -> None:
    assert spread_of(60, 60) == USUAL_SPREAD


@given(
    st.lists(st.floats(-2, 2), max_size=20),
    st.floats(0.05, 1.5),
)
def test_the_ends_stand_around_the_middle(xs: list[float], spread: float) -> None:
    learned = learn([[(x, spread) for x in xs]], spread)
    assert 0 < learned.low < learned.likely < learned.high


@given(st.floats(0.01, 0.99), st.integers(1, 200))
def test_student_s_quantiles_rise_and_are_symmetric(p: float, degrees: int) -> None:
    assert student_quantile(p, degrees) == pytest.approx(
        -student_quantile(1 - p, degrees), abs=1e-9
    )
    assert student_quantile(min(p + 0.005, 0.995), degrees) >= student_quantile(p, degrees)
