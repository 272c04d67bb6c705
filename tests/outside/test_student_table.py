"""Quantiles of Student's t against the printed table.

Source: M. Abramowitz and I. A. Stegun, "Handbook of Mathematical Functions" (1964), table 26.10,
percentage points of the t-distribution; the values here are from memory of that table, and the
90 and 97.5 % columns stand in most textbooks of statistics.
"""

import pytest

from episodes.risk.learning import student_quantile

TABLE = {
    1: (3.078, 12.706), 2: (1.886, 4.303), 3: (1.638, 3.182), 4: (1.533, 2.776),
    5: (1.476, 2.571), 8: (1.397, 2.306), 10: (1.372, 2.228), 13: (1.350, 2.160),
    20: (1.325, 2.086), 30: (1.310, 2.042), 60: (1.296, 2.000), 120: (1.289, 1.980),
}  # fmt: skip


@pytest.mark.parametrize("degrees", TABLE)
def test_the_90_and_the_97_5_percent_points(degrees: int) -> None:
    ninety, ninety_seven = TABLE[degrees]
    assert student_quantile(0.9, degrees) == pytest.approx(ninety, abs=6e-4)
    assert student_quantile(0.975, degrees) == pytest.approx(ninety_seven, abs=6e-4)
