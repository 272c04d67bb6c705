"""Order moments: ordering then and counting again gives the share that was asked for."""

from dataclasses import replace

import numpy as np
import pytest

from episodes.answers.planning import Planning, plan_season
from episodes.risk.backward import BackwardSweep
from episodes.risk.draws import Rows
from episodes.risk.order_by import SHARES, LatestOrders, latest_orders, order_by, try_later
from episodes.risk.readiness import met
from episodes.risk.simulation import simulate
from episodes.risk.sweep import Sweep
from episodes.risk.tables import LONG_AGO, NEVER
from episodes.risk.timing import RowDelivery
from tests.risk.small_plan import EPISODE, Played, generated, play, with_earliest
from tests.small_season import season

SHELF = """
[[parcel]]
id = "boards"
lead = "2..4..9 workdays"
settle = "24h..36h..60h"
{parcel}
[[job]]
id = "shelf"
[[job.step]]
id = "cut"
hands = "2h..3h..6h"
after = ["boards"]
[[job.step]]
id = "paint"
hands = "1h..2h..4h"
[[job]]
id = "walls"
[[job.step]]
id = "fill"
hands = "6h..9h..30h"
"""


def shelf(parcel: str = "", release: str = "2027-04-02") -> Planning:
    return plan_season(season(f"release = {release}\n" + SHELF.format(parcel=parcel)))


def latest(played: Played, episode: str, index: int) -> tuple[LatestOrders, np.ndarray]:
    layout = played.layout
    scope = layout.network.scope(episode)
    release = np.full(1, layout.at(scope.release), np.int32)
    reach = layout.retimer.felt(episode) | layout.retimer.reach(episode)
    backward = BackwardSweep(played.sweep, {episode: release}, reach, own_bounds=True)
    in_time = met(played.sweep, episode)
    return latest_orders(played.sweep, backward, episode, index, in_time), in_time


def met_if_ordered(played: Played, episode: str, index: int, moment: int) -> np.ndarray:
    later = with_earliest(played.layout, index, moment)
    draws = played.draws
    assert Rows(later).layout is later
    return met(Sweep(later, draws).run(), episode)


@pytest.mark.parametrize("share", SHARES)
def test_ordering_at_the_moment_given_meets_exactly_that_share(share: int) -> None:
    played = play(shelf(), samples=2_000)
    index = played.index("boards")
    found, _ = latest(played, EPISODE, index)
    assert found.orders is not None
    moment = order_by(found.orders, share)
    assert moment is not None
    again = met_if_ordered(played, EPISODE, index, moment)
    assert int(again.sum()) >= share * again.size / 100
    assert np.array_equal(again, found.orders >= moment)
    a_minute_later = met_if_ordered(played, EPISODE, index, moment + 1)
    assert int(a_minute_later.sum()) < share * again.size / 100


@pytest.mark.parametrize("seed", [301, 303, 306, 311])
def test_every_sample_is_in_time_up_to_its_latest_order_and_no_further(seed: int) -> None:
    """Generated seasons: each parcel ordered at some moments, all samples timed again."""
    planning = generated(seed)
    played = play(planning, samples=300, correlation=0.3)
    tried = 0
    for scope in planning.network.episodes:
        for index in scope.members:
            activity = played.layout.activities[index]
            if activity.kind != "parcel" or activity.state != "open" or not activity.required:
                continue
            found, _ = latest(played, scope.id, index)
            if found.orders is None:
                continue
            for moment in {order_by(found.orders, share) for share in (30, 60, 90)} - {None}:
                assert moment is not None
                if moment < 0:
                    continue  # past: nobody can try it
                tried += 1
                again = met_if_ordered(played, scope.id, index, moment)
                claimed = found.orders >= moment
                if index in played.layout.uneven:
                    # What comes later may do better there; what is claimed holds.
                    assert again[claimed].all(), activity.key
                else:
                    assert np.array_equal(again, claimed), activity.key
    assert tried > 0 or seed != 301


COATS = """
release = 2027-03-21T20:00:00
[[parcel]]
id = "tin"
lead = "2..4..9 workdays"
[[job]]
id = "shelf"
[[job.step]]
id = "coat-1"
hands = "40min..1h..3h"
coat = "{coat}"
after = ["tin"]
[[job.step]]
id = "coat-2"
hands = "40min..1h..3h"
coat = "{coat}"
[[job.step]]
id = "fit"
hands = "2h..3h..6h"
"""
SHORT_RECOAT = "waterborne-polyurethane"
AIR = 'air_by_month = { "02" = { celsius = 19 }, "03" = { celsius = 21 }, "04" = { celsius = 25 } }'


def test_where_bounds_may_fall_away_the_latest_order_is_found_by_trying() -> None:
    """A longest recoat time in changing air: each sample with its own latest order is in time,
    and with a minute later it is not."""
    planning = plan_season(season(COATS.format(coat=SHORT_RECOAT), room=AIR))
    played = play(planning, samples=600)
    sweep, index = played.sweep, played.index("tin")
    assert index in played.layout.uneven
    found, in_time = latest(played, EPISODE, index)
    timing = played.draws.timing(index)
    assert isinstance(timing, RowDelivery)
    assert found.orders is not None
    ahead = np.flatnonzero(in_time & (found.orders < NEVER))
    assert 100 < ahead.size < 600
    for later in (0, 1):
        held = replace(timing, not_before=found.orders + np.int32(later))
        trial = sweep.again(played.draws.changed(index, held), index)
        assert (met(trial, EPISODE)[ahead] == (later == 0)).all()


def test_moments_that_are_too_early_are_raised_to_the_latest_ones_by_trying() -> None:
    played = play(shelf(), samples=400)
    index = played.index("boards")
    found, _ = latest(played, EPISODE, index)
    assert found.orders is not None
    known = (found.orders >= 0) & (found.orders < NEVER)
    assert known.sum() > 300
    layout = played.layout
    release = np.full(1, layout.at(layout.network.scope(EPISODE).release), np.int32)
    reach = layout.retimer.felt(EPISODE) | layout.retimer.reach(EPISODE)
    backward = BackwardSweep(played.sweep, {EPISODE: release}, reach, own_bounds=True)
    early = np.where(known, found.orders - np.int32(7_000), found.orders)
    try_later(played.sweep, backward, EPISODE, index, early)
    assert np.array_equal(early, found.orders)


def test_the_cap_is_the_share_in_time_with_the_parcel_there_from_the_start() -> None:
    """Against a plan in which the boards have been in hand for long."""
    tight = "2027-03-10"
    played = play(shelf(release=tight), samples=4_000)
    found, _ = latest(played, EPISODE, played.index("boards"))
    there = play(
        shelf("arrived = 2027-02-01T09:00:00\nordered = 2027-01-20", release=tight),
        samples=4_000,
    )
    assert 0.02 < found.in_time.mean() < 0.98
    assert np.array_equal(found.in_time, met(there.sweep, EPISODE))


def test_no_moment_is_given_above_the_cap() -> None:
    outcome = simulate(
        shelf(release="2027-03-10").retimer, [EPISODE], samples=2_000, seed=1, correlation=0.0
    )[0]
    parcel = outcome.parcels[0]
    assert parcel.cap < 0.95
    for share, moment in parcel.order_by.items():
        if share / 100 > parcel.cap:
            assert moment is None
    assert parcel.order_by[95] is None


def test_what_is_ordered_already_has_no_order_moment() -> None:
    outcome = simulate(
        shelf("ordered = 2027-02-26").retimer, [EPISODE], samples=500, seed=1, correlation=0.0
    )[0]
    assert set(outcome.parcels[0].order_by.values()) == {None}


def test_a_share_reads_off_the_falling_order_moments() -> None:
    orders = np.array([LONG_AGO, 10, 20, 30, NEVER], np.int32)
    assert [order_by(orders, share) for share in (20, 40, 60, 80, 100)] == [None, 30, 20, 10, None]
