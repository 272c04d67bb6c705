"""Hours of a week, days off and extra hours: read from their text, turned into openings.

Windows are wall minutes of the day they start on and may run past midnight (end > 1440). A day
off closes the windows that start on that day, the whole of them: the shift begun at 22:00 the
evening before goes on until its end. What beats what, weakest first: hours, then public holidays
and days off, then extra hours, then busy time.
"""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from episodes.calendars.local_time import MINUTES_A_DAY, Zone
from episodes.calendars.openings import Openings, Stretch

Window = tuple[int, int]

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")

_WINDOW = re.compile(r"(\d{1,2}):(\d\d)\s*-\s*(\d{1,2}):(\d\d)", re.ASCII)
_DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)


@dataclass(frozen=True, slots=True)
class WeekHours:
    """Windows of each weekday, Monday first, in wall minutes of the day they start on."""

    by_day: tuple[tuple[Window, ...], ...]


@dataclass(frozen=True, slots=True)
class DayOff:
    """Whole days first..last off, both included; with `window`, only those minutes of `first`."""

    first: date
    last: date
    window: Window | None = None


@dataclass(frozen=True, slots=True)
class ExtraHours:
    """Hours on one day that holidays and days off do not close."""

    day: date
    window: Window


def parse_week_hours(value: Mapping[str, Sequence[str]]) -> WeekHours:
    """Hours of a week from `{"mon-fri": ["18:00-21:30"], "sat": ["09:00-17:00"]}`.

    A day's own key replaces a range's, a range's replaces `daily`; a day that no key names is
    closed.

    Raises:
        ValueError: not days, not windows, or a day in two ranges; says what and how to mend it.

    >>> parse_week_hours({"daily": ["08:00-12:00"], "sat-sun": []}).by_day[4:6]
    (((480, 720),), ())
    """
    by_width: list[list[tuple[Window, ...] | None]] = [[None] * 7 for _ in range(3)]
    range_of: dict[int, str] = {}
    for key, texts in value.items():
        days = parse_weekdays(key)
        if isinstance(texts, str):
            raise ValueError(f'{key} = "{texts}": write the windows as a list, {key} = ["{texts}"]')
        windows = tuple(sorted(parse_window(text) for text in texts))
        width = 0 if key in WEEKDAYS else 2 if key == "daily" else 1
        for day in days:
            if width == 1 and day in range_of:
                raise ValueError(
                    f'{WEEKDAYS[day]} is in two ranges, "{range_of[day]}" and "{key}"; '
                    f"give it a line of its own or shorten one of them"
                )
            if width == 1:
                range_of[day] = key
            by_width[width][day] = windows
    return WeekHours(tuple(_narrowest(by_width, day) for day in range(7)))


def _narrowest(
    by_width: Sequence[Sequence[tuple[Window, ...] | None]], day: int
) -> tuple[Window, ...]:
    for windows_of_day in by_width:
        windows = windows_of_day[day]
        if windows is not None:
            return windows
    return ()


def parse_weekdays(text: str) -> tuple[int, ...]:
    """Weekdays (Monday 0) of `sat`, `fri-mon` (wraps) or `daily`, in the order they are met.

    Raises:
        ValueError: none of these.
    """
    if text == "daily":
        return tuple(range(7))
    first, dash, last = text.partition("-")
    for name in (first, last) if dash else (first,):
        if name not in WEEKDAYS:
            known = name.strip().lower()[:3]
            near = f'; "{known}"?' if known in WEEKDAYS else ""
            raise ValueError(
                f'"{text}" is no day of the week{near or ";"} write a day ("sat"), '
                f'a range ("mon-fri") or "daily"'
            )
    if not dash:
        return (WEEKDAYS.index(first),)
    if first == last:
        raise ValueError(f'"{text}" begins and ends on the same day; write "{first}" or "daily"')
    start = WEEKDAYS.index(first)
    return tuple((start + k) % 7 for k in range((WEEKDAYS.index(last) - start) % 7 + 1))


def parse_window(text: str) -> Window:
    """Wall minutes (start, end) of `18:00-21:30`; past midnight the end is above 1440.

    Raises:
        ValueError: not two times of day, or they are the same.

    >>> parse_window("22:00-02:00"), parse_window("00:00-24:00")
    ((1320, 1560), (0, 1440))
    """
    match = _WINDOW.fullmatch(text.strip())
    if match is None:
        raise ValueError(f'"{text}" is no window of hours; write it as "18:00-21:30"')
    start_h, start_m, end_h, end_m = (int(part) for part in match.groups())
    start, end = start_h * 60 + start_m, end_h * 60 + end_m
    if start_m > 59 or end_m > 59 or start >= MINUTES_A_DAY or end > MINUTES_A_DAY:
        raise ValueError(f'"{text}": times of day go from 00:00 to 23:59; an end may be 24:00')
    if start == end:
        raise ValueError(
            f'"{text}" starts when it ends; the whole day is "00:00-24:00", a closed day is []'
        )
    return (start, end) if start < end else (start, end + MINUTES_A_DAY)


def parse_day(text: str) -> date:
    """A day written `2027-03-20`.

    Raises:
        ValueError: no such day.
    """
    if _DAY.fullmatch(text) is None:
        raise ValueError(f'"{text}" is no date; write it as "2027-03-20"')
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ValueError(f'"{text}": the calendar has no such day') from None


def parse_day_off(text: str) -> DayOff:
    """Days off: `2027-03-20`, `2027-03-20..2027-03-28` or `2027-04-15 18:00-20:00`.

    Raises:
        ValueError: none of these; says how to write it.
    """
    text = text.strip()
    if ".." in text:
        parts = text.split("..")
        if len(parts) != 2 or " " in text:
            raise ValueError(
                f'"{text}" is no stretch of days off; write "2027-03-20..2027-03-28", '
                f'and hours off one day at a time, "2027-04-15 18:00-20:00"'
            )
        first, last = parse_day(parts[0]), parse_day(parts[1])
        if first > last:
            raise ValueError(f'"{text}" ends before it begins; write the earlier day first')
        return DayOff(first, last)
    day, space, window = text.partition(" ")
    first = parse_day(day)
    return DayOff(first, first, parse_window(window) if space else None)


def parse_extra(text: str) -> ExtraHours:
    """Extra hours: `2027-04-16 09:00-17:00`, past midnight too.

    Raises:
        ValueError: not a day and a window.
    """
    day, space, window = text.strip().partition(" ")
    if not space:
        raise ValueError(f'"{text}" needs a day and hours; write "2027-04-16 09:00-17:00"')
    return ExtraHours(parse_day(day), parse_window(window))


def open_hours(
    zone: Zone,
    hours: WeekHours | None,
    start: int,
    end: int,
    *,
    off: Iterable[DayOff] = (),
    extra: Iterable[ExtraHours] = (),
    holidays: Collection[date] = frozenset(),
    busy: Iterable[Stretch] = (),
) -> Openings:
    """The openings in `[start, end)` (UTC minutes).

    Args:
        hours: None for always open.
        holidays: days closed like days off.
        busy: UTC stretches taken out last of all.
    """
    if start >= end:
        return Openings()
    # A window may run into the day after the one it starts on, never further.
    first, last = zone.day(start).toordinal() - 1, zone.day(end - 1).toordinal()
    closed = {day.toordinal() for day in holidays}
    partly: list[Stretch] = []
    for stretch in off:
        if stretch.window is None:
            low, high = stretch.first.toordinal(), stretch.last.toordinal()
            closed.update(range(max(low, first), min(high, last) + 1))
        else:
            partly.append(window_in_utc(zone, stretch.first, stretch.window))
    if hours is None:
        openings = Openings(((start, end),))
        if closed:
            whole = (0, MINUTES_A_DAY)
            openings -= Openings(
                window_in_utc(zone, date.fromordinal(ordinal), whole)
                for ordinal in closed
                if first <= ordinal <= last
            )
    else:
        openings = Openings(_weekly(zone, hours.by_day, first, last, closed, start, end))
    if partly:
        openings -= Openings(partly)
    added = [window_in_utc(zone, more.day, more.window) for more in extra]
    if added:
        openings |= Openings(added).clipped(start, end)
    taken = Openings(busy)
    return openings - taken if taken.starts else openings


def window_in_utc(zone: Zone, day: date, window: Window) -> Stretch:
    """A window of a day as UTC minutes; empty or upside down where a clock change swallows it."""
    return zone.utc(day, window[0]), zone.utc(day, window[1])


def _weekly(
    zone: Zone,
    by_day: Sequence[Sequence[Window]],
    first: int,
    last: int,
    closed: Collection[int],
    start: int,
    end: int,
) -> list[Stretch]:
    stretches: list[Stretch] = []
    add = stretches.append
    midnight_of = zone.plain_midnight
    for ordinal in range(first, last + 1):
        windows = by_day[(ordinal - 1) % 7]  # day 1 was a Monday
        if not windows or ordinal in closed:
            continue
        midnight = midnight_of(ordinal)
        for low, high in windows:
            if midnight is None or high > MINUTES_A_DAY:
                low, high = window_in_utc(zone, date.fromordinal(ordinal), (low, high))
            else:
                low, high = midnight + low, midnight + high
            if low < start:
                low = start
            if high > end:
                high = end
            if low < high:
                add((low, high))
    return stretches
