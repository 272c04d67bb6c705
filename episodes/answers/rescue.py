"""Ways out of a slip: which of the host's fallbacks save the release, and until when.

Minimal sets only, cheapest first by (loses, cost, number of changes). Sets are tried in that order;
a set that the dates alone prove too weak is grown until nothing more can be added to it, and only
sets with something from outside it are tried from then on (Reiter, "A theory of diagnosis from
first principles", Artificial Intelligence 32 (1987) 57-95). That holds among fallbacks that can
only help; those that may also hurt (another product, air, place or thing used) are kept apart.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from episodes.answers.changes import at_later, taking
from episodes.answers.check import check
from episodes.answers.odds import on_time
from episodes.answers.planning import QUICK, Planning, plan_season
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, Verdict
from episodes.answers.verdicts import judge
from episodes.model.episode import Episode, Fallback
from episodes.model.season import Season
from episodes.network.dates import compute_dates
from episodes.network.expand import expand
from episodes.problems import PlanError

GIVE_WAY = "give-way"
"""The standing way: a nearer room gives up spare time."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way out. `cost` in the studio's currency, `loses` 0-10; times are UTC minutes.

    Attributes:
        own: offered by the program, not one of the host's fallbacks.
        on_time: share of samples in which the release is met with it, its order kept; None where
            odds were not asked for.
        decide_by: the last moment at which it still works, work before it done as planned.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class RescueAnswer:
    """`proved`: the list is complete: no other minimal set of the fallbacks would do."""

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
    """How many fallbacks the episode has."""

    @property
    def met(self) -> bool:
        return self.verdict != "slips" or bool(self.ways)


def in_need(answer: CheckAnswer) -> str | None:
    """The nearest episode that slips, else the nearest that is not out; None without any."""
    alive = [episode for episode in answer.episodes if episode.verdict != "released"]
    slipping = [episode for episode in alive if episode.verdict == "slips"]
    return (slipping or alive)[0].id if alive else None


def rescue(season: Season, episode: str, *, tests: int = 120, odds: bool = False) -> RescueAnswer:
    """The ways out of one episode's slip.

    Args:
        tests: how many sets may be planned; beyond it the list is not proved complete.
        odds: count for each way how often it would be out in time.

    Raises:
        PlanError: faults that only the network shows.
    """
    base = check(season)
    judged = base.episode(episode)
    written = season.episode(episode)
    ways: tuple[Way, ...] = ()
    proved = True
    if judged.verdict == "slips":
        search = _Search(season, written, base, tests, odds)
        ways, proved = search.run()
    return RescueAnswer(
        episode=episode,
        title=judged.title,
        release=judged.release,
        verdict=judged.verdict,
        proved=proved,
        ways=ways,
        before=judged,
        zone=season.studio.zone,
        currency=season.studio.currency,
        fallbacks=len(written.fallbacks),
    )


class _Search:
    """Tries sets of fallbacks in the order of their price."""

    def __init__(
        self, season: Season, episode: Episode, base: CheckAnswer, tests: int, odds: bool
    ) -> None:
        self.odds = odds
        self.season = season
        self.episode = episode
        self.left = tests
        self.plan = plan_season(season)
        self.met_before = {e.id for e in base.episodes if e.verdict == "meets"}
        self.nearer = [e.id for e in season.episodes[: season.episodes.index(episode)]]

    def run(self) -> tuple[tuple[Way, ...], bool]:
        found: list[tuple[frozenset[str], Way]] = []
        clauses: dict[frozenset[str], list[frozenset[str]]] = {}
        complete = True
        helpful = {way.id for way in self.episode.fallbacks if self._only_helps(way)}
        for ways in self._by_price():
            ids = frozenset(way.id for way in ways)
            if any(known <= ids for known, _ in found):
                continue
            apart = ids - helpful
            if any(not (clause & ids) for clause in clauses.get(apart, ())):
                continue
            if self.left <= 0:
                complete = False
                break
            self.left -= 1
            outcome = self._planned(ways)
            if outcome is not None:
                found.append((ids, self._way(ways, outcome)))
                continue
            if not self._proved_too_weak(ways):
                complete = False
                continue
            grown = self._grow(ids, helpful)
            outside = frozenset(helpful - grown)
            clauses.setdefault(apart, []).append(outside)
        ways_out = [way for _, way in found]
        gives = self._give_way() if not found else None
        if gives is not None:
            ways_out.append(gives)
        ways_out.sort(key=lambda w: (w.loses, w.cost, len(w.fallbacks), w.fallbacks))
        return tuple(ways_out), complete

    def _by_price(self) -> Iterator[tuple[Fallback, ...]]:
        """All sets of fallbacks by (loses, cost, number), then by name."""
        fallbacks = self.episode.fallbacks
        if len(fallbacks) > 14:
            # Sets of all sizes would be too many to put in order; more than four are no way out
            # a host would take.
            sizes = range(1, 5)
        else:
            sizes = range(1, len(fallbacks) + 1)
        sets = [
            some
            for size in sizes
            for some in combinations(fallbacks, size)
            if not _contradict(some)
        ]
        sets.sort(
            key=lambda some: (
                round(sum(way.loses for way in some), 6),
                round(sum(way.cost for way in some), 6),
                len(some),
                tuple(way.id for way in some),
            )
        )
        yield from sets

    def _only_helps(self, way: Fallback) -> bool:
        """Whether taking it beside others can never make anything later."""
        if way.coat or way.air or way.where or way.use or way.drop:
            return False
        steps = {step.id: step for job in self.episode.jobs for step in job.steps}
        for id, hands in way.hands.items():
            before = steps[id].hands
            if before is None or hands.likely > before.likely:
                return False
        network, plan = self.plan.network, self.plan.plan
        for id, new in way.parcel.items():
            index = network.index.get((self.episode.id, id))
            placed = None if index is None else plan.placed[index]
            if placed is None:
                return False
            try:
                other = expand(taking(self.season, self.episode.id, (way,)).season)
            except PlanError:
                return False
            timing = other.activities[other.index[self.episode.id, id]].choices[0].timing
            del new
            if timing.end(self.season.now) > placed.finish:
                return False
        return True

    def _planned(self, ways: Sequence[Fallback], at: Season | None = None) -> Planning | None:
        """The season with these ways taken, where it then meets and no nearer room is spoiled."""
        changed = taking(at or self.season, self.episode.id, ways)
        try:
            planning = plan_season(
                changed.season, effort=QUICK, extra=changed.extra, air=changed.air
            )
        except PlanError:
            return None
        if judge(planning, self.episode.id).verdict == "slips":
            return None
        return None if self._spoils(planning) else planning

    def _spoils(self, planning: Planning) -> bool:
        """Whether a nearer room that met its release does so no more."""
        return any(
            judge(planning, id).verdict == "slips" for id in self.nearer if id in self.met_before
        )

    def _proved_too_weak(self, ways: Sequence[Fallback]) -> bool:
        """Whether links and hours alone say that this set does not save the release."""
        changed = taking(self.season, self.episode.id, ways)
        try:
            network = expand(changed.season, extra=changed.extra, air=changed.air)
        except PlanError:
            return True
        floor = compute_dates(network).floor(network, self.episode.id)
        return floor > self.episode.release

    def _grow(self, ids: frozenset[str], helpful: set[str]) -> frozenset[str]:
        """The set with every helpful fallback added that still leaves it proved too weak."""
        by_id = {way.id: way for way in self.episode.fallbacks}
        grown = set(ids)
        for id in sorted(helpful - ids, key=lambda id: (by_id[id].loses, by_id[id].cost, id)):
            together = [by_id[i] for i in sorted({*grown, id})]
            if not _contradict(together) and self._proved_too_weak(together):
                grown.add(id)
        return frozenset(grown)

    def _way(self, ways: Sequence[Fallback], planning: Planning) -> Way:
        judged = judge(planning, self.episode.id)
        assert judged.ready_by is not None
        assert judged.spare_min is not None
        return Way(
            fallbacks=tuple(way.id for way in ways),
            titles=tuple(way.title for way in ways),
            cost=round(sum(way.cost for way in ways), 2),
            loses=round(sum(way.loses for way in ways), 2),
            ready_by=judged.ready_by,
            spare_min=judged.spare_min,
            decide_by=self._decide_by(ways),
            on_time=self._on_time(planning),
        )

    def _on_time(self, planning: Planning) -> float | None:
        return on_time(planning, self.episode.id) if self.odds else None

    def _decide_by(self, ways: Sequence[Fallback]) -> int:
        """The last minute at which the way still works, work before it done as planned without."""
        now = self.season.now
        good, bad = now, self.episode.release
        while bad - good > 1:
            middle = (good + bad) // 2
            later = at_later(self.plan, middle)
            if self._planned(ways, later) is not None:
                good = middle
            else:
                bad = middle
        return good

    def _give_way(self) -> Way | None:
        """Plan this room first: does it meet, and do the nearer ones still?"""
        if not self.nearer:
            return None
        planning = plan_season(self.season, effort=QUICK, first=self.episode.id)
        judged = judge(planning, self.episode.id)
        if judged.verdict == "slips" or judged.ready_by is None or judged.spare_min is None:
            return None
        if any(
            judge(planning, id).verdict == "slips" for id in self.nearer if id in self.met_before
        ):
            return None
        return Way(
            fallbacks=(GIVE_WAY,),
            titles=("A nearer room gives up spare time",),
            cost=0.0,
            loses=0.0,
            ready_by=judged.ready_by,
            spare_min=judged.spare_min,
            decide_by=self.season.now,
            own=True,
            on_time=self._on_time(planning),
        )


def _contradict(ways: Sequence[Fallback]) -> bool:
    """Whether two of them change the same thing: only one of the two can be taken."""
    changed = [
        key
        for way in ways
        for key in (
            *(("parcel", id) for id in way.parcel),
            *(("hands", id) for id in way.hands),
            *(("coat", id) for id in way.coat),
            *(("where", id) for id in way.where),
            *(("air", id) for id in way.air),
        )
    ]
    return len(changed) != len(set(changed))


def late_ways(season: Season, episode: str, parcel: str, arrives: int) -> RescueAnswer:
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
    return rescue(replace(season, episodes=episodes), episode)
