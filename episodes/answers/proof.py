"""Proofs: what plan and dates leave open is settled by bounds and by search.

A verdict is open where the plan slips and the dates do not say that it must. Then, in this order:
bounds (hours of people, gear and places), the room alone, the room with its nearer ones, until one
of them decides. A thorough look also seeks the earliest ready moment of every room and the last
arrival of every parcel. Without OR-Tools, or with no patience, bounds alone decide.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from episodes.answers.planning import Planning, Proof
from episodes.answers.verdicts import Judgement, judge
from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.network.activity import EpisodeScope
from episodes.schedule.bounds import Bounds
from episodes.schedule.exact.patience import Patience
from episodes.schedule.exact.prover import Found, Prover
from episodes.schedule.improve import improve
from episodes.schedule.plan import Plan

__all__ = ["Patience", "Shown", "meets", "settle"]

QUICK_EFFORT = 4.0
"""What `check` spends on verdicts that are open, in all; about as many seconds."""

IMPROVING = 120
"""Schedules an episode by which a plan is bettered before the exact search goes on from it."""


@dataclass(frozen=True, slots=True)
class Shown:
    """Whether an episode can be out in time.

    Attributes:
        meets: True: `planning` has a plan in hand that does it; False: it is proved that none
            does; None: open.
        floor: no plan is ready sooner, as far as was found (UTC minute; LONG_AGO: nothing known).
    """

    meets: bool | None
    planning: Planning | None = None
    floor: int = LONG_AGO


def settle(
    planning: Planning,
    patience: Patience | None,
    *,
    thorough: bool = False,
    only: str | None = None,
) -> Planning:
    """The season with its open verdicts settled, as far as the patience goes.

    Args:
        patience: None: bounds alone.
        thorough: seek the earliest ready moment of every episode too.
        only: id of the episode that is asked about; farther ones are left as they are.
    """
    for scope in planning.network.episodes:
        planning = _Settler(planning, scope, patience).verdict()
        if scope.id == only:
            break
    if not thorough or patience is None:
        return planning
    plan = improve(
        planning.network,
        planning.dates,
        planning.plan,
        schedules=IMPROVING * len(planning.network.episodes),
        stop=lambda: patience.is_halted,
    )
    if plan is not planning.plan:
        # Proved slips stay proved; what stood in the way of nearer rooms may have changed.
        planning = replace(planning, plan=plan)
    for scope in planning.network.episodes:
        planning = _Settler(planning, scope, patience).earliest()
        if scope.id == only:
            break
    return planning


def meets(
    planning: Planning,
    episode: str,
    patience: Patience | None = None,
    *,
    give_way: bool = False,
    keep: Collection[str] | None = None,
) -> Shown:
    """Whether there is a plan in which an episode is out in time.

    Args:
        patience: None: plan, dates and bounds alone.
        give_way: nearer episodes may use up their spare time; else they are ready as planned.
        keep: ids of nearer episodes that must still meet (`give_way`) or be ready as planned;
            by default all that meet, or all.
    """
    return _Settler(planning, planning.network.scope(episode), patience).shown(give_way, keep)


class _Settler:
    """One episode of a planned season."""

    def __init__(self, planning: Planning, scope: EpisodeScope, patience: Patience | None) -> None:
        self.planning = planning
        self.scope = scope
        self.patience = patience
        self.proof = planning.proofs.get(scope.id, Proof())
        self._prover: Prover | None = None

    # -- what others need ----------------------------------------------------------------------

    @property
    def prover(self) -> Prover:
        if self._prover is None or self._prover.plan is not self.planning.plan:
            self._prover = Prover(self.planning.plan, self.planning.dates)
        return self._prover

    def _nearer(self) -> list[tuple[EpisodeScope, Judgement]]:
        """Nearer episodes that are not out yet, as judged."""
        judged = [
            (other, judge(self.planning, other.id))
            for other in self.planning.network.episodes
            if other.order < self.scope.order and other.released is None
        ]
        return [(other, found) for other, found in judged if found.verdict != "released"]

    def releases(self, keep: Collection[str] | None = None) -> dict[str, int]:
        """Nearer episodes that meet, each by its release."""
        return {
            other.id: other.release
            for other, judged in self._nearer()
            if (judged.verdict == "meets" if keep is None else other.id in keep)
        }

    def moments(self, keep: Collection[str] | None = None) -> dict[str, int]:
        """Nearer episodes, each by its ready moment in the plan."""
        return {
            other.id: judged.ready_by
            for other, judged in self._nearer()
            if judged.ready_by is not None and (keep is None or other.id in keep)
        }

    # -- verdicts ------------------------------------------------------------------------------

    def verdict(self) -> Planning:
        """Settle whether it meets, where plan and dates leave it open."""
        judged = judge(self.planning, self.scope.id)
        if judged.verdict != "slips" or judged.proved or self.planning.dates.hopeless:
            return self.planning
        id, release = self.scope.id, self.scope.release
        alone = {id: release}
        free = {**self.releases(), **alone}
        floor = self._bound(free)
        if floor > release:
            return self._proved(floor)
        patience = self._told(f"{id}: can it be out in time?")
        if patience is None:
            return self._with(replace(self.proof, floor=floor))
        found = self.prover.in_time(alone, patience)
        if found.possible is not False and len(free) > 1:
            found = self.prover.in_time(free, patience)
        if found.possible is False:
            return self._proved(max(floor, release + 1))
        kept = {**self.moments(), **alone}
        if found.plan is not None and _keeps(found.plan, kept):
            return self._adopted(found.plan)
        if kept != free:
            found = self.prover.in_time(kept, patience)
            if found.plan is not None:
                return self._adopted(found.plan)
            if found.possible is False:
                floor = max(floor, release + 1)
        return self._with(replace(self.proof, floor=floor, cut=patience.stopped_early))

    def _bound(self, caps: Mapping[str, int]) -> int:
        """A moment no plan that keeps the caps is ready before, by the hours there are."""
        network, dates = self.planning.network, self.planning.dates
        low = max(dates.floor(network, self.scope.id), self.proof.floor, network.now)
        high = self.planning.plan.ready_by(self.scope.id)
        bounds = Bounds(network, dates)
        others = {id: cap for id, cap in caps.items() if id != self.scope.id}
        members = self.prover.ground.members(caps)
        if not bounds.refutes({**others, self.scope.id: self.scope.release}, members):
            return low
        low = max(low, self.scope.release)
        return bounds.floor(self.scope.id, others, members, low, NEVER if high is None else high)

    def shown(self, give_way: bool, keep: Collection[str] | None) -> Shown:
        """See `meets`."""
        judged = judge(self.planning, self.scope.id)
        id, release = self.scope.id, self.scope.release
        caps = {**(self.releases(keep) if give_way else self.moments(keep)), id: release}
        if judged.verdict != "slips" and _keeps(self.planning.plan, caps):
            return Shown(True, self.planning, judged.ready_floor or LONG_AGO)
        if judged.verdict == "slips" and (judged.proved or self.planning.dates.hopeless):
            return Shown(False, None, judged.ready_floor or NEVER)
        floor = self._bound(caps)
        if floor > release:
            return Shown(False, None, floor)
        patience = self._told(f"{id}: can it be out in time?")
        if patience is None:
            return Shown(None, None, floor)
        found = Found(None)
        if len(caps) > 1:
            found = self.prover.in_time({id: release}, patience)
        if found.possible is not False:
            found = self.prover.in_time(caps, patience)
        if found.plan is not None:
            return Shown(True, replace(self.planning, plan=found.plan, proofs={}), floor)
        return Shown(found.possible, None, floor)

    # -- the earliest ready moment -------------------------------------------------------------

    def earliest(self) -> Planning:
        """Find the earliest ready moment that leaves the nearer ones theirs."""
        judged = judge(self.planning, self.scope.id)
        ready = judged.ready_by
        if judged.verdict == "released" or self.planning.dates.hopeless or ready is None:
            return self.planning
        floor = max(judged.ready_floor or LONG_AGO, self.planning.network.now)
        if floor >= ready:
            return self.planning
        caps = {**self.moments(), self.scope.id: ready}
        bounds = Bounds(self.planning.network, self.planning.dates)
        members = self.prover.ground.members(caps)
        others = {id: cap for id, cap in caps.items() if id != self.scope.id}
        floor = bounds.floor(self.scope.id, others, members, floor, ready)
        patience = self._told(f"{self.scope.id}: how soon can it be ready?")
        if patience is None or floor >= ready:
            return self._with(replace(self.proof, floor=max(self.proof.floor, floor)))
        found = self.prover.soonest(self.scope.id, caps, floor, patience)
        proof = replace(
            self.proof,
            floor=max(self.proof.floor, found.bound if found.possible is not False else ready),
            cut=self.proof.cut or patience.stopped_early,
        )
        if found.plan is not None and merit_of(found.plan, caps) < merit_of(
            self.planning.plan, caps
        ):
            self._adopted(found.plan)
        return self._with(proof)

    # -- ends ----------------------------------------------------------------------------------

    def _told(self, text: str) -> Patience | None:
        """A share of the patience, once whoever waits has been told; None where there is none."""
        patience = self.patience
        if patience is None or patience.left <= 0:
            return None
        patience.say(text)
        return patience.part(patience.left / 2)

    def _proved(self, floor: int) -> Planning:
        return self._with(replace(self.proof, floor=floor, slips=True))

    def _with(self, proof: Proof) -> Planning:
        proofs = {**self.planning.proofs, self.scope.id: proof}
        self.planning = replace(self.planning, proofs=proofs)
        return self.planning

    def _adopted(self, plan: Plan) -> Planning:
        self.planning = replace(self.planning, plan=plan)
        return self.planning


def _keeps(plan: Plan, caps: Mapping[str, int]) -> bool:
    return all(
        (ready := plan.ready_by(id)) is not None and ready <= cap for id, cap in caps.items()
    )


def merit_of(plan: Plan, caps: Mapping[str, int]) -> list[int]:
    """Ready moments of these episodes, in the order of their releases; smaller is better."""
    return [
        NEVER if (ready := plan.ready_by(scope.id)) is None else ready
        for scope in plan.network.episodes
        if scope.id in caps
    ]
