"""The odds of small plans: what counts as late, what binds nobody, what facts do to the draws."""

from statistics import NormalDist

import numpy as np
import pytest

from episodes.answers.odds import OddsAnswer, odds, odds_of
from episodes.answers.planning import Planning, plan_season
from episodes.risk.counts import standard_error
from episodes.risk.outcome import Outcome
from episodes.risk.simulation import simulate
from episodes.risk.timing import RowExpected, RowHands
from tests.risk.small_plan import EPISODE, play
from tests.small_season import minutes, season

BENCH = """
{bounds}
[[job]]
id = "bench"
[[job.step]]
id = "cut"
hands = "2h..3h..6h"
{cut}
"""


def bench(
    bounds: str = "", cut: str = "", more: str = "", *, as_of: str = "2027-03-01T00:00:00"
) -> Planning:
    return plan_season(season(BENCH.format(bounds=bounds, cut=cut) + more, as_of=as_of))


def outcome(planning: Planning, samples: int = 2_000, correlation: float = 0.0) -> Outcome:
    return simulate(planning.retimer, [EPISODE], samples=samples, seed=1, correlation=correlation)[
        0
    ]


def test_a_step_alone_is_in_time_as_often_as_its_length_fits() -> None:
    """Evenings of 3 h 30: within 3 h is the median, within 6 h the ninetieth percentile."""
    for release, share in (("2027-03-01T21:00:00", 0.5), ("2027-03-02T20:30:00", 0.9)):
        found = outcome(bench(f"release = {release}"))
        assert found.on_time == pytest.approx(share, abs=0.01)


def test_percentiles_of_ready_are_those_of_the_step() -> None:
    found = outcome(bench())
    assert found.ready[50] == pytest.approx(minutes(1, 21), abs=2)
    assert found.ready[10] == pytest.approx(minutes(1, 20), abs=2)
    assert found.ready[90] == pytest.approx(minutes(2, 20, 30), abs=2)


def test_a_sample_without_any_time_counts_as_late() -> None:
    """In one go it fits an evening of 3 h 30 only where it is short enough."""
    found = outcome(bench(cut="one_go = true"))
    z = np.log(210 / 180) / (np.log(2) / 1.2815515655446004)
    fits = NormalDist().cdf(float(z))
    assert found.on_time == pytest.approx(fits, abs=0.01)
    assert found.ready[95] is None
    assert found.ready[50] is not None


def test_work_past_its_last_moment_or_its_fixed_start_counts_as_late() -> None:
    late = outcome(bench(cut="not_after = 2027-03-01T21:00:00"))
    assert late.on_time == pytest.approx(0.5, abs=0.01)
    fixed = """
    [[job.step]]
    id = "party"
    hands = "30min"
    at = 2027-03-02T20:30:00
    """
    assert outcome(bench(more=fixed)).on_time == pytest.approx(0.9, abs=0.01)


def test_an_appointment_is_kept_whatever_stood_before_it_in_the_queue() -> None:
    """Cutting takes past 20:30 in one sample of ten, but the buyer comes at that moment."""
    fixed = """
    [[job]]
    id = "buyer"
      [[job.step]]
      id = "comes"
      hands = "30min"
      at = 2027-03-02T20:30:00
    """
    assert outcome(bench(more=fixed)).on_time == pytest.approx(1.0, abs=0.001)


def test_optional_work_takes_a_person_but_its_end_binds_no_release() -> None:
    optional = """
    [[job]]
    id = "extra"
    optional = true
    [[job.step]]
    id = "gild"
    hands = "1h..20h..90h"
    """
    release = "release = 2027-03-01T21:00:00"
    plain, more = outcome(bench(release)), outcome(bench(release, more=optional))
    assert more.on_time == plain.on_time
    assert more.criticality["extra.gild"] == 0.0
    assert more.criticality["bench.cut"] == 1.0


def test_another_rooms_work_that_comes_first_delays_this_one() -> None:
    """The nearer room's step has the same person: the farther waits in every sample."""
    near = 'room = "room"\n' + BENCH.format(bounds="release = 2027-03-20", cut="")
    alone = plan_season(season("release = 2027-03-21\n" + BENCH.format(bounds="", cut="")))
    both = plan_season(
        season(
            "release = 2027-03-21\n" + BENCH.format(bounds="", cut=""),
            others={"2027-03-near": near},
        )
    )
    one, two = outcome(alone), outcome(both)
    assert one.ready[50] is not None
    assert two.ready[50] is not None
    assert two.ready[50] > one.ready[50]


def test_no_sample_or_every_sample_in_time_still_leaves_a_doubt() -> None:
    assert standard_error(0.5, 10_000) == pytest.approx(0.005, rel=1e-3)
    assert 0 < standard_error(1.0, 10_000) < 0.0002
    assert standard_error(0.0, 10_000) == standard_error(1.0, 10_000)


# -- facts -------------------------------------------------------------------------------------


def test_what_has_begun_is_drawn_on_the_condition_that_it_is_not_over() -> None:
    """Two hours in: what is left is the length of those that take more than two hours."""
    played = play(
        bench(cut="started = 2027-03-01T18:00:00", as_of="2027-03-01T20:00:00"), samples=20_000
    )
    timing = played.draws.timing(played.index("bench.cut"))
    assert isinstance(timing, RowHands)
    fresh = play(bench(), samples=20_000)
    plain = fresh.draws.timing(fresh.index("bench.cut"))
    assert isinstance(plain, RowHands)
    longer = np.sort(np.asarray(plain.work)[np.asarray(plain.work) > 120]) - 120
    left = np.sort(timing.work)
    assert left[0] >= 1
    for share in (0.1, 0.5, 0.9):
        expected = longer[int(share * longer.size)]
        assert left[int(share * left.size)] == pytest.approx(expected, abs=3)


def test_a_step_that_takes_longer_than_anything_expected_goes_on_as_planned() -> None:
    played = play(bench(cut="started = 2027-02-01T18:00:00"), samples=50)
    timing = played.draws.timing(played.index("bench.cut"))
    assert isinstance(timing, RowHands)
    assert set(np.unique(timing.work)) == {45}


def test_what_was_told_to_be_left_is_certain() -> None:
    played = play(bench(cut='started = 2027-02-28T18:00:00\nleft = "50min"'), samples=50)
    timing = played.draws.timing(played.index("bench.cut"))
    assert isinstance(timing, RowHands)
    assert timing.work == 50


PARCEL = """
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


def arrivals(facts: str, as_of: str = "2027-03-01T00:00:00") -> tuple[np.ndarray, int]:
    planning = plan_season(season(PARCEL.format(facts=facts), as_of=as_of))
    played = play(planning, samples=20_000)
    timing = played.draws.timing(played.index("boards"))
    assert isinstance(timing, RowExpected)
    return np.broadcast_to(timing.arrival, (20_000,)) + played.layout.origin, planning.season.now


def test_what_is_ordered_does_not_arrive_before_now() -> None:
    """Ordered on a Monday; on Saturday, 5 workdays later, it is one of the slower ones."""
    found, now = arrivals("ordered = 2027-03-01", as_of="2027-03-06T10:00:00")
    assert found.min() >= now
    fresh, _ = arrivals("ordered = 2027-03-01")
    slower = fresh[fresh >= now]
    for moment in np.unique(slower):
        expected = float((slower == moment).mean())
        assert float((found == moment).mean()) == pytest.approx(expected, abs=0.01)


def test_what_is_overdue_beyond_all_expectation_comes_on_the_next_day() -> None:
    found, now = arrivals("ordered = 2026-06-01")
    assert np.unique(found).size == 1
    assert now <= found[0] <= now + 3 * 1440


def test_a_promise_is_the_likely_arrival_with_the_leads_own_spread_in_days() -> None:
    """Promised Friday 12 March; low two of the days before, high five after: 10 and 19 March."""
    found, _ = arrivals("ordered = 2027-02-26\npromised = 2027-03-12")
    in_order = np.sort(found)
    marks = [int(in_order[int(share * in_order.size)]) for share in (0.1, 0.5, 0.9)]
    assert marks == [minutes(10, 18), minutes(12, 18), minutes(19, 18)]


def test_what_has_arrived_is_certain() -> None:
    found, _ = arrivals('arrived = 2027-02-28T10:00:00\nsettle = "48h"')
    assert np.unique(found).tolist() == [minutes(28, 10, month=2)]


# -- the answer --------------------------------------------------------------------------------


def test_the_answer_has_every_open_thing_of_the_room_and_its_own_settings() -> None:
    planning = bench(more=PARCEL.replace('id = "bench"', 'id = "frame"').format(facts=""))
    answer: OddsAnswer = odds_of(planning, samples=300, seed=9)
    episode = answer.episodes[0]
    assert (episode.samples, episode.seed) == (300, 9)
    assert set(episode.criticality) == {"bench.cut", "frame.cut", "boards"}
    assert all(0 <= share <= 1 for share in episode.criticality.values())
    assert [parcel.id for parcel in episode.parcels] == ["boards"]
    assert episode.spread is not None
    assert sum(episode.spread.shares) == pytest.approx(1)


def test_an_episode_that_is_out_has_no_odds() -> None:
    answer = odds(season(BENCH.format(bounds="released = 2027-02-26T09:00:00", cut="")))
    assert answer.episodes == ()


def test_more_samples_than_a_block_are_counted_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = outcome(bench(more=PARCEL.replace('id = "bench"', 'id = "frame"').format(facts="")))
    monkeypatch.setattr("episodes.risk.simulation.BLOCK", 300)
    parts = outcome(bench(more=PARCEL.replace('id = "bench"', 'id = "frame"').format(facts="")))
    assert (parts.on_time, parts.ready, parts.criticality, parts.parcels) == (
        whole.on_time,
        whole.ready,
        whole.criticality,
        whole.parcels,
    )
