"""Sets of openings: sorted, apart, and the same as sets of minutes."""

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from episodes.calendars.openings import Openings, intersection
from tests.calendars.drawn import Minutes, calendars, instants, law, seeds

loose = st.lists(st.tuples(st.integers(-60, 60), st.integers(-60, 60)), max_size=12)


def minutes(openings: Openings) -> frozenset[int]:
    return Minutes(openings).set


def assert_in_order(openings: Openings) -> None:
    edges = [edge for opening in openings for edge in opening]
    assert edges == sorted(set(edges)), "openings overlap or touch"


@given(loose)
def test_any_stretches_in_any_order_become_openings_apart_from_each_other(
    stretches: list[tuple[int, int]],
) -> None:
    openings = Openings(stretches)
    assert_in_order(openings)
    assert minutes(openings) == {m for start, end in stretches for m in range(start, end)}


@given(loose)
def test_the_sums_beside_the_edges_count_the_open_minutes(stretches: list[tuple[int, int]]) -> None:
    openings = Openings(stretches)
    every = Minutes(openings).minutes
    assert openings.total == len(every)
    for start, before in zip(openings.starts, openings.before, strict=False):
        assert before == sum(minute < start for minute in every)
    assert openings.longest == max((end - start for start, end in openings), default=0)


def test_stretches_that_touch_are_one_opening() -> None:
    assert list(Openings([(10, 20), (20, 30)])) == [(10, 30)]


def test_a_stretch_that_ends_when_it_starts_or_before_is_none() -> None:
    assert list(Openings([(10, 10), (20, 15)])) == []


@law
@given(calendars(), seeds)
def test_a_minute_is_open_exactly_where_the_bitmap_has_it(openings: Openings, seed: int) -> None:
    every = minutes(openings)
    for minute in instants(openings, Random(seed)):
        assert openings.is_open(minute) == (minute in every)


@law
@given(loose, loose)
def test_and_or_minus_are_those_of_the_sets_of_minutes(
    one: list[tuple[int, int]], two: list[tuple[int, int]]
) -> None:
    a, b = Openings(one), Openings(two)
    for result, expected in (
        (a & b, minutes(a) & minutes(b)),
        (a | b, minutes(a) | minutes(b)),
        (a - b, minutes(a) - minutes(b)),
    ):
        assert_in_order(result)
        assert minutes(result) == expected


@given(st.lists(loose, max_size=4))
def test_what_is_open_in_all_is_open_in_each(several: list[list[tuple[int, int]]]) -> None:
    every = [Openings(stretches) for stretches in several]
    expected = frozenset[int]().union(*map(minutes, every))
    for one in every:
        expected &= minutes(one)
    assert minutes(intersection(every)) == expected


@given(loose, st.integers(-70, 70), st.integers(-70, 70))
def test_clipping_keeps_the_minutes_inside(
    stretches: list[tuple[int, int]], start: int, end: int
) -> None:
    clipped = Openings(stretches).clipped(start, end)
    assert_in_order(clipped)
    assert minutes(clipped) == {m for m in minutes(Openings(stretches)) if start <= m < end}


def test_calendars_with_the_same_openings_are_equal_and_stand_for_each_other() -> None:
    assert Openings([(1, 3), (3, 5)]) == Openings([(1, 5)])
    assert len({Openings([(1, 3), (3, 5)]), Openings([(1, 5)]), Openings()}) == 2
    assert Openings([(1, 5)]) != [(1, 5)]
