"""Does a release come out in time with some ways taken? Dates are asked first, then a plan.

Only what can touch the room is planned: it and the nearer rooms, which stay as the season has
them where no way reaches them. Farther rooms make way for it, as everywhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from episodes.answers.changes import Changed, at_later, taking
from episodes.answers.planning import Planning, plan_season
from episodes.answers.proof import Patience, meets
from episodes.answers.rescue_helps import may_hurt, more_hours_only_help, relaxes
from episodes.answers.rescue_scope import begun, clash, narrowed
from episodes.answers.rescue_sets import Ids
from episodes.answers.verdicts import judge
from episodes.calendars.openings import Openings, Stretch
from episodes.model.episode import Fallback
from episodes.model.season import Season
from episodes.network.activity import Network
from episodes.network.dates import Dates, compute_dates
from episodes.network.expand import expand
from episodes.network.hours import Hours
from episodes.network.scope import REQUIRED
from episodes.problems import PlanError
from episodes.schedule.group import Effort, Group
from episodes.schedule.plan import Plan
from episodes.schedule.search import make_plan, plan_groups
from episodes.schedule.settle import Settler

THOROUGH = Effort(meets=1)
"""As long as `check` looks for a plan that meets; one is enough."""
QUICK = Effort(meets=1, slips=8, proved=1, patience=4, patience_slips=4)
"""Effort while the last moment to decide is looked for."""

MOST_KEPT = 24
"""Networks kept at hand, a megabyte or more each."""
A_QUESTION = 1.0
"""Effort of the exact search for one set of ways, at most."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """`saved`: True with `planning` at hand, False where proved that no plan does, None open."""

    saved: bool | None
    planning: Planning | None = None


FAILS = Outcome(False)


class Trials:
    """Tries ways out of one episode's slip, singly or together, now or later.

    Attributes:
        base: the season as it stands, planned.
        met_before: nearer episodes that meet their release, and have to go on doing so.
        count: plans made so far.
    """

    def __init__(self, base: Planning, episode: str, patience: Patience | None = None) -> None:
        self.base = base
        self.episode = episode
        self.patience = patience
        self.count = 0
        season = base.season
        at = season.episodes.index(season.episode(episode))
        self.met_before = tuple(
            each.id for each in season.episodes[:at] if judge(base, each.id).verdict == "meets"
        )
        self.season = narrowed(season, episode)
        self.release = season.episode(episode).release
        self._placed = {
            activity.key: placed
            for activity, placed in zip(base.network.activities, base.plan.placed, strict=True)
        }
        self._usual = Hours(season, base.network.start, base.network.end)
        self._more: dict[object, Hours] = {}
        self._kept: dict[Name, tuple[Network, Dates] | None] = {}
        self._weak: dict[Name, bool] = {}

    # -- now -----------------------------------------------------------------------------------

    def network(self, ways: Sequence[Fallback]) -> Network | None:
        """The season's network with these ways taken now; None where that is no season at all."""
        dated = self._dated(ways)
        return None if dated is None else dated[0]

    def _dated(self, ways: Sequence[Fallback]) -> tuple[Network, Dates] | None:
        """The network with its dates. The last few are kept: they are asked for again soon."""
        name = named(ways)
        if name not in self._kept:
            network = self._expanded(taking(self.season, self.episode, ways))
            while len(self._kept) >= MOST_KEPT:
                del self._kept[next(iter(self._kept))]
            self._kept[name] = None if network is None else (network, compute_dates(network))
        return self._kept[name]

    def weak(self, ways: Sequence[Fallback]) -> bool:
        """Whether links, hours and drying alone prove that these ways do not save the release."""
        name = named(ways)
        if name not in self._weak:
            dated = self._dated(ways)
            self._weak[name] = dated is None or self._refuted(*dated)
        return self._weak[name]

    def outcome(self, ways: Sequence[Fallback], *, prove: bool = True) -> Outcome:
        """What becomes of the release with these ways taken now, together."""
        dated = None if self.weak(ways) else self._dated(ways)
        if dated is None:
            return FAILS
        changed = taking(self.season, self.episode, ways)
        return self._settled(changed, *dated, ways, THOROUGH, prove=prove)

    def giving_way(self) -> Outcome:
        """The same with no way taken, the room planned before all nearer ones."""
        dated = self._dated(())
        if dated is None or self.weak(()) or judge(self.base, self.episode).proved:
            return FAILS
        network, dates = dated
        self.count += 1
        plan = make_plan(network, dates, effort=THOROUGH, first=self.episode)
        planning = Planning(self.season, network, dates, plan)
        if self.meets(planning):
            return Outcome(True, planning)
        return self._shown(planning, give_way=True)

    # -- later ---------------------------------------------------------------------------------

    def refuted_at(self, moment: int, ways: Sequence[Fallback]) -> bool:
        """Whether dates alone prove that the ways, taken at a later moment, come too late."""
        network = self._expanded(taking(self._season_at(moment), self.episode, ways))
        return network is None or self._refuted(network, compute_dates(network))

    def outcome_at(
        self, moment: int, ways: Sequence[Fallback], effort: Effort, *, prove: bool = False
    ) -> Outcome:
        """What becomes of the release with the ways taken at a later moment.

        Work before it is done as planned without them, and its orders are placed.
        """
        changed = taking(self._season_at(moment), self.episode, ways)
        network = self._expanded(changed)
        if network is None:
            return FAILS
        dates = compute_dates(network)
        if self._refuted(network, dates):
            return FAILS
        return self._settled(changed, network, dates, ways, effort, prove=prove)

    def giving_way_at(self, moment: int) -> bool:
        """Whether planning the room first from a later moment on still saves it."""
        season = self._season_at(moment)
        network = self._expanded(taking(season, self.episode, ()))
        if network is None:
            return False
        dates = compute_dates(network)
        if self._refuted(network, dates):
            return False
        self.count += 1
        plan = make_plan(network, dates, effort=THOROUGH, first=self.episode)
        return self.meets(Planning(season, network, dates, plan))

    def _season_at(self, moment: int) -> Season:
        if moment == self.season.now:
            return self.season
        return narrowed(at_later(self.base, moment), self.episode)

    # -- which ways only help ------------------------------------------------------------------

    def helping(self, beside: Sequence[Fallback], others: Sequence[Fallback]) -> Ids:
        """Of some ways those that, taken beside the given ones, never make anything later."""
        found: set[str] = set()
        for way in others:
            if may_hurt(way):
                continue
            rest = [other for other in others if other is not way and not clash(way, other)]
            rest = [other for at, other in enumerate(rest) if not any(
                clash(other, each) for each in rest[:at])]  # fmt: skip
            if self._relaxes(beside, way) and self._relaxes((*beside, *rest), way):
                found.add(way.id)
        return frozenset(found)

    def _relaxes(self, beside: Sequence[Fallback], way: Fallback) -> bool:
        before = self.network(beside)
        after = self.network((*beside, way))
        if before is None or after is None:
            return False
        people = {person for person, _ in way.extra}
        for person in people:
            added = Openings(stretch for who, stretch in way.extra if who == person)
            if not more_hours_only_help(before, person, added):
                return False
        if way.parcel or way.hands or way.drop:
            without_hours = replace(way, extra=())
            after = self.network((*beside, without_hours)) if people else after
            return after is not None and relaxes(before, after)
        return True

    # -- one trial -----------------------------------------------------------------------------

    def _expanded(self, changed: Changed) -> Network | None:
        try:
            network = expand(changed.season, hours=self._hours(changed))
        except PlanError:
            return None
        return network

    def _hours(self, changed: Changed) -> Hours:
        if not changed.extra and not changed.air:
            return self._usual
        key = (
            tuple(sorted(changed.extra.items())),
            tuple(sorted(changed.air.items(), key=str)),
            changed.season.now if changed.air else None,
        )
        if key not in self._more:
            self._more[key] = Hours(
                changed.season, self._usual.start, self._usual.end,
                extra=changed.extra, air=changed.air,
            )  # fmt: skip
        return self._more[key]

    def _refuted(self, network: Network, dates: Dates) -> bool:
        return not dates.short and dates.floor(network, self.episode) > self.release

    def _settled(
        self,
        changed: Changed,
        network: Network,
        dates: Dates,
        ways: Sequence[Fallback],
        effort: Effort,
        *,
        prove: bool,
    ) -> Outcome:
        self.count += 1
        if dates.short:
            planning = plan_season(
                changed.season, effort=effort, extra=changed.extra, air=changed.air
            )
        else:
            plan = self._plan(network, dates, ways, changed, effort)
            planning = Planning(changed.season, network, dates, plan)
        if self.meets(planning):
            return Outcome(True, planning)
        judged = judge(planning, self.episode)
        if judged.verdict == "slips" and judged.proved:
            return FAILS
        if not prove:
            return Outcome(None)
        if changed.extra or changed.air:
            # Nearer rooms are planned anew with them: what is proved with their ready moments kept
            # would say nothing of fewer ways. What is proved with their releases alone does.
            if self._shown(planning, give_way=True).saved is False:
                return FAILS
            saved = self._shown(planning, give_way=False)
            return saved if saved.saved else Outcome(None)
        return self._shown(planning, give_way=False)

    def _shown(self, planning: Planning, *, give_way: bool) -> Outcome:
        """What bounds and the exact search say of a plan that slips."""
        patience = self.patience.part(A_QUESTION) if self.patience is not None else None
        keep = self.met_before if give_way else None
        shown = meets(planning, self.episode, patience, give_way=give_way, keep=keep)
        if shown.meets and shown.planning is not None:
            return Outcome(True, shown.planning) if self.meets(shown.planning) else Outcome(None)
        return Outcome(shown.meets)

    def meets(self, planning: Planning) -> bool:
        """Whether the release is met, and every nearer one that was."""
        return judge(planning, self.episode).verdict != "slips" and not any(
            judge(planning, id).verdict == "slips" for id in self.met_before
        )

    def _plan(
        self,
        network: Network,
        dates: Dates,
        ways: Sequence[Fallback],
        changed: Changed,
        effort: Effort,
    ) -> Plan:
        order = network.scope(self.episode).order
        as_before = not changed.extra and not changed.air and not self._touches_facts(ways)

        def settle(group: Group) -> None:
            if group.kind != REQUIRED or group.episode_at > order:
                return
            members = [network.activities[i].key for i in group.members]
            if as_before and all(key[0] != self.episode for key in members):
                placed = [self._placed.get(key) for key in members]
                if None not in placed:
                    group.generator.restore(group.members, placed)
                    return
            Settler(group).settle(effort)

        plan = plan_groups(network, dates, settle)
        appointments = [
            a
            for a in network.activities
            if a.at is not None and a.state == "open" and a.kind != "parcel" and not a.optional
        ]
        if any(plan.placed[a.index] is None for a in appointments):
            return make_plan(network, dates, effort=effort)
        return plan

    def _touches_facts(self, ways: Sequence[Fallback]) -> bool:
        """Whether a way changes what has begun already, so that more or less is taken than was."""
        changed = {id for way in ways for id in (*way.hands, *way.coat, *way.where, *way.who)} | {
            ref.id for way in ways for ref in way.drop if ref.kind == "step"
        }
        return bool(begun(self.season.episode(self.episode)) & changed) or any(
            ref.kind == "job" for way in ways for ref in way.drop
        )


Name = frozenset[tuple[str, tuple[tuple[str, Stretch], ...]]]


def named(ways: Sequence[Fallback]) -> Name:
    """What tells sets of ways apart: their ids, and hours that were cut down to what is needed."""
    return frozenset((way.id, way.extra) for way in ways)
