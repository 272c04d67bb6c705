"""The sweep is the plan at likely lengths, and the plan's own re-timing in every sample."""

import numpy as np
import pytest

from episodes.answers.planning import Planning
from episodes.calendars.working_time import NEVER
from episodes.network.passes import SESSION
from episodes.risk import tables
from episodes.risk.criticality import Criticality
from episodes.risk.readiness import ready
from episodes.risk.simulation import check_at_likely
from episodes.risk.sweep import Sweep
from tests.risk.one_sample import scalar_pass
from tests.risk.small_plan import generated, play

SEEDS = (302, 303, 304, 305, 310, 314)
"""With recoat windows, perishables, work in another's pauses, facts, parcels on their way."""


@pytest.fixture(scope="module", params=SEEDS)
def planning(request: pytest.FixtureRequest) -> Planning:
    return generated(request.param)


def test_at_likely_lengths_every_activity_stands_where_the_plan_has_it(
    planning: Planning,
) -> None:
    played = play(planning, samples=10)
    check_at_likely(played.layout, played.planned)
    rest = Sweep(played.layout, played.planned).run()
    base, compared = planning.retimer.base, 0
    for activity in played.layout.activities:
        if not activity.done:
            at = (base.starts[activity.index], base.finishes[activity.index])
            found = (rest.starts[activity.index][0], rest.finishes[activity.index][0])
            assert found == tuple(played.layout.at(minute) for minute in at), activity.key
            compared += 1
    assert compared > 20


def test_each_sample_is_the_plan_retimed_with_its_lengths(planning: Planning) -> None:
    """Against the engine's scalar pass, activity by activity; a piece that has no time at all
    climbs past the calendar's end in both, by other steps."""
    played = play(planning, samples=25, correlation=0.3)
    layout, sweep = played.layout, played.sweep
    for column in range(sweep.count):
        scalar = scalar_pass(layout, played.draws, column)
        for piece in layout.pieces:
            if any(scalar.finishes[index] >= NEVER for index in piece):
                assert any(sweep.finishes[i][column] >= tables.NEVER for i in piece)
                continue
            for index in piece:
                found = (sweep.starts[index][column], sweep.finishes[index][column])
                expected = (
                    layout.at(scalar.starts[index]), layout.at(scalar.finishes[index])
                )  # fmt: skip
                assert found == expected, layout.activities[index].key


def test_every_sample_keeps_every_link_and_queue_of_the_plan(planning: Planning) -> None:
    """Read off the results alone: what comes after comes after, what has a longest gap keeps it,
    unless it is found to be missed."""
    played = play(planning, samples=150, correlation=0.3)
    layout, sweep = played.layout, played.sweep
    looked_at = 0
    for index, links in enumerate(layout.incoming):
        if layout.activities[index].done:
            continue
        for link in links:
            if link.session or link.point >= SESSION:
                continue
            later = sweep.later_end(link)
            placed = np.broadcast_to(later < tables.NEVER, (sweep.count,))
            least = sweep.point(link.pred, link.point) + np.int32(link.least)
            if layout.second_side(link):
                assert link.or_point is not None
                far = sweep.point(link.pred, link.or_point) + np.int32(link.or_gap)
                least = np.maximum(least, far)
            assert (later >= least)[placed].all(), link
            if layout.limits(link) and link not in planning.retimer.base.missed:
                missed = sweep.missed.get(index, np.False_)
                assert ((later <= sweep.upper(link)) | missed)[placed].all(), link
            looked_at += 1
    assert looked_at > 20


def test_timing_again_what_changed_is_timing_everything_anew(planning: Planning) -> None:
    played = play(planning, samples=30, correlation=0.3)
    for activity in played.layout.activities:
        if activity.done or activity.index % 12:
            continue
        longer = played.draws.timing(activity.index).longer(60)
        draws = played.draws.changed(activity.index, longer)
        again = played.sweep.again(draws, activity.index)
        anew = Sweep(played.layout, draws).run()
        for other in played.layout.activities:
            if not other.done:
                assert np.array_equal(again.finishes[other.index], anew.finishes[other.index])


def test_critical_in_a_sample_is_what_one_minute_more_moves(planning: Planning) -> None:
    """Every activity and drying timed in full with the minute, sample by sample."""
    played = play(planning, samples=50, correlation=0.3)
    sweep, layout = played.sweep, played.layout
    looked_at = 0
    for scope in planning.network.episodes:
        moment = ready(sweep, scope.id)
        critical = Criticality(sweep, scope.id)
        for index in scope.members:
            activity = layout.activities[index]
            if planning.plan.placed[index] is None:
                continue
            if not activity.done:
                longer = played.draws.timing(index).longer(1)
                trial = sweep.again(played.draws.changed(index, longer), index)
                moved = (ready(trial, scope.id) != moment) & (moment < tables.NEVER)
                assert np.array_equal(critical.of_step(index), moved), activity.key
                looked_at += int(moved.sum())
            if activity.coat is not None and not activity.done:
                coat = played.draws.coat(index).longer(1)
                trial = sweep.again(played.draws.changed(index, coat=coat), index)
                moved = (ready(trial, scope.id) != moment) & (moment < tables.NEVER)
                assert np.array_equal(critical.of_drying(index), moved), activity.key
    assert looked_at > 0


def test_critical_at_likely_lengths_is_what_check_calls_critical(planning: Planning) -> None:
    played = play(planning, samples=2)
    rest = Sweep(played.layout, played.planned).run()
    for scope in planning.network.episodes:
        if planning.plan.ready_by(scope.id) is None:
            continue
        steps, dryings = planning.retimer.critical(scope.id)
        critical = Criticality(rest, scope.id)
        for index in scope.members:
            if planning.plan.placed[index] is None:
                continue
            activity = played.layout.activities[index]
            if not activity.done:
                assert bool(critical.of_step(index)[0]) == (index in steps), activity.key
            if activity.coat is not None:
                assert bool(critical.of_drying(index)[0]) == (index in dryings), activity.key


def test_a_sweep_that_is_not_the_plan_is_told(planning: Planning) -> None:
    """The assertion bites: a minute more on one piece of work is found."""
    from episodes.risk.outcome import SweepDiffersError

    played = play(planning, samples=2)
    index = next(
        a.index
        for a in played.layout.activities
        if a.kind == "hands" and not a.done and planning.plan.placed[a.index] is not None
    )
    longer = played.planned.timing(index).longer(1)
    with pytest.raises(SweepDiffersError, match=played.layout.activities[index].id):
        check_at_likely(played.layout, played.planned.changed(index, longer))


def test_the_samples_are_the_same_whether_taken_together_or_in_parts(planning: Planning) -> None:
    played = play(planning, samples=200, correlation=0.3)
    some = np.arange(50, 130)
    part = Sweep(played.layout, played.draws.take(some)).run()
    for index, activity in enumerate(played.layout.activities):
        if not activity.done:
            assert np.array_equal(played.sweep.finishes[index][some], part.finishes[index])
