"""The VTIMEZONE of a calendar file against the zone data, instant by instant."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.exports.timezone_component import changes, timezone_component
from tests.exports.calendar_answers import ZONES

MORE_ZONES = (*ZONES, "Asia/Tehran", "Pacific/Apia", "Antarctica/Troll", "UTC")


def offset_of(component: object, instant: datetime) -> timedelta:
    """The offset that the component gives: that of the last onset before the instant."""
    found = []
    for part in component.subcomponents:  # type: ignore[attr-defined]
        onset = part["DTSTART"].dt.replace(tzinfo=UTC) - part["TZOFFSETFROM"].td
        if onset <= instant:
            found.append((onset, part["TZOFFSETTO"].td))
    return max(found)[1]


def test_summer_time_in_chicago_begins_at_two_and_not_at_three() -> None:
    # RFC 5545 section 3.6.5: the onset is a local time of the offset before the change.
    component = timezone_component(ZoneInfo("America/Chicago"), 2027, 2027)
    daylight = [part for part in component.subcomponents if part.name == "DAYLIGHT"]
    assert [part["DTSTART"].dt.isoformat() for part in daylight] == ["2027-03-14T02:00:00"]


def test_half_an_hour_of_summer_time_is_found() -> None:
    found = changes(ZoneInfo("Australia/Lord_Howe"), 2027, 2027)
    assert {change.after - change.before for change in found} == {
        timedelta(minutes=30),
        timedelta(minutes=-30),
    }


def test_a_zone_without_changes_has_one_observance() -> None:
    assert changes(ZoneInfo("Asia/Kolkata"), 2026, 2030) == ()
    assert len(timezone_component(ZoneInfo("Asia/Kolkata"), 2026, 2030).subcomponents) == 1


@pytest.mark.parametrize("name", MORE_ZONES)
def test_the_offset_is_that_of_the_zone_data_on_both_sides_of_each_change(name: str) -> None:
    zone = ZoneInfo(name)
    component = timezone_component(zone, 2011, 2030)
    for change in changes(zone, 2011, 2030):
        for instant in (change.at - timedelta(minutes=1), change.at):
            assert offset_of(component, instant) == instant.astimezone(zone).utcoffset()


@given(st.sampled_from(MORE_ZONES), st.integers(0, 3 * 365 * 1440))
def test_the_offset_is_that_of_the_zone_data_at_any_minute(name: str, minutes: int) -> None:
    zone = ZoneInfo(name)
    instant = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    component = timezone_component(zone, 2026, 2028)
    assert offset_of(component, instant) == instant.astimezone(zone).utcoffset()
