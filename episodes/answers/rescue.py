"""Ways out of a slip: which of the host's fallbacks save the release, and until when.

Minimal sets only, cheapest first by (loses, cost, number of changes). Beside them stands what the
program offers of itself: a nearer room may give way, and what usually helps (`standing`) is tried
and listed apart, without a price, never mixed into the host's own sets.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from episodes.answers.changes import taking
from episodes.answers.check import answer
from episodes.answers.compare import Delay
from episodes.answers.odds import on_time
from episodes.answers.planning import Planning, plan_season
from episodes.answers.proof import Patience, settle
from episodes.answers.rescue_helps import may_hurt
from episodes.answers.rescue_moment import LastMoment, last_moment
from episodes.answers.rescue_scope import clash
from episodes.answers.rescue_sets import Asking, Ids, Price, minimal_sets
from episodes.answers.rescue_trials import QUICK, THOROUGH, Name, Trials, named
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, Verdict
from episodes.answers.standing import Suggestion, suggestions
from episodes.answers.verdicts import judge
from episodes.model.episode import Fallback
from episodes.model.season import Season
from episodes.problems import PlanError
from episodes.trade.exchanges import Offers

GIVE_WAY = "give-way"
"""The standing way: a nearer room gives up spare time."""
EFFORT = 6.0
"""Effort of exact searches in all, unless said otherwise: ten seconds on a slow machine."""
QUESTIONS = 120
"""Sets of fallbacks planned at most; beyond it the list is not proved complete."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way out. `cost` in the studio's currency, `loses` 0-10; times are UTC minutes.

    Attributes:
        own: offered by the program, not one of the host's fallbacks.
        priced: `cost` and `loses` are known; else they are the host's to find out.
        on_time: share of samples in which the release is met with it, its order kept; None where
            odds were not asked for.
        decide_by: the last moment at which it still works, work before it done as planned.
        decide_exact: proved that it does not work a minute later.
        changes: what it changes, to be tried or written down; () for giving way.
        delays: nearer rooms that are ready later for it.
        cautions: what can hurt someone who takes it.
    """

    fallbacks: tuple[str, ...]
    titles: tuple[str, ...]
    cost: float
    loses: float
    ready_by: int
    spare_min: int
    decide_by: int
    own: bool = False
    on_time: float | None = None
    priced: bool = True
    decide_exact: bool = False
    changes: tuple[Fallback, ...] = ()
    delays: tuple[Delay, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RescueAnswer:
    """`proved`: the list is complete: no other minimal set of the host's fallbacks would do.

    Attributes:
        fallbacks: how many fallbacks the episode has.
        suggestions: what the program would try of itself, likeliest kinds first.
        stopped: the clock ended the search before it was through.
    """

    episode: str
    title: str
    release: int
    verdict: Verdict
    proved: bool
    ways: tuple[Way, ...]
    before: EpisodeAnswer
    zone: str
    currency: str
    fallbacks: int
    suggestions: tuple[Way, ...] = ()
    stopped: bool = False

    @property
    def met(self) -> bool:
        """Whether the release is met, or a way out is known that needs nobody's leave."""
        return self.verdict != "slips" or bool(self.ways)


def in_need(answer: CheckAnswer) -> str | None:
    """The nearest episode that slips, else the nearest that is not out; None without any."""
    alive = [episode for episode in answer.episodes if episode.verdict != "released"]
    slipping = [episode for episode in alive if episode.verdict == "slips"]
    return (slipping or alive)[0].id if alive else None


def rescue(
    season: Season,
    episode: str,
    *,
    tests: int = QUESTIONS,
    odds: bool = False,
    offers: Offers | None = None,
    base: Planning | None = None,
    patience: Patience | None = None,
) -> RescueAnswer:
    """The ways out of one episode's slip.

    Args:
        tests: how many sets may be planned; beyond it the list is not proved complete.
        odds: count for each way how often it would be out in time.
        offers: what the trade has, for suggestions; None: no suggestions at all.
        base: the season as planned and settled, where it is at hand.
        patience: for what dates, plans and bounds leave open; by default some seconds. Once it is
            halted, what is known by then is the answer.

    Raises:
        PlanError: faults that only the network shows.
    """
    patience = patience or Patience(EFFORT)
    if base is None:
        base = settle(plan_season(season), patience.part(patience.effort / 3), only=episode)
    judged = answer(base, only=episode).episodes[0]
    written = season.episode(episode)
    found = RescueAnswer(
        episode=episode,
        title=judged.title,
        release=judged.release,
        verdict=judged.verdict,
        proved=True,
        ways=(),
        before=judged,
        zone=season.studio.zone,
        currency=season.studio.currency,
        fallbacks=len(written.fallbacks),
    )
    if judged.verdict != "slips":
        return found
    trials = Trials(base, episode, patience)
    seeker = _Seeker(trials, written.fallbacks, odds=odds)
    ways, proved = seeker.hosts(tests)
    gives = seeker.give_way()
    ways = tuple(sorted((*ways, *gives), key=_price))
    own: tuple[Way, ...] = ()
    if offers is not None:
        own = seeker.own(suggestions(base, judged, offers), mix=not ways)
    return replace(found, ways=ways, proved=proved, suggestions=own, stopped=patience.stopped_early)


def _price(way: Way) -> tuple[float, float, int, tuple[str, ...]]:
    return (way.loses, way.cost, len(way.fallbacks), way.fallbacks)


class _Seeker:
    """Seeks ways out by trials, and tells what each comes to."""

    def __init__(
        self,
        trials: Trials,
        fallbacks: Sequence[Fallback],
        *,
        odds: bool,
    ) -> None:
        self.trials = trials
        self.fallbacks = {way.id: way for way in fallbacks}
        self.odds = odds
        self.base = trials.base
        self.season = trials.base.season
        self.episode = trials.episode
        self._plans: dict[Name, Planning] = {}

    @property
    def stopped(self) -> bool:
        """Whether whoever waits has had enough."""
        return self.trials.patience is not None and self.trials.patience.is_halted

    # -- the host's ----------------------------------------------------------------------------

    def hosts(self, questions: int) -> tuple[tuple[Way, ...], bool]:
        """The minimal sets of the host's fallbacks; whether there are no others."""

        def some(ids: Ids) -> tuple[Fallback, ...]:
            return tuple(way for way in self.fallbacks.values() if way.id in ids)

        ask = Asking(
            saves=lambda ids: self._saves(some(ids)),
            weak=lambda ids: self.trials.weak(some(ids)),
            clash=lambda one, other: clash(self.fallbacks[one], self.fallbacks[other]),
            helps=lambda beside, others: self.trials.helping(some(beside), some(others)),
            stopped=lambda: self.stopped,
        )
        found = minimal_sets(
            {way.id: Price(way.loses, way.cost) for way in self.fallbacks.values()},
            [way.id for way in self.fallbacks.values() if may_hurt(way)],
            ask,
            questions=questions,
        )
        return tuple(self._way(some(ids)) for ids in found.sets), found.complete

    def _saves(self, ways: Sequence[Fallback], *, prove: bool = True) -> bool | None:
        outcome = self.trials.outcome(ways, prove=prove)
        if outcome.planning is not None:
            self._plans[named(ways)] = outcome.planning
        return outcome.saved

    # -- the program's own ---------------------------------------------------------------------

    def give_way(self) -> tuple[Way, ...]:
        """The nearer rooms' spare time, where that is enough and they still meet."""
        if not self.trials.met_before or self.stopped:
            return ()
        outcome = self.trials.giving_way()
        if not outcome.saved or outcome.planning is None:
            return ()
        decide = last_moment(
            lambda moment, _: self.trials.giving_way_at(moment),
            self.season.now,
            self.trials.release,
        )
        way = self._told(outcome.planning, (), decide)
        return (
            replace(
                way,
                fallbacks=(GIVE_WAY,),
                titles=("A nearer room gives up spare time",),
                own=True,
                delays=tuple(self._delays(outcome.planning)),
            ),
        )

    def _delays(self, planning: Planning) -> Iterable[Delay]:
        for id in self.trials.met_before:
            before, after = self.base.plan.ready_by(id), planning.plan.ready_by(id)
            if before is not None and after is not None and after > before:
                yield Delay(
                    episode=id,
                    title=self.season.episode(id).title,
                    minutes=after - before,
                    before=judge(self.base, id).verdict,
                    after=judge(planning, id).verdict,
                )

    def own(self, offered: Sequence[Suggestion], *, mix: bool) -> tuple[Way, ...]:
        """Suggestions that save the release by themselves.

        Where none does, one set of several of them; with `mix`, where that does not either, one
        set of them and the host's fallbacks.
        """
        by_id = {each.way.id: each for each in offered}
        working = [each.way for each in offered if self._works((each.way,))]
        sets = [self._with_fewer_hours(way) for way in working]
        if not working:
            together = _without_clashes([each.way for each in offered])
            if mix and not self._works(together):
                together = _without_clashes([*together, *self.fallbacks.values()])
            if self._works(together):
                sets = [self._fewest(together)]
        return tuple(self._suggested(ways, by_id) for ways in sets)

    def _works(self, ways: Sequence[Fallback]) -> bool:
        return bool(ways) and not self.stopped and self._saves(ways, prove=False) is True

    def _fewest(self, ways: Sequence[Fallback]) -> tuple[Fallback, ...]:
        """Ways that save together, each left out that is not needed; the host's own stay first."""
        kept = list(ways)
        for way in sorted(ways, key=lambda way: way.id in self.fallbacks):
            fewer = [each for each in kept if each is not way]
            if self._works(fewer):
                kept = fewer
        return tuple(kept)

    def _with_fewer_hours(self, way: Fallback) -> tuple[Fallback, ...]:
        """Of hours marked as possible no more than are needed, the last given up first."""
        for at in range(len(way.extra) - 1, -1, -1):
            fewer = replace(way, extra=(*way.extra[:at], *way.extra[at + 1 :]))
            if fewer.extra and self._works((fewer,)):
                way = fewer
        return (way,)

    def _suggested(self, ways: Sequence[Fallback], by_id: dict[str, Suggestion]) -> Way:
        way = self._way(ways)
        cautions = (c.text for each in ways if each.id in by_id for c in by_id[each.id].cautions)
        return replace(way, own=True, priced=False, cautions=tuple(dict.fromkeys(cautions)))

    # -- what a way comes to -------------------------------------------------------------------

    def _way(self, ways: Sequence[Fallback]) -> Way:
        def look(moment: int, thorough: bool) -> bool | None:
            if self.stopped:
                return None
            effort = THOROUGH if thorough else QUICK
            return self.trials.outcome_at(moment, ways, effort, prove=thorough).saved

        planning = self._planned(ways)
        return self._told(planning, ways, last_moment(look, self.season.now, self.trials.release))

    def _planned(self, ways: Sequence[Fallback]) -> Planning:
        """The whole season with the ways taken, as `check` would plan it."""
        changed = taking(self.season, self.episode, ways)
        try:
            whole = plan_season(changed.season, extra=changed.extra, air=changed.air)
        except PlanError:
            return self._plans[named(ways)]
        if self.trials.meets(whole):
            return whole
        return self._plans[named(ways)]

    def _told(self, planning: Planning, ways: Sequence[Fallback], decide: LastMoment) -> Way:
        judged = judge(planning, self.episode)
        assert judged.ready_by is not None
        assert judged.spare_min is not None
        return Way(
            fallbacks=tuple(way.id for way in ways),
            titles=tuple(way.title for way in ways),
            cost=round(sum(way.cost for way in ways), 2),
            loses=round(sum(way.loses for way in ways), 2),
            ready_by=judged.ready_by,
            spare_min=judged.spare_min,
            decide_by=decide.at,
            decide_exact=decide.exact,
            on_time=on_time(planning, self.episode) if self.odds else None,
            changes=tuple(ways),
        )


def _without_clashes(ways: Sequence[Fallback]) -> tuple[Fallback, ...]:
    """Of ways that change the same thing the first."""
    kept: list[Fallback] = []
    for way in ways:
        if not any(clash(way, other) for other in kept):
            kept.append(way)
    return tuple(kept)


def late_ways(
    season: Season, episode: str, parcel: str, arrives: int, *, offers: Offers | None = None
) -> RescueAnswer:
    """The ways out if one parcel is in hand only at `arrives` (UTC minute)."""
    written = season.episode(episode)
    moved = replace(
        written,
        parcels=tuple(
            replace(p, promised=arrives, arrived=None, ordered=p.ordered) if p.id == parcel else p
            for p in written.parcels
        ),
    )
    episodes = tuple(moved if e.id == episode else e for e in season.episodes)
    return rescue(replace(season, episodes=episodes), episode, offers=offers)
