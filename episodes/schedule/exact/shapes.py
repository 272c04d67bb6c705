"""What an activity takes as intervals of the model: from start to finish, or its sessions apart.

A pause may be left inside the interval where nobody could use it anyway. Where somebody could (the
workshop is shut, but its builder works on elsewhere), each session is an interval of its own:
holding the pause would prove a slip that is none, dropping it would find a plan that is none.
"""

from collections.abc import Callable, Iterable

from ortools.sat.python import cp_model

from episodes.calendars.openings import Openings, Stretch
from episodes.calendars.working_time import open_minutes_before
from episodes.network.timing import Hands
from episodes.schedule.exact.variables import ActVariables, Condition, PieceGroup, Sheet, any_of

Leaks = Callable[[Stretch], bool]
"""Whether a pause, from a closing to the next opening, is of use to somebody else."""


class Shapes:
    """Makes intervals of activities and keeps them, since many holders ask for the same.

    A `tail` is a number of minutes by which every interval is longer at its end.
    """

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self._made: dict[tuple[object, ...], cp_model.IntervalVar] = {}
        self._solid: dict[tuple[int, tuple[int, ...]], Condition] = {}

    def whole(self, act: ActVariables, tail: int = 0) -> cp_model.IntervalVar:
        """From start to finish, whoever does it."""
        return self._whole(act, tail, -1, None)

    def sessions(
        self, act: ActVariables, choice: int, leaks: Leaks, tail: int = 0
    ) -> list[cp_model.IntervalVar]:
        """What one choice works, pauses that leak left free."""
        groups = [group for group in act.groups if group.choice == choice]
        leaky = [group for group in groups if any(leaks(gap) for gap in group.gaps)]
        if not leaky:
            return [self._whole(act, tail, choice, act.choices[choice])]
        found = []
        solid = [group for group in groups if group not in leaky]
        if solid:
            numbers = tuple(act.groups.index(group) for group in solid)
            if (act.index, numbers) not in self._solid:
                self._solid[act.index, numbers] = any_of(self.sheet, act.index, solid)
            found.append(self._whole(act, tail, numbers, self._solid[act.index, numbers]))
        for group in leaky:
            found += self._apart(act, group, leaks, tail)
        return found

    def _whole(
        self, act: ActVariables, tail: int, which: object, literal: Condition
    ) -> cp_model.IntervalVar:
        key = (act.index, tail, None if literal is None else which)
        if key not in self._made:
            self._made[key] = self.sheet.interval(
                act.start, act.size + tail, act.finish + tail, literal
            )
        return self._made[key]

    def _apart(
        self, act: ActVariables, group: PieceGroup, leaks: Leaks, tail: int
    ) -> list[cp_model.IntervalVar]:
        """The sessions of a piece, those joined whose pause is of no use to anybody."""
        base = self.sheet.base
        begins: int | None = None
        edges: list[tuple[int | None, int | None]] = []
        for closes, opens in group.gaps:
            if leaks((closes, opens)):
                edges.append((begins, closes))
                begins = opens
        edges.append((begins, None))
        found = []
        for begin, end in edges:
            key = (act.index, act.groups.index(group), begin, end, tail)
            if key not in self._made:
                first = act.start if begin is None else begin - base
                last = act.finish if end is None else end - base
                self._made[key] = self.sheet.interval(
                    first, last + tail - first, last + tail, group.literal
                )
            found.append(self._made[key])
        return found


def openings_of(acts: Iterable[ActVariables], person: str | None = None) -> Openings:
    """When any of these activities may be worked (by that person), waits left out."""
    calendars: dict[int, Openings] = {}
    for act in acts:
        for choice in act.activity.choices:
            if isinstance(choice.timing, Hands) and (person is None or person in choice.people):
                calendars[id(choice.timing.openings)] = choice.timing.openings
    if len(calendars) == 1:
        return next(iter(calendars.values()))
    return Openings(stretch for openings in calendars.values() for stretch in openings)


def open_inside(openings: Openings, begin: int, end: int) -> bool:
    """Whether some minute of `[begin, end)` is open."""
    return begin < end and open_minutes_before(openings, end) > open_minutes_before(openings, begin)
