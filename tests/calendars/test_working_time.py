"""Work on openings: every finish and every start against the law and against single minutes."""

from bisect import bisect_left
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given

from episodes.calendars.openings import Openings
from episodes.calendars.working_time import (
    LONG_AGO,
    NEVER,
    finish,
    first_open,
    first_start_one_go,
    last_open,
    latest_start,
    latest_start_one_go,
    open_minutes_before,
    sessions,
)
from tests.calendars.drawn import Minutes, amounts_of_work, calendars, instants, law, seeds

EVENINGS = Openings([(1080, 1290), (2520, 2730), (3960, 4170)])
"""Three evenings of 18:00-21:30, the first on day 0."""


def finish_one_go(openings: Openings, start: int, work: int) -> int:
    begins = first_start_one_go(openings, start, work)
    return NEVER if begins >= NEVER else begins + work


def near(minute: int, random: Random) -> int:
    return minute + random.randint(-1, 1)


@law
@given(calendars(), seeds)
def test_it_is_over_by_t_exactly_when_it_starts_by_the_latest_start(
    openings: Openings, seed: int
) -> None:
    random = Random(seed)
    work_of = amounts_of_work(openings, random)
    probes = instants(openings, random)
    for start, other in zip(probes, reversed(probes), strict=True):
        work = next(work_of)
        over = finish(openings, start, work)
        # Half of the limits lie on the very edge of being kept, half anywhere.
        limit = near(over, random) if over < NEVER and random.random() < 0.5 else other
        latest = latest_start(openings, limit, work)
        assert (over <= limit) == (start <= latest), (start, limit, work)
        assert latest == LONG_AGO or finish(openings, latest, work) <= limit
        assert finish(openings, latest + 1, work) > limit


@law
@given(calendars(), seeds)
def test_in_one_go_it_is_over_by_t_exactly_when_it_starts_by_the_latest_start(
    openings: Openings, seed: int
) -> None:
    random = Random(seed)
    work_of = amounts_of_work(openings, random)
    probes = instants(openings, random)
    for start, other in zip(probes, reversed(probes), strict=True):
        work = max(1, next(work_of))
        over = finish_one_go(openings, start, work)
        limit = near(over, random) if over < NEVER and random.random() < 0.5 else other
        latest = latest_start_one_go(openings, limit, work)
        assert (over <= limit) == (start <= latest), (start, limit, work)
        assert latest == LONG_AGO or finish_one_go(openings, latest, work) <= limit
        assert finish_one_go(openings, latest + 1, work) > limit


@law
@given(calendars(), seeds)
def test_a_finish_is_the_end_of_the_last_minute_worked(openings: Openings, seed: int) -> None:
    random = Random(seed)
    every = Minutes(openings)
    work_of = amounts_of_work(openings, random)
    for start in instants(openings, random):
        work = next(work_of)
        worked = every.worked(start, work)
        if work == 0:
            assert finish(openings, start, work) == start == latest_start(openings, start, work)
        elif worked is None:
            assert finish(openings, start, work) == NEVER
        else:
            assert finish(openings, start, work) == worked[-1] + 1


@law
@given(calendars(), seeds)
def test_in_one_go_it_starts_at_the_first_minute_from_which_it_fits(
    openings: Openings, seed: int
) -> None:
    random = Random(seed)
    every = Minutes(openings)
    work_of = amounts_of_work(openings, random)
    for start in instants(openings, random)[::10]:
        work = max(1, next(work_of))
        from_there = every.minutes[bisect_left(every.minutes, start) :]
        fits = (minute for minute in from_there if every.in_one_go(minute, work))
        assert first_start_one_go(openings, start, work) == next(fits, NEVER)


@law
@given(calendars(), seeds)
def test_sessions_are_the_minutes_worked_and_no_other(openings: Openings, seed: int) -> None:
    random = Random(seed)
    every = Minutes(openings)
    work_of = amounts_of_work(openings, random)
    for start in instants(openings, random)[::5]:
        work = next(work_of)
        pieces = sessions(openings, start, work)
        worked = [minute for piece in pieces for minute in range(*piece)]
        assert worked == (every.worked(start, work) or [])
        assert all(before[1] < after[0] for before, after in pairwise(pieces))


@law
@given(calendars(), seeds)
def test_open_minutes_first_open_and_last_open_are_those_of_the_bitmap(
    openings: Openings, seed: int
) -> None:
    minutes = Minutes(openings).minutes
    for t in instants(openings, Random(seed)):
        before = bisect_left(minutes, t)
        assert open_minutes_before(openings, t) == before
        assert first_open(openings, t) == (minutes[before] if before < len(minutes) else NEVER)
        at_or_before = bisect_left(minutes, t + 1) - 1
        expected = minutes[at_or_before] if at_or_before >= 0 else LONG_AGO
        assert last_open(openings, t) == expected


@pytest.mark.parametrize("work", [1, 210, 211, 631])
def test_where_no_opening_is_left_the_answer_is_never_not_the_last_edge(work: int) -> None:
    assert finish(EVENINGS, 4170, work) == NEVER
    assert finish(EVENINGS, NEVER, work) == NEVER
    assert latest_start(EVENINGS, 1080, work) == LONG_AGO
    assert latest_start(EVENINGS, LONG_AGO, work) == LONG_AGO


def test_a_finish_lands_on_a_closing_and_a_start_on_the_next_opening() -> None:
    assert finish(EVENINGS, 1080, 210) == 1290
    assert latest_start(EVENINGS, 2730, 210) == 2520
    assert latest_start(EVENINGS, 2520, 210) == 1080


def test_a_limit_in_the_night_leaves_the_night_as_room_to_start_in() -> None:
    # What may be over by Tuesday's opening with no minute of work in it may begin all Monday.
    assert latest_start(EVENINGS, 2600, 80) == 2520
    assert latest_start(EVENINGS, 2599, 80) == 1289


def test_work_too_long_for_every_opening_never_goes_in_one_go() -> None:
    assert first_start_one_go(EVENINGS, 0, 211) == NEVER
    assert latest_start_one_go(EVENINGS, 10_000, 211) == LONG_AGO
