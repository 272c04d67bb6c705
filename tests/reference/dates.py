"""Early and late dates by their definition, by repeating every rule until nothing moves.

Early dates are the least spans that obey every link and bound, late ones the greatest that still
meet the releases. A link with two sides is tried on each: a date is the best over all the choices
that work. Where one of several people may do a step, each date takes whoever is best for it.
"""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import product

from tests.reference.acts import Act, Key
from tests.reference.drying import STAGES
from tests.reference.expand import Link, Net, Point
from tests.reference.timing import Span, Timing

NEVER = 10**11


@dataclass(frozen=True)
class Rule:
    """One alternative of a link."""

    first: Key
    then: Key
    to: str
    low: Point | None
    high: Point | None
    why: str = ""


@dataclass(frozen=True)
class Hold:
    """A bound on an act's start that more than one act decides: a place kept until the next step.

    `bound` takes the spans of all acts; `watches` are those that move it.
    """

    then: Key
    watches: tuple[Key, ...]
    bound: Callable[[dict[Key, tuple[int, int]]], int]


@dataclass
class Windows:
    """Links with more than one side: every choice of sides."""

    fixed: list[Rule]
    either: list[list[Rule]] = field(default_factory=list)

    def choices(self, limit: int = 256) -> list[list[Rule]] | None:
        count = 1
        for sides in self.either:
            count *= len(sides)
        if count > limit:
            return None
        return [self.fixed + list(sides) for sides in product(*self.either)]


def rules(net: Net, links: list[Link]) -> Windows:
    """Links as rules; those into facts are not checked."""
    found = Windows([])
    for link in links:
        if net.acts[link.then].fact and link.to == "S":
            continue
        sides = [
            Rule(link.first, link.then, link.to, low, high, link.why)
            for low, high in link.alternatives
        ]
        if len(sides) == 1:
            found.fixed += sides
        else:
            found.either.append(sides)
    return found


class System:
    """Acts with their people, rules between them, and one more minute where one is asked for.

    `who` fixes people (all candidates where it is missing), `extra` adds minutes to an act's own
    length, `slower` to every drying stage of a coat.
    """

    def __init__(
        self,
        net: Net,
        found: list[Rule],
        *,
        who: dict[Key, tuple[str, ...]] | None = None,
        extra: dict[Key, int] | None = None,
        slower: dict[Key, int] | None = None,
        slower_stages: tuple[str, ...] = STAGES,
        holds: tuple[Hold, ...] = (),
        only: set[Key] | None = None,
    ) -> None:
        self.impossible: set[Key] = set()
        self.other_finish: dict[Key, int] = {}
        self.net, self.slower, self.slower_stages = net, slower or {}, slower_stages
        self.rules = found
        self.acts = {
            key: act
            for key, act in net.acts.items()
            if key not in net.dropped and key not in net.during and (only is None or key in only)
        }
        self.timings = {
            key: [
                Timing(net, act, people, (extra or {}).get(key, 0))
                for people in ([who[key]] if who and key in who else act.candidates)
            ]
            for key, act in self.acts.items()
        }
        self.out: dict[Key, list[Rule]] = {key: [] for key in self.acts}
        self.into: dict[Key, list[Rule]] = {key: [] for key in self.acts}
        for rule in found:
            self.out[rule.first].append(rule)
            self.into[rule.then].append(rule)
        self.watched: dict[Key, list[Hold]] = {key: [] for key in self.acts}
        for hold in holds:
            for key in hold.watches:
                self.watched[key].append(hold)

    def point(self, key: Key, span: Span, point: Point) -> int:
        """The instant that a link counts from."""
        base, after = point
        if base == "S":
            return span[0] + after
        if base == "F":
            return span[1] + after
        return self.over(key, span[1], base) + after

    def over(self, key: Key, finish: int, stage: str) -> int:
        coat = self.acts[key].coat
        assert coat is not None
        slower = self.slower.get(key, 0) if stage in self.slower_stages else 0
        return coat.over(finish, stage) + slower

    # ---- early ------------------------------------------------------------------------------

    def early(
        self, base: dict[Key, Span] | None = None, floor: dict[Key, int] | None = None
    ) -> dict[Key, Span] | None:
        """The least spans, or None where nothing obeys every rule.

        `base` gives spans known not to be later, `floor` further bounds on starts.
        """
        starts = {key: act.lower for key, act in self.acts.items()}
        for key, span in (base or {}).items():
            starts[key] = max(starts[key], span[0])
        for key, minute in (floor or {}).items():
            starts[key] = max(starts[key], minute)
        finishes = dict.fromkeys(self.acts, 0)
        spans: dict[Key, Span] = {}
        for key in self.acts:
            first = self._first(key, starts[key], finishes[key])
            if first is None:
                return None
            spans[key] = first
        waiting = deque(self.acts)
        queued = set(waiting)
        while waiting:
            key = waiting.popleft()
            queued.discard(key)
            moved: set[Key] = set()
            for rule in self.out[key] + self.into[key]:
                if not self._push(rule, spans, starts, finishes, moved):
                    return None
            for hold in self.watched[key]:
                bound = hold.bound(spans)
                if spans[hold.then][0] < bound:
                    starts[hold.then] = max(starts[hold.then], bound)
                    moved.add(hold.then)
            for other in moved:
                first = self._first(other, starts[other], finishes[other])
                if first is None:
                    return None
                spans[other] = first
                if other not in queued:
                    waiting.append(other)
                    queued.add(other)
        return spans

    def _first(self, key: Key, start: int, finish: int) -> Span | None:
        found = [timing.first(start, finish) for timing in self.timings[key]]
        spans = [span for span in found if span is not None]
        if not spans:
            return None
        return min(span[0] for span in spans), min(span[1] for span in spans)

    def _push(
        self,
        rule: Rule,
        spans: dict[Key, Span],
        starts: dict[Key, int],
        finishes: dict[Key, int],
        moved: set[Key],
    ) -> bool:
        """Move what a rule says is too early; False where a fact stands in the way."""
        first, then = spans[rule.first], spans[rule.then]
        if rule.low is not None:
            bound = self.point(rule.first, first, rule.low)
            if rule.to == "S" and then[0] < bound:
                starts[rule.then] = max(starts[rule.then], bound)
                moved.add(rule.then)
            elif rule.to == "F" and then[1] < bound:
                finishes[rule.then] = max(finishes[rule.then], bound)
                moved.add(rule.then)
        if rule.high is not None and not self._scuff_first(rule, first[1]):
            end = then[0] if rule.to == "S" else then[1]
            if end > self.point(rule.first, first, rule.high):
                base, after = rule.high
                wanted = end - after
                if base == "S":
                    starts[rule.first] = max(starts[rule.first], wanted)
                elif base == "F":
                    finishes[rule.first] = max(finishes[rule.first], wanted)
                else:
                    return False
                moved.add(rule.first)
        return True

    def _scuff_first(self, rule: Rule, finish: int) -> bool:
        """A recoat time that has grown past the longest one: scuff first, no limit."""
        if rule.why != "coat" or rule.high is None or rule.low != ("recoat", 0):
            return False
        return self.over(rule.first, finish, "recoat") > finish + rule.high[1]

    # ---- late -------------------------------------------------------------------------------

    def late(self, releases: dict[str, int]) -> dict[Key, Span | None]:
        """The greatest spans that meet the releases, each with the finish its start gives.

        None where nothing bounds an act. Early bounds are not looked at: where they pass the
        late date, slack is negative.
        """
        start_by = dict.fromkeys(self.acts, NEVER)
        finish_by = dict.fromkeys(self.acts, NEVER)
        stage_by: dict[Key, dict[str, int]] = {key: {} for key in self.acts}
        spans: dict[Key, Span | None] = {}
        for key, act in self.acts.items():
            if act.required and act.episode in releases:
                finish_by[key] = releases[act.episode]
                if act.coat is not None:
                    for stage in self.net.stages.get(key) or {"handle"}:
                        stage_by[key][stage] = releases[act.episode]
        waiting, queued = deque(self.acts), set(self.acts)
        while waiting:
            key = waiting.popleft()
            queued.discard(key)
            span = self._last(key, start_by[key], finish_by[key], stage_by[key])
            if key in spans and spans[key] == span:
                continue
            spans[key] = span
            if span is None:
                continue
            for rule in self.into[key]:
                if self._pull(rule, span, start_by, finish_by, stage_by):
                    other = rule.first
                    if other not in queued:
                        waiting.append(other)
                        queued.add(other)
            for rule in self.out[key]:
                if rule.high is None or self._scuff_first(rule, span[1]):
                    continue
                bound = self.point(key, span, rule.high)
                table = start_by if rule.to == "S" else finish_by
                if bound < table[rule.then]:
                    table[rule.then] = bound
                    if rule.then not in queued:
                        waiting.append(rule.then)
                        queued.add(rule.then)
        self.raw_finish = finish_by
        self.impossible = self._hopeless(spans, start_by, finish_by)
        return spans

    def _hopeless(
        self,
        spans: dict[Key, Span | None],
        start_by: dict[Key, int],
        finish_by: dict[Key, int],
    ) -> set[Key]:
        """Acts that fit nowhere in time, and what comes before them: they have no late dates."""
        waiting = [
            key
            for key, span in spans.items()
            if span is None
            and self.acts[key].state != "done"
            and min(start_by[key], finish_by[key]) < NEVER
        ]
        found = set(waiting)
        while waiting:
            for rule in self.into[waiting.pop()]:
                if rule.first not in found:
                    found.add(rule.first)
                    waiting.append(rule.first)
        return found

    def _pull(
        self,
        rule: Rule,
        span: Span,
        start_by: dict[Key, int],
        finish_by: dict[Key, int],
        stage_by: dict[Key, dict[str, int]],
    ) -> bool:
        """Bound the earlier act of a rule by the latest span of the later one."""
        if rule.low is None:
            return False
        base, after = rule.low
        end = self.other_finish.get(rule.then, span[1])
        bound = (span[0] if rule.to == "S" else end) - after
        table = stage_by[rule.first] if base not in "SF" else None
        if table is not None:
            old = table.get(base, NEVER)
            table[base] = min(old, bound)
        else:
            bounds = start_by if base == "S" else finish_by
            old = bounds[rule.first]
            bounds[rule.first] = min(old, bound)
        return bound < old

    def _last(self, key: Key, start_by: int, finish_by: int, stages: dict[str, int]) -> Span | None:
        act: Act = self.acts[key]
        if act.state == "done":
            return self.timings[key][0].settled()  # what must come soon after it is bounded by it
        if min(start_by, finish_by, *stages.values(), act.upper or NEVER) >= NEVER:
            return None
        stages = {stage: by - self.slower.get(key, 0) for stage, by in stages.items() if by < NEVER}
        far = 60 * 24 * 365 * 300
        found = [
            timing.last(min(start_by, far), min(finish_by, far), stages)
            for timing in self.timings[key]
        ]
        spans = [span for span in found if span is not None]
        if not spans:
            return None
        latest = max(span[0] for span in spans)
        # The finish that this start gives, or the latest finish of any: the words allow both.
        self.other_finish[key] = max(span[1] for span in spans)
        return latest, max(span[1] for span in spans if span[0] == latest)


@dataclass
class Dates:
    """The best dates over every choice of sides; `feasible` where some choice meets all."""

    early: dict[Key, Span] | None
    late: dict[Key, Span | None]
    raw_finish: dict[Key, int]
    feasible: bool
    other_finish: dict[Key, int] = field(default_factory=dict)
    """The latest finish by any candidate, where it is not that of the latest start."""
    impossible: set[Key] = field(default_factory=set)
    """Acts with no late date at all: they, or what waits for them, fit nowhere in time."""


def dates(net: Net, releases: dict[str, int]) -> Dates | None:
    """Early and late dates, or None where there are too many windows to try every side."""
    choices = rules(net, net.links).choices()
    if choices is None:
        return None
    early: dict[Key, Span] | None = None
    late: dict[Key, Span | None] = {}
    raw: dict[Key, int] = {}
    other: dict[Key, int] = {}
    met: list[tuple[dict[Key, Span | None], System]] = []
    missed: list[tuple[dict[Key, Span | None], System]] = []
    for choice in choices:
        system = System(net, choice)
        low = system.early()
        high = system.late(releases)
        if low is not None:
            early = low if early is None else _least(early, low)
        fits = low is not None and all(
            low[key][1] <= system.raw_finish[key]
            if net.acts[key].due is not None
            else span is None or (span[0] >= low[key][0] and span[1] >= low[key][1])
            for key, span in high.items()
        )
        (met if fits else missed).append((high, system))
    impossible = set((met or missed)[0][1].impossible)
    for high, system in met or missed:
        impossible &= system.impossible
        for key, span in high.items():
            if key not in late or (span is not None and (late[key] or (-NEVER, 0)) < span):
                late[key] = span
            raw[key] = max(raw.get(key, -NEVER), system.raw_finish[key])
            if key in system.other_finish:
                other[key] = max(other.get(key, -NEVER), system.other_finish[key])
    return Dates(early, late, raw, bool(met), other, impossible)


def _least(one: dict[Key, Span], two: dict[Key, Span]) -> dict[Key, Span]:
    return {key: (min(one[key][0], two[key][0]), min(one[key][1], two[key][1])) for key in one}
