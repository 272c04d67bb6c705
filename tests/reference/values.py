"""Reading the plan files' values: lengths, ranges, hours of a week, days off.

Written from the plan format's first section only; raises `ValueError` for what it does not know,
since the referee reads valid files.
"""

import math
import re
from datetime import date, time, timedelta

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
UNIT = {"min": 1, "h": 60, "d": 1440, "w": 10080}


def minutes(text: str) -> int:
    """`45min`, `3h`, `1h30`, `2d`, `1w` in minutes."""
    if whole := re.fullmatch(r"(\d+)(min|h|d|w)", text):
        return int(whole[1]) * UNIT[whole[2]]
    if mixed := re.fullmatch(r"(\d+)h(\d{1,2})", text):
        return int(mixed[1]) * 60 + int(mixed[2])
    raise ValueError(f"not a length of time: {text!r}")


def geometric_mean(low: int, high: int) -> int:
    """The nearest whole number to sqrt(low x high), halves up."""
    root = math.isqrt(low * high)
    return root + 1 if low * high > root * root + root else root


def likely(text: str) -> int:
    """The likely minutes of a length that may be a range of two or three."""
    parts = [minutes(part) for part in text.split("..")]
    return _middle(parts)


def lead(text: str) -> tuple[str, int]:
    """`("workdays", n)` or `("elapsed", minutes)`, at its likely length."""
    if text.endswith(("workdays", "workday")):
        parts = [int(part) for part in text.rsplit(" ", 1)[0].split("..")]
        return "workdays", _middle(parts)
    return "elapsed", likely(text)


def _middle(parts: list[int]) -> int:
    if len(parts) == 1:
        return parts[0]
    return geometric_mean(*parts) if len(parts) == 2 else parts[1]


def wall_minute(value: str | time) -> int:
    """Minute of the day of `18:30` or a TOML time; `24:00` is 1440."""
    if isinstance(value, time):
        return value.hour * 60 + value.minute
    hour, minute = value.split(":")[:2]
    return int(hour) * 60 + int(minute)


def window(text: str) -> tuple[int, int]:
    """`09:00-17:00` as wall minutes; an end not after the start lies on the next day."""
    first, last = (wall_minute(part) for part in text.split("-"))
    return first, last if last > first else last + 1440


def week_days(key: str) -> list[int]:
    """The days a key of the week names, Monday 0; ranges may wrap."""
    if key == "daily":
        return list(range(7))
    if "-" not in key:
        return [DAYS.index(key)]
    first, last = (DAYS.index(part) for part in key.split("-"))
    return [(first + step) % 7 for step in range((last - first) % 7 + 1)]


def week_hours(value: dict[str, list[str]]) -> list[list[tuple[int, int]]]:
    """Windows of each weekday; the narrower key replaces the wider (day, range, daily)."""
    width = {"daily": 2}
    hours: list[list[tuple[int, int]]] = [[] for _ in range(7)]
    for key in sorted(value, key=lambda key: width.get(key, 1 if "-" in key else 0), reverse=True):
        for day in week_days(key):
            hours[day] = [window(text) for text in value[key]]
    return hours


def days_off(texts: list[str]) -> tuple[set[date], list[tuple[date, tuple[int, int]]]]:
    """Whole days off, and windows off on single days."""
    whole: set[date] = set()
    partial: list[tuple[date, tuple[int, int]]] = []
    for text in texts:
        if " " in text:
            day, hours = text.split(" ")
            partial.append((date.fromisoformat(day), window(hours)))
        elif ".." in text:
            first, last = (date.fromisoformat(part) for part in text.split(".."))
            whole |= {first + timedelta(days=step) for step in range((last - first).days + 1)}
        else:
            whole.add(date.fromisoformat(text))
    return whole, partial


def month_numbers(key: str) -> list[int]:
    """`"05"` or a range `"11-03"` of months, which may wrap."""
    if "-" not in key:
        return [int(key)]
    first, last = (int(part) for part in key.split("-"))
    return [(first - 1 + step) % 12 + 1 for step in range((last - first) % 12 + 1)]


def celsius(air: dict[str, float]) -> float | None:
    """The temperature that an air table gives, in either unit."""
    if "fahrenheit" in air:
        return (float(air["fahrenheit"]) - 32) * 5 / 9
    return float(air["celsius"]) if "celsius" in air else None
