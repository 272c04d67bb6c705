"""US public holidays against the law that sets them and two published lists.

Sources: title 5, United States Code, section 6103(a) (the days) and (b) (Saturday: the Friday
before); Executive Order 11582, section 3(a) (Sunday: the Monday after); the lists of the US Office
of Personnel Management for 2022 and 2023, read as two sites reprinted them.
"""

from datetime import date, timedelta

import pytest

from episodes.calendars.public_holidays import public_holidays

PUBLISHED = {
    2022: "2021-12-31 01-17 02-21 05-30 06-20 07-04 09-05 10-10 11-11 11-24 12-26",
    2023: "01-02 01-16 02-20 05-29 06-19 07-04 09-04 10-09 11-10 11-23 12-25",
}


def nth(year: int, month: int, weekday: int, number: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=(weekday - first.weekday()) % 7 + 7 * (number - 1))


def by_statute(year: int) -> set[date]:
    """The days of section 6103(a), and the days on which those on a weekend are observed."""
    last_monday_of_may = date(year, 5, 31) - timedelta(days=date(year, 5, 31).weekday())
    moving = {
        nth(year, 1, 0, 3),
        nth(year, 2, 0, 3),
        last_monday_of_may,
        nth(year, 9, 0, 1),
        nth(year, 10, 0, 2),
        nth(year, 11, 3, 4),
    }
    fixed = {date(year, *day) for day in ((1, 1), (6, 19), (7, 4), (11, 11), (12, 25))}
    fixed.add(date(year + 1, 1, 1))  # it may be observed in this year
    shift = {5: -1, 6: 1}
    observed = {day + timedelta(days=shift.get(day.weekday(), 0)) for day in fixed}
    return {day for day in moving | fixed | observed if day.year == year}


@pytest.mark.parametrize("year", range(2022, 2036))
def test_public_holidays_are_those_of_the_statute_observed_days_too(year: int) -> None:
    assert public_holidays("US", range(year, year + 1)) == by_statute(year)


@pytest.mark.parametrize("year", PUBLISHED)
def test_the_published_observed_days_are_all_there(year: int) -> None:
    days = {
        date.fromisoformat(text if len(text) > 5 else f"{year}-{text}")
        for text in PUBLISHED[year].split()
    }
    assert len(days) == 11
    assert days <= public_holidays("US", range(year - 1, year + 1))
