"""A product in the air of a space: the plan's own drying, and the days that are closed to it."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.answers.check import check
from episodes.answers.materials import Closed, InAir, in_air
from episodes.calendars.local_time import zone
from episodes.calendars.working_time import NEVER
from episodes.files.products import load_products
from episodes.model.studio import Air, Space
from episodes.problems import Place
from episodes.trade.products import Stage
from tests.small_season import minutes, season

UTC = zone("UTC")
PRODUCTS = load_products()


def space(*airs: tuple[int, Air], usual: Air = Air()) -> Space:
    by_month = dict(airs)
    return Space(
        id="room",
        title="Room",
        air_by_month=tuple(by_month.get(month, usual) for month in range(1, 13)),
        place=Place("studio.toml"),
    )


def there(product: str, where: Space, day: date = date(2027, 3, 10)) -> InAir:
    return in_air(PRODUCTS[product].coating, UTC, where, day)


def test_in_reference_air_the_times_are_those_of_the_table() -> None:
    for product in PRODUCTS.values():
        found = in_air(product.coating, UTC, space(), date(2027, 3, 10))
        assert found.times == product.coating.times
        assert found.closed == ()
        assert found.closed_today is None


@pytest.mark.parametrize("product", ["hardwax-oil", "wall-paint", "aerosol-enamel", "thinset"])
@pytest.mark.parametrize("stage", ["touch", "recoat", "handle", "cure"])
def test_the_times_are_those_of_the_plan(product: str, stage: Stage) -> None:
    # A coat that is finished at noon of 28 March, three days before the air turns warmer.
    step = '[[job]]\nid = "a"\n[[job.step]]\nid = "b"\nhands = "1h"\n'
    plan = season(
        f'{step}coat = "{product}"\nat = 2027-03-28T11:00:00\n'
        '[[job.step]]\nid = "c"\nwait = "1h"\n'
        f'after = [{{ step = "b", stage = "{stage}" }}]',
        hours='daily = ["08:00-20:00"]',
        room='air = { celsius = 18, humidity = 40 }\n'
        'air_by_month = { "03" = { celsius = 14, humidity = 60 } }',
    )  # fmt: skip
    row = check(plan).episodes[0].step("a.b.dry")
    assert row.start == minutes(28, 12)
    assert row.finish is not None
    where = plan.studio.space("room")
    found = in_air(PRODUCTS[product].coating, UTC, where, date(2027, 3, 28))
    assert found.times[stage].likely == row.finish - row.start


def test_no_air_shortens_the_second_side_of_a_window() -> None:
    hot = space(usual=Air(30, 40))
    assert there("aerosol-enamel", hot).times["recoat"].likely == 48 * 60
    assert there("aerosol-enamel", hot).times["touch"].likely < 60


def test_what_never_dries_is_never() -> None:
    wet = space(usual=Air(21, 100))
    assert there("wall-paint", wet).times["touch"].likely == NEVER


def test_closed_days_are_told_with_what_closes_them() -> None:
    cold, hot = Air(4, 50), Air(36, 50)
    found = there("wall-paint", space((12, cold), (1, cold), (2, Air(2, 50)), (7, hot)))
    assert found.closed == (
        Closed(why="too-hot", first=date(2027, 7, 1), last=date(2027, 7, 31), is_=36, limit=32),
        Closed(why="too-cold", first=date(2027, 12, 1), last=date(2028, 2, 29), is_=2, limit=10),
    )
    assert found.closed_today is None


def test_a_day_of_closed_air_is_closed_from_itself_on() -> None:
    found = there("wall-paint", space((3, Air(21, 90))))
    assert found.closed_today == Closed(
        why="too-damp", first=date(2027, 3, 10), last=date(2027, 3, 31), is_=90, limit=85
    )


@pytest.mark.parametrize("air", [Air(10, 85), Air(32, 85), Air(10, 0)])
def test_a_limit_itself_is_allowed(air: Air) -> None:
    assert there("wall-paint", space(usual=air)).closed == ()


def test_air_that_never_allows_it_is_closed_for_good() -> None:
    found = there("wall-paint", space(usual=Air(9.9, 50)))
    (closed,) = found.closed
    assert closed.last is None


def test_a_day_whose_air_turns_before_the_coat_is_touch_dry_says_when() -> None:
    turning = space((4, Air(5, 50)))
    found = there("oil-stain", turning, date(2027, 3, 31))
    assert found.closed_today is None
    # Touch dry 4 h after noon, before midnight; linseed oil a day later is not.
    assert found.changes_before_touch is None
    slow = there("linseed-oil", turning, date(2027, 3, 31))
    assert slow.changes_before_touch == date(2027, 4, 1)


@given(
    st.sampled_from(sorted(PRODUCTS)),
    st.lists(
        st.tuples(st.floats(2, 38), st.floats(20, 95)).map(lambda pair: Air(*pair)),
        min_size=12,
        max_size=12,
    ),
    st.dates(date(2027, 1, 1), date(2028, 12, 31)),
)
def test_closed_days_are_those_of_air_outside_the_limits(
    product: str, airs: list[Air], day: date
) -> None:
    coating = PRODUCTS[product].coating
    where = replace(space(), air_by_month=tuple(airs))
    found = in_air(coating, UTC, where, day)

    def shut(each: date) -> bool:
        air = airs[each.month - 1]
        lowest = coating.lowest_celsius is not None and air.celsius < coating.lowest_celsius
        highest = coating.highest_celsius is not None and air.celsius > coating.highest_celsius
        damp = coating.highest_humidity is not None and air.humidity > coating.highest_humidity
        return lowest or highest or damp

    for ahead in range(0, 364, 5):
        each = date.fromordinal(day.toordinal() + ahead)
        told = any(
            closed.first <= each and (closed.last is None or each <= closed.last)
            for closed in found.closed
        )
        assert told == shut(each), each
    assert (found.closed_today is not None) == shut(day)
