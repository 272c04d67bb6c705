"""First Fridays against the recurrence rules of RFC 5545 (python-dateutil's reading of them)."""

from datetime import UTC, datetime

from dateutil import rrule

from episodes.calendars.release_day import release_day

FIRST, LAST = datetime(2024, 1, 1, tzinfo=UTC), datetime(2064, 1, 1, tzinfo=UTC)


def test_first_fridays_are_those_of_the_recurrence_rule() -> None:
    # RFC 5545, section 3.8.5.3: "Monthly on the first Friday" is FREQ=MONTHLY;BYDAY=1FR.
    rule = rrule.rrulestr("FREQ=MONTHLY;BYDAY=1FR", dtstart=FIRST)
    fridays = list(rule.between(FIRST, LAST, inc=True))
    assert len(fridays) == 480
    for friday in fridays:
        assert release_day(1, 4, friday.year, friday.month) == friday.date()


def test_last_mondays_are_those_of_the_recurrence_rule() -> None:
    rule = rrule.rrulestr("FREQ=MONTHLY;BYDAY=-1MO", dtstart=FIRST)
    for monday in rule.between(FIRST, LAST, inc=True):
        assert release_day(-1, 0, monday.year, monday.month) == monday.date()
