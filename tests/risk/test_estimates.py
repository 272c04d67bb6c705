"""Lengths for normal scores: the percentiles that were written, whole, and the mean."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.amounts import Estimate
from episodes.risk.estimates import (
    CUT,
    Z10,
    amounts,
    mean,
    score_of_more,
    scores_given_more,
)
from episodes.risk.streams import normal_scores

ESTIMATES = st.lists(st.integers(1, 40_000), min_size=3, max_size=3).map(
    lambda values: Estimate(*sorted(values))
)
DAYS = st.lists(st.integers(0, 60), min_size=3, max_size=3).map(
    lambda values: Estimate(*sorted(values))
)


@given(ESTIMATES)
def test_the_percentiles_are_those_written_down(estimate: Estimate) -> None:
    drawn = amounts(estimate, np.array([-Z10, 0.0, Z10]))
    assert drawn.tolist() == [estimate.low, estimate.likely, estimate.high]


@given(DAYS)
def test_whole_days_keep_their_percentiles_and_may_be_none(estimate: Estimate) -> None:
    scores = normal_scores(20_001)
    drawn = np.sort(amounts(estimate, scores, days=True))
    found = [int(drawn[int(share * drawn.size)]) for share in (0.1, 0.5, 0.9)]
    assert found == [estimate.low, estimate.likely, estimate.high]
    assert drawn[0] >= 0


@given(ESTIMATES, st.floats(-6, 6))
def test_a_higher_score_is_never_a_shorter_length(estimate: Estimate, score: float) -> None:
    low, high = amounts(estimate, np.array([score, score + 0.1])).tolist()
    assert low <= high


def test_lengths_are_cut_at_one_in_a_thousand_a_side() -> None:
    estimate = Estimate(60, 120, 600)
    ends = amounts(estimate, np.array([-CUT, CUT])).tolist()
    assert amounts(estimate, np.array([-9.0, 9.0])).tolist() == ends


@pytest.mark.parametrize(
    "estimate",
    [Estimate(120, 180, 360), Estimate(2, 3, 6), Estimate(50, 50, 90), Estimate(7, 7, 7)],
)
def test_the_mean_in_closed_form_is_the_mean_of_the_quantiles(estimate: Estimate) -> None:
    """Midpoint rule over a million equally likely parts, written out anew."""
    shares = (np.arange(200_000) + 0.5) / 200_000
    normal = NormalDist()
    scores = np.array([normal.inv_cdf(share) for share in shares.tolist()])
    below = np.log(estimate.likely / estimate.low) / Z10
    above = np.log(estimate.high / estimate.likely) / Z10
    quantiles = estimate.likely * np.exp(scores * np.where(scores < 0, below, above))
    assert mean(estimate) == pytest.approx(float(quantiles.mean()), rel=2e-4)


@given(ESTIMATES, st.integers(0, 60_000), st.booleans())
def test_the_score_of_more_is_where_the_amount_passes(
    estimate: Estimate, amount: int, days: bool
) -> None:
    least = float(score_of_more(estimate, amount, days=days))
    for score, more in ((least + 1e-6, True), (least - 1e-6, False)):
        if abs(score) < CUT:
            drawn = int(amounts(estimate, np.array([score]), days=days)[0])
            assert (drawn > amount) == more


@pytest.mark.parametrize("least", [-1.5, 0.0, 1.2, 2.5])
def test_scores_on_a_condition_are_those_that_fulfil_it(least: float) -> None:
    """The conditional distribution, against the share of the plain scores above the condition."""
    scores = normal_scores(100_000)
    given_more = np.sort(scores_given_more(scores, least))
    above = np.sort(scores[scores >= least])
    assert given_more[0] >= least
    for share in (0.1, 0.5, 0.9):
        plain = above[int(share * above.size)]
        assert given_more[int(share * given_more.size)] == pytest.approx(plain, abs=0.02)
