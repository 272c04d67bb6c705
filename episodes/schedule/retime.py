"""A plan re-timed with every choice kept: who, which side of a window, who comes first.

One minute added to one activity, or one arrival moved, is followed through the plan's own links
and queues. That is what `critical` and a first latest arrival mean: nothing is planned anew.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import FINISH, START, Link, Network
from episodes.network.backward import BackwardPass
from episodes.network.circles import on_circles
from episodes.network.dates import ready
from episodes.network.passes import AFTER, SESSION, WITHIN, ForwardPass
from episodes.network.timing import Delivery, Expected, Timing
from episodes.schedule.plan import Plan
from episodes.schedule.queues import queue_links


class Retimer:
    """The plan as a network of its own, at rest; trials are made on copies.

    Attributes:
        base: the forward pass that equals the plan's own starts and finishes.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        network = plan.network
        self.network: Network = network
        links = [*network.links, *queue_links(plan)]
        incoming: list[list[Link]] = [[] for _ in network.activities]
        outgoing: list[list[Link]] = [[] for _ in network.activities]
        for link in links:
            incoming[link.succ].append(link)
            outgoing[link.pred].append(link)
        self.incoming, self.outgoing = incoming, outgoing
        position = {index: at for at, index in enumerate(network.order)}
        order = sorted(
            position,
            key=lambda i: (
                NEVER if (p := plan.placed[i]) is None else p.start,
                NEVER if p is None else p.finish,
                position[i],
            ),
        )
        self.base = ForwardPass(
            network.activities,
            order,
            incoming,
            outgoing,
            timings=[
                [a.choices[0 if (p := plan.placed[a.index]) is None else p.choice].timing]
                for a in network.activities
            ],
            coats=[a.coat for a in network.activities],
            earliest=self._earliest(),
            sides=self._sides(),
        )
        # Some work goes on between sessions of other work: a backward pass is then below the
        # latest, and what it calls critical has to be tried.
        self.has_sessions = any(link.session or link.point >= SESSION for link in links)
        self._reach: dict[str, set[int]] = {}
        self._fixed: Network | None = None
        self._circled: set[int] | None = None

    def _earliest(self) -> list[int]:
        return [
            NEVER
            if self.plan.placed[a.index] is None
            else max(
                a.earliest,
                LONG_AGO if a.at is None else a.at,
                self.plan.kept.get(a.index, LONG_AGO),
            )
            for a in self.network.activities
        ]

    def _sides(self) -> dict[Link, int]:
        sides: dict[Link, int] = {}
        for link in self.network.links:
            pred, succ = self.plan.placed[link.pred], self.plan.placed[link.succ]
            if not link.two_sided or pred is None or succ is None:
                continue
            value = succ.finish if link.to_finish else succ.start
            base = {START: pred.start, FINISH: pred.finish}.get(link.point, pred.finish)
            assert link.most is not None
            sides[link] = WITHIN if value <= base + link.most else AFTER
        return sides

    def differs(self) -> list[int]:
        """Activities whose re-timed start is not the plan's; none, if the plan is sound."""
        found = []
        for activity, placed in zip(self.network.activities, self.plan.placed, strict=True):
            if placed is None or activity.kind == "parcel" or activity.state == "done":
                continue
            if self.base.starts[activity.index] != placed.start:
                found.append(activity.index)
        return found

    def ready_by(self, episode: str, forward: ForwardPass | None = None) -> int:
        """Ready moment of an episode in a pass; NEVER where it has none."""
        return ready(self.network, episode, (forward or self.base).finishes)

    def with_minutes(
        self, index: int, minutes: int, *, drying: bool = False, only: set[int] | None = None
    ) -> ForwardPass:
        """The plan with `minutes` more on one activity (or on its coat's drying) alone.

        Args:
            only: activities to bring up to date; the others are of no interest.
        """
        trial = self.base.copy()
        trial.only = only
        if drying:
            coat = self.network.activities[index].coat
            assert coat is not None
            coats = list(trial.coats)
            coats[index] = coat.longer(minutes)
            trial.coats = coats
            trial.run(
                link.succ
                for link in self.outgoing[index]
                if self._open(link.succ) and (only is None or link.succ in only)
            )
            return trial
        timings = list(trial.timings)
        timings[index] = [timings[index][0].longer(minutes)]
        trial.timings = timings
        trial.run([index])
        return trial

    def with_arrival(
        self, index: int, arrival: int, *, only: set[int] | None = None
    ) -> ForwardPass:
        """The plan with one parcel in hand at `arrival`, earlier or later than planned."""
        timing = self.network.activities[index].choices[0].timing
        assert isinstance(timing, (Delivery, Expected))
        timings = [list(some) for some in self.base.timings]
        timings[index] = [Expected(arrival, timing.settle)]
        if arrival + timing.settle >= self.base.finishes[index]:
            trial = self.base.copy()
            trial.only = only
            trial.timings = timings
            trial.run([index])
            return trial
        # Earlier than planned: starts fall, which only a fresh pass can do.
        return self._fresh(timings)

    def _fresh(self, timings: "list[list[Timing]]") -> ForwardPass:
        base = self.base
        return ForwardPass(
            self.network.activities,
            sorted(range(len(base.place)), key=lambda i: base.place[i]),
            self.incoming,
            self.outgoing,
            timings=timings,
            coats=base.coats,
            earliest=self._earliest(),
            sides=base.sides,
        )

    def _open(self, index: int) -> bool:
        return self.network.activities[index].state != "done"

    def reach(self, episode: str) -> set[int]:
        """Activities whose delay could be felt in the episode's ready moment at all."""
        if episode not in self._reach:
            backwards: dict[int, list[int]] = defaultdict(list)
            for links in self.incoming:
                for link in links:
                    backwards[link.succ].append(link.pred)
                    if link.most is not None:
                        backwards[link.pred].append(link.succ)
            found = set(self.network.scope(episode).required)
            open_ends = list(found)
            while open_ends:
                for other in backwards[open_ends.pop()]:
                    if other not in found:
                        found.add(other)
                        open_ends.append(other)
            self._reach[episode] = found
        return self._reach[episode]

    def felt(self, episode: str) -> set[int]:
        """What can feel one of the episode's activities and is felt in its ready moment."""
        return self.reach(episode) & self._after(episode)

    def _after(self, episode: str) -> set[int]:
        """The episode's activities and all that a change of one of them may move."""
        found = set(self.network.scope(episode).members)
        open_ends = list(found)
        while open_ends:
            index = open_ends.pop()
            others = [link.succ for link in self.outgoing[index]]
            others += [link.pred for link in self.incoming[index] if link.most is not None]
            for other in others:
                if other not in found:
                    found.add(other)
                    open_ends.append(other)
        return found

    def reach_until(self, episode: str) -> set[int]:
        """What can feel one of the episode's activities and is felt in its ready moment, or in a
        nearer one's."""
        order = self.network.scope(episode).order
        found: set[int] = set()
        for scope in self.network.episodes:
            if scope.order <= order and scope.released is None:
                found |= self.reach(scope.id)
        return found & self._after(episode)

    def backward(
        self, until: Mapping[str, int], only: set[int], *, own_bounds: bool = True
    ) -> BackwardPass:
        """Latest finishes with the plan's choices kept, so that each named episode is ready by
        its moment; `own_bounds`: and activities by their own last moments."""
        if self._fixed is None:
            chosen = [
                a
                if len(a.choices) == 1 or (at := self.plan.placed[a.index]) is None
                else replace(a, choices=(a.choices[at.choice],))
                for a in self.network.activities
            ]
            order = sorted(range(len(chosen)), key=lambda i: self.base.place[i])
            self._fixed = replace(
                self.network,
                activities=tuple(chosen),
                order=tuple(order),
                incoming=tuple(tuple(some) for some in self.incoming),
                outgoing=tuple(tuple(some) for some in self.outgoing),
            )
        return BackwardPass(
            self._fixed, self.base.sides, until=until, only=only, own_bounds=own_bounds
        )

    def _in_windows(self) -> set[int]:
        """Activities on a circle of links once upper bounds run backwards: a minute more on one
        of them can come back to it, which one backward pass does not see."""
        if self._circled is None:
            after: list[list[int]] = [[] for _ in self.network.activities]
            for links in self.incoming:
                for link in links:
                    after[link.pred].append(link.succ)
                    if link.most is not None and self.base.upper(link) is not None:
                        # What is done is pushed no more.
                        if self._open(link.pred):
                            after[link.succ].append(link.pred)
            self._circled = on_circles(after)
            for links in self.incoming:
                for link in links:
                    if link.point >= SESSION or link.session:
                        # Sessions shift among openings: not a bound that only ever grows.
                        self._circled |= {link.pred, link.succ}
        return self._circled

    def critical(self, episode: str) -> tuple[set[int], set[int]]:
        """Activities of the episode, and coats whose drying, that move its ready moment by one
        minute more.

        One backward pass from the ready moment tells it of most; those in windows are tried.
        """
        moment = self.ready_by(episode)
        steps: set[int] = set()
        dryings: set[int] = set()
        if moment >= NEVER:
            return steps, dryings
        reach = self.felt(episode)
        latest = self.backward({episode: moment}, reach, own_bounds=False).raw_finish
        circled = self._in_windows()
        scope = self.network.scope(episode)
        required = set(scope.required)
        for index in scope.members:
            activity = self.network.activities[index]
            if index not in reach or self.plan.placed[index] is None:
                continue
            if activity.state != "done":
                longer = self.base.timings[index][0].longer(1)
                start = self.base.starts[index]
                settled = longer.fit(start) == start and index not in circled
                if settled and longer.end(start) <= latest[index]:
                    moves = False
                elif settled and not self.has_sessions:
                    moves = True
                else:
                    trial = self.with_minutes(index, 1, only=reach)
                    moves = self.ready_by(episode, trial) != moment
                if moves:
                    steps.add(index)
            if index in self.network.dries and self._drying_moves(
                episode, index, moment, reach, index in required
            ):
                dryings.add(index)
        return steps, dryings

    def _drying_moves(
        self, episode: str, index: int, moment: int, reach: set[int], required: bool
    ) -> bool:
        """Whether a minute more on a coat's drying moves the episode's ready moment."""
        row = self.network.dries[index]
        coat = self.network.activities[index].coat
        if coat is None:
            return False
        longer = coat.longer(1)
        over = longer.stage_end(row.release_stage, self.base.finishes[index])
        if over <= self.network.now:
            return False  # long dry: a minute on it moves nothing any more
        if required and over > moment:
            return True
        trial = self.with_minutes(index, 1, drying=True, only=reach)
        return self.ready_by(episode, trial) != moment

    def holds_together(self, forward: ForwardPass) -> bool:
        """Whether a trial keeps every last moment that the plan keeps."""
        activities = self.network.activities
        looked_at = range(len(activities)) if forward.only is None else forward.only
        for index in looked_at:
            activity = activities[index]
            if activity.state == "done" or self.plan.placed[activity.index] is None:
                continue
            start, finish = forward.starts[activity.index], forward.finishes[activity.index]
            if finish >= NEVER or (finish > activity.latest_finish and activity.kind != "parcel"):
                return False
            if activity.at is not None and start != activity.at:
                return False
        return not (forward.missed - self.base.missed)
