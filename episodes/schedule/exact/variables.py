"""The variables of one activity: its start, its finish, and which of its pieces they lie in."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from ortools.sat.python import cp_model
from ortools.sat.python import cp_model_helper as cmh

from episodes.calendars.openings import Stretch
from episodes.network.activity import Activity
from episodes.schedule.exact.pieces import Piece
from episodes.schedule.starts import Spot

Moment = cp_model.LinearExpr | int
"""Minutes after the model's base: a variable, one with a distance, or a fixed number."""

Condition = cmh.Literal | None
"""A condition; None where it always holds."""

Spots = Mapping[int, Spot]


class Sheet:
    """A solver's model being written, with what is known to solve it already.

    Attributes:
        base: UTC minute that counts as 0.
        broken: two fixed moments contradict each other: there is no solution.
    """

    def __init__(self, base: int) -> None:
        self.model = cp_model.CpModel()
        self.base = base
        self.broken = False
        self._hints: list[tuple[cp_model.IntVar, Callable[[Spots], int | None]]] = []

    def number(
        self, ranges: Iterable[Stretch], hint: Callable[[Spots], int | None]
    ) -> cp_model.IntVar:
        """A variable within ranges (both ends included; UTC minutes or plain minutes alike)."""
        domain = cp_model.Domain.from_intervals([list(some) for some in ranges])
        variable = self.model.new_int_var_from_domain(domain, "")
        self._hints.append((variable, hint))
        return variable

    def literal(self, hint: Callable[[Spots], int | None]) -> cp_model.IntVar:
        """A condition of the model."""
        variable = self.model.new_bool_var("")
        self._hints.append((variable, hint))
        return variable

    def at_least(self, later: Moment, earlier: Moment, when: Condition = None) -> None:
        """`later >= earlier`, where `when` holds."""
        if isinstance(later, int) and isinstance(earlier, int):
            if later < earlier:
                self.never(when)
            return
        self.require(later >= earlier, when)

    def require(self, wanted: cp_model.BoundedLinearExpression | bool, when: Condition) -> None:
        """A linear constraint, where `when` holds."""
        added = self.model.add(wanted)
        if when is not None:
            added.only_enforce_if(when)

    def never(self, when: Condition) -> None:
        """`when` does not hold; without it there is no solution at all."""
        if when is None:
            self.broken = True
        else:
            self.model.add_bool_and([when.negated()])

    def within(self, value: Moment, ranges: Iterable[Stretch], when: Condition = None) -> None:
        """`value` lies in one of the ranges, both ends included."""
        listed = [list(some) for some in ranges]
        if isinstance(value, int):
            if not any(low <= value <= high for low, high in listed):
                self.never(when)
            return
        domain = cp_model.Domain.from_intervals(listed)
        added = self.model.add_linear_expression_in_domain(value, domain)
        if when is not None:
            added.only_enforce_if(when)

    def one_of(self, ways: Iterable[Condition]) -> None:
        """At least one of these holds; of none, nothing does."""
        listed = [way for way in ways if way is not None]
        if not listed:
            self.broken = True
        elif len(listed) == 1:
            self.model.add_bool_and(listed)
        else:
            self.model.add_bool_or(listed)

    def interval(
        self, start: Moment, size: Moment, end: Moment, when: Condition
    ) -> cp_model.IntervalVar:
        """A stretch that something takes, where `when` holds."""
        if when is None:
            return self.model.new_interval_var(start, size, end, "")
        return self.model.new_optional_interval_var(start, size, end, when, "")

    def hint(self, spots: Spots) -> None:
        """Begin the search at a plan in hand."""
        for variable, value_of in self._hints:
            value = value_of(spots)
            if value is not None:
                self.model.add_hint(variable, value)


@dataclass(slots=True, eq=False)
class PieceGroup:
    """Pieces of one choice with the same span and no pause, or one piece with its pauses.

    Attributes:
        literal: whether the start lies in it; None where it is the only one.
    """

    choice: int
    pieces: list[Piece]
    literal: Condition = None

    @property
    def span(self) -> int | None:
        return self.pieces[0].span

    @property
    def gaps(self) -> tuple[Stretch, ...]:
        return self.pieces[0].gaps

    def holds(self, spot: Spot) -> bool:
        return spot[2] == self.choice and any(p.first <= spot[0] <= p.last for p in self.pieces)


@dataclass(slots=True, eq=False)
class ActVariables:
    """One activity in the model.

    Attributes:
        start, finish: moments after the base.
        size: minutes between them.
        first_start, last_start, first_finish, last_finish: their extremes, UTC minutes.
    """

    activity: Activity
    groups: list[PieceGroup]
    start: Moment
    finish: Moment
    size: Moment
    first_start: int
    last_start: int
    first_finish: int
    last_finish: int
    choices: dict[int, Condition] = field(default_factory=dict)
    ends: list[Stretch] = field(default_factory=list)

    @property
    def index(self) -> int:
        return self.activity.index

    @property
    def pauses(self) -> bool:
        """Whether it may be interrupted by closed hours."""
        return any(group.gaps for group in self.groups)


def act_variables(
    sheet: Sheet, activity: Activity, found: Sequence[tuple[int, Sequence[Piece]]]
) -> ActVariables:
    """Write the variables of an activity whose pieces are given by choice; at least one piece."""
    groups = _grouped(found)
    index, base = activity.index, sheet.base
    pieces = [piece for group in groups for piece in group.pieces]
    starts = [(piece.first - base, piece.last - base) for piece in pieces]
    ends = merged((piece.first_end, piece.last_end) for piece in pieces)
    spans = {group.span for group in groups}
    start: Moment
    finish: Moment
    size: Moment
    only = _fixed(starts)
    if only is None:
        start = sheet.number(starts, lambda spots: _minute(spots, index, 0, base))
    else:
        start = only
    if len(spans) == 1 and None not in spans:
        size = groups[0].span or 0
        finish = start + size
    else:
        moments = [(a - base, b - base) for a, b in ends]
        only = _fixed(moments)
        if only is None:
            finish = sheet.number(moments, lambda spots: _minute(spots, index, 1, base))
        else:
            finish = only
        if None in spans:
            size = 0
        else:
            size = sheet.number(
                sorted((span, span) for span in spans if span is not None),
                lambda spots: spots[index][1] - spots[index][0] if index in spots else None,
            )
            sheet.require(finish == start + size, None)
    act = ActVariables(
        activity=activity,
        groups=groups,
        start=start,
        finish=finish,
        size=size,
        first_start=min(piece.first for piece in pieces),
        last_start=max(piece.last for piece in pieces),
        first_finish=min(piece.first_end for piece in pieces),
        last_finish=max(piece.last_end for piece in pieces),
        ends=ends,
    )
    if len(groups) == 1:
        act.choices = {groups[0].choice: None}
        return act
    for group in groups:
        group.literal = sheet.literal(_hint_of_group(index, group))
        sheet.within(start, [(p.first - base, p.last - base) for p in group.pieces], group.literal)
        if group.span is None:
            sheet.within(finish, [(group.pieces[0].first_end - base,) * 2], group.literal)
        elif None in spans:
            sheet.within(finish - start, [(group.span, group.span)], group.literal)
        elif len(spans) > 1:
            sheet.within(size, [(group.span, group.span)], group.literal)
    sheet.model.add_exactly_one(g.literal for g in groups if g.literal is not None)
    _choices(sheet, act)
    return act


def _choices(sheet: Sheet, act: ActVariables) -> None:
    """A condition for every choice of people."""
    by_choice: dict[int, list[PieceGroup]] = {}
    for group in act.groups:
        by_choice.setdefault(group.choice, []).append(group)
    if len(by_choice) == 1:
        act.choices = {next(iter(by_choice)): None}
        return
    for choice, groups in by_choice.items():
        act.choices[choice] = any_of(sheet, act.index, groups)


def any_of(sheet: Sheet, index: int, groups: Sequence[PieceGroup]) -> Condition:
    """Whether the start lies in one of these groups of an activity."""
    if len(groups) == 1:
        return groups[0].literal
    literal = sheet.literal(
        lambda spots: any(g.holds(spots[index]) for g in groups) if index in spots else None
    )
    sheet.model.add(sum(g.literal for g in groups if g.literal is not None) == literal)
    return literal


def _grouped(found: Sequence[tuple[int, Sequence[Piece]]]) -> list[PieceGroup]:
    groups: dict[tuple[object, ...], PieceGroup] = {}
    for choice, pieces in found:
        for piece in pieces:
            key: tuple[object, ...] = (choice, piece.span)
            if piece.span is None or piece.gaps:
                key = (choice, piece.span, piece.finish, piece.gaps)
            groups.setdefault(key, PieceGroup(choice, [])).pieces.append(piece)
    return list(groups.values())


def merged(ranges: Iterable[Stretch]) -> list[Stretch]:
    """Ranges, both ends included, in order and joined where they touch."""
    found: list[Stretch] = []
    for first, last in sorted(ranges):
        if found and first <= found[-1][1] + 1:
            found[-1] = (found[-1][0], max(found[-1][1], last))
        else:
            found.append((first, last))
    return found


def _fixed(ranges: Sequence[Stretch]) -> int | None:
    low, high = min(a for a, _ in ranges), max(b for _, b in ranges)
    return low if low == high else None


def _minute(spots: Spots, index: int, at: int, base: int) -> int | None:
    """The start (0) or finish (1) of an activity in a plan."""
    spot = spots.get(index)
    return None if spot is None else (spot[1] if at else spot[0]) - base


def _hint_of_group(index: int, group: PieceGroup) -> Callable[[Spots], int | None]:
    return lambda spots: group.holds(spots[index]) if index in spots else None
