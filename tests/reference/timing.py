"""When one act can start and finish, on its own: its hours, its length, its drying.

Every answer is found by going from opening to opening of the minute bitmaps. `None` means that
nothing fits within the horizon.
"""

from collections.abc import Iterator

from tests.reference.acts import Act
from tests.reference.clock import Hours
from tests.reference.expand import Net

Span = tuple[int, int]
FAR = 60 * 24 * 400


class Timing:
    """Starts and finishes of one act by one set of people."""

    def __init__(self, net: Net, act: Act, who: tuple[str, ...], extra: int = 0) -> None:
        self.act, self.who = act, who
        self.length = act.length + extra
        self.extra = extra
        self.hands = act.kind in ("hands", "shot")
        self.lower = act.lower if act.state == "open" else net.makers.now
        self.hours: Hours | None = net.makers.hours(act, who) if self.hands else None

    @property
    def fixed(self) -> bool:
        """Whether only its facts say when it is over."""
        return self.act.due is not None or self.act.done is not None

    def finish(self, start: int) -> int | None:
        """Finish of an act begun at an admissible start."""
        act = self.act
        if act.kind == "parcel":
            return act.arrival(start) + act.settle + self.extra
        if act.kind == "wait":
            return start + self.length
        assert self.hours is not None
        span = self.hours.work(start, self.length, one_go=act.one_go)
        return None if span is None else span[1]

    def dry(self, finish: int, stage: str) -> int:
        """When a drying stage is over, with the extra minute where one is added to it."""
        assert self.act.coat is not None
        return self.act.coat.over(finish, stage)

    def first(self, earliest: int, finish_from: int = 0) -> Span | None:
        """The first span from `earliest` on whose finish is not before `finish_from`."""
        act = self.act
        if self.fixed:
            span = self.settled()
            return span if span[1] >= finish_from else None
        if act.at is not None:
            if earliest > act.at:
                return None
            earliest = act.at
        start = max(earliest, self.lower)
        if act.state == "started":
            # It goes on from now before anything else: nothing can put it off.
            start = self.lower
        for span in self._from(start, 0 if act.state == "started" else finish_from):
            if act.at is not None and span[0] != act.at:
                return None
            if act.upper is not None and self._bounded(span) > act.upper:
                return None
            if span[1] >= finish_from:
                return span
            if act.state == "started":
                return None
        return None

    def _bounded(self, span: Span) -> int:
        """What `not_after` bounds: a parcel's arrival, the finish of all else."""
        return span[1] - self.act.settle if self.act.kind == "parcel" else span[1]

    def settled(self) -> Span:
        act = self.act
        end = act.done if act.done is not None else act.due
        assert end is not None
        start = act.begun if act.begun is not None else end
        return start, end + (self.extra if act.done is None else 0)

    def _from(self, start: int, finish_from: int) -> Iterator[Span]:
        """Admissible spans, later and later; steps of a minute where the finish is wanted."""
        act = self.act
        if act.kind == "wait":
            begin = max(start, finish_from - self.length)
            yield begin, begin + self.length
            return
        if act.kind == "parcel":
            begin = start
            while (end := self.finish(begin)) is not None and end < finish_from:
                begin = self._later_order(begin, finish_from)
            if end is not None:
                yield begin, end
            return
        assert self.hours is not None
        if finish_from > start:
            # No start before this one can be over as late as asked.
            back = self.hours.work_back(10**12, finish_from - 1, self.length, one_go=act.one_go)
            start = max(start, back[0] + 1 if back else start)
        while (span := self.hours.work(start, self.length, one_go=act.one_go)) is not None:
            closed = self._closed_air(span)
            if closed is None:
                yield span
                start = span[0] + 1
            else:
                start = closed[1]

    def _later_order(self, low: int, finish_from: int) -> int:
        """The first order minute whose parcel is usable no sooner than `finish_from`."""
        high = max(low + 1, finish_from)
        while high - low > 1:
            middle = (low + high) // 2
            if (end := self.finish(middle)) is not None and end < finish_from:
                low = middle
            else:
                high = middle
        return high

    def _closed_air(self, span: Span) -> Span | None:
        """The month whose air is outside the coat's limits while it is laid or not touch dry."""
        coat = self.act.coat
        if coat is None:
            return None
        return coat.first_closed(span[0], coat.over(span[1], "touch"))

    def last(self, start_by: int, finish_by: int, stages: dict[str, int]) -> Span | None:
        """The last span that starts and is over in time, its drying stages too."""
        act = self.act
        if act.upper is not None:
            finish_by = min(finish_by, act.upper + (act.settle if act.kind == "parcel" else 0))
        for stage, by in stages.items():
            finish_by = min(finish_by, self._dry_back(stage, by))
        if self.fixed:
            return self.settled()
        if act.kind == "wait":
            start = min(start_by, finish_by - self.length)
            if act.at is not None:
                return (act.at, act.at + self.length) if act.at <= start else None
            return start, start + self.length
        if act.kind == "parcel":
            return self._last_order(start_by, finish_by)
        assert self.hours is not None
        if act.at is not None:
            span = self.first(act.at)
            return span if span and span[0] <= start_by and span[1] <= finish_by else None
        while True:
            span = self.hours.work_back(start_by, finish_by, self.length, one_go=act.one_go)
            if span is None or (closed := self._closed_air(span)) is None:
                return span
            # Touch dry before that month begins.
            finish_by = min(finish_by, self._dry_back("touch", closed[0]), span[1] - 1)

    def _dry_back(self, stage: str, by: int) -> int:
        """The last finish of the coat from which a stage is over by then."""
        coat = self.act.coat
        assert coat is not None
        low, high = by - FAR, by
        while high - low > 1:
            middle = (low + high) // 2
            if self.dry(middle, stage) <= by:
                low = middle
            else:
                high = middle
        return high if self.dry(high, stage) <= by else low

    def _last_order(self, start_by: int, finish_by: int) -> Span | None:
        low, high = finish_by - FAR, min(start_by, finish_by) + 1
        while high - low > 1:
            middle = (low + high) // 2
            if (self.finish(middle) or 0) <= finish_by:
                low = middle
            else:
                high = middle
        end = self.finish(low)
        return None if end is None or end > finish_by else (low, end)
