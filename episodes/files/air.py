"""Air as written, in Celsius or Fahrenheit, to degrees Celsius and percent; and month by month."""

import re
from collections.abc import Mapping

from episodes.files.faults import Faults
from episodes.files.schema import AirTable
from episodes.files.source import Source
from episodes.files.toml_spans import Path
from episodes.files.values import quoted
from episodes.model.studio import Air
from episodes.problems import Place

_MONTHS = re.compile(r"(\d{1,2})(?:-(\d{1,2}))?", re.ASCII)


def celsius_of(air: AirTable, place: Place, saying: str, faults: Faults) -> float | None:
    """The temperature in degC, None if it is not given; both scales at once are a fault."""
    if air.celsius is not None and air.fahrenheit is not None:
        text = f"{saying} has both `celsius` and `fahrenheit`."
        faults.add("two-scales", place, text, "Keep one.")
    if air.celsius is None and air.fahrenheit is not None:
        return (air.fahrenheit - 32) * 5 / 9
    return air.celsius


def air_of_year(
    air: AirTable | None,
    by_month: Mapping[str, AirTable],
    source: Source,
    path: Path,
    saying: str,
    faults: Faults,
) -> tuple[Air, ...]:
    """The air of a space in each month, January first.

    A month's own entry replaces a range's, which replaces the space's `air`; what an entry leaves
    out is the space's.

    Args:
        path: of the space's table.
    """
    usual = _filled(air, Air(), source.place((*path, "air")), f"{saying}: `air`", faults)
    single: dict[int, Air] = {}
    ranges: dict[int, Air] = {}
    for key, table in by_month.items():
        place = source.place((*path, "air_by_month", key))
        months = _months(key)
        if not months:
            text = f"{saying}: {quoted(key)} in `air_by_month` is no month."
            faults.add("bad-value", place, text, 'Write "05" or a range, "11-03".')
            continue
        values = _filled(table, usual, place, f"{saying}: `air_by_month`", faults)
        into = single if len(months) == 1 else ranges
        for month in months:
            if month in into:
                what = "twice" if into is single else "in two ranges"
                text = f"{saying}: month {month} stands {what} in `air_by_month`."
                faults.add("bad-value", place, text, "Give it an entry of its own, or shorten one.")
            into[month] = values
    return tuple(single.get(month) or ranges.get(month) or usual for month in range(1, 13))


def _filled(table: AirTable | None, usual: Air, place: Place, saying: str, faults: Faults) -> Air:
    if table is None:
        return usual
    celsius = celsius_of(table, place, saying, faults)
    return Air(
        usual.celsius if celsius is None else celsius,
        usual.humidity if table.humidity is None else table.humidity,
    )


def _months(key: str) -> list[int]:
    match = _MONTHS.fullmatch(key)
    if match is None:
        return []
    first, last = int(match[1]), int(match[2] or match[1])
    if not (1 <= first <= 12 and 1 <= last <= 12):
        return []
    return [(first - 1 + step) % 12 + 1 for step in range((last - first) % 12 + 1)]
