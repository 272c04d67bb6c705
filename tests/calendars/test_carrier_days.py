"""A carrier's days: arrivals, last orders, and that one undoes the other."""

from datetime import date, timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.calendars.carrier_days import CarrierDays
from episodes.calendars.local_time import Zone, zone
from episodes.calendars.week import DayOff, parse_day_off
from episodes.calendars.working_time import LONG_AGO, NEVER
from tests.calendars.drawn import PROBES, law, seeds

CHICAGO = zone("America/Chicago")
START, END = date(2027, 4, 1), date(2027, 6, 1)
MON_FRI = frozenset(range(5))
MON_SAT = frozenset(range(6))


def at(day: str, wall: str = "00:00") -> int:
    hours, minutes = wall.split(":")
    return CHICAGO.utc(date.fromisoformat(day), int(hours) * 60 + int(minutes))


def carrier(
    weekdays: frozenset[int] = MON_FRI,
    *,
    cutoff: int | None = 14 * 60,
    holidays: frozenset[date] = frozenset(),
    off: tuple[DayOff, ...] = (),
    arrives_at: int = 18 * 60,
) -> CarrierDays:
    return CarrierDays(
        CHICAGO,
        weekdays,
        CHICAGO.utc(START, 0),
        CHICAGO.utc(END, 0),
        holidays=holidays,
        off=off,
        cutoff=cutoff,
        arrives_at=arrives_at,
    )


# 2027-04-05 is a Monday.
@pytest.mark.parametrize(
    ("order", "workdays", "arrival"),
    [
        (("2027-04-05", "09:00"), 1, "2027-04-06"),
        (("2027-04-05", "14:00"), 1, "2027-04-06"),  # the cutoff itself still counts
        (("2027-04-05", "14:01"), 1, "2027-04-07"),
        (("2027-04-05", "09:00"), 5, "2027-04-12"),  # over the weekend
        (("2027-04-09", "15:00"), 1, "2027-04-13"),  # Friday afternoon counts from Monday
        (("2027-04-10", "09:00"), 1, "2027-04-13"),  # so does Saturday
        (("2027-04-10", "09:00"), 0, "2027-04-12"),
        (("2027-04-05", "09:00"), 0, "2027-04-05"),  # the same day
    ],
)
def test_working_days_count_from_the_day_that_the_order_still_catches(
    order: tuple[str, str], workdays: int, arrival: str
) -> None:
    assert carrier().arrival(at(*order), workdays) == at(arrival, "18:00")


def test_without_a_cutoff_the_day_counts_until_its_end() -> None:
    all_day = carrier(cutoff=None)
    assert all_day.arrival(at("2027-04-05", "23:59"), 1) == at("2027-04-06", "18:00")
    assert all_day.arrival(at("2027-04-06"), 1) == at("2027-04-07", "18:00")
    assert all_day.latest_order(at("2027-04-06", "18:00"), 1) == at("2027-04-05", "23:59")


def test_what_would_arrive_the_same_day_before_it_is_ordered_comes_the_next_day() -> None:
    all_day = carrier(cutoff=None)
    assert all_day.arrival(at("2027-04-09", "18:00"), 0) == at("2027-04-09", "18:00")
    assert all_day.arrival(at("2027-04-09", "18:01"), 0) == at("2027-04-12", "18:00")
    assert all_day.latest_order(at("2027-04-09", "18:00"), 0) == at("2027-04-09", "18:00")


def test_holidays_and_days_off_are_no_days_of_the_carrier() -> None:
    closed = carrier(
        holidays=frozenset([date(2027, 4, 6)]), off=(parse_day_off("2027-04-07..2027-04-08"),)
    )
    assert closed.arrival(at("2027-04-05", "09:00"), 1) == at("2027-04-09", "18:00")
    assert closed.arrival(at("2027-04-06", "09:00"), 0) == at("2027-04-09", "18:00")


def test_hours_off_say_nothing_of_a_carriers_day() -> None:
    hours = carrier(off=(parse_day_off("2027-04-06 08:00-20:00"),))
    assert hours.arrival(at("2027-04-05", "09:00"), 1) == at("2027-04-06", "18:00")


def test_saturday_is_a_day_of_those_who_work_on_it() -> None:
    assert carrier(MON_SAT).arrival(at("2027-04-09", "09:00"), 1) == at("2027-04-10", "18:00")


def test_after_the_last_day_known_a_parcel_never_comes() -> None:
    assert carrier().arrival(at("2027-05-31", "09:00"), 1) == NEVER
    assert carrier().arrival(at("2027-05-24", "09:00"), 5) == at("2027-05-31", "18:00")
    assert carrier().arrival(NEVER, 0) == NEVER
    assert carrier().next_arrival(at("2027-05-31", "18:01")) == NEVER
    assert carrier().next_arrival(NEVER) == NEVER
    assert carrier().later(at("2027-05-31", "18:00"), 1) == NEVER


def test_a_carrier_with_no_days_brings_nothing() -> None:
    never = carrier(frozenset())
    assert never.arrival(at("2027-04-05"), 1) == NEVER
    assert never.latest_order(at("2027-05-05"), 1) == LONG_AGO
    assert never.later(at("2027-04-05"), -1) == LONG_AGO
    assert never.next_arrival(at("2027-04-05")) == NEVER


def test_an_order_from_before_the_span_is_counted_all_the_same() -> None:
    assert carrier().arrival(at("2027-03-01", "09:00"), 3) == at("2027-03-04", "18:00")
    assert carrier().arrival(at("2025-03-03", "09:00"), 5) == at("2025-03-10", "18:00")
    assert carrier().latest_order(at("2027-04-01", "18:00"), 10) == at("2027-03-18", "14:00")


def test_the_next_arrival_is_the_first_moment_not_before() -> None:
    assert carrier().next_arrival(at("2027-04-09", "18:00")) == at("2027-04-09", "18:00")
    assert carrier().next_arrival(at("2027-04-09", "18:01")) == at("2027-04-12", "18:00")


@pytest.mark.parametrize(
    ("arrival", "days", "moved"),
    [
        (("2027-04-09", "18:00"), 1, "2027-04-12"),
        (("2027-04-09", "18:00"), 6, "2027-04-19"),
        (("2027-04-12", "18:00"), -1, "2027-04-09"),
        (("2027-04-10", "11:00"), 1, "2027-04-12"),  # from a Saturday
        (("2027-04-10", "11:00"), -1, "2027-04-09"),
        (("2027-04-09", "08:00"), 1, "2027-04-12"),  # to the hour of arrivals
        (("2027-04-01", "18:00"), -3, "2027-03-29"),
    ],
)
def test_an_arrival_moves_by_the_carriers_days(
    arrival: tuple[str, str], days: int, moved: str
) -> None:
    assert carrier().later(at(*arrival), days) == at(moved, "18:00")


def test_an_arrival_moved_by_no_day_stays_as_it_is() -> None:
    assert carrier().later(at("2027-04-10", "11:00"), 0) == at("2027-04-10", "11:00")


def test_an_arrival_may_be_put_on_any_day() -> None:
    assert carrier().arrival_on(date(2027, 4, 10)) == at("2027-04-10", "18:00")


def test_hours_of_a_carrier_are_on_the_wall_over_a_clock_change() -> None:
    # Clocks in Chicago went forward in the night to Sunday 2027-03-14.
    days = CarrierDays(
        CHICAGO, frozenset(range(7)), at("2027-03-01"), at("2027-04-01"), cutoff=120, arrives_at=150
    )
    assert days.arrival(at("2027-03-13", "02:00"), 1) == at("2027-03-14", "03:00")
    assert days.arrival(at("2027-03-14", "03:00"), 0) == at("2027-03-14", "03:00")
    assert days.arrival(at("2027-03-14", "03:01"), 0) == at("2027-03-15", "02:30")
    assert days.latest_order(at("2027-03-15", "02:30"), 1) == at("2027-03-14", "03:00")


# --------------------------------------------------------------------- against day by day


class DayByDay:
    """The same rules, one calendar day after another."""

    def __init__(
        self,
        here: Zone,
        weekdays: frozenset[int],
        closed: frozenset[date],
        cutoff: int | None,
        hour: int,
    ) -> None:
        self.here, self.weekdays, self.closed, self.hour = here, weekdays, closed, hour
        self.cutoff = cutoff

    def works(self, day: date) -> bool:
        return day.weekday() in self.weekdays and day not in self.closed

    def next(self, day: date) -> date:
        day += timedelta(days=1)
        while not self.works(day):
            day += timedelta(days=1)
        return day

    def arrival(self, order: int, workdays: int) -> int:
        day = self.here.day(order)
        late = self.cutoff is not None and order > self.here.utc(day, self.cutoff)
        if late or not self.works(day):
            day = self.next(day)
        for _ in range(workdays):
            day = self.next(day)
        if self.here.utc(day, self.hour) < order:
            day = self.next(day)
        return self.here.utc(day, self.hour)


LAST = date(2027, 12, 1)
times = st.integers(0, 1440)


@st.composite
def carriers(draw: st.DrawFn) -> tuple[CarrierDays, DayByDay, Zone]:
    here = zone(draw(st.sampled_from(["America/Chicago", "Australia/Lord_Howe", "America/Havana"])))
    weekdays = draw(st.frozensets(st.integers(0, 6), min_size=1))
    near = st.dates(date(2027, 2, 15), date(2027, 4, 15))
    holidays = draw(st.frozensets(near, max_size=5))
    lengths = st.integers(0, 9)
    stretches = st.builds(lambda day, n: DayOff(day, day + timedelta(n)), near, lengths)
    off = draw(st.lists(stretches, max_size=2))
    cutoff, hour = draw(st.none() | times), draw(times)
    days_off = {s.first + timedelta(n) for s in off for n in range((s.last - s.first).days + 1)}
    closed = holidays | days_off
    days = CarrierDays(
        here,
        weekdays,
        here.utc(date(2027, 3, 1), 0),
        here.utc(LAST, 0),
        holidays=holidays,
        off=off,
        cutoff=cutoff,
        arrives_at=hour,
    )
    return days, DayByDay(here, weekdays, closed, cutoff, hour), here


@law
@given(carriers(), seeds)
def test_it_is_in_hand_by_t_exactly_when_it_is_ordered_by_the_latest_order(
    drawn: tuple[CarrierDays, DayByDay, Zone], seed: int
) -> None:
    days, _, here = drawn
    random = Random(seed)
    low, high = here.utc(date(2027, 2, 20), 0), here.utc(date(2027, 4, 20), 0)
    for _ in range(PROBES):
        edge = random.choice(days.order_until + days.arrivals) + random.randint(-1, 1)
        order = random.choice((random.randint(low, high), edge))
        workdays = random.randint(0, 8)
        arrival = days.arrival(order, workdays)
        limit = random.choice((arrival + random.randint(-1, 1), random.randint(low, high)))
        if limit > days.arrivals[-1]:
            continue
        latest = days.latest_order(limit, workdays)
        assert (arrival <= limit) == (order <= latest), (order, limit, workdays)


@law
@given(carriers(), seeds)
def test_an_arrival_is_that_of_counting_day_by_day(
    drawn: tuple[CarrierDays, DayByDay, Zone], seed: int
) -> None:
    days, reference, here = drawn
    random = Random(seed)
    low, high = here.utc(date(2027, 2, 20), 0), here.utc(date(2027, 4, 20), 0)
    until = [m for m in days.order_until if low < m < high]
    for _ in range(50):
        edge = random.choice(until) + random.randint(-1, 1)
        order = random.choice((random.randint(low, high), edge))
        workdays = random.randint(0, 8)
        assert days.arrival(order, workdays) == reference.arrival(order, workdays)
