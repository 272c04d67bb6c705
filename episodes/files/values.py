"""The value forms of a plan file that TOML has no type for: moments, numbers, ids, choices.

Each function takes what the TOML parser gave and returns the value, or raises ValueError with a
sentence that says what is wrong and what would be right. Nothing here knows a key or a file.
"""

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from difflib import get_close_matches
from typing import TypeVar

from episodes.amounts import MINUTES_A_DAY, Estimate, Lead, parse_estimate, parse_lead, parse_length
from episodes.calendars.week import DayOff, ExtraHours, parse_day_off, parse_extra
from episodes.model.episode import Who

FIRST_YEAR, LAST_YEAR = 1990, 2200
"""Dates outside are a slip of the pen."""
LARGEST_NUMBER = 1_000_000_000
LONGEST_TEXT = 20_000
NOTES = frozenset({"note", "link", "tags", "x"})
"""Keys that every table takes."""
MOST_ENTRIES = 1_000
"""Of one list of names, days off, hours .."""

_T = TypeVar("_T")

_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,99}", re.ASCII)
_MONTH = re.compile(r"(\d{4})-(0[1-9]|1[0-2])", re.ASCII)
_FROM_RELEASE = re.compile(r"release(?:([+-])(\S+))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class FromRelease:
    """A bound counted from the episode's release: whole local days, or else minutes."""

    days: int | None = None
    minutes: int = 0


Moment = date | datetime | FromRelease
"""What a bound may be; a `date` that is no `datetime` is the whole local day."""


def shown(value: object) -> str:
    """A value of a file as a message may show it: short, on one line, no control characters."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and value.bit_length() > 200:
        return "a number of very many digits"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, list):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    return str(value)


def quoted(text: str) -> str:
    """Text in double quotes for a message: 60 characters at most, control characters escaped."""
    cut = text if len(text) <= 60 else text[:57] + "..."
    clean = "".join(
        char if char.isprintable() else char.encode("unicode_escape").decode("ascii")
        for char in cut
    )
    return f'"{clean}"'


def nearest(name: str, known: Sequence[str], *, likeness: float = 0.6) -> str | None:
    """The known name most like this one, if any is like it."""
    if len(name) > 100:
        return None
    found = get_close_matches(name, known, n=1, cutoff=likeness)
    return found[0] if found else None


def in_two(sentence: object) -> tuple[str, str]:
    """What is wrong and how to mend it, of "what is wrong; how to mend it": two sentences."""
    wrong, _, mend = str(sentence).partition("; ")
    return f"{wrong}.", _sentence(mend)


def _sentence(text: str) -> str:
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text.endswith(("?", ".")) else ".")


def read_id(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{shown(value)} is no id; write text in quotes")
    if not _ID.fullmatch(value):
        raise ValueError(
            f"{quoted(value)} is no id; ids are lower-case letters, digits and -,"
            " at most 100 of them, with a letter or digit first"
        )
    return value


def read_text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{shown(value)} is no text; write it in quotes")
    if len(value) > LONGEST_TEXT:
        raise ValueError(
            f"longer than {LONGEST_TEXT:,} characters; keep long text in a file of its own"
        )
    return value


def read_number(value: object) -> float:
    """A finite number of a size that makes sense."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{shown(value)} is no number; write it without quotes, as 12 or 12.50")
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"{value} is no amount; write a number such as 12.50")
    if not -LARGEST_NUMBER <= value <= LARGEST_NUMBER:
        raise ValueError(f"beyond {LARGEST_NUMBER:,}; is a decimal point missing?")
    return float(value)


def number_from(low: float, high: float) -> Callable[[object], float]:
    def read(value: object) -> float:
        number = read_number(value)
        if not low <= number <= high:
            raise ValueError(f"{shown(value)} is not between {low:,.12g} and {high:,.12g}")
        return number

    return read


def whole_from(low: int, high: int) -> Callable[[object], int]:
    def read(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise ValueError(f"{shown(value)} is no whole number; write it without quotes, as 2")
        if not low <= value <= high:
            raise ValueError(f"{shown(value)} is not between {low:,} and {high:,}")
        return value

    return read


def one_of(*choices: str) -> Callable[[object], str]:
    def read(value: object) -> str:
        if isinstance(value, str) and value in choices:
            return value
        near = nearest(value, choices) if isinstance(value, str) else None
        hint = f'; did you mean "{near}"?' if near else ""
        words = ", ".join(f'"{choice}"' for choice in choices)
        raise ValueError(f"{shown(value)} is none of {words}{hint}")

    return read


def read_length(value: object) -> int:
    return parse_length(_amount(value))


def read_hands_length(value: object) -> int:
    minutes = parse_length(_amount(value), hands=True)
    if minutes < 1:
        raise ValueError("hands-on time is at least a minute")
    return minutes


def read_estimate(value: object) -> Estimate:
    return parse_estimate(_amount(value))


def read_hands_estimate(value: object) -> Estimate:
    estimate = parse_estimate(_amount(value), hands=True)
    if estimate.low < 1:
        raise ValueError("hands-on time is at least a minute")
    return estimate


def read_lead(value: object) -> Lead:
    text = _amount(value)
    try:
        return parse_lead(text)
    except ValueError:
        if "workday" in text:
            raise
        raise ValueError(
            f'{quoted(text)} is no lead; write "5 workdays", "4..6..12 workdays" or "3d..5d..14d"'
        ) from None


def _amount(value: object) -> str:
    if isinstance(value, str):
        return value
    raise ValueError(
        f'{shown(value)} is no length of time; write it in quotes with its unit, as "2h"'
    )


def read_fact(value: object) -> date | datetime:
    """A day or an instant: a TOML date or date-time."""
    if isinstance(value, date):
        if not FIRST_YEAR <= value.year <= LAST_YEAR:
            raise ValueError(
                f"{value.isoformat()} lies outside {FIRST_YEAR} to {LAST_YEAR}; is the year right?"
            )
        return value
    if isinstance(value, time):
        raise ValueError(f"{shown(value)} has no day; write 2027-04-02T{value.isoformat()}")
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d.*", value, re.ASCII):
        raise ValueError(f"{quoted(value)} is text; write dates and times without quotes")
    raise ValueError(f"{shown(value)} is no date; write 2027-04-02 or 2027-04-02T18:30:00")


def read_instant(value: object) -> datetime:
    """An instant: a TOML date-time, a bare date will not do."""
    fact = read_fact(value)
    if not isinstance(fact, datetime):
        raise ValueError(
            f"{shown(value)} is a whole day and a moment is needed;"
            f" write {fact.isoformat()}T09:00:00"
        )
    return fact


def read_bound(value: object) -> Moment:
    """A day, an instant, or `release`, `release-14d`, `release+36h`."""
    if not isinstance(value, str) or not value.startswith("release"):
        return read_fact(value)
    match = _FROM_RELEASE.fullmatch(value)
    if match is None:
        raise ValueError(f'{quoted(value)} is no date; write "release-14d" or "release+1w"')
    sign, length = match.groups()
    if length is None:
        return FromRelease()
    minutes = parse_length(length) * (1 if sign == "+" else -1)
    if length[-1] in "dw":
        return FromRelease(days=minutes // MINUTES_A_DAY)
    return FromRelease(minutes=minutes)


def read_bound_instant(value: object) -> Moment:
    """A bound that is one instant: a date-time, `release`, `release-36h`; no whole days."""
    bound = read_bound(value)
    if isinstance(bound, FromRelease):
        if bound.days is not None:
            raise ValueError(
                f"{shown(value)} is a whole day and a moment is needed;"
                ' write a date with a time, or hours as in "release-36h"'
            )
        return bound
    return read_instant(bound)


def read_time(value: object) -> time:
    if isinstance(value, time):
        return value
    raise ValueError(f"{shown(value)} is no time of day; write it without quotes, as 18:30:00")


def read_month(value: object) -> str:
    """A month `YYYY-MM`."""
    match = _MONTH.fullmatch(value) if isinstance(value, str) else None
    if match is None or not FIRST_YEAR <= int(match[1]) <= LAST_YEAR:
        raise ValueError(f'{shown(value)} is no month; write "2027-05"')
    return match[0]


def read_release(value: object) -> str | date | datetime:
    """A month, a day, or an instant."""
    return read_month(value) if isinstance(value, str) else read_fact(value)


def read_day_off(value: object) -> DayOff:
    if isinstance(value, date) and not isinstance(value, datetime):
        day_off = DayOff(value, value, None)
    elif isinstance(value, str):
        day_off = parse_day_off(value)
    else:
        raise ValueError(
            f'{shown(value)} is no day off; write "2027-03-20", "2027-03-20..2027-03-28"'
            ' or "2027-04-15 18:00-20:00"'
        )
    read_fact(day_off.first)
    read_fact(day_off.last)
    return day_off


def read_extra_hours(value: object) -> ExtraHours:
    if not isinstance(value, str):
        raise ValueError(f'{shown(value)} are no hours of a day; write "2027-04-16 09:00-17:00"')
    extra = parse_extra(value)
    read_fact(extra.day)
    return extra


def read_names(value: object) -> tuple[str, ...]:
    """A list of names, each once."""
    if isinstance(value, str):
        raise ValueError(
            f"{quoted(value)} is one name and a list belongs here; write [{quoted(value)}]"
        )
    if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
        raise ValueError(f'{shown(value)} is no list of names; write ["one", "two"]')
    if len(value) > MOST_ENTRIES:
        raise ValueError(f"{len(value):,} names; at most {MOST_ENTRIES:,} are read")
    seen: set[str] = set()
    for name in value:
        if name in seen:
            raise ValueError(f"{quoted(name)} stands twice in the list; leave one out")
        seen.add(name)
    return tuple(value)


def read_who(value: object) -> Who:
    """`["host", "builder"]` (all of them) or `{ any_of = [..] }` (one of them)."""
    if not isinstance(value, dict):
        return Who(read_names(value))
    if set(value) != {"any_of"}:
        raise ValueError('a table here has one key, any_of: write { any_of = ["host", "builder"] }')
    people = read_names(value["any_of"])
    if not people:
        raise ValueError("any_of names nobody; name at least one person")
    return Who(people, any_of=len(people) > 1)


def read_gear(value: object) -> tuple[tuple[str, int], ...]:
    """`["camera"]` (one of each) or `{ clamps = 4 }`."""
    if not isinstance(value, dict):
        return tuple((name, 1) for name in read_names(value))
    count = whole_from(1, 10_000)
    pairs = []
    for name, number in value.items():
        try:
            pairs.append((name, count(number)))
        except ValueError as fault:
            raise ValueError(f"{quoted(name)}: {fault}") from None
    return tuple(pairs)


def read_two_lengths(value: object) -> tuple[int, int]:
    """A two-sided recoat window `["1h", "24h"]`: until the first, or not before the second."""
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError(f'{shown(value)} is no window; write ["1h", "24h"]')
    first, second = read_length(value[0]), read_length(value[1])
    if first >= second:
        raise ValueError("the first side of a window ends before the second begins")
    return first, second


def without_notes(value: object) -> object:
    """A table whose keys are days or months, less the keys that may stand in any table."""
    if not isinstance(value, dict):
        return value
    return {key: inner for key, inner in value.items() if key not in NOTES}


def read_flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError(
            f"{shown(value)} is neither true nor false; write true or false, without quotes"
        )
    return value


def some_of(*choices: str) -> Callable[[object], frozenset[str]]:
    one = one_of(*choices)

    def read(value: object) -> frozenset[str]:
        return frozenset(one(name) for name in read_names(value))

    return read


def by_step(read: Callable[[object], _T]) -> Callable[[object], dict[str, _T]]:
    """Values by step: `{ "bench.cut" = .. }` or, the nested table, `{ bench.cut = .. }`."""

    def read_table(value: object) -> dict[str, _T]:
        if not isinstance(value, dict):
            raise ValueError(f'{shown(value)} is no table; write {{ "bench.cut" = .. }}')
        flat: dict[str, object] = {}
        for name, inner in value.items():
            if isinstance(inner, dict) and "any_of" not in inner:
                flat |= {f"{name}.{step}": part for step, part in inner.items()}
            else:
                flat[name] = inner
        result = {}
        for name, part in flat.items():
            try:
                result[name] = read(part)
            except ValueError as fault:
                raise ValueError(f"{quoted(name)}: {fault}") from None
        return result

    return read_table
