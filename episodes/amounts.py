"""Lengths of time and three-point estimates as a user writes them: parse and print.

A length is whole minutes. `d` is 24 hours and `w` seven of those, also over a clock change.
An estimate is low..likely..high: 10th percentile, median, 90th percentile.
"""

import re
from dataclasses import dataclass
from math import isqrt

MINUTES_A_DAY = 1440
LONGEST = 10 * 366 * MINUTES_A_DAY
"""No single length is longer than ten years: past that it is a slip of the pen."""

_LENGTH = re.compile(
    r"(?:(?P<hm>\d{1,7})h(?P<m>[0-5]?\d)(?:min)?|(?P<n>\d{1,9})(?P<unit>min|h|d|w))", re.ASCII
)
_UNIT = {"min": 1, "h": 60, "d": MINUTES_A_DAY, "w": 7 * MINUTES_A_DAY}
_WORKDAYS = re.compile(r"(\d{1,4}(?:\.\.\d{1,4}){0,2}) (?:workdays|workday)", re.ASCII)


@dataclass(frozen=True, slots=True)
class Estimate:
    """Low, likely and high of an uncertain amount (P10, median, P90), in minutes or workdays."""

    low: int
    likely: int
    high: int

    @property
    def certain(self) -> bool:
        return self.low == self.high


@dataclass(frozen=True, slots=True)
class Lead:
    """How long from order to hand: `amount` in workdays of a carrier, or in elapsed minutes."""

    amount: Estimate
    workdays: bool


def parse_length(text: str, *, hands: bool = False) -> int:
    """Minutes of a length such as `45min`, `3h`, `1h30`, `2d`, `1w`.

    Args:
        hands: hands-on time, for which days and weeks are refused.

    Raises:
        ValueError: not a length; the message says what would be one.

    >>> parse_length("1h30"), parse_length("2d")
    (90, 2880)
    """
    match = _LENGTH.fullmatch(text.strip())
    if match is None:
        raise ValueError(
            f'"{text}" is not a length of time; write "45min", "3h", "1h30"'
            + ("" if hands else ', "2d" or "1w"')
        )
    if match["n"] is not None:
        if hands and match["unit"] in ("d", "w"):
            raise ValueError(
                f'"{text}": hands-on time is written in hours and minutes, not days or weeks'
            )
        minutes = int(match["n"]) * _UNIT[match["unit"]]
    else:
        minutes = int(match["hm"]) * 60 + int(match["m"])
    if minutes > LONGEST:
        raise ValueError(f'"{text}" is longer than ten years')
    return minutes


def parse_estimate(text: str, *, hands: bool = False) -> Estimate:
    """Three-point estimate in minutes of `2h`, `2h..6h` or `2h..3h..6h`.

    With two values the likely one is their geometric mean to the nearest minute, halves up.

    Raises:
        ValueError: not an estimate, or low > likely, or likely > high.

    >>> parse_estimate("2h..6h")
    Estimate(low=120, likely=208, high=360)
    """
    return _estimate(text, [parse_length(part, hands=hands) for part in text.split("..")])


def parse_workdays(text: str) -> Estimate:
    """Estimate in working days of a carrier: `5 workdays`, `4..6..12 workdays`.

    Raises:
        ValueError: not an amount of workdays.
    """
    match = _WORKDAYS.fullmatch(text.strip())
    if match is None:
        raise ValueError(
            f'"{text}" is not an amount of workdays; write "5 workdays" or "4..6..12 workdays"'
        )
    return _estimate(text, [int(part) for part in match[1].split("..")])


def parse_lead(text: str) -> Lead:
    """A parcel's lead: workdays of its carrier, or elapsed time.

    Raises:
        ValueError: neither of the two.
    """
    if "workday" in text:
        return Lead(parse_workdays(text), True)
    return Lead(parse_estimate(text), False)


def _estimate(text: str, values: list[int]) -> Estimate:
    if len(values) == 1:
        return Estimate(values[0], values[0], values[0])
    if len(values) == 2:
        low, high = values
        if low > high:
            raise ValueError(f'"{text}": the low value is above the high one')
        return Estimate(low, geometric_mean(low, high), high)
    if len(values) == 3:
        low, likely, high = values
        if not low <= likely <= high:
            raise ValueError(
                f'"{text}": write it as low..likely..high, each no less than the one before'
            )
        return Estimate(low, likely, high)
    raise ValueError(f'"{text}": one value, low..high, or low..likely..high')


def geometric_mean(low: int, high: int) -> int:
    """Square root of low x high to the nearest whole number, halves up, exactly."""
    root = isqrt(low * high)
    # root + 1/2 <= sqrt(low*high)  <=>  (2*root + 1)^2 <= 4*low*high
    return root + 1 if (2 * root + 1) ** 2 <= 4 * low * high else root


def length_in_words(minutes: int) -> str:
    """A length for a person to read: `45 min`, `3 h`, `1 h 30`, `2 d 4 h`.

    >>> length_in_words(90), length_in_words(-4320), length_in_words(3180)
    ('1 h 30', '-3 d', '2 d 5 h')
    """
    sign = "-" if minutes < 0 else ""
    days, rest = divmod(abs(minutes), MINUTES_A_DAY)
    hours, rest_min = divmod(rest, 60)
    if days:
        words = f"{days} d" + (f" {hours} h" if hours else "")
        if not hours and rest_min:
            words += f" {rest_min} min"
        return sign + words
    if hours:
        return sign + (f"{hours} h {rest_min:02d}" if rest_min else f"{hours} h")
    return f"{sign}{rest_min} min"


def length_as_written(minutes: int) -> str:
    """A length in the form of a plan file: `45min`, `3h`, `1h30`."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest}min"
    return f"{hours}h{rest:02d}" if rest else f"{hours}h"


def estimate_as_written(estimate: Estimate, *, workdays: bool = False) -> str:
    """An estimate in the form of a plan file: `2h..3h..6h`, `45min`, `4..6..12 workdays`."""
    values = [estimate.low, estimate.likely, estimate.high]
    if estimate.certain:
        values = values[:1]
    if workdays:
        return "..".join(map(str, values)) + " workdays"
    return "..".join(map(length_as_written, values))
