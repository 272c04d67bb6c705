"""Whether the plan of an answer obeys every rule, minute by minute.

Nothing is planned here: starts, finishes, sessions and people are the answer's. Each rule is
looked at by itself.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations

from tests.reference.acts import Act, Key
from tests.reference.answer import Fault, Row
from tests.reference.expand import Link, Net, Point
from tests.reference.values import minutes

Spans = list[tuple[int, int]]


class Plan:
    """The plan of an answer beside the net it should obey."""

    def __init__(
        self, net: Net, rows: dict[Key, Row], without: frozenset[str] = frozenset()
    ) -> None:
        # `without`: episodes that have no plan, whose rows promise nothing.
        self.net, self.rows = net, rows
        self.now = net.makers.now
        self.acts = {key: act for key, act in net.acts.items() if key not in net.dropped}
        self.placed = {
            key: act
            for key, act in self.acts.items()
            if key in rows and rows[key].start is not None and rows[key].finish is not None
            if key[0] not in without
        }

    def planned(self, key: Key) -> bool:
        """Whether the plan has decided it: not a fact."""
        return self.placed[key].state == "open"

    def point(self, key: Key, point: Point) -> int:
        base, after = point
        row = self.rows[key]
        if base == "S":
            return int(row.start) + after
        if base == "F":
            return int(row.finish) + after
        coat = self.acts[key].coat
        assert coat is not None
        return coat.over(int(row.finish), base) + after

    # ---- the rules --------------------------------------------------------------------------

    def faults(self) -> Iterator[Fault]:
        for key, act in self.placed.items():
            yield from self._hours(key, act)
            yield from self._bounds(key, act)
        for link in self.net.links:
            if link.first in self.placed and link.then in self.placed:
                yield from self._link(link)
        yield from self._people()
        yield from self._places()
        yield from self._gear()
        yield from self._air()

    def _hours(self, key: Key, act: Act) -> Iterator[Fault]:
        """Worked minutes: all open minutes from start to finish, as many as the length."""
        row, where = self.rows[key], ":".join(key)
        start, finish, sessions = int(row.start), int(row.finish), row.sessions
        if key in self.net.during:
            step = self.rows[self.net.during[key]]
            if (start, finish) != (step.start, step.finish):
                yield Fault("during", where, "start and finish differ from its step's")
            return
        if act.state == "done":
            if sessions:
                yield Fault("sessions", where, "a done row has sessions")
            return
        if act.kind == "wait":
            if act.state == "open" and finish - start != act.length:
                yield Fault("length", where, f"waits {finish - start}, not {act.length}")
            return
        if act.kind == "parcel":
            if act.due is not None and finish != act.due:
                yield Fault("parcel", where, f"usable {finish}, by its facts {act.due}")
            if act.state == "open" and finish != act.arrival(start) + act.settle:
                yield Fault(
                    "parcel",
                    where,
                    f"usable {finish}, by its carrier {act.arrival(start) + act.settle}",
                )
            return
        who = tuple(row.who)
        if who not in [tuple(people) for people in act.candidates]:
            yield Fault("who", where, f"{who} not among {act.candidates}")
            return
        hours = self.net.makers.hours(act, who)
        begin = start if act.state == "open" else (sessions[0][0] if sessions else self.now)
        worked = sum(end - first for first, end in sessions)
        if worked != act.length:
            yield Fault("length", where, f"works {worked} min, not {act.length}")
        if sessions != hours.stretches(begin, finish):
            yield Fault(
                "hours", where, f"sessions {sessions}, open {hours.stretches(begin, finish)}"
            )
        if sessions and (sessions[0][0] != begin or sessions[-1][1] != finish):
            yield Fault("sessions", where, "do not begin at the start and end at the finish")
        if begin < self.now:
            yield Fault("now", where, "works before now")
        if act.one_go and act.state == "open" and len(sessions) != 1:
            yield Fault("one-go", where, f"{len(sessions)} sessions")
        if act.coat is not None and act.state == "open":
            touch = act.coat.over(finish, "touch")
            if not act.coat.allowed(start, touch):
                yield Fault("coat-air", where, "laid in air outside its limits")

    def _bounds(self, key: Key, act: Act) -> Iterator[Fault]:
        if act.state != "open" or key in self.net.during:
            return
        row, where = self.rows[key], ":".join(key)
        automatic = act.kind == "wait" and any(link.why == "tied" for link in self.net.into(key))
        if int(row.start) < act.lower and not automatic:
            yield Fault("bound", where, f"starts {act.lower - int(row.start)} min too early")
        end = int(row.finish) - (act.settle if act.kind == "parcel" else 0)
        if act.upper is not None and end > act.upper:
            yield Fault("not-after", where, f"{end - act.upper} min too late")
        if act.at is not None and row.start != act.at:
            yield Fault("at", where, "does not start at its `at`")

    def _link(self, link: Link) -> Iterator[Fault]:
        """Some alternative of a link holds; links into facts are not checked."""
        then = self.acts[link.then]
        if then.fact and (link.to == "S" or then.state == "done"):
            return
        row = self.rows[link.then]
        moment = int(row.start) if link.to == "S" else int(row.finish)
        if then.state == "started" and link.to == "S":
            return
        for low, high in link.alternatives:
            early = low is not None and moment < self.point(link.first, low)
            late = high is not None and moment > self.point(link.first, high)
            if late and link.why == "coat" and high is not None and low is not None:
                # Scuff first: the recoat time itself has grown past the longest one.
                late = self.point(link.first, low) <= self.point(link.first, high)
            if not early and not late:
                break
        else:
            yield Fault(
                f"link-{link.why}",
                ":".join(link.then),
                f"after {':'.join(link.first)}: {link.alternatives}, missed at {moment}",
            )
        dry = self.rows.get((link.first[0], f"{link.first[1]}.dry"))
        if link.job and dry is not None and dry.finish is not None and moment < dry.finish:
            named = self.net.stages[link.first] & {"cure"}  # "with their drying": to which stage?
            text = f"before {link.first[1]}.dry is over"
            yield Fault("link-job", ":".join(link.then), text, doubt=bool(named))

    def working(self, key: Key) -> Spans:
        """The minutes in which hands are at work."""
        return [] if self.acts[key].kind == "wait" else self.rows[key].sessions

    def _people(self) -> Iterator[Fault]:
        busy: dict[str, list[tuple[int, int, Key]]] = defaultdict(list)
        for key, act in self.placed.items():
            if act.kind in ("hands", "shot"):
                for person in self.rows[key].who:
                    busy[person] += [(start, end, key) for start, end in self.working(key)]
        for person, spans in busy.items():
            for one, two in _clashes(spans):
                if two[2] == self.net.during.get(one[2]) or one[2] == self.net.during.get(two[2]):
                    continue  # a shot that runs with its step, by the same person
                yield Fault("person", person, f"{one[2]} and {two[2]} at {max(one[0], two[0])}")

    def held(self, key: Key) -> tuple[int, int] | None:
        """From start to finish, pauses included; a started thing holds once it goes on."""
        act, row = self.placed[key], self.rows[key]
        if act.state == "done" or act.kind == "parcel":
            return None
        start = int(row.start)
        leader = self.acts[self.net.during.get(key, key)]
        if leader.state == "started" and act.kind != "wait":
            start = row.sessions[0][0] if row.sessions else int(row.finish)
        return start, int(row.finish)

    def dries(self, key: Key) -> tuple[int, int] | None:
        """How long a coat holds its place after its finish: until `handle` or the next step."""
        act = self.placed[key]
        if act.coat is None:
            return None
        finish = int(self.rows[key].finish)
        end = act.coat.over(finish, "handle")
        later = self.net.next_step.get(key)
        if later in self.placed:
            end = max(finish, min(end, int(self.rows[later].start)))
        return finish, end

    def _places(self) -> Iterator[Fault]:
        for space, table in self.net.makers.season["spaces"].items():
            held: list[tuple[int, int, int, Key]] = []
            for key, act in self.placed.items():
                if act.where != space or key in self.net.during:
                    continue
                if (span := self.held(key)) is not None:
                    held.append((*span, -1 if act.alone else 1, key))
                if (span := self.dries(key)) is not None:
                    held.append((*span, 1, key))
            holds = table.get("holds")
            for moment in sorted({start for start, *_ in held}):
                here = [item for item in held if item[0] <= moment < item[1]]
                count = sum(abs(item[2]) for item in here)
                alone = any(item[2] < 0 for item in here)
                if (holds is not None and count > holds) or (alone and count > 1):
                    keys = [item[3][1] for item in here]
                    yield Fault("place", space, f"{keys} at {moment}")

    def _gear(self) -> Iterator[Fault]:
        for gear, count in self.net.makers.season["gear"].items():
            held = [
                (*span, act.gear[gear], key)
                for key, act in self.placed.items()
                if gear in act.gear and (span := self.held(key)) is not None
            ]
            for moment in sorted({start for start, *_ in held}):
                here = [item for item in held if item[0] <= moment < item[1]]
                if sum(item[2] for item in here) > count:
                    keys = [item[3][1] for item in here]
                    yield Fault("gear", gear, f"{keys} at {moment}")

    # ---- air --------------------------------------------------------------------------------

    def _span(self, key: Key, span: tuple[int, int] | None) -> tuple[int, int, Spans]:
        """Start, finish and worked minutes: the plan's, or those of another span."""
        row, act = self.rows[key], self.placed[key]
        if span is None:
            return int(row.start), int(row.finish), self.working(key)
        if act.kind == "wait" or act.state == "done":
            return (*span, [])
        return (*span, self.net.makers.hours(act, tuple(row.who)).stretches(*span))

    def work(self, key: Key, span: tuple[int, int]) -> Spans:
        """The minutes in which hands would be at work in another span."""
        return self._span(key, span)[2]

    def bad_air(self, key: Key, stuff: str, span: tuple[int, int] | None = None) -> Spans:
        """When an act's dust, fumes or noise is in its air, lingering included."""
        act, coat = self.placed[key], self.placed[key].coat
        start, finish, worked = self._span(key, span)
        space = self.net.makers.season["spaces"].get(act.where, {})
        linger = space.get("lingers", {}).get(stuff)
        tail = minutes(linger) if linger and stuff != "noise" else 0
        spans: Spans = []
        if stuff in act.makes or (stuff == "dust" and coat is not None and coat.dusty):
            spans = [(start, finish)] if act.kind == "wait" else list(worked)
            if act.state == "done":
                spans = [(finish, finish)]
        if stuff == "fumes" and coat is not None and coat.fumes:
            begin = start if act.state != "started" else self.now
            spans.append((begin, coat.over(finish, "touch")))
        return [(start, end + tail) for start, end in spans]

    def tender(self, key: Key, need: str, span: tuple[int, int] | None = None) -> Spans:
        """When an act cannot bear dust, fumes or noise."""
        act = self.placed[key]
        start, finish, worked = self._span(key, span)
        spans: Spans = []
        if need in act.needs and act.state != "done":
            spans = [(start, finish)] if act.kind == "wait" else worked
        if need == "still" and act.coat is not None:
            if act.state == "started":
                start = worked[0][0] if worked else finish
            spans = [*spans, (start, act.coat.over(finish, "touch"))]
        return spans

    def same_air(self, one: str | None, two: str | None, stuff: str) -> bool:
        if one is None or two is None:
            return False
        spaces = self.net.makers.season["spaces"]
        key = "hears" if stuff == "noise" else "shares_air_with"
        return one == two or two in spaces[one].get(key, []) or one in spaces[two].get(key, [])

    def _air(self) -> Iterator[Fault]:
        for stuff, need in (("dust", "still"), ("fumes", "fresh"), ("noise", "quiet")):
            makers = {key: spans for key in self.placed if (spans := self.bad_air(key, stuff))}
            needers = {key: spans for key in self.placed if (spans := self.tender(key, need))}
            for maker, bad in makers.items():
                for needer, spans in needers.items():
                    if maker == needer or maker == self.net.during.get(needer):
                        continue
                    if not self.same_air(
                        self.placed[maker].where, self.placed[needer].where, stuff
                    ):
                        continue
                    if self.placed[maker].fact and self.placed[needer].fact:
                        continue
                    if clash := _overlap(bad, spans):
                        yield Fault("air", ":".join(needer), f"{stuff} of {maker} at {clash}")


def _clashes(
    spans: list[tuple[int, int, Key]],
) -> Iterator[tuple[tuple[int, int, Key], tuple[int, int, Key]]]:
    for one, two in combinations(sorted(spans), 2):
        if two[0] < one[1] and one[2] != two[2]:
            yield one, two


def _overlap(one: Spans, two: Spans) -> int | None:
    for first, end in one:
        for begin, over in two:
            if max(first, begin) < min(end, over):
                return max(first, begin)
    return None
