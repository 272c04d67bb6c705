"""People, gear and places in the model: who cannot do two things at once, what there is only so
many of, and the place that a drying coat goes on holding."""

from collections import defaultdict
from collections.abc import Callable

from ortools.sat.python import cp_model

from episodes.calendars.openings import Openings
from episodes.calendars.working_time import NEVER
from episodes.schedule.exact.model import Model
from episodes.schedule.exact.shapes import Leaks, Shapes, open_inside, openings_of
from episodes.schedule.exact.variables import ActVariables, Spots
from episodes.schedule.resources import Holder


def write_people(model: Model, shapes: Shapes) -> None:
    """Nobody works on two things in one minute."""
    for person in sorted(model.site.people):
        users = [
            act
            for act in model.acts.values()
            if any(person in choice.people for choice in act.activity.choices)
        ]
        if len(users) < 2:
            continue
        leaks = _work_in(openings_of(users, person))
        model.sheet.model.add_no_overlap(
            interval
            for act in users
            for choice in act.choices
            if person in act.activity.choices[choice].people
            for interval in shapes.sessions(act, choice, leaks)
        )


def _work_in(hours: Openings) -> Leaks:
    """Whether a pause has a minute of these hours."""
    return lambda gap: open_inside(hours, *gap)


def write_levels(model: Model, shapes: Shapes) -> None:
    """Gear and places: never more at once than there are, facts taken off first."""
    limits = model.site.levels.limits
    users: dict[Holder, list[tuple[ActVariables, int]]] = defaultdict(list)
    for act in model.acts.values():
        activity = act.activity
        if activity.kind == "parcel" or act.last_finish == act.last_start:
            continue
        for gear, count in activity.gear:
            users["gear", gear].append((act, count))
        if activity.where is not None and activity.places:
            users["space", activity.where].append((act, activity.places))
    drying = _Drying(model)
    for holder, limit in sorted(limits.items()):
        taken = [(act, min(amount, limit)) for act, amount in users[holder]]
        held = drying.intervals(holder[1]) if holder[0] == "space" else []
        standing = _standing(model, holder, drying.freed_by_members)
        total = sum(amount for _, amount in taken) + len(held)
        if not taken and not held:
            continue
        if total + max((amount for *_, amount in standing), default=0) <= limit:
            continue
        intervals = [shapes.whole(act) for act, _ in taken] + held
        demands = [amount for _, amount in taken] + [1] * len(held)
        for begin, end, amount in standing:
            length = end - begin
            intervals.append(
                model.sheet.model.new_fixed_size_interval_var(begin - model.base, length, "")
            )
            demands.append(min(amount, limit))
        if limit == 1 or all(2 * demand > limit for demand in demands):
            model.sheet.model.add_no_overlap(intervals)
        else:
            model.sheet.model.add_cumulative(intervals, demands, limit)


def _standing(model: Model, holder: Holder, freed: set[int]) -> list[tuple[int, int, int]]:
    """What facts take of a holder, as stretches of a steady amount: (from, to, amount).

    Args:
        freed: coats whose drying place is in the model itself.
    """
    stretches: list[tuple[int, int, int]] = []
    kind, name = holder
    for index, (start, finish, _, _) in model.question.spots.items():
        activity = model.network.activities[index]
        if activity.state == "done" or activity.kind == "parcel" or start >= finish:
            continue
        amount = (
            dict(activity.gear).get(name, 0)
            if kind == "gear"
            else activity.places
            if activity.where == name
            else 0
        )
        if amount:
            stretches.append((start, finish, amount))
    if kind == "space":
        for index, (begin, end) in model.site.holds.items():
            if model.network.activities[index].where == name and index not in freed:
                stretches.append((max(begin, model.base), min(end, model.network.end), 1))
    steps: dict[int, int] = defaultdict(int)
    for begin, end, amount in stretches:
        if begin < end:
            steps[begin] += amount
            steps[end] -= amount
    found: list[tuple[int, int, int]] = []
    level, since = 0, 0
    for moment in sorted(steps):
        if level > 0 and since < moment:
            found.append((since, moment, level))
        level += steps[moment]
        since = moment
    return found


class _Drying:
    """Places held by coats after their finish: until `handle`, or the job's next step."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.freed_by_members: set[int] = set()
        for index in model.site.holds:
            following = model.network.activities[index].next_in_job
            if following is not None and following in model.acts:
                self.freed_by_members.add(index)

    def intervals(self, space: str) -> list[cp_model.IntervalVar]:
        """The holds of one space."""
        model, found = self.model, []
        for act in model.acts.values():
            if act.activity.coat is not None and act.activity.where == space:
                found.append(self._after(act))
        for index in sorted(self.freed_by_members):
            if model.network.activities[index].where == space:
                found.append(self._begun(index))
        return found

    def _after(self, act: ActVariables) -> cp_model.IntervalVar:
        """The hold of a coat still to be laid."""
        model, sheet = self.model, self.model.sheet
        index, activity = act.index, act.activity
        coat = activity.coat
        assert coat is not None
        following = None if activity.next_in_job is None else model.acts.get(activity.next_in_job)
        handle, _, high = model.stage(index, "handle")
        lags = model.lags(index, "handle")
        least, most = min(lag.least for lag in lags), max(lag.most for lag in lags)
        if following is None or following.first_start >= high:
            if least == most:
                return sheet.interval(act.finish, least, act.finish + least, None)
            size = sheet.number([(least, most)], self._length_hint(index))
            sheet.require(act.finish + size == handle, None)
            return sheet.interval(act.finish, size, handle, None)
        size = sheet.number([(0, most)], self._length_hint(index))
        until = sheet.number(
            [(act.first_finish - model.base, high - model.base)], self._until_hint(index)
        )
        sheet.require(until == act.finish + size, None)
        freed = sheet.literal(lambda spots: None)
        sheet.at_least(following.start, act.finish, freed)
        sheet.at_least(until, following.start, freed)
        sheet.at_least(until, handle, freed.negated())
        return sheet.interval(act.finish, size, until, None)

    def _begun(self, index: int) -> cp_model.IntervalVar:
        """The hold of a coat that dries already, freed by a step still to be placed."""
        model, sheet = self.model, self.model.sheet
        finish, handle = model.site.holds[index]
        following = model.network.activities[index].next_in_job
        assert following is not None
        act = model.acts[following]
        begin = max(finish, model.base)
        end = max(begin, min(handle, model.network.end))
        until = sheet.number([(begin - model.base, end - model.base)], lambda spots: None)
        freed = sheet.literal(lambda spots: None)
        sheet.at_least(until, act.start, freed)
        sheet.at_least(until, end - model.base, freed.negated())
        return sheet.interval(begin - model.base, until - (begin - model.base), until, None)

    def _held_until(self, index: int, spots: Spots) -> int | None:
        activity = self.model.network.activities[index]
        if index not in spots or activity.coat is None:
            return None
        finish = spots[index][1]
        handle = activity.coat.stage_end("handle", finish)
        following = activity.next_in_job
        if following is not None and following in spots:
            start = spots[following][0]
            if finish <= start < handle:
                return start
        return handle if handle < NEVER else None

    def _until_hint(self, index: int) -> Callable[[Spots], int | None]:
        def hint(spots: Spots) -> int | None:
            until = self._held_until(index, spots)
            return None if until is None else until - self.model.base

        return hint

    def _length_hint(self, index: int) -> Callable[[Spots], int | None]:
        def hint(spots: Spots) -> int | None:
            until = self._held_until(index, spots)
            return None if until is None else until - spots[index][1]

        return hint
