"""Public holidays, kept in the user's cache folder.

Asking the `holidays` package takes a fifth of a second; the dates of one version of it never
change, so they are kept by version, place and year. The cache is a convenience: a folder that
cannot be written, or a file that someone else has been at, only means asking again.
"""

import contextlib
import json
import os
import re
from datetime import date
from pathlib import Path

from episodes.calendars.public_holidays import public_holidays

FORMAT = 1
_PLAIN = re.compile(r"[A-Za-z0-9]{1,10}(?:-[A-Za-z0-9 ]{1,40})?", re.ASCII)


def read_holidays(place: str, years: range, *, folder: Path | None = None) -> frozenset[date]:
    """The public holidays of `place` in `years`, observed days too.

    Args:
        place: `US` or `US-TX`.
        folder: the cache's; the user's own if None.

    Raises:
        ValueError: a place whose holidays are not known.
    """
    if not _PLAIN.fullmatch(place):
        return public_holidays(place, years)
    file = (folder or cache_folder()) / "holidays" / version() / f"{place}.json"
    kept = _read(file)
    missing = [year for year in years if year not in kept]
    if missing:
        # One question for the whole span: the years between cost little.
        span = range(missing[0], missing[-1] + 1)
        fresh = public_holidays(place, span)
        for year in span:
            kept[year] = sorted(day for day in fresh if day.year == year)
        _write(file, kept)
    return frozenset(day for year in years for day in kept[year])


def cache_folder() -> Path:
    """Where this user's caches lie."""
    from platformdirs import user_cache_path

    return user_cache_path("episodes", appauthor=False)


def version() -> str:
    """The installed version of the `holidays` package, without importing it."""
    from importlib.metadata import version as installed

    return installed("holidays")


def _read(file: Path) -> dict[int, list[date]]:
    try:
        content = json.loads(file.read_text(encoding="utf-8"))
        if content["format"] != FORMAT:
            return {}
        kept = {
            int(year): [date.fromisoformat(day) for day in days]
            for year, days in content["years"].items()
        }
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return {}
    if any(day.year != year for year, days in kept.items() for day in days):
        return {}
    return kept


def _write(file: Path, kept: dict[int, list[date]]) -> None:
    years = {str(year): [day.isoformat() for day in days] for year, days in sorted(kept.items())}
    text = json.dumps({"format": FORMAT, "years": years})
    # Written beside and put in place, so that a second program never reads half a file.
    part = file.with_name(f".{file.name}.{os.getpid()}")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(text, encoding="utf-8")
        part.replace(file)
    except OSError:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
