"""Where an activity can start, and what its finish is from there, as few simple pieces.

A pausing step's elapsed length changes only where it spills into a further opening; a parcel comes
at one moment for all orders before a cut-off. So the finish is, piece by piece, either a fixed
distance behind the start or one fixed moment. The pieces are found by asking the activity's own
timing, so that the model's arithmetic is the engine's.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from episodes.calendars.openings import Openings, Stretch
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import Coat
from episodes.network.timing import Delivery, Expected, Hands, Timing, Wait
from episodes.trade.products import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Starts `first..last`, each of which can really be made. UTC minutes.

    Attributes:
        span: the finish is the start and so much; None where `finish` says it.
        finish: the one finish of all these starts, where `span` is None.
        gaps: the pauses on the way, each from a closing to the next opening; later on only those
            that are of use to somebody else.
    """

    first: int
    last: int
    span: int | None = None
    finish: int | None = None
    gaps: tuple[Stretch, ...] = ()

    def end(self, start: int) -> int:
        """The finish of a start in this piece."""
        if self.span is not None:
            return start + self.span
        assert self.finish is not None
        return self.finish

    @property
    def first_end(self) -> int:
        return self.end(self.first)

    @property
    def last_end(self) -> int:
        return self.end(self.last)


def pieces_of(timing: Timing, first: int, last: int, until: int) -> list[Piece]:
    """The pieces of all starts in `first..last` whose finish is at or before `until`, in order."""
    if first > last:
        return []
    if isinstance(timing, Hands):
        return [
            piece
            for begin, end in _startable(timing, first, last)
            for piece in _hands(timing, begin, end, until)
        ]
    if isinstance(timing, Wait):
        last = min(last, until - timing.work)
        return [Piece(first=first, last=last, span=timing.work)] if first <= last else []
    assert isinstance(timing, (Delivery, Expected))
    return list(_parcel(timing, first, last, until))


def _startable(timing: Hands, first: int, last: int) -> Iterator[Stretch]:
    """Stretches (both ends included) of starts in `first..last` that can be made."""
    openings = timing.openings
    index = bisect_right(openings.ends, first)
    while index < len(openings) and openings.starts[index] <= last:
        begin = max(first, openings.starts[index])
        end = min(last, openings.ends[index] - 1)
        index += 1
        if timing.gate is None:
            yield from _made(timing, begin, end)
            continue
        for opens, closes in timing.gate.stretches:
            if opens <= end and closes > begin:
                yield from _made(timing, max(begin, opens), min(end, closes - 1))


def _made(timing: Hands, begin: int, end: int) -> Iterator[Stretch]:
    """The starts of one opening and one stretch of air that can be made: the first ones of it."""
    if begin <= end and timing.fit(begin) == begin:
        last = timing.fit_back(end)
        yield begin, last if begin <= last <= end else begin


def _hands(timing: Hands, begin: int, end: int, until: int) -> Iterator[Piece]:
    """Pieces of one opening: the elapsed length rises with the start, step by step."""
    at = begin
    while at <= end:
        finish = timing.end(at)
        if finish > until or finish >= NEVER:
            return
        span = finish - at
        low, high = at, end
        while low < high:
            middle = (low + high + 1) // 2
            if timing.end(middle) - middle == span:
                low = middle
            else:
                high = middle - 1
        sessions = timing.pieces(at)
        yield Piece(
            first=at,
            last=min(low, until - span),
            span=span,
            gaps=tuple((before[1], after[0]) for before, after in pairwise(sessions)),
        )
        at = low + 1


def _parcel(timing: Delivery | Expected, first: int, last: int, until: int) -> Iterator[Piece]:
    if isinstance(timing, Expected):
        known = min(last, timing.arrival_at)
        usable = timing.arrival_at + timing.settle
        if first <= known and usable <= until:
            yield Piece(first=first, last=known, finish=usable)
        first = max(first, timing.arrival_at + 1)
        last = min(last, until - timing.settle)
        if first <= last:
            yield Piece(first=first, last=last, span=timing.settle)
        return
    if timing.carrier is None:
        span = timing.lead + timing.extra + timing.settle
        last = min(last, until - span)
        if first <= last:
            yield Piece(first=first, last=last, span=span)
        return
    at = first
    while at <= last:
        finish = timing.end(at)
        if finish > until or finish >= NEVER:
            return
        same = min(last, timing.end_by(finish))
        yield Piece(first=at, last=same, finish=finish)
        at = same + 1


# -- what stands in the way of a start ---------------------------------------------------------


def without(
    pieces: Iterable[Piece], taken: Iterable[Stretch], *, linger: int = 0, coat: Coat | None = None
) -> list[Piece]:
    """The pieces less the starts whose worked minutes meet one of the stretches.

    Args:
        linger: minutes for which what it makes stays in the air after each session.
        coat: where given, the wet time counts instead: from the start until touch dry.
    """
    closed = Openings((begin - linger, end) for begin, end in taken)
    left: list[Piece] = []
    for piece in pieces:
        over = piece.last_end if coat is None else coat.stage_end("touch", piece.last_end)
        parts = [piece]
        # The latest first: what is still to be cleared is at the front.
        for at in range(bisect_left(closed.starts, over) - 1, -1, -1):
            if closed.ends[at] <= piece.first or not parts:
                break
            parts = [*_clear(parts[0], closed.starts[at], closed.ends[at], coat), *parts[1:]]
        left += parts
    return left


def _clear(piece: Piece, begin: int, end: int, coat: Coat | None) -> Iterator[Piece]:
    """The parts of a piece that do not meet `[begin, end)`."""
    if piece.span is None or begin >= end:
        yield piece
        return
    if coat is not None:
        yield from _parts(piece, coat.latest_finish("touch", begin) - piece.span, end)
        return
    if piece.span == 0:
        yield piece
        return
    if any(opens < end and closes > begin for opens, closes in _middle(piece)):
        return
    parts = [piece]
    if piece.gaps:
        # The first session runs to the first closing, the last one begins at the last opening.
        if piece.gaps[0][0] > begin:
            parts = [part for p in parts for part in _parts(p, LONG_AGO, end)]
        if piece.gaps[-1][1] < end:
            parts = [part for p in parts for part in _parts(p, begin - piece.span, NEVER)]
        yield from parts
        return
    yield from _parts(piece, begin - piece.span, end)


def _middle(piece: Piece) -> Iterator[Stretch]:
    """The sessions that are the same from every start of the piece."""
    for (_, opens), (closes, _) in pairwise(piece.gaps):
        yield opens, closes


def _parts(piece: Piece, last: int, first: int) -> Iterator[Piece]:
    """The starts up to `last` and those from `first` on."""
    if last >= first - 1:
        yield piece
        return
    if piece.first <= last:
        yield replace(piece, last=min(piece.last, last))
    if first <= piece.last:
        yield replace(piece, first=max(piece.first, first))


# -- drying ------------------------------------------------------------------------------------

MOST_PIECES = 96
"""Different lengths of one drying over which only bounds of the length are kept."""


@dataclass(frozen=True, slots=True)
class Lag:
    """Finishes `first..last` behind which a stage is over `least..most` minutes later."""

    first: int
    last: int
    least: int
    most: int


def lags_of(
    coat: Coat, stage: Stage, finishes: Sequence[Stretch], changes: Sequence[int]
) -> list[Lag]:
    """How long after its finish a coat's stage is over, by ranges of the finish.

    Args:
        finishes: ranges of finishes, both ends included, in order.
        changes: moments at which the air may change, rising.
    """
    cuts = sorted({*changes, *(coat.latest_finish(stage, change) + 1 for change in changes)})
    lags: list[Lag] = []
    for begin, end in finishes:
        at = begin
        for cut in cuts[bisect_right(cuts, begin) : bisect_left(cuts, end + 1)]:
            _same_lags(coat, stage, at, cut - 1, lags)
            at = cut
        _same_lags(coat, stage, at, end, lags)
    return _fewer(lags)


def _same_lags(coat: Coat, stage: Stage, first: int, last: int, lags: list[Lag]) -> None:
    """Between two changes of air the lag only rises, or only falls."""
    while first <= last:
        lag = coat.stage_end(stage, first) - first
        low, high = first, last
        while low < high:
            middle = (low + high + 1) // 2
            if coat.stage_end(stage, middle) - middle == lag:
                low = middle
            else:
                high = middle - 1
        if lags and lags[-1].least == lags[-1].most == lag and lags[-1].last < first:
            lags[-1] = Lag(lags[-1].first, low, lag, lag)
        else:
            lags.append(Lag(first, low, lag, lag))
        first = low + 1


def _fewer(lags: list[Lag]) -> list[Lag]:
    """At most `MOST_PIECES`: neighbours together, the lag between the least and the most."""
    while len(lags) > MOST_PIECES:
        lags = [
            Lag(
                some[0].first,
                some[-1].last,
                min(lag.least for lag in some),
                max(lag.most for lag in some),
            )
            for some in (lags[at : at + 2] for at in range(0, len(lags), 2))
        ]
    return lags
