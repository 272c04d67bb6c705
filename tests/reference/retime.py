"""Which steps are critical: one minute is added to each alone and all is timed anew.

Every choice of the plan is kept: who does it, which side of a window, who comes first on each
person, place, gear and air. Where the contract's words allow more than one reading (places that
hold several, an optional step ahead of a required one), every reading is tried, and a flag is
called wrong only where all of them say so.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, product

from tests.reference.acts import Key
from tests.reference.answer import Fault
from tests.reference.dates import Hold, Rule, System
from tests.reference.drying import STAGES
from tests.reference.feasible import Plan
from tests.reference.timing import Span
from tests.reference.values import minutes

Use = tuple[int, int, int, Key]
"""From, to, units, and whose."""


@dataclass(frozen=True)
class Reading:
    """How to read `who comes first`: all pairs or chains of places; whom optional work binds."""

    places: str = "all"
    bound_by_lesser: bool = True
    whole_drying: bool = True
    tails: bool = True


READINGS = [
    Reading(*choice)
    for choice in product(("all", "tight", "loose"), (True, False), (True, False), (True, False))
]


class Retiming:
    """The plan's choices as rules, to be timed anew."""

    def __init__(self, plan: Plan, reading: Reading) -> None:
        self.plan, self.reading = plan, reading
        self.net = plan.net
        self.acts = {key: act for key, act in plan.placed.items() if key not in self.net.during}
        self.rules: list[Rule] = []
        self.holds: list[Hold] = []
        self.woven: set[tuple[Key, Key]] = set()
        self.who = {
            key: tuple(plan.rows[key].who)
            for key, act in self.acts.items()
            if act.kind in ("hands", "shot") and act.state != "done"
        }
        self._links()
        self._people()
        self._capacities()
        self._air()

    # ---- the plan's choices -----------------------------------------------------------------

    def _links(self) -> None:
        for link in self.net.links:
            if link.first not in self.acts or link.then not in self.acts:
                continue
            then = self.acts[link.then]
            if then.fact:
                continue
            row = self.plan.rows[link.then]
            moment = int(row.start) if link.to == "S" else int(row.finish)
            for low, high in link.alternatives:
                early = low is not None and moment < self.plan.point(link.first, low)
                late = high is not None and moment > self.plan.point(link.first, high)
                if not early and (not late or len(link.alternatives) == 1):
                    self.rules.append(Rule(link.first, link.then, link.to, low, high, link.why))
                    break

    def _lesser(self, first: Key, then: Key) -> bool:
        """Whether the earlier one gives way to the later: optional, or of a farther episode."""
        one, two = self.acts[first], self.acts[then]
        episodes = [e["id"] for e in self.net.makers.season["episodes"]]
        rank = [(not act.required, episodes.index(act.episode)) for act in (one, two)]
        return rank[0] > rank[1]

    def _after(self, first: Key, then: Key, rule: Rule) -> None:
        if self.acts[then].fact and self.acts[then].state == "done":
            return
        if self.reading.bound_by_lesser or not self._lesser(first, then):
            self.rules.append(rule)

    def _people(self) -> None:
        users: dict[str, list[Key]] = defaultdict(list)
        for key, act in self.acts.items():
            if act.kind in ("hands", "shot") and act.state != "done":
                mates = [who for shot in act.companions for who in shot["who"]]
                for person in {*self.plan.rows[key].who, *mates}:
                    users[person].append(key)
        for keys in users.values():
            for one, two in combinations(sorted(keys, key=self._begin), 2):
                if int(self.plan.rows[one].finish) <= self._begin(two)[0]:
                    self._after(one, two, Rule(one, two, "S", ("F", 0), None))
                else:
                    self.woven.add((one, two))

    def _begin(self, key: Key) -> tuple[int, int, Key]:
        row = self.plan.rows[key]
        started = self.acts[key].state == "started" and row.sessions
        start = row.sessions[0][0] if started else int(row.start)
        return start, int(row.finish), key

    def _capacities(self) -> None:
        season = self.net.makers.season
        for gear, count in season["gear"].items():
            uses = [
                (*span, min(count, act.gear[gear]), key)
                for key, act in self.acts.items()
                if gear in act.gear and (span := self.plan.held(key)) is not None
            ]
            for key, act in self.acts.items():
                for shot in act.companions:
                    if gear in shot["gear"] and (span := self.plan.held(key)) is not None:
                        uses.append((*span, shot["gear"][gear], key))
            self._order(uses, count, tails=False)
        for space, table in season["spaces"].items():
            here = [key for key, act in self.acts.items() if act.where == space]
            alone = any(self.acts[key].alone for key in here)
            count = table.get("holds")
            if count is None and not alone:
                continue
            limit = count if count is not None else 10**6
            uses = []
            for key in here:
                tail = self.plan.dries(key)
                span = self.plan.held(key)
                units = limit if self.acts[key].alone else 1
                if span is not None:
                    uses.append((span[0], tail[1] if tail else span[1], units, key))
                elif tail is not None:
                    uses.append((*tail, 1, key))
            self._order(uses, limit, tails=True)

    def _order(self, uses: list[Use], count: int, *, tails: bool) -> None:
        """Who comes first on something that holds `count` at once."""
        uses = sorted(use for use in uses if use[0] < use[1])
        if self.reading.places == "all" or count == 1 or count >= 10**6:
            for one, two in combinations(uses, 2):
                if one[1] <= two[0] and (count < 10**6 or count in (one[2], two[2])):
                    self._follow(one[3], two[3], tails=tails)
            return
        free: list[tuple[int, Key | None]] = [(-1, None)] * count
        for start, end, units, key in uses:
            fit = sorted(
                (unit for unit in range(count) if free[unit][0] <= start),
                key=lambda unit: free[unit][0],
                reverse=self.reading.places == "tight",
            )
            for unit in fit[:units]:
                earlier = free[unit][1]
                if earlier is not None and earlier != key:
                    self._follow(earlier, key, tails=tails)
                free[unit] = (end, key)

    def _follow(self, first: Key, then: Key, *, tails: bool) -> None:
        act = self.acts[first]
        if not tails or act.coat is None:
            self._after(first, then, Rule(first, then, "S", ("F", 0), None))
            return
        later = self.net.next_step.get(first)
        if later == then or self.acts[then].fact:
            return
        if not self.reading.bound_by_lesser and self._lesser(first, then):
            return
        watches = (first,) if later not in self.acts else (first, later)

        def bound(spans: dict[Key, Span]) -> int:
            over = self.system.over(first, spans[first][1], "handle")
            if later in spans and (self.reading.tails or self._released_by(first, later)):
                over = min(over, spans[later][0])
            return max(spans[first][1], over)

        self.holds.append(Hold(then, watches, bound))

    def _released_by(self, first: Key, later: Key) -> bool:
        """Whether in the plan the job's next step, not `handle`, gave the place back."""
        coat = self.acts[first].coat
        finish = int(self.plan.rows[first].finish)
        return coat is not None and int(self.plan.rows[later].start) < coat.over(finish, "handle")

    def _lingers(self, space: str | None, stuff: str) -> int:
        """How long a space's air stays bad; of two that share air the words let either count."""
        lingers = self.net.makers.season["spaces"].get(space, {}).get("lingers", {})
        return minutes(lingers[stuff]) if stuff in lingers else 0

    def _air(self) -> None:
        plan = self.plan
        for stuff, need in (("dust", "still"), ("fumes", "fresh"), ("noise", "quiet")):
            for maker, needer in product(self.acts, self.acts):
                one, two = self.acts[maker], self.acts[needer]
                if maker == needer or not plan.same_air(one.where, two.where, stuff):
                    continue
                bad, spans = plan.bad_air(maker, stuff), plan.tender(needer, need)
                if not bad or not spans or (one.state == "done" and two.state == "done"):
                    continue
                tail = max(self._lingers(act.where, stuff) for act in (one, two))
                wet = stuff == "fumes" and one.coat is not None and one.coat.fumes
                if max(end for _, end in bad) <= min(start for start, _ in spans):
                    base = ("touch" if wet else "F", tail)
                    self._after(maker, needer, Rule(maker, needer, "S", base, None))
                elif max(end for _, end in spans) <= min(start for start, _ in bad):
                    base = ("touch" if need == "still" and two.coat is not None else "F", 0)
                    self._after(needer, maker, Rule(needer, maker, "S", base, None))
                else:
                    self.woven.add((maker, needer))

    # ---- timing anew ------------------------------------------------------------------------

    def time(
        self, base: dict[Key, Span] | None = None, more: Key | None = None, *, dry: bool = False
    ) -> dict[Key, Span] | None:
        """All as early as the kept choices allow, with a minute added to one."""
        extra = {more: 1} if more is not None and not dry else {}
        slower = {more: 1} if more is not None and dry else {}
        stages: tuple[str, ...] = STAGES
        if not self.reading.whole_drying and more is not None and dry:
            stages = (last_stage(self.plan, more),)
        self.system = System(
            self.net,
            self.rules,
            who=self.who,
            extra=extra,
            slower=slower,
            slower_stages=stages,
            holds=tuple(self.holds),
            only=set(self.acts),
        )
        floor: dict[Key, int] = {}
        for _ in range(500):
            spans = self.system.early(base, floor)
            if spans is None or (put_off := self._clash(spans)) is None:
                return spans
            floor[put_off[0]] = put_off[1]
        return None

    def _clash(self, spans: dict[Key, Span]) -> tuple[Key, int] | None:
        """One of two woven into each other's pauses that now meet: the later one gives way."""
        for one, two in sorted(self.woven, key=lambda pair: max(map(self._begin, pair))):
            early, late = sorted((one, two), key=self._begin)
            if not self.reading.bound_by_lesser and self._lesser(early, late):
                continue
            for mine, theirs in self._meetings(early, late, spans):
                for start, end in mine:
                    for first, over in theirs:
                        if max(start, first) < min(end, over):
                            return late, max(end, spans[late][0] + 1)
        return None

    def _meetings(
        self, early: Key, late: Key, spans: dict[Key, Span]
    ) -> Iterator[tuple[list[tuple[int, int]], list[tuple[int, int]]]]:
        """What may not overlap between two: their people's minutes, bad air and tender work."""
        plan = self.plan
        people = [
            {*plan.rows[key].who, *(who for s in self.acts[key].companions for who in s["who"])}
            for key in (early, late)
        ]
        if people[0] & people[1]:
            yield plan.work(early, spans[early]), plan.work(late, spans[late])
        for stuff, need in (("dust", "still"), ("fumes", "fresh"), ("noise", "quiet")):
            if plan.same_air(self.acts[early].where, self.acts[late].where, stuff):
                bad = [plan.bad_air(key, stuff, spans[key]) for key in (early, late)]
                soft = [plan.tender(key, need, spans[key]) for key in (early, late)]
                yield bad[0], soft[1]
                yield soft[0], bad[1]

    def ready(self, spans: dict[Key, Span], episode: str) -> int:
        """When all that a release waits for is over."""
        over = []
        for key, span in spans.items():
            act = self.acts[key]
            if key[0] != episode or not act.required:
                continue
            over.append(span[1])
            if act.coat is not None:
                for stage in self.net.stages.get(key) or {"handle"}:
                    over.append(self.system.over(key, span[1], stage))
        return max(over)


def last_stage(plan: Plan, key: Key) -> str:
    """The drying stage at which a coat's row ends."""
    coat = plan.acts[key].coat
    assert coat is not None
    finish = int(plan.rows[key].finish)
    waited = plan.net.stages.get(key) or {"handle"}
    dry = plan.rows.get((key[0], f"{key[1]}.dry"))
    if coat.until is not None and dry is not None:
        # The next coat may come inside the window's first side and wait for no stage at all.
        for stage in ("handle", "touch", "recoat"):
            if coat.over(finish, stage) == dry.finish:
                return stage
    return max(sorted(waited), key=lambda stage: coat.over(finish, stage))


def critical_faults(plan: Plan, ready: dict[str, int | None]) -> Iterator[Fault]:
    """Flags that re-timing contradicts, and plans that are not as early as their choices allow."""
    tries: dict[Reading, tuple[Retiming, dict[Key, Span] | None, dict[str, int]]] = {}

    def begin(reading: Reading) -> None:
        retiming = Retiming(plan, reading)
        base = retiming.time()
        ends = (
            {}
            if base is None
            else {id: retiming.ready(base, id) for id, end in ready.items() if end is not None}
        )
        tries[reading] = (retiming, base, ends)

    def moved(reading: Reading, key: Key, *, dry: bool) -> bool | None:
        if reading not in tries:
            begin(reading)
        retiming, base, ends = tries[reading]
        if base is None or key not in base:
            return None
        old = ends[key[0]]
        if old != ready[key[0]]:
            return None
        spans = retiming.time(base, key, dry=dry)
        # With one minute more the choices may not work at all: what that means is not said.
        return None if spans is None else retiming.ready(spans, key[0]) > old

    plain = READINGS[0]
    begin(plain)
    retiming, base, ends = tries[plain]
    if base is None:
        yield Fault("retime", "plan", "the kept choices cannot be timed anew", doubt=True)
        return
    lost = None in ready.values()  # rows of an episode without a plan may have been in the way
    for episode, end in ready.items():
        if end is not None and not retiming.woven and ends[episode] != end:
            yield Fault(
                "not-early",
                episode,
                f"ready_by {end}, its own choices allow {ends[episode]}",
                doubt=lost,
            )
    for key, span in base.items():
        act, row = plan.acts[key], plan.rows[key]
        if act.state == "open" and span[0] < row.start and not retiming.woven:
            yield Fault("not-early", ":".join(key), f"starts {row.start}, could at {span[0]}", lost)
    for key, act in plan.placed.items():
        if ready.get(key[0]) is None or key in plan.net.during:
            continue
        rows = [(key, False)] if act.state != "done" else []
        dry_row = plan.rows.get((key[0], f"{key[1]}.dry"))
        if act.coat is not None and dry_row is not None and dry_row.state != "done":
            rows.append((key, True))
        for _, dry in rows:
            row = dry_row if dry and dry_row is not None else plan.rows[key]
            if moved(plain, key, dry=dry) == row.critical:
                continue
            said: set[bool | None] = set()
            for reading in READINGS:
                said.add(moved(reading, key, dry=dry))
                if lost or None in said or row.critical in said:
                    break
            where = f"{key[0]}:{row.id}"
            if row.critical in said or None in said or retiming.woven:
                yield Fault("critical", where, f"flag {row.critical}, readings {said}", doubt=True)
            else:
                text = f"flag {row.critical}, re-timing says otherwise"
                yield Fault("critical", where, text, doubt=lost)
