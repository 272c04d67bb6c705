"""Rooms beside each other of which one cannot be done: the other's figures stay its own."""

import numpy as np

from episodes.answers.planning import Planning, plan_season
from episodes.risk import tables
from episodes.risk.criticality import Criticality
from episodes.risk.readiness import met, ready
from tests.risk.small_plan import EPISODE, Played, play
from tests.risk.test_order_by import latest, met_if_ordered
from tests.small_season import season

NEAR = """
release = 2027-03-30
[[parcel]]
id = "boards"
lead = "3..5..9 workdays"
[[job]]
id = "near"
[[job.step]]
id = "a"
hands = "1h..90min..3h"
[[job.step]]
id = "c"
hands = "1h..2h..3h"
also_after = ["boards"]
"""

FAR = """
room = "room"
release = 2027-04-20
[[parcel]]
id = "paint"
lead = "14 workdays"
[[job]]
id = "far"
[[job.step]]
id = "b"
hands = "1h"
[[job.step]]
id = "x"
hands = "{x}"
one_go = true
also_after = ["paint", {{ step = "b", within = "40d" }}]
"""


def rooms(x: str) -> Planning:
    return plan_season(season(NEAR, others={"2027-05-far": FAR.format(x=x)}))


def critical_by_trying(played: Played, id: str) -> np.ndarray:
    """Samples in which a minute more, everything timed again, moves the near room."""
    index = played.index(id)
    longer = played.draws.timing(index).longer(1)
    moment = ready(played.sweep, EPISODE)
    trial = ready(played.sweep.again(played.draws.changed(index, longer), index), EPISODE)
    return (trial != moment) & (moment < tables.NEVER)


def test_what_fits_into_no_evening_of_a_farther_room_makes_nothing_critical_here() -> None:
    """The far varnishing is longer than any evening in a part of the samples; b, before it and
    before the near c, hands none of that on."""
    played = play(rooms("1h..2h..5h"), samples=2_000)
    impossible = played.sweep.starts[played.index("far.x", "2027-05-far")] >= tables.NEVER
    assert 0.05 < impossible.mean() < 0.6
    critical = Criticality(played.sweep, EPISODE)
    for id in ("near.a", "near.c", "boards"):
        found = critical.of_step(played.index(id))
        assert np.array_equal(found, critical_by_trying(played, id)), id
    assert critical.of_step(played.index("near.c"))[impossible].any()
    assert not critical.of_step(played.index("near.a"))[impossible].all()


def test_its_parcels_keep_their_order_moments() -> None:
    played = play(rooms("1h..2h..5h"), samples=2_000)
    sure = play(rooms("1h"), samples=2_000)
    found, _ = latest(played, EPISODE, played.index("boards"))
    plain, _ = latest(sure, EPISODE, sure.index("boards"))
    assert found.orders is not None
    assert plain.orders is not None
    assert np.array_equal(found.orders, plain.orders)
    moment = int(np.median(found.orders))
    again = met_if_ordered(played, EPISODE, played.index("boards"), moment)
    assert np.array_equal(again, found.orders >= moment)
    assert np.array_equal(met(played.sweep, EPISODE), met(sure.sweep, EPISODE))
