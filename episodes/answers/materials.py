"""What a product becomes in the air of a space on a day: how long until what, and closed days.

The laws are those of the plan (`trade/drying.py`), run from noon of the day, so that a stage that
outlasts a month meets the next month's air.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from episodes.amounts import MINUTES_A_DAY, Estimate
from episodes.calendars.local_time import Zone
from episodes.calendars.working_time import NEVER
from episodes.model.studio import Air, Space
from episodes.trade.cautions import Caution
from episodes.trade.drying import DryingCurve, air_pieces, slowness
from episodes.trade.limits import Forbids, outside
from episodes.trade.products import STAGES, Coating, Product, Stage

_NOON = 12 * 60
_AHEAD = 10 * 366 * MINUTES_A_DAY
"""How far the air is laid out; what takes longer is told as never."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """Days on which the product may not be put on there: the first and the last of them.

    `last` None: for good. `is_` and `limit` are in degC, or percent for `too-damp`.
    """

    why: Forbids
    first: date
    last: date | None
    is_: float
    limit: float


@dataclass(frozen=True, slots=True, kw_only=True)
class InAir:
    """A product in one space's air.

    Attributes:
        celsius, humidity: the air of that day.
        times: elapsed minutes from noon of the day to each stage; NEVER where it never dries.
        closed: days of the coming year on which its air forbids it, in order.
        changes_before_touch: the air of the day would do, but turns before the coat is touch dry
            (at its likely time): the day on which it turns.
    """

    space: Space
    day: date
    celsius: float
    humidity: float
    times: dict[Stage, Estimate]
    closed: tuple[Closed, ...]
    changes_before_touch: date | None = None

    @property
    def closed_today(self) -> Closed | None:
        """What forbids it on the day itself."""
        return next(
            (each for each in self.closed if each.first <= self.day),
            None,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A product with what is to be known of it.

    Attributes:
        cautions: what can hurt someone, weightiest first.
        advice: what only spoils the work.
    """

    product: Product
    cautions: tuple[Caution, ...]
    advice: tuple[str, ...]
    air: InAir | None = None


def in_air(coating: Coating, zone: Zone, space: Space, day: date) -> InAir:
    """What the coat becomes in that space if it is finished at noon of that day."""
    start = zone.utc(day, 0)
    pieces = air_pieces(zone, space.air_by_month, start, start + _AHEAD)
    here = pieces[0][2]
    finish = zone.utc(day, _NOON)

    def curve(least: float | None = None) -> DryingCurve:
        bounds = {} if least is None else {"least": least}
        return DryingCurve(
            [
                (at, slowness(coating.dries_by, coating.q10, air.celsius, air.humidity, **bounds))
                for at, _, air in pieces
            ]
        )

    usual = curve()
    # No air shortens the second side of a two-sided window.
    recoat = usual if coating.window_until is None else curve(least=1.0)
    times = {
        stage: _elapsed(recoat if stage == "recoat" else usual, finish, coating.times[stage])
        for stage in STAGES
        if stage in coating.times
    }
    closed = _closed(coating, zone, pieces, day)
    turns = None
    if "touch" in times and not any(each.first <= day for each in closed):
        touch_dry = finish + times["touch"].likely
        following = next(iter(closed), None)
        if following is not None and touch_dry > zone.utc(following.first, 0):
            turns = following.first
    return InAir(
        space=space,
        day=day,
        celsius=here.celsius,
        humidity=here.humidity,
        times=times,
        closed=closed,
        changes_before_touch=turns,
    )


def _elapsed(curve: DryingCurve, finish: int, reference: Estimate) -> Estimate:
    ends = (
        curve.over(finish, minutes) for minutes in (reference.low, reference.likely, reference.high)
    )
    return Estimate(*(NEVER if end >= NEVER else end - finish for end in ends))


def _closed(
    coating: Coating, zone: Zone, pieces: list[tuple[int, int, Air]], day: date
) -> tuple[Closed, ...]:
    """The closed days of the coming year; months that are closed for one reason are one entry."""
    until = zone.utc(day + timedelta(days=365), 0)
    found: list[Closed] = []
    for start, end, air in pieces:
        if start >= until:
            break
        out = outside(coating, air)
        if out is None:
            continue
        why, is_, limit = out.why, out.is_, out.limit
        first = zone.day(start)
        last = None if end - start > 366 * MINUTES_A_DAY else zone.day(end - 1)
        entry = Closed(why=why, first=first, last=last, is_=is_, limit=limit)
        before = found[-1] if found else None
        if before is not None and before.last is not None and before.why == why:
            if before.last + timedelta(days=1) == first:
                worst = min if why == "too-cold" else max
                entry = Closed(
                    why=why,
                    first=before.first,
                    last=last,
                    is_=worst(before.is_, is_),
                    limit=limit,
                )
                found.pop()
        found.append(entry)
    return tuple(found)
