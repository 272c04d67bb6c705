"""Hours of a week, days off, extra hours: read, and turned into openings."""

from datetime import date, datetime, timedelta
from random import Random
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.calendars.local_time import zone
from episodes.calendars.openings import Openings, Stretch
from episodes.calendars.week import (
    DayOff,
    ExtraHours,
    WeekHours,
    Window,
    open_hours,
    parse_day_off,
    parse_extra,
    parse_week_hours,
    parse_window,
)

CHICAGO = zone("America/Chicago")
EVENINGS = parse_week_hours({"mon-fri": ["18:00-21:30"], "sat-sun": ["09:00-17:00"]})


def at(day: str, wall: str = "00:00") -> int:
    hours, minutes = wall.split(":")
    return CHICAGO.utc(date.fromisoformat(day), int(hours) * 60 + int(minutes))


def opening(day: str, start: str, end: str) -> Stretch:
    return at(day, start), at(day, end)


# ---------------------------------------------------------------------------- reading


def test_a_day_beats_a_range_and_a_range_beats_daily_in_any_order() -> None:
    written = {"tue": ["01:00-02:00"], "mon-wed": ["03:00-04:00"], "daily": ["05:00-06:00"]}
    for keys in (list(written), list(reversed(written))):
        week = parse_week_hours({key: written[key] for key in keys})
        assert [windows[0][0] // 60 for windows in week.by_day] == [3, 1, 3, 5, 5, 5, 5]


def test_a_range_may_wrap_over_the_end_of_the_week() -> None:
    week = parse_week_hours({"fri-mon": ["09:00-10:00"]})
    assert [bool(windows) for windows in week.by_day] == [True, *[False] * 3, True, True, True]


def test_an_empty_list_closes_a_day_that_a_wider_key_opens() -> None:
    week = parse_week_hours({"daily": ["09:00-10:00"], "sun": []})
    assert week.by_day[6] == ()
    assert week.by_day[5] == ((540, 600),)


def test_a_window_may_end_at_24_00_or_run_past_midnight() -> None:
    assert parse_window("08:00-24:00") == (480, 1440)
    assert parse_window("00:00-24:00") == (0, 1440)
    assert parse_window("22:00-02:00") == (1320, 1560)
    assert parse_window("22:00-00:00") == (1320, 1440)
    assert parse_window("9:00 - 17:00") == (540, 1020)


@pytest.mark.parametrize(
    ("value", "fault", "mend"),
    [
        ({"mon-wed": [], "wed-fri": []}, "wed is in two ranges", '"mon-wed" and "wed-fri"'),
        ({"fri-mon": [], "sun-tue": []}, "mon is in two ranges|sun is in two", "line of its own"),
        ({"weekend": ["09:00-17:00"]}, '"weekend" is no day of the week', '"mon-fri"'),
        ({"Mon": ["09:00-17:00"]}, '"Mon" is no day', '"mon"\\?'),
        ({"monday": ["09:00-17:00"]}, '"monday" is no day', '"mon"\\?'),
        ({"mon-": ["09:00-17:00"]}, '"mon-" is no day', '"mon-fri"'),
        ({"mon-mon": ["09:00-17:00"]}, "same day", '"mon"'),
        ({"mon": ["09:00"]}, '"09:00" is no window', '"18:00-21:30"'),
        ({"mon": ["09.00-17.00"]}, "is no window", '"18:00-21:30"'),
        ({"mon": "09:00-17:00"}, "as a list", '\\["09:00-17:00"\\]'),
        ({"mon": ["09:00-09:00"]}, "starts when it ends", '"00:00-24:00"'),
        ({"mon": ["24:00-02:00"]}, "from 00:00 to 23:59", "24:00"),
        ({"mon": ["09:00-24:01"]}, "from 00:00 to 23:59", "24:00"),
        ({"mon": ["09:60-11:00"]}, "from 00:00 to 23:59", "24:00"),
        ({"mon": ["٠٩:٠٠-١٧:٠٠"]}, "is no window", '"18:00-21:30"'),
    ],
)
def test_hours_that_cannot_be_read_are_named_with_how_to_mend_them(
    value: dict[str, list[str]], fault: str, mend: str
) -> None:
    with pytest.raises(ValueError, match=fault) as caught:
        parse_week_hours(value)
    assert caught.match(mend)


def test_days_off_are_days_stretches_or_hours_of_a_day() -> None:
    day = date(2027, 3, 20)
    assert parse_day_off("2027-03-20") == DayOff(day, day)
    assert parse_day_off("2027-03-20..2027-03-28") == DayOff(day, date(2027, 3, 28))
    assert parse_day_off("2027-03-20 18:00-20:00") == DayOff(day, day, (1080, 1200))
    assert parse_day_off("2027-03-20 22:00-02:00") == DayOff(day, day, (1320, 1560))


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("2027-3-20", "is no date; write it as"),
        ("20270320", "is no date; write it as"),
        ("2027-W11-6", "is no date; write it as"),
        ("2027-02-29", "no such day"),
        ("2027-03-28..2027-03-20", "ends before it begins"),
        ("2027-03-20..", "is no date"),
        ("2027-03-20..2027-03-21..2027-03-22", "no stretch of days off"),
        ("2027-03-20..2027-03-28 18:00-20:00", "hours off one day at a time"),
        ("2027-03-20 18:00", "is no window"),
        ("", "is no date"),
    ],
)
def test_days_off_that_cannot_be_read_say_what_is_wrong(text: str, fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        parse_day_off(text)


def test_extra_hours_are_a_day_and_a_window() -> None:
    assert parse_extra("2027-04-16 09:00-17:00") == ExtraHours(date(2027, 4, 16), (540, 1020))
    assert parse_extra("2027-04-16 20:00-01:00").window == (1200, 1500)
    with pytest.raises(ValueError, match="needs a day and hours"):
        parse_extra("2027-04-16")


# --------------------------------------------------------------------------- openings


def test_a_week_of_evenings_and_weekends() -> None:
    week = open_hours(CHICAGO, EVENINGS, at("2027-05-03"), at("2027-05-10"))
    assert list(week) == [
        *(opening(f"2027-05-0{day}", "18:00", "21:30") for day in range(3, 8)),
        opening("2027-05-08", "09:00", "17:00"),
        opening("2027-05-09", "09:00", "17:00"),
    ]


def test_no_hours_given_is_always_open() -> None:
    span = at("2027-05-03"), at("2027-05-10")
    assert list(open_hours(CHICAGO, None, *span)) == [span]


def test_openings_are_cut_at_the_ends_of_the_span() -> None:
    start, end = at("2027-05-03", "20:00"), at("2027-05-04", "19:00")
    assert list(open_hours(CHICAGO, EVENINGS, start, end)) == [
        (start, at("2027-05-03", "21:30")),
        (at("2027-05-04", "18:00"), end),
    ]
    assert len(open_hours(CHICAGO, EVENINGS, end, end)) == 0


@pytest.mark.parametrize("how", ["off", "holiday"])
def test_a_day_off_closes_the_windows_that_start_on_it_even_past_midnight(how: str) -> None:
    nights = parse_week_hours({"daily": ["22:00-02:00"]})
    day = date(2027, 5, 4)
    off = [DayOff(day, day)] if how == "off" else []
    holidays = frozenset([day]) if how == "holiday" else frozenset()
    week = open_hours(
        CHICAGO, nights, at("2027-05-04"), at("2027-05-06"), off=off, holidays=holidays
    )
    # The night begun on the 3rd goes on into the day off; the one of the 4th is closed whole.
    assert list(week) == [
        (at("2027-05-04"), at("2027-05-04", "02:00")),
        (at("2027-05-05", "22:00"), at("2027-05-06")),
    ]


def test_a_window_past_midnight_that_meets_the_next_morning_is_one_opening() -> None:
    hours = parse_week_hours({"mon": ["22:00-02:00"], "tue": ["02:00-03:00"]})
    week = open_hours(CHICAGO, hours, at("2027-05-03"), at("2027-05-10"))
    assert list(week) == [(at("2027-05-03", "22:00"), at("2027-05-04", "03:00"))]


def test_a_day_off_closes_a_space_that_is_always_open() -> None:
    span = at("2027-05-03"), at("2027-05-06")
    space = open_hours(CHICAGO, None, *span, off=[parse_day_off("2027-05-04")])
    assert list(space) == [(span[0], at("2027-05-04")), (at("2027-05-05"), span[1])]


def test_hours_off_close_just_those_minutes() -> None:
    week = open_hours(
        CHICAGO,
        EVENINGS,
        at("2027-05-03"),
        at("2027-05-04"),
        off=[parse_day_off("2027-05-03 19:00-20:00")],
    )
    assert list(week) == [
        opening("2027-05-03", "18:00", "19:00"),
        opening("2027-05-03", "20:00", "21:30"),
    ]


def test_extra_beats_off_and_holidays_and_busy_beats_extra() -> None:
    day = date(2027, 5, 4)
    week = open_hours(
        CHICAGO,
        EVENINGS,
        at("2027-05-04"),
        at("2027-05-05"),
        off=[DayOff(day, day), parse_day_off("2027-05-04 10:00-12:00")],
        holidays=frozenset([day]),
        extra=[parse_extra("2027-05-04 09:00-17:00")],
        busy=[opening("2027-05-04", "13:00", "14:00")],
    )
    assert list(week) == [
        opening("2027-05-04", "09:00", "13:00"),
        opening("2027-05-04", "14:00", "17:00"),
    ]


def test_extra_hours_outside_the_span_open_nothing() -> None:
    extra = [parse_extra("2027-05-02 20:00-01:00"), parse_extra("2027-06-01 09:00-10:00")]
    closed = WeekHours(((),) * 7)
    week = open_hours(CHICAGO, closed, at("2027-05-03"), at("2027-05-10"), extra=extra)
    assert list(week) == [(at("2027-05-03"), at("2027-05-03", "01:00"))]


def test_a_stretch_off_without_end_is_no_work_to_read() -> None:
    off = [parse_day_off("0001-01-01..9999-12-31")]
    assert len(open_hours(CHICAGO, EVENINGS, at("2027-05-03"), at("2027-05-10"), off=off)) == 0


@pytest.mark.parametrize(
    ("day", "window", "minutes"),
    [
        ("2027-03-14", "02:00-03:00", 0),  # the hour that is skipped
        ("2027-03-14", "02:30-04:00", 60),
        ("2027-03-14", "01:30-02:30", 30),
        ("2027-03-14", "00:00-24:00", 23 * 60),
        ("2027-03-13", "22:00-06:00", 7 * 60),
        ("2027-11-07", "01:00-02:00", 120),  # the hour that comes twice
        ("2027-11-07", "00:00-01:30", 90),
        ("2027-11-07", "01:30-03:00", 150),
        ("2027-11-06", "22:00-06:00", 9 * 60),
    ],
)
def test_hours_over_a_clock_change_are_the_minutes_that_pass(
    day: str, window: str, minutes: int
) -> None:
    hours = WeekHours(((parse_window(window),),) * 7)
    that_day = date.fromisoformat(day)
    others = [
        DayOff(that_day + timedelta(days=first), that_day + timedelta(days=last))
        for first, last in ((-3, -1), (1, 3))
    ]
    start, end = at(day) - 1440, at(day) + 2 * 1440
    assert open_hours(CHICAGO, hours, start, end, off=others).total == minutes


# ---------------------------------------------------------------- against single minutes

ZONES = ("America/Chicago", "Europe/Dublin", "Australia/Lord_Howe", "America/Havana", "Asia/Tokyo")
windows = st.tuples(st.integers(0, 1439), st.integers(1, 1440)).map(
    lambda pair: (pair[0], pair[0] + pair[1])
)
weeks = st.lists(st.lists(windows, max_size=3).map(tuple), min_size=7, max_size=7).map(
    lambda days: WeekHours(tuple(days))
)
# Days around the clock changes of 2027 in these zones, and ordinary ones.
days = st.sampled_from(
    [date(2027, month, 1) + timedelta(days=by) for month in (3, 4, 6, 10, 11) for by in range(31)]
)
days_off = st.builds(
    lambda day, length, window: (
        DayOff(day, day, window) if window else DayOff(day, day + timedelta(days=length))
    ),
    days,
    st.integers(0, 9),
    st.none() | windows,
)


def shown_minutes(name: str, start: int, end: int) -> list[tuple[date, int, bool]]:
    """What a clock on the wall shows in each UTC minute: the day, the minute, whether again."""
    info = ZoneInfo(name)
    shown = []
    for minute in range(start, end):
        wall = datetime.fromtimestamp(minute * 60, info)
        shown.append((wall.date(), wall.hour * 60 + wall.minute, bool(wall.fold)))
    return shown


def covers(day: date, window: Window, shown: tuple[date, int, bool]) -> bool:
    """Whether a minute on the wall lies in a window of a day; ends are the first of two."""
    minute = (shown[0] - day).days * 1440 + shown[1]
    return window[0] <= minute < window[1]


@given(
    st.sampled_from(ZONES),
    st.none() | weeks,
    days,
    st.lists(days_off, max_size=3),
    st.lists(st.builds(ExtraHours, days, windows), max_size=2),
    st.sets(days, max_size=3),
    st.integers(0, 2**32),
)
def test_outside_repeated_hours_a_minute_is_open_as_the_clock_on_the_wall_says(
    name: str,
    hours: WeekHours | None,
    day: date,
    off: list[DayOff],
    extra: list[ExtraHours],
    holidays: set[date],
    seed: int,
) -> None:
    here = zone(name)
    random = Random(seed)
    start = here.utc(day, random.randint(0, 1439))
    end = start + random.randint(1, 3 * 1440)
    cut = random.randint(start - 100, end)
    busy = [(cut, cut + random.randint(0, 500))]
    result = open_hours(
        here, hours, start, end, off=off, extra=extra, holidays=frozenset(holidays), busy=busy
    )
    whole = {
        stretch.first + timedelta(days=by)
        for stretch in off
        if stretch.window is None
        for by in range((stretch.last - stretch.first).days + 1)
    } | holidays
    for minute, shown in enumerate(shown_minutes(name, start, end), start):
        # A window's edge may lie inside the repeated stretch; those are the parametrized tests'.
        near_change = here.local(minute - 90).utcoffset() != here.local(minute + 90).utcoffset()
        if near_change:
            continue
        open_ = False
        for begins in (shown[0] - timedelta(days=1), shown[0]):
            if begins in whole:
                continue
            of_day = ((0, 1440),) if hours is None else hours.by_day[begins.weekday()]
            open_ |= any(covers(begins, window, shown) for window in of_day)
        open_ &= not any(s.window and covers(s.first, s.window, shown) for s in off)
        open_ |= any(covers(more.day, more.window, shown) for more in extra)
        open_ &= not any(low <= minute < high for low, high in busy)
        assert result.is_open(minute) == open_, (minute, shown)
    assert result == Openings(result).clipped(start, end)
