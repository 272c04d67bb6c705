"""Shared air in the model: where one makes what another cannot bear, one is over before the other.

Hands at work count in the minutes they work, so each may go on in the other's pauses, if what
lingers is gone by then. Pairs that links keep apart already, or whose windows do not meet, need no
condition of their own.
"""

from collections.abc import Callable
from dataclasses import dataclass

from ortools.sat.python import cp_model

from episodes.calendars.openings import Openings, Stretch
from episodes.model.studio import BEARS_NOT, AirBorne
from episodes.network.activity import FINISH
from episodes.network.timing import Hands
from episodes.schedule.exact.model import Model
from episodes.schedule.exact.pauses import felt_in
from episodes.schedule.exact.pieces import without
from episodes.schedule.exact.shapes import Shapes, open_inside, openings_of
from episodes.schedule.exact.variables import ActVariables, Condition, Moment, Spots


@dataclass(frozen=True, slots=True)
class _User:
    """One activity as it makes or needs air.

    Attributes:
        wet: from its start until touch dry, not in worked minutes.
        end: when the last of it is over, lingering left out; `first_end`, `last_end` in UTC.
    """

    act: ActVariables
    wet: bool
    end: Moment
    first_end: int
    last_end: int


def write_air(model: Model, shapes: Shapes) -> None:
    """Keep makers and needers of one air apart."""
    needers: dict[tuple[str, AirBorne], list[_User]] = {}
    makers: list[tuple[AirBorne, _User]] = []
    for act in model.acts.values():
        activity = act.activity
        if activity.kind == "parcel" or activity.where is None:
            continue
        for need in sorted(activity.needs_air):
            wet = need == "still" and activity.coat is not None
            needers.setdefault((activity.where, BEARS_NOT[need]), []).append(_user(model, act, wet))
        for kind in sorted(activity.makes):
            makers.append((kind, _user(model, act, False)))
        if activity.coat is not None and activity.coat.coating.fumes:
            makers.append(("fumes", _user(model, act, True)))
    if not needers or not makers:
        return
    before = _before(model)
    apart: dict[tuple[int, bool, int, bool], int] = {}
    for kind, maker in makers:
        where = maker.act.activity.where
        assert where is not None
        for space in felt_in(model.network, kind, where):
            linger = model.site.linger(kind, where, space)
            for needer in needers.get((space, kind), ()):
                if needer.act is not maker.act:
                    key = (needer.act.index, needer.wet, maker.act.index, maker.wet)
                    if linger > apart.get(key, -1):
                        apart[key] = linger
                        _pair(model, shapes, needer, maker, linger, before)


def _user(model: Model, act: ActVariables, wet: bool) -> _User:
    if wet:
        return _User(act, True, *model.stage(act.index, "touch"))
    return _User(act, False, act.finish, act.first_finish, act.last_finish)


def _before(model: Model) -> dict[int, int]:
    """By activity, as bits, which others are over before it starts."""
    before: dict[int, int] = {}
    for index in model.question.members:
        bits = 0
        for link in model.network.incoming[index]:
            if link.point >= FINISH and not link.to_finish:
                bits |= before.get(link.pred, 0)
                if link.pred in model.acts:
                    bits |= 1 << link.pred
        before[index] = bits
    return before


def _pair(
    model: Model,
    shapes: Shapes,
    needer: _User,
    maker: _User,
    linger: int,
    before: dict[int, int],
) -> None:
    sheet = model.sheet
    one, two = needer.act, maker.act
    if one.last_start == one.last_finish or two.last_start == two.last_finish:
        if not (needer.wet or maker.wet):
            return  # no time at all
    if needer.last_end <= two.first_start or maker.last_end + linger <= one.first_start:
        return
    if before[one.index] >> two.index & 1:
        sheet.at_least(one.start, maker.end + linger)
        return
    if before[two.index] >> one.index & 1:
        sheet.at_least(two.start, needer.end)
        return
    guest = any(_use_of(needer, maker, linger, gap) for gap in _gaps(maker))
    host = any(_use_of(maker, needer, linger, gap) for gap in _gaps(needer))
    if guest and host:
        _sessions_apart(model, shapes, needer, maker, linger)
        return
    ways: list[Condition] = []
    if guest:
        ways = _in_pauses(model, needer, maker, linger, 0)
    elif host:
        ways = _in_pauses(model, maker, needer, 0, linger)
    i, j = one.index, two.index
    if two.last_start >= needer.first_end:
        ways.append(sheet.literal(_before_hint(i, j)))
        sheet.at_least(two.start, needer.end, ways[-1])
    if one.last_start >= maker.first_end + linger:
        ways.append(sheet.literal(_before_hint(j, i)))
        sheet.at_least(one.start, maker.end + linger, ways[-1])
    sheet.one_of(ways)


def _before_hint(i: int, j: int) -> Callable[[Spots], int | None]:
    return lambda spots: spots[i][1] <= spots[j][0] if i in spots and j in spots else None


def _in_pauses(model: Model, guest: _User, host: _User, after: int, tail: int) -> list[Condition]:
    """Conditions under which the guest keeps out of all hours of the host, one for each pair of
    their choices of people that allows it.

    Args:
        after: minutes for which what the host makes stays in the air.
        tail: minutes for which what the guest makes does.
    """
    sheet, act = model.sheet, guest.act
    coat = act.activity.coat if guest.wet else None
    first, last = act.first_start - after - tail, guest.last_end + tail
    found: list[Condition] = []
    for number in host.act.choices:
        timing = host.act.activity.choices[number].timing
        if not isinstance(timing, Hands):
            continue
        hours = [
            (begin, end + after)
            for begin, end in timing.openings
            if begin < last and end + after > first
        ]
        for choice, own in act.choices.items():
            pieces = [p for group in act.groups if group.choice == choice for p in group.pieces]
            free = without(pieces, hours, linger=tail, coat=coat)
            if not free:
                continue
            literal = sheet.literal(lambda spots: None)
            starts = [(p.first - model.base, p.last - model.base) for p in free]
            sheet.within(act.start, starts, literal)
            for other in (own, host.act.choices[number]):
                if other is not None:
                    sheet.model.add_implication(literal, other)
            found.append(literal)
    return found


def _gaps(user: _User) -> list[Stretch]:
    if user.wet:
        return []
    return sorted({gap for group in user.act.groups for gap in group.gaps})


def _use_of(guest: _User, host: _User, linger: int, gap: Stretch) -> bool:
    """Whether the guest finds use for a pause of the host: what lingers takes from it either way,
    after the host's session or before its next one."""
    closes, opens = gap
    length = opens - closes - linger
    if length <= 0:
        return False
    if guest.act.first_start >= opens or guest.last_end <= closes:
        return False
    if guest.wet:
        return guest.first_end - guest.act.first_start <= length or _shortest(guest) <= length
    hours = _hours(guest.act)
    return hours is None or open_inside(hours, closes, opens)


def _shortest(user: _User) -> int:
    spans = [group.span for group in user.act.groups if group.span is not None]
    return min(spans, default=0)


def _hours(act: ActVariables) -> Openings | None:
    """When it may be worked; None for a wait."""
    hours = openings_of([act])
    return hours if len(hours) else None


def _sessions_apart(model: Model, shapes: Shapes, needer: _User, maker: _User, linger: int) -> None:
    """No session of the one meets a session of the other and what lingers of it."""
    sheet = model.sheet
    ones = _blocks(model, shapes, needer, maker, 0, linger)
    twos = _blocks(model, shapes, maker, needer, linger, linger)
    sheet.model.add_no_overlap([*ones, *twos])


def _blocks(
    model: Model, shapes: Shapes, host: _User, guest: _User, tail: int, linger: int
) -> list[cp_model.IntervalVar]:
    """What the host takes, pauses that the guest may use left free; each `tail` minutes longer."""
    act, sheet = host.act, model.sheet
    if host.wet:
        size = sheet.number(
            [(1, host.last_end - act.first_start)],
            lambda spots: None,
        )
        sheet.require(act.start + size == host.end, None)
        return [sheet.interval(act.start, size + tail, host.end + tail, None)]

    def leaks(gap: Stretch) -> bool:
        return _use_of(guest, host, linger, gap)

    return [
        interval for choice in act.choices for interval in shapes.sessions(act, choice, leaks, tail)
    ]
