"""The day of a month on which an episode is released."""

import calendar
from dataclasses import dataclass
from datetime import date

import pytest

from episodes.calendars.local_time import zone
from episodes.calendars.release_day import release_day, release_of_month


@dataclass(frozen=True)
class Rule:
    nth: int
    weekday: int
    at: int


def test_the_nth_weekday_is_the_nth_of_that_name_in_the_month() -> None:
    for year in range(2024, 2031):
        for month in range(1, 13):
            length = calendar.monthrange(year, month)[1]
            for weekday in range(7):
                named = [
                    day
                    for number in range(1, length + 1)
                    if (day := date(year, month, number)).weekday() == weekday
                ]
                found = [release_day(nth, weekday, year, month) for nth in (1, 2, 3, 4, -1)]
                assert found == [*named[:4], named[-1]]


def test_a_release_is_at_its_hour_on_the_wall() -> None:
    chicago = zone("America/Chicago")
    rule = Rule(nth=1, weekday=4, at=9 * 60)
    for month, shown in (
        ("2027-01", "2027-01-01T09:00:00-06:00"),
        ("2027-05", "2027-05-07T09:00:00-05:00"),
    ):
        assert chicago.local(release_of_month(chicago, rule, month)).isoformat() == shown


@pytest.mark.parametrize("month", ["2027", "2027-13", "2027-00", "may", "2027-05-07", ""])
def test_what_is_no_month_is_refused(month: str) -> None:
    with pytest.raises(ValueError, match="is no month; write it as"):
        release_of_month(zone("UTC"), Rule(1, 4, 0), month)
