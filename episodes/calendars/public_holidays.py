"""Public holidays of a country or a part of it, with the days they are observed on.

The dates are those of the `holidays` package, which takes a while to import: it is imported when
asked for the first time, and only the one country of it. Keeping the answer on disk is the
business of `files`.
"""

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
    from holidays import country_holidays

    # A holiday early in January may be observed in the last days of the year before.
    wider = range(years[0] - 1, years[-1] + 2)
    try:
        days = country_holidays(country, subdiv=part or None, years=wider)
    except NotImplementedError:
        raise ValueError(_unknown(place, country, part)) from None
    return frozenset(day for day in days if day.year in years)


def _unknown(place: str, country: str, part: str) -> str:
    from holidays import list_supported_countries

    parts = list_supported_countries().get(country)
    if parts is None:
        upper = place.upper()
        known = country.upper() in list_supported_countries()
        example = upper if known else "US"
        return f'holidays of "{place}" are not known; write a country code such as "{example}"'
    if not parts:
        return f'"{place}": the holidays of {country} are the same everywhere; write "{country}"'
    some = ", ".join(f"{country}-{name}" for name in parts[:4])
    return f'"{place}": {country} has no part "{part}"; write "{country}" or one such as {some}'
