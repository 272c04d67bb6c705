"""A question written as a constraint model: activities, links, the goal.

Activities take part with the starts that their own timing allows between their early and late
bounds; links are linear. Who holds what is written by `holding`, the air by `air`.
"""

from collections.abc import Callable

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, POINT, START, Activity, Coat, DryRow, Link
from episodes.network.timing import Delivery, Expected
from episodes.schedule.exact.pauses import Pauses
from episodes.schedule.exact.pieces import Lag, Piece, lags_of, pieces_of, without
from episodes.schedule.exact.question import Ground, Question
from episodes.schedule.exact.variables import ActVariables, Moment, Sheet, Spots, act_variables
from episodes.trade.products import STAGES, Stage


class Model:
    """The model of one question, without what it takes of people, gear, places and air.

    Attributes:
        acts: by number of the activity.
        goal: what is made small (or, of a parcel, great); None where any plan will do.
    """

    def __init__(self, question: Question, ground: Ground) -> None:
        self.question = question
        self.network = question.network
        self.site = ground.generator.site
        self.tasks = ground.generator.tasks
        self.sheet = Sheet(self.network.now)
        self.base = self.network.now
        self.acts: dict[int, ActVariables] = {}
        self.goal: Moment | None = None
        self._changes = ground.changes()
        self._pauses = Pauses(self.network, self.site, question.members)
        self._stages: dict[tuple[int, Stage], tuple[Moment, int, int]] = {}

    def write(self) -> bool:
        """Write it; False where it is seen to have no solution while being written."""
        for index in self.question.members:
            act = self._act(self.network.activities[index])
            if act is None:
                return False
            self.acts[index] = act
        for index in self.question.members:
            for link in self.network.incoming[index]:
                self._link(link)
        self._goal()
        return not self.sheet.broken

    # -- activities ----------------------------------------------------------------------------

    def _act(self, activity: Activity) -> ActVariables | None:
        index = activity.index
        first, first_end = self.question.early[index]
        last, last_end = self.question.late[index]
        first = max(first, activity.earliest)
        last_end = min(last_end, activity.latest_finish, self.network.end)
        if activity.at is not None:
            first, last = max(first, activity.at), min(last, activity.at)
        if index == self.question.latest:
            return self._free_parcel(activity, first, last, last_end)
        last = min(last, last_end)
        found = []
        for number, choice in enumerate(activity.choices):
            pieces = [
                part
                for piece in pieces_of(choice.timing, first, last, last_end)
                for part in _ending_from(piece, first_end)
            ]
            if activity.kind == "parcel":
                if pieces and self._soonest_is_best(activity):
                    pieces = [_only_first(pieces[0])]
            else:
                pieces = self._pauses.useful_only(
                    activity, self._clear_of_facts(activity, choice.people, pieces)
                )
            if pieces:
                found.append((number, pieces))
        return act_variables(self.sheet, activity, found) if found else None

    def _free_parcel(
        self, activity: Activity, first: int, last: int, last_end: int
    ) -> ActVariables | None:
        """The parcel whose arrival is asked about: in hand at any moment from its order on."""
        timing = activity.choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        settle, index = timing.settle, activity.index
        low, high = self.question.arrivals
        high = min(high, last_end - settle)
        begun = activity.state == "started"
        last = min(last, high)
        if low > high or (not begun and first > last):
            return None
        base, sheet = self.base, self.sheet
        arrival = sheet.number(
            [(low - base, high - base)],
            lambda spots: spots[index][1] - settle - base if index in spots else None,
        )
        start: Moment
        if begun:
            assert activity.fact_start is not None or activity.fact_finish is None
            start = (activity.fact_start if activity.fact_start is not None else low) - base
            first = last = start + base
        else:
            start = sheet.number(
                [(first - base, last - base)],
                lambda spots: spots[index][0] - base if index in spots else None,
            )
            sheet.at_least(arrival, start)
        return ActVariables(
            activity=activity,
            groups=[],
            start=start,
            finish=arrival + settle,
            size=0,
            first_start=first,
            last_start=last,
            first_finish=low + settle,
            last_finish=high + settle,
            choices={0: None},
            ends=[(low + settle, high + settle)],
        )

    def _soonest_is_best(self, activity: Activity) -> bool:
        """Whether a parcel may as well be ordered at once: it waits for nothing that is free, and
        nothing must follow it soon."""
        index = activity.index
        return all(
            link.pred not in self.question.early for link in self.network.incoming[index]
        ) and all(link.most is None for link in self.network.outgoing[index])

    def _clear_of_facts(
        self, activity: Activity, people: tuple[str, ...], pieces: list[Piece]
    ) -> list[Piece]:
        """Only starts that do not meet what has begun: people at work, air that is taken."""
        coat = activity.coat
        for person in people:
            taken = self.site.people[person]
            pieces = without(pieces, zip(taken.starts, taken.ends, strict=True))
        task = self.tasks[activity.index]
        for bad, _, until_touch in task.air:
            pieces = without(pieces, bad.items, coat=coat if until_touch else None)
        for spaces, until_touch in task.makes:
            for needed, _, linger in spaces:
                pieces = without(
                    pieces, needed.items, linger=linger, coat=coat if until_touch else None
                )
        return pieces

    # -- moments -------------------------------------------------------------------------------

    def fixed_point(self, index: int, point: int) -> int | None:
        """A point of what stands already, UTC minutes; None where it has no place."""
        spot = self.question.spots.get(index)
        if spot is None:
            return None
        activity = self.network.activities[index]
        if point == START:
            return spot[0] if activity.fact_start is None else activity.fact_start
        if point == FINISH:
            return spot[1]
        assert activity.coat is not None
        return activity.coat.stage_end(STAGES[point - 2], spot[1])

    def point(self, index: int, point: int) -> tuple[Moment, int, int] | None:
        """A point of an activity as a moment of the model, with its extremes in UTC minutes."""
        act = self.acts.get(index)
        if act is None:
            fixed = self.fixed_point(index, point)
            return None if fixed is None else (fixed - self.base, fixed, fixed)
        if point == START:
            if act.activity.state == "started" and act.activity.fact_start is not None:
                begun = act.activity.fact_start
                return begun - self.base, begun, begun
            return act.start, act.first_start, act.last_start
        if point == FINISH:
            return act.finish, act.first_finish, act.last_finish
        return self.stage(index, STAGES[point - 2])

    def stage(self, index: int, stage: Stage) -> tuple[Moment, int, int]:
        """When a coat's stage is over, with its extremes in UTC minutes."""
        key = (index, stage)
        if key not in self._stages:
            self._stages[key] = self._written_stage(self.acts[index], stage)
        return self._stages[key]

    def lags(self, index: int, stage: Stage) -> list[Lag]:
        """How long after its finish a coat's stage is over."""
        act = self.acts[index]
        assert act.activity.coat is not None
        horizon = self.network.end
        return [
            lag if lag.most < NEVER // 2 else Lag(lag.first, lag.last, *(horizon - lag.first,) * 2)
            for lag in lags_of(act.activity.coat, stage, act.ends, self._changes)
        ]

    def _written_stage(self, act: ActVariables, stage: Stage) -> tuple[Moment, int, int]:
        sheet, base = self.sheet, self.base
        lags = self.lags(act.index, stage)
        low = min(lag.first + lag.least for lag in lags)
        high = max(lag.last + lag.most for lag in lags)
        if len(lags) == 1 and lags[0].least == lags[0].most:
            return act.finish + lags[0].least, low, high
        coat = act.activity.coat
        assert coat is not None
        over = sheet.number([(low - base, high - base)], _stage_hint(act.index, coat, stage, base))
        literals = []
        for lag in lags:
            literal = sheet.literal(_lag_hint(act.index, lag))
            literals.append(literal)
            sheet.within(act.finish, [(lag.first - base, lag.last - base)], literal)
            sheet.within(over - act.finish, [(lag.least, lag.most)], literal)
        sheet.model.add_exactly_one(literals)
        return over, low, high

    # -- links ---------------------------------------------------------------------------------

    def _link(self, link: Link) -> None:
        act, sheet = self.acts[link.succ], self.sheet
        found = self.point(link.pred, link.point)
        if found is None:
            return
        earlier, low, high = found
        later = act.finish if link.to_finish else act.start
        first = act.first_finish if link.to_finish else act.first_start
        last = act.last_finish if link.to_finish else act.last_start
        if act.activity.state == "started" and not link.to_finish:
            return
        if first < high + link.least:
            sheet.at_least(later, earlier + link.least)
        if link.most is None:
            return
        if link.or_point is not None:
            self._two_sided(link, later, earlier)
            return
        if last <= low + link.most:
            return
        if link.void_after is None:
            sheet.at_least(earlier + link.most, later)
            return
        stage = self.point(link.pred, link.void_after)
        assert stage is not None
        void, void_low, void_high = stage
        if void_low - high > link.most:
            return
        if void_high - low <= link.most:
            sheet.at_least(earlier + link.most, later)
            return
        # Where the stage itself comes later than the bound, the bound does not count.
        scuffed = sheet.literal(lambda spots: None)
        sheet.at_least(void, earlier + link.most + 1, scuffed)
        sheet.at_least(earlier + link.most, later, scuffed.negated())

    def _two_sided(self, link: Link, later: Moment, earlier: Moment) -> None:
        assert link.most is not None
        assert link.or_point is not None
        second = self.point(link.pred, link.or_point)
        assert second is not None
        sheet = self.sheet
        within = sheet.literal(lambda spots: None)
        sheet.at_least(earlier + link.most, later, within)
        sheet.at_least(later, second[0] + link.or_gap, within.negated())

    # -- the goal ------------------------------------------------------------------------------

    def _goal(self) -> None:
        question = self.question
        if question.latest is not None:
            act = self.acts[question.latest]
            self.goal = act.finish
            self.sheet.model.maximize(act.finish)
        elif question.soonest is not None:
            self.goal = self._ready(question.soonest)
            self.sheet.model.minimize(self.goal)

    def _ready(self, episode: str) -> Moment:
        """The ready moment of an episode, no less than all that its release waits for."""
        base = self.base
        moments: list[tuple[Moment, int, int]] = []
        hints: list[Callable[[Spots], int]] = []
        low = max(self.question.floor, base)
        for index in self.network.scope(episode).required:
            row = self.network.dries.get(index)
            point = FINISH if row is None else POINT[row.release_stage]
            found = self.point(index, point)
            if found is None:
                continue
            low = max(low, found[1])
            if index in self.acts and (row is not None or not self._has_required_behind(index)):
                moments.append(found)
                hints.append(_over_hint(self.network.activities[index], row))
        high = max([low, *(found[2] for found in moments)])
        ready = self.sheet.number(
            [(low - base, high - base)],
            lambda spots: max([low, *(hint(spots) for hint in hints)]) - base,
        )
        for moment, _, _ in moments:
            self.sheet.at_least(ready, moment)
        return ready

    def _has_required_behind(self, index: int) -> bool:
        return any(
            link.succ in self.acts and self.network.activities[link.succ].required
            and link.point >= FINISH
            for link in self.network.outgoing[index]
        )  # fmt: skip


def _ending_from(piece: Piece, first_end: int) -> list[Piece]:
    """The part of a piece whose finishes are at or after a moment."""
    if piece.last_end < first_end:
        return []
    if piece.span is None or piece.first_end >= first_end:
        return [piece]
    return [Piece(first=first_end - piece.span, last=piece.last, span=piece.span, gaps=piece.gaps)]


def _only_first(piece: Piece) -> Piece:
    return Piece(first=piece.first, last=piece.first, span=piece.span, finish=piece.finish)


def _stage_hint(index: int, coat: Coat, stage: Stage, base: int) -> Callable[[Spots], int | None]:
    return lambda spots: coat.stage_end(stage, spots[index][1]) - base if index in spots else None


def _lag_hint(index: int, lag: Lag) -> Callable[[Spots], int | None]:
    return lambda spots: lag.first <= spots[index][1] <= lag.last if index in spots else None


def _over_hint(activity: Activity, row: DryRow | None) -> Callable[[Spots], int]:
    def over(spots: Spots) -> int:
        spot = spots.get(activity.index)
        if spot is None:
            return LONG_AGO
        if row is None or activity.coat is None:
            return spot[1]
        return activity.coat.stage_end(row.release_stage, spot[1])

    return over
