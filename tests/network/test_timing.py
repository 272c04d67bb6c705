"""How activities use up time: the four questions answer each other, also through a coat's air."""

from hypothesis import given
from hypothesis import strategies as st

from episodes.calendars.openings import Openings
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.timing import (
    Expected,
    Gate,
    Hands,
    Wait,
    first_start_ending_at_or_after,
)
from episodes.trade.drying import DryingCurve

CALENDARS = st.lists(
    st.tuples(st.integers(0, 900), st.integers(1, 80)), min_size=1, max_size=12
).map(lambda some: Openings((start, start + length) for start, length in some))


@st.composite
def hands(draw: st.DrawFn) -> Hands:
    openings = draw(CALENDARS)
    one_go = draw(st.booleans())
    work = draw(st.integers(1, max(1, openings.longest if one_go else openings.total)))
    gate = None
    if draw(st.booleans()):
        stretches = tuple(
            Openings(
                (start, start + length)
                for start, length in draw(
                    st.lists(st.tuples(st.integers(0, 900), st.integers(1, 300)), max_size=4)
                )
            )
        )
        factors = draw(st.lists(st.sampled_from([0.5, 1.0, 1.7, 3.0]), min_size=1, max_size=3))
        curve = DryingCurve([(at * 300 - 2000, f) for at, f in enumerate(factors)])
        gate = Gate(stretches, curve, draw(st.integers(1, 60)))
    return Hands(openings, work, one_go, gate)


@given(hands(), st.integers(-20, 1100))
def test_a_first_start_is_the_first_that_can_be_made(timing: Hands, t: int) -> None:
    """No minute between the asked one and the given start is itself a start."""
    start = timing.fit(t)
    if start < NEVER:
        assert start >= t
        assert timing.fit(start) == start
        assert all(timing.fit(s) == start for s in range(t, start, max(1, (start - t) // 7)))


@given(hands(), st.integers(-20, 1100))
def test_latest_starts_and_finishes_are_adjoint(timing: Hands, t: int) -> None:
    """The latest start that ends by t is a start, ends by t, and the next start does not."""
    start = timing.end_by(t)
    if start > LONG_AGO:
        assert timing.fit(start) == start
        assert timing.end(start) <= t
    following = timing.fit(max(start, -3000) + 1)
    assert following >= NEVER or timing.end(following) > t


@given(hands(), st.integers(-20, 1100))
def test_the_last_start_at_or_before_a_moment_has_none_after_it(timing: Hands, t: int) -> None:
    start = timing.fit_back(t)
    if start > LONG_AGO and timing.end(start) < NEVER:
        assert start <= t
        assert timing.fit(start) == start
    following = timing.fit(max(start, -3000) + 1)
    assert following >= NEVER or following > t


@given(hands(), st.integers(0, 1100))
def test_the_first_start_that_ends_late_enough_is_the_first(timing: Hands, y: int) -> None:
    start = first_start_ending_at_or_after(timing, y)
    if start < NEVER:
        assert timing.end(start) >= y
        assert all(
            timing.end(s) < y for s in range(max(start - 60, 0), start) if timing.fit(s) == s
        )


@given(hands(), st.integers(0, 900))
def test_sessions_hold_exactly_the_work_and_lie_in_openings(timing: Hands, t: int) -> None:
    start = timing.fit(t)
    if start >= NEVER:
        return
    pieces = timing.pieces(start)
    assert sum(end - begin for begin, end in pieces) == timing.work
    assert pieces[0][0] == start
    assert pieces[-1][1] == timing.end(start)
    assert all(timing.openings.is_open(m) for a, b in pieces for m in (a, b - 1))


def test_a_wait_of_no_minutes_ends_where_it_starts_in_both_directions() -> None:
    assert Wait(0).end(7) == 7
    assert Wait(0).end_by(7) == 7


def test_what_is_promised_comes_then_however_early_it_was_ordered() -> None:
    promised = Expected(500, 60)
    assert promised.end(LONG_AGO) == 560
    assert promised.end(20) == 560
    assert promised.longer(1).end(20) == 561
