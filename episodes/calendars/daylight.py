"""Daylight: from sunrise to sunset at a place, or 09:00-16:00 where no place is known.

The sun's place is that of Meeus, *Astronomical Algorithms*, 2nd ed. (1998), chapters 25 (low
accuracy, 0.01 deg) and 28 (equation of time); the same equations stand behind the published
sunrise calculator of the US National Oceanic and Atmospheric Administration (NOAA). The sun rises
when its upper edge stands on a level horizon: its centre 16' below for its radius, and 31.35' more
for refraction, by NOAA's formula at that height. (Almanacs take a round 50'; their day is half a
minute longer, ours to the safe side.) Hills and houses are not known, weather neither.

Written out here because it is thirty lines, and importing an astronomy package takes ten times as
long as answering; tests compare it with such a package and with the book's worked examples.
"""

from math import acos, asin, ceil, cos, degrees, floor, pi, radians, sin, tan

from episodes.calendars.local_time import MINUTES_A_DAY, Zone
from episodes.calendars.openings import Openings, Stretch
from episodes.calendars.week import WeekHours, open_hours

_WITHOUT_A_PLACE = WeekHours((((9 * 60, 16 * 60),),) * 7)

_NOON_2000 = 15_778_800
"""UTC minute of 2000-01-01 12:00, from which the sun's equations count."""

_MINUTES_A_CENTURY = 36_525 * MINUTES_A_DAY
_HALF_TURN = MINUTES_A_DAY / 2
_CLOSE_ENOUGH = 0.005
_SIN_HORIZON = sin(radians(-47.35 / 60))


def daylight(
    zone: Zone, latitude: float | None, longitude: float | None, start: int, end: int
) -> Openings:
    """The stretches of daylight in `[start, end)`, UTC minutes, whole minutes of light only.

    Args:
        latitude, longitude: degrees north and east; without them 09:00-16:00 local time.

    Near the poles a stretch may last for weeks, or be missing for as long.
    """
    if latitude is None or longitude is None:
        return open_hours(zone, _WITHOUT_A_PLACE, start, end)
    if start >= end:
        return Openings()
    # Days are counted at the place's mean noon. One more at each end: a day's light may begin half
    # a day before its noon, and the sun is interpolated towards the neighbours' noons.
    noon = _NOON_2000 - 4 * longitude
    first = floor((start - noon) / MINUTES_A_DAY) - 1
    last = ceil((end - noon) / MINUTES_A_DAY) + 1
    suns = [sun_at(noon + day * MINUTES_A_DAY) for day in range(first - 1, last + 2)]
    sin_place, cos_place = sin(radians(latitude)), cos(radians(latitude))
    stretches: list[Stretch] = []
    for index, day in enumerate(range(first, last + 1), start=1):
        today = suns[index]
        before = _half_day(today, suns[index - 1], sin_place, cos_place)
        after = _half_day(today, suns[index + 1], sin_place, cos_place)
        if before is None and after is None:
            continue
        mean_noon = noon + day * MINUTES_A_DAY
        (morning, ahead), (evening, ahead_later) = before or (0, today[1]), after or (0, today[1])
        sunrise, sunset = mean_noon - ahead - morning, mean_noon - ahead_later + evening
        # Whole minutes of light; but a sun that does not set joins one day to the next.
        opens = floor(sunrise) if morning == _HALF_TURN else ceil(sunrise)
        closes = ceil(sunset) if evening == _HALF_TURN else floor(sunset)
        stretches.append((max(opens, start), min(closes, end)))
    return Openings(stretches)


def darkness(
    zone: Zone, latitude: float | None, longitude: float | None, start: int, end: int
) -> Openings:
    """The rest: what in `[start, end)` is no daylight."""
    if start >= end:
        return Openings()
    return Openings(((start, end),)) - daylight(zone, latitude, longitude, start, end)


def sun_at(minute: float) -> tuple[float, float]:
    """The sun's declination (radians) and the equation of time (minutes) at a UTC minute.

    The equation of time is how far a sundial is ahead of a clock that keeps the place's mean time.
    """
    t = (minute - _NOON_2000) / _MINUTES_A_CENTURY
    longitude = radians((280.46646 + t * (36000.76983 + t * 0.0003032)) % 360)
    anomaly = radians((357.52911 + t * (35999.05029 - t * 0.0001537)) % 360)
    eccentricity = 0.016708634 - t * (0.000042037 + t * 0.0000001267)
    centre = (
        (1.914602 - t * (0.004817 + t * 0.000014)) * sin(anomaly)
        + (0.019993 - t * 0.000101) * sin(2 * anomaly)
        + 0.000289 * sin(3 * anomaly)
    )
    node = radians(125.04 - 1934.136 * t)
    apparent = longitude + radians(centre - 0.00569 - 0.00478 * sin(node))
    tilt = radians(
        23.4392911 - t * (46.8150 + t * (0.00059 - t * 0.001813)) / 3600 + 0.00256 * cos(node)
    )
    y = tan(tilt / 2) ** 2
    ahead = (
        y * sin(2 * longitude)
        - 2 * eccentricity * sin(anomaly)
        + 4 * eccentricity * y * sin(anomaly) * cos(2 * longitude)
        - 0.5 * y * y * sin(4 * longitude)
        - 1.25 * eccentricity * eccentricity * sin(2 * anomaly)
    )
    return asin(sin(tilt) * sin(apparent)), 4 * degrees(ahead)


def _half_day(
    noon: tuple[float, float],
    neighbour: tuple[float, float],
    sin_place: float,
    cos_place: float,
) -> tuple[float, float] | None:
    """Minutes of light between noon and the horizon, and the equation of time there.

    The sun is taken on the straight line from this noon to the neighbouring one, at the moment of
    sunrise or sunset itself: a few rounds find it, more where it only skims the horizon. None: it
    does not come above it at all.
    """
    declination, ahead = noon
    minutes = -1.0
    for _ in range(10):
        cosine = (_SIN_HORIZON - sin_place * sin(declination)) / (cos_place * cos(declination))
        if cosine >= 1:
            return None
        found = _HALF_TURN if cosine <= -1 else acos(cosine) * _HALF_TURN / pi
        if abs(found - minutes) < _CLOSE_ENOUGH:
            break
        minutes = found
        share = minutes / MINUTES_A_DAY
        declination = noon[0] + share * (neighbour[0] - noon[0])
        ahead = noon[1] + share * (neighbour[1] - noon[1])
    return minutes, ahead
