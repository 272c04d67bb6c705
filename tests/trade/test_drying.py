"""Drying: what air does to a time on the tin, and progress over air that changes."""

import math
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from episodes.calendars import working_time
from episodes.calendars.local_time import zone
from episodes.trade import drying
from episodes.trade.drying import DryingCurve, air_pieces, allowed_stretches, slowness
from episodes.trade.products import DriesBy

LAWS: tuple[DriesBy, ...] = ("water", "oxidation", "reaction", "solvent", "moisture", "none")
NEVER, LONG_AGO = drying.NEVER, drying.LONG_AGO
CHICAGO = zone("America/Chicago")

# 200 curves x 500 probes a law in the everyday profile, 2,000 x 500 in the profile `deep`.
law_examples = settings(max_examples=max(200, settings().max_examples))


@dataclass(frozen=True)
class Air:
    celsius: float = 21.0
    humidity: float = 50.0


# ----------------------------------------------------------------------------- slowness


@pytest.mark.parametrize("dries_by", LAWS)
def test_in_the_reference_air_the_tin_tells_the_time(dries_by: DriesBy) -> None:
    assert slowness(dries_by, 1.7, 21, 50) == 1


@pytest.mark.parametrize("dries_by", LAWS)
@given(st.floats(-10, 45), st.floats(0, 100), st.floats(1.2, 3))
def test_no_air_makes_it_less_than_half_the_time(
    dries_by: DriesBy, celsius: float, humidity: float, q10: float
) -> None:
    assert slowness(dries_by, q10, celsius, humidity) >= 0.5


def test_hot_dry_air_stops_at_half() -> None:
    assert slowness("water", 2.0, 35, 10) == 0.5
    assert slowness("reaction", 2.0, 40, 50) == 0.5
    assert slowness("moisture", 1.5, 30, 80) == 0.5


def test_what_no_air_shortens_is_still_made_longer_by_cold_and_damp() -> None:
    assert slowness("water", 2.0, 28, 40, least=1.0) == 1
    assert slowness("water", 2.0, 21, 80, least=1.0) == pytest.approx(2.5)


def test_each_law_looks_at_what_it_is_about() -> None:
    cold, damp = (11.0, 50.0), (21.0, 80.0)
    assert slowness("none", 2.0, *cold) == slowness("none", 2.0, *damp) == 1
    for by_temperature in ("oxidation", "reaction", "solvent"):
        assert slowness(by_temperature, 1.7, *cold) == pytest.approx(1.7)
        assert slowness(by_temperature, 1.7, *damp) == 1
    assert slowness("water", 2.0, *damp) == pytest.approx(2.5)
    assert slowness("water", 2.0, *cold) > 1.5
    # Moisture cure is the other way round: damp air speeds it up, dry air holds it back.
    assert slowness("moisture", 1.5, *damp) == pytest.approx(50 / 80)
    assert slowness("moisture", 1.5, 21, 25) == pytest.approx(2)


def test_nothing_dries_where_there_is_nowhere_to_go_or_nothing_to_live_on() -> None:
    assert math.isinf(slowness("water", 2.0, 21, 100))
    assert math.isinf(slowness("moisture", 1.5, 21, 0))


# -------------------------------------------------------------------- progress over time


def test_progress_adds_up_over_changing_air_and_rounds_up_once() -> None:
    # Three hours in a warm room, then a garage until minute 960, then a mild room. By hand:
    # 180 + (240 - 180) x 1.9447 = 296.68; 180 + 780/1.9447 = 581.1 of 1020, and 438.9 x 1.3388
    # after minute 960 = 1547.6; and so on.
    airs = [(0, 21, 50), (180, 14, 60), (960, 18, 55)]
    for minutes, dries_by, q10, over in (
        (240, "water", 2.0, 297),
        (1020, "water", 2.0, 1548),
        (480, "oxidation", 2.0, 668),
        (720, "moisture", 1.5, 1054),
        (2880, "reaction", 1.7, 3496),
    ):
        curve = DryingCurve([(at, slowness(dries_by, q10, c, h)) for at, c, h in airs])
        assert curve.over(0, minutes) == over


def test_half_the_drying_at_each_of_two_speeds_takes_half_of_each_time() -> None:
    curve = DryingCurve([(0, 3.0), (720, 1.0)])  # a day, then eight hours
    assert curve.over(0, 480) == 720 + 240


@pytest.mark.parametrize("minutes", [1, 7, 60, 240, 1440, 30 * 1440])
@pytest.mark.parametrize("factor", [0.5, 1.0, 1.25, 2.0, 2.5, slowness("water", 2.0, 21, 80)])
def test_a_time_that_comes_out_even_is_not_a_minute_more(minutes: int, factor: float) -> None:
    curve = DryingCurve([(0, factor)])
    assert curve.over(1000, minutes) == 1000 + math.ceil(minutes * factor - 1e-6)


def test_a_stage_of_no_length_is_over_at_once_in_any_air() -> None:
    curve = DryingCurve([(0, math.inf)])
    assert curve.over(5, 0) == curve.latest(5, 0) == 5


def test_what_does_not_dry_waits_for_better_air() -> None:
    curve = DryingCurve([(0, 1.0), (100, math.inf), (500, 1.0)])
    assert curve.over(50, 50) == 100
    assert curve.over(50, 51) == 501
    assert curve.latest(500, 50) == 50
    assert curve.latest(501, 1) == 500
    # Nothing moves between 100 and 500: any finish in there comes to the same.
    assert curve.over(100, 10) == curve.over(500, 10) == 510
    assert curve.latest(510, 10) == 500


def test_what_never_dries_is_never_over() -> None:
    curve = DryingCurve([(0, 1.0), (100, math.inf)])
    assert curve.over(50, 51) == NEVER
    assert curve.over(200, 1) == NEVER
    assert curve.latest(10_000, 51) == 49
    assert DryingCurve([(0, math.inf)]).over(0, 1) == NEVER
    assert DryingCurve([(0, math.inf)]).latest(10_000, 1) == LONG_AGO
    assert DryingCurve([(0, 1e30)]).over(0, 1) == NEVER


def test_the_ends_of_time_stay_where_they_are() -> None:
    curve = DryingCurve([(0, 1.5), (100, 2.0)])
    assert curve.over(NEVER, 10) == NEVER
    assert curve.latest(NEVER, 10) == NEVER
    assert curve.latest(LONG_AGO, 10) == LONG_AGO
    assert (NEVER, LONG_AGO) == (working_time.NEVER, working_time.LONG_AGO)


def test_the_first_air_holds_before_its_start_and_the_last_after() -> None:
    curve = DryingCurve([(0, 2.0), (100, 3.0)])
    assert curve.over(-1000, 100) == -800
    assert curve.over(-100, 100) == 100
    assert curve.over(10_000, 100) == 10_300
    assert curve.latest(100, 100) == -100


factors = st.one_of(
    st.floats(0.5, 8), st.sampled_from([0.5, 1.0, 1.25, 2.0, 2.5, 3.0]), st.just(math.inf)
)
curves = st.lists(st.tuples(st.integers(1, 600), factors), min_size=1, max_size=10).map(
    lambda pieces: [
        (sum(length for length, _ in pieces[: index + 1]), factor)
        for index, (_, factor) in enumerate(pieces)
    ]
)


@law_examples
@given(curves, st.integers(0, 2**32))
def test_it_is_over_by_t_exactly_when_the_coat_is_finished_by_the_latest(
    pieces: list[tuple[int, float]], seed: int
) -> None:
    curve = DryingCurve(pieces)
    random = Random(seed)
    edges = [start for start, _ in pieces]
    low, high = edges[0] - 500, edges[-1] + 500
    for _ in range(500):
        edge = random.choice(edges) + random.randint(-1, 1)
        finish = random.choice((random.randint(low, high), edge))
        minutes = random.randint(0, random.choice((3, 120, 2000)))
        over = curve.over(finish, minutes)
        limit = random.choice((over + random.randint(-1, 1), random.randint(low, high)))
        if limit >= NEVER:
            continue
        assert (over <= limit) == (finish <= curve.latest(limit, minutes)), (finish, minutes, limit)
        assert over >= finish
        assert over <= curve.over(finish + 1, minutes), "a coat finished later was dry earlier"


@given(curves, st.integers(-100, 3000), st.integers(1, 400))
def test_it_is_over_in_the_minute_in_which_the_sum_of_progress_is_complete(
    pieces: list[tuple[int, float]], finish: int, minutes: int
) -> None:
    curve = DryingCurve(pieces)
    done, at = Fraction(0), finish
    enough = minutes - Fraction(1, 10**6)
    while done < enough and at < finish + 20_000:
        factor = next((f for start, f in reversed(pieces) if start <= at), pieces[0][1])
        done += 0 if math.isinf(factor) else 1 / Fraction(factor)
        at += 1
    over = curve.over(finish, minutes)
    if done >= enough:
        assert over == at
    else:
        assert over > at


# ------------------------------------------------------------------------ air of a space

YEAR = tuple(Air(8.0, 70.0) if month in (1, 2, 3, 11, 12) else Air() for month in range(1, 13))


def test_air_changes_at_local_midnight_of_the_first_and_like_months_are_one_piece() -> None:
    start, end = CHICAGO.utc(date(2027, 1, 10), 600), CHICAGO.utc(date(2028, 2, 1), 0)
    april, november = CHICAGO.utc(date(2027, 4, 1), 0), CHICAGO.utc(date(2027, 11, 1), 0)
    assert air_pieces(CHICAGO, YEAR, start, end) == [
        (start, april, YEAR[0]),
        (april, november, YEAR[3]),
        (november, end, YEAR[10]),
    ]


def test_the_same_air_all_year_is_one_piece() -> None:
    assert air_pieces(CHICAGO, [Air()] * 12, 0, 10**7) == [(0, 10**7, Air())]
    assert air_pieces(CHICAGO, [Air()] * 12, 5, 5) == []


def test_a_coat_may_be_laid_in_air_within_all_limits_each_limit_itself_allowed() -> None:
    pieces = [
        (0, 10, Air(10, 50)),
        (10, 20, Air(9.9, 50)),
        (20, 30, Air(10, 85)),
        (30, 40, Air(30, 85)),
        (40, 50, Air(30.1, 50)),
        (50, 60, Air(20, 85.1)),
    ]
    assert allowed_stretches(pieces, 10, 30, 85) == [(0, 10), (20, 40)]
    assert allowed_stretches(pieces, None, None, None) == [(0, 60)]
    assert allowed_stretches(pieces, 40, None, None) == []
