"""What must precede what: the plan's links between steps, shots and parcels, with their gaps.

Only what the plan asks for is a link; that one thing happens to come before another is none. A
wait that is not shown is bridged: what follows it follows what it followed, its length in between.
"""

from dataclasses import dataclass
from typing import Literal

from episodes.answers.planning import Planning
from episodes.calendars.working_time import NEVER
from episodes.network.activity import FINISH, POINT, START, Link
from episodes.network.entries import RELEASE, Key

Point = Literal["start", "finish"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Precedence:
    """`later`'s point is no sooner than `gap_min` elapsed minutes after `earlier`'s point.

    Ends are (episode, id); the release's id is `release`. A parcel that comes earlier counts from
    when it is in hand (its settling is in the gap); one that comes later, from its order.
    """

    earlier: Key
    later: Key
    from_: Point = "finish"
    to: Point = "start"
    gap_min: int = 0


def precedences(planning: Planning, *, waits: bool = False) -> tuple[Precedence, ...]:
    """The links of a planned season, sorted by their ends; of several alike the longest gap.

    Args:
        waits: keep waits that have a length as ends of their own instead of bridging them.
    """
    return _Links(planning, waits).all()


class _Links:
    def __init__(self, planning: Planning, waits: bool) -> None:
        self.network = planning.network
        self.placed = planning.plan.placed
        self.waits = waits
        self.settle = {
            (episode.id, parcel.id): parcel.settle.likely
            for episode in planning.season.episodes
            for parcel in episode.parcels
        }
        self.gaps: dict[tuple[int, Point, int, Point], int] = {}

    def all(self) -> tuple[Precedence, ...]:
        for activity in self.network.activities:
            if not self._bridged(activity.index):
                self._from(activity.index)
        found = [
            Precedence(
                earlier=self.network.activities[pred].key,
                later=self.network.activities[succ].key,
                from_=from_,
                to=to,
                gap_min=gap,
            )
            for (pred, from_, succ, to), gap in self.gaps.items()
        ]
        found.sort(key=lambda one: (one.earlier, one.later, one.from_, one.to))
        return tuple(found)

    def _bridged(self, index: int) -> bool:
        activity = self.network.activities[index]
        if activity.kind != "wait" or activity.id == RELEASE:
            return False
        return not self.waits or self._times(index)[0] == self._times(index)[1]

    def _times(self, index: int) -> tuple[int | None, int | None]:
        """Start and finish, as facts or as planned; a parcel's are its order and when usable."""
        activity, placed = self.network.activities[index], self.placed[index]
        start, finish = activity.fact_start, activity.fact_finish
        if placed is not None:
            start = placed.start if start is None else start
            finish = placed.finish if finish is None else finish
        return start, finish

    def _from(self, pred: int) -> None:
        """Follow the links of one activity, through the waits that are bridged."""
        reached: dict[tuple[Point, int], int] = {}
        for link in self.network.outgoing[pred]:
            gap = self._gap(link)
            if gap is not None and not link.session:
                self._arrive(pred, "start" if link.point == START else "finish", link, gap, reached)

    def _arrive(
        self,
        pred: int,
        from_: Point,
        link: Link,
        gap: int,
        reached: dict[tuple[Point, int], int],
    ) -> None:
        """Note what a link reaches; where that is a wait to be bridged, go on from it."""
        open_links = [(link, gap)]
        while open_links:
            link, gap = open_links.pop()
            succ = link.succ
            if not self._bridged(succ):
                key = (pred, from_, succ, _to(link))
                self.gaps[key] = max(self.gaps.get(key, gap), gap)
                continue
            start, finish = self._times(succ)
            if start is None or finish is None:
                continue
            length = finish - start
            began = gap - length if link.to_finish else gap
            if reached.get((from_, succ), -NEVER) >= began:
                continue
            reached[from_, succ] = began
            for following in self.network.outgoing[succ]:
                further = self._gap(following)
                if further is None or following.session:
                    continue
                base = began if following.point == START else began + length
                open_links.append((following, base + further))

    def _gap(self, link: Link) -> int | None:
        """Elapsed minutes that a link asks for, drying as planned; None where it has no time."""
        if link.point in (START, FINISH):
            settle = self.settle.get(self.network.activities[link.pred].key, 0)
            return link.least + (settle if link.point == FINISH else 0)
        coat = self.network.activities[link.pred].coat
        finish = self._times(link.pred)[1]
        if coat is None or finish is None:
            return None
        stage = next(name for name in coat.times if POINT[name] == link.point)
        end = coat.stage_end(stage, finish)
        return None if end >= NEVER else end - finish + link.least


def _to(link: Link) -> Point:
    return "finish" if link.to_finish else "start"
