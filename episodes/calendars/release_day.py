"""The day of a month on which an episode is released: `first friday`, `last monday`."""

import re
from datetime import date
from typing import Protocol

from episodes.calendars.local_time import Zone

_MONTH = re.compile(r"(\d{4})-(0[1-9]|1[0-2])", re.ASCII)


class ReleaseRule(Protocol):
    """The nth (1..4, -1 for the last) weekday (Monday 0) of a month, at a minute of the day."""

    @property
    def nth(self) -> int: ...
    @property
    def weekday(self) -> int: ...
    @property
    def at(self) -> int: ...


def release_day(nth: int, weekday: int, year: int, month: int) -> date:
    """The nth weekday of a month; nth 1..4, or -1 for the last.

    >>> release_day(1, 4, 2027, 5)
    datetime.date(2027, 5, 7)
    """
    from dateutil.relativedelta import FR, MO, SA, SU, TH, TU, WE, relativedelta

    # Counted from the first of the month onwards, from the last (day 31 is cut to it) backwards.
    which = (MO, TU, WE, TH, FR, SA, SU)[weekday](nth)
    return date(year, month, 1) + relativedelta(day=31 if nth < 0 else 1, weekday=which)


def release_of_month(zone: Zone, rule: ReleaseRule, month: str) -> int:
    """UTC minute of the release of a month written `2027-05`.

    Raises:
        ValueError: no such month.
    """
    match = _MONTH.fullmatch(month)
    if match is None or match[1] == "0000":
        raise ValueError(f'"{month}" is no month; write it as "2027-05"')
    return zone.utc(release_day(rule.nth, rule.weekday, int(match[1]), int(match[2])), rule.at)
