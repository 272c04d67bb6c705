"""Public holidays of a country or a part of it, with the days they are observed on.

The dates are those of the `holidays` package. Importing it takes longer than everything else that
a season needs, so it is imported when asked for the first time; keeping the answer on disk, so
that it need not be asked, is the business of `files`.
"""

import re
from collections.abc import Sequence
from datetime import date
from functools import lru_cache


@lru_cache(maxsize=32)
def public_holidays(place: str, years: range) -> frozenset[date]:
    """The public holidays in `years`, observed days too.

    Args:
        place: a country `US` or a part of one `US-TX` (ISO 3166 codes).

    Raises:
        ValueError: a place that is not known; says what to write.
    """
    country, dash, part = place.partition("-")
    if not country or (dash and not part):
        raise ValueError(f'"{place}" is no place with public holidays; write "US" or "US-TX"')
    if not years:
        return frozenset()
    if re.fullmatch("[A-Z]{2}", country) is None:
        raise ValueError(_unknown(place, country, part))
    from holidays import country_holidays

    try:
        days = country_holidays(country, subdiv=part or None, years=years)
    except (NotImplementedError, AttributeError, KeyError):
        # Only now: naming what is known imports every country of the package.
        raise ValueError(_unknown(place, country, part)) from None
    return frozenset(day for day in days if day.year in years)


def _unknown(place: str, country: str, part: str) -> str:
    from holidays import list_supported_countries

    known = list_supported_countries()
    if country in known:
        return _no_such_part(country, part, known[country])
    code = place.upper() if country.upper() in known else "US"
    return f'public holidays of "{place}" are not known; write a country code such as "{code}"'


def _no_such_part(country: str, part: str, parts: Sequence[str]) -> str:
    if not parts:
        return f'"{country}-{part}": holidays are the same in all of {country}; write "{country}"'
    near = [part.upper()] if part.upper() in parts else parts[:4]
    some = ", ".join(f'"{country}-{name}"' for name in near)
    return f'"{country}-{part}": {country} has no part "{part}"; write "{country}" or {some}'
