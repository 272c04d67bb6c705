"""When, as it is typed: the last such moment for a fact, the next for what is to come."""

from datetime import date, datetime

import pytest

from episodes.calendars.local_time import zone
from episodes.commands.moments import Moments, parse_instant

CHICAGO = "America/Chicago"
HERE = zone(CHICAGO)
NOW = HERE.utc(date(2027, 4, 14), 18 * 60)  # a Wednesday


def moments(now: int = NOW) -> Moments:
    return Moments(HERE, now)


def local(*parts: int) -> datetime:
    return datetime(*parts)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("now", local(2027, 4, 14, 18, 0)),
        ("17:45", local(2027, 4, 14, 17, 45)),
        ("9:05", local(2027, 4, 14, 9, 5)),
        ("today", date(2027, 4, 14)),
        ("yesterday", date(2027, 4, 13)),
        ("yesterday 23:30", local(2027, 4, 13, 23, 30)),
        ("wed", date(2027, 4, 14)),
        ("Thursday", date(2027, 4, 8)),
        ("sat 10:30", local(2027, 4, 10, 10, 30)),
        ("wed 17:00", local(2027, 4, 14, 17, 0)),
        ("wed 19:00", local(2027, 4, 7, 19, 0)),
        ("2027-04-11", date(2027, 4, 11)),
        ("2027-04-11T17:00", local(2027, 4, 11, 17, 0)),
        ("2027-04-11 17:00", local(2027, 4, 11, 17, 0)),
        ("2027-04-11T22:00Z", local(2027, 4, 11, 17, 0)),
        ("2027-04-14T17:59:30", local(2027, 4, 14, 18, 0)),
    ],
)
def test_when_something_happened(typed: str, meant: date) -> None:
    found = moments().past(typed)
    assert found == meant
    assert type(found) is type(meant)


@pytest.mark.parametrize("typed", ["18:01", "tomorrow", "2027-04-15", "2027-04-14T18:01"])
def test_a_fact_cannot_be_of_the_future(typed: str) -> None:
    with pytest.raises(ValueError, match=r"later than now|has not come yet"):
        moments().past(typed)


def test_a_time_still_to_come_names_the_day_before() -> None:
    with pytest.raises(ValueError, match=r"later than now \(18:00\).*write: yesterday 23:30"):
        moments().past("23:30")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("thu", date(2027, 4, 15)),
        ("wed", date(2027, 4, 21)),
        ("tomorrow", date(2027, 4, 15)),
        ("sat 10:30", local(2027, 4, 17, 10, 30)),
        ("2027-04-28", date(2027, 4, 28)),
        ("20:00", local(2027, 4, 14, 20, 0)),
        ("2027-04-28T12:00", local(2027, 4, 28, 12, 0)),
    ],
)
def test_when_something_is_to_come(typed: str, meant: date) -> None:
    found = moments().coming(typed)
    assert found == meant
    assert type(found) is type(meant)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("thu", "2027-04-15"),
        ("wed", "2027-04-14"),
        ("tomorrow", "2027-04-15"),
        ("2027-04-15", "2027-04-15"),
        ("2027-04-15..2027-04-18", "2027-04-15..2027-04-18"),
        ("thu..sun", "2027-04-15..2027-04-18"),
        ("thu 18:00-20:00", "2027-04-15 18:00-20:00"),
    ],
)
def test_days_off(typed: str, meant: str) -> None:
    assert moments().days_off(typed) == meant


@pytest.mark.parametrize(
    "typed", ["", "soon", "25:00", "2027-13-01", "sat noon", "\x1b[2J", "0001-01-01"]
)
def test_what_is_no_moment_says_what_would_be_one(typed: str) -> None:
    with pytest.raises(ValueError, match=r"is not a moment; write 19:00"):
        moments().past(typed)


@pytest.mark.parametrize("typed", ["", "soon", "18:00", "sat noon", "thu 20:00", "now", "thu.."])
def test_what_are_no_days_off_says_what_would_be(typed: str) -> None:
    with pytest.raises(ValueError, match=r"write|2027-"):
        moments().days_off(typed)


def test_a_wall_time_that_comes_twice_is_written_with_its_offset() -> None:
    first = HERE.utc(date(2027, 11, 7), 90)
    assert moments(first).written(first).isoformat() == "2027-11-07T01:30:00"
    assert moments(first + 60).written(first + 60).isoformat() == "2027-11-07T01:30:00-06:00"


@pytest.mark.parametrize(
    ("typed", "minute"),
    [
        ("2027-04-14T18:00", NOW),
        ("2027-04-14T18:00:01", NOW + 1),
        ("2027-04-14T23:00:00Z", NOW),
        ("2027-04-15T01:00+02:00", NOW),
        ("2027-04-14T23:00:00.5+00:00", NOW + 1),
        ("2027-04-14", NOW - 18 * 60),
    ],
)
def test_now_is_an_iso_moment_rounded_up(typed: str, minute: int) -> None:
    assert parse_instant(typed, CHICAGO) == minute


@pytest.mark.parametrize("typed", ["", "yesterday", "18:00", "1066-10-14", "9999-01-01T00:00"])
def test_now_is_nothing_else(typed: str) -> None:
    with pytest.raises(ValueError, match=r"is not a moment|is not between"):
        parse_instant(typed, CHICAGO)


def test_a_zone_nobody_knows_is_the_readers_to_complain_of() -> None:
    assert parse_instant("2027-04-14T23:00", "Mars/Olympus") == NOW
