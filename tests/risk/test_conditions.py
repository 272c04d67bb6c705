"""Time that passes without news, arrivals that are tried, orders begun anew: what facts do."""

import numpy as np
import pytest

from episodes.answers.odds import on_time, on_times
from episodes.answers.planning import plan_season, with_arrivals
from episodes.risk.timing import RowDelivery, RowExpected
from tests.risk.small_plan import EPISODE, play
from tests.small_season import minutes, season

STARTED = """
release = {release}
[[job]]
id = "bench"
[[job.step]]
id = "cut"
hands = "2h..3h..6h"
started = 2027-03-01T18:00:00
"""

ORDERED = """
release = 2027-03-15T20:00:00
[[parcel]]
id = "boards"
lead = "2..4..9 workdays"
ordered = 2027-03-01
[[job]]
id = "bench"
[[job.step]]
id = "cut"
hands = "30min"
after = ["boards"]
"""

COAT = """
release = 2027-03-02T02:00:00
[[job]]
id = "bench"
[[job.step]]
id = "seal"
hands = "40min"
coat = "waterborne-polyurethane"
done = 2027-03-01T10:00:00
[[job.step]]
id = "look"
wait = "1min"
after = [{ step = "bench.seal", stage = "handle" }]
"""


@pytest.mark.parametrize(
    ("episode", "moments"),
    [
        (STARTED.format(release="2027-03-02T20:30:00"),
         ("01T18:00", "01T19:00", "01T20:30", "02T09:00", "02T18:30", "02T19:30", "02T20:25")),
        (ORDERED, ("01T12:00", "03T12:00", "06T12:00", "09T12:00", "12T12:00", "15T12:00")),
        # Once its likely time is over a coat counts as dry, unless the plan is told otherwise.
        (COAT, ("01T10:00", "01T13:00", "01T17:00", "01T21:00")),
    ],
    ids=["begun", "on its way", "drying"],
)  # fmt: skip
def test_waiting_longer_for_what_is_not_over_never_makes_the_odds_better(
    episode: str, moments: tuple[str, ...]
) -> None:
    shares = [
        on_time(plan_season(season(episode, as_of=f"2027-03-{moment}:00")), EPISODE, samples=4_000)
        for moment in moments
    ]
    assert all(share is not None for share in shares)
    assert shares == sorted(shares, reverse=True)  # type: ignore[type-var]
    assert shares[0] > shares[-1]  # type: ignore[operator]


PARCEL = """
release = 2027-03-20
[[parcel]]
id = "boards"
lead = "2..4..9 workdays"
{facts}
[[job]]
id = "bench"
[[job.step]]
id = "cut"
hands = "30min"
after = ["boards"]
"""


@pytest.mark.parametrize("facts", ["", "ordered = 2027-02-26", "promised = 2027-03-05"])
def test_an_arrival_that_is_tried_counts_like_one_that_is_promised(facts: str) -> None:
    """Tried for Friday 12 March: the tenth, fiftieth and ninetieth percentile are 10, 12 and 19
    March, two working days before and five after."""
    plain = plan_season(season(PARCEL.format(facts=facts)))
    tried = with_arrivals(plain, {(EPISODE, "boards"): minutes(12, 18)})
    played = play(tried, samples=4_000)
    timing = played.draws.timing(played.index("boards"))
    assert isinstance(timing, RowExpected)
    found = np.sort(timing.arrival) + played.layout.origin
    marks = [int(found[int(share * found.size)]) for share in (0.1, 0.5, 0.9)]
    assert marks == [minutes(10, 18), minutes(12, 18), minutes(19, 18)]
    promised = plan_season(season(PARCEL.format(facts="promised = 2027-03-12")))
    assert on_times(tried, samples=4_000) == on_times(promised, samples=4_000)


def test_what_came_broken_and_is_ordered_again_settles_like_new() -> None:
    """The days since the broken one came say nothing of how long the new one has to lie."""
    facts = 'settle = "12h..24h..60h"\nordered = 2027-02-01\narrived = 2027-02-08\nfailed = "wrong"'
    again = play(plan_season(season(PARCEL.format(facts=facts))), samples=2_000)
    new = play(plan_season(season(PARCEL.format(facts='settle = "12h..24h..60h"'))), samples=2_000)
    timings = [played.draws.timing(played.index("boards")) for played in (again, new)]
    assert isinstance(timings[0], RowDelivery)
    assert isinstance(timings[1], RowDelivery)
    assert np.array_equal(timings[0].settle, timings[1].settle)
    assert np.unique(timings[0].settle).size > 100
