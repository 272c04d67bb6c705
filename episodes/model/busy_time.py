"""One busy time of a person's calendar, as it was understood."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class BusyTime:
    """Times are UTC minutes.

    Attributes:
        title: what the event calls itself, of unknown origin; "" without a title.
        line: of the calendar file, where the event begins.
        all_day: given as a date, not as a time.
    """

    start: int
    end: int
    title: str
    line: int
    all_day: bool = False
