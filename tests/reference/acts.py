"""Activities of a season: what each row of an answer stands for, before any link.

One `Act` a step, shot or parcel; the drying of a coat is no act of its own, since it follows its
coat to the minute. Facts are resolved here; what has to come first is `expand.py`'s.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from tests.reference import values
from tests.reference.carrier import Carrier
from tests.reference.clock import Hours, daylight, weekly
from tests.reference.drying import Air, Coat, coat
from tests.reference.season import Table, instant

Key = tuple[str, str]
"""Episode and row id."""


@dataclass
class Act:
    """A step, shot or parcel.

    `length` is the likely minutes still to do; `candidates` the sets of people one of which does
    it; `lower` bounds the start (of an open one: never before now), `upper` the finish (a
    parcel's arrival); `done`/`begun` are facts; `due` a started or ordered thing's fixed finish.
    """

    key: Key
    kind: str
    raw: Table
    state: str = "open"
    job: str = ""
    index: int = 0
    length: int = 0
    candidates: list[tuple[str, ...]] = field(default_factory=lambda: [()])
    where: str | None = None
    gear: dict[str, int] = field(default_factory=dict)
    alone: bool = False
    one_go: bool = False
    makes: set[str] = field(default_factory=set)
    needs: set[str] = field(default_factory=set)
    light: str | None = None
    coat: Coat | None = None
    surface: str = ""
    optional: bool = False
    lower: int = 0
    upper: int | None = None
    at: int | None = None
    begun: int | None = None
    done: int | None = None
    due: int | None = None
    carrier: Carrier | None = None
    lead: tuple[str, int] = ("elapsed", 0)
    settle: int = 0
    arrived: int | None = None
    companions: list[Table] = field(default_factory=list)
    behind: bool = False

    @property
    def episode(self) -> str:
        return self.key[0]

    @property
    def fact(self) -> bool:
        return self.state in ("started", "done")

    @property
    def required(self) -> bool:
        """Whether its episode's release waits for it."""
        return not self.optional and not self.behind and self.state != "dropped"

    def arrival(self, order: int) -> int:
        """When an order of a parcel is in hand, before settling."""
        unit, lead = self.lead
        if unit == "elapsed" or self.carrier is None:
            return order + lead
        return self.carrier.arrival(order, lead)


class Makers:
    """What acts are made from: the season, its now and the materials table."""

    def __init__(self, season: Table, now: int, products: dict[str, Table]) -> None:
        self.season, self.now, self.products = season, now, products
        self.clock = season["clock"]
        latest = max(episode["release"] for episode in season["episodes"])
        self.first = now - 400 * 1440
        self.last = max(latest, now) + 40 * 7 * 1440
        self._hours: dict[Any, Hours] = {}
        self._air: dict[str | None, Air] = {}

    def air(self, space: str | None) -> Air:
        if space not in self._air:
            self._air[space] = Air(self.clock, self.season["spaces"].get(space))
        return self._air[space]

    def _cached(self, key: Any, build: Any) -> Hours:
        if key not in self._hours:
            self._hours[key] = build()
        return self._hours[key]

    def person(self, id: str) -> Hours:
        table = self.season["people"][id]
        keeps = table.get("keeps_holidays", False)
        return self._cached(
            ("person", id),
            lambda: weekly(
                self.clock,
                self.first,
                self.last,
                table["hours"],
                off=table.get("off", []),
                extra=table.get("extra", []),
                holidays=self.season["holidays"] if keeps else frozenset(),
                busy=self.season["busy"][id],
            ),
        )

    def space(self, id: str, key: str) -> Hours:
        table = self.season["spaces"][id]
        off = table.get("off", []) if key == "hours" else []
        return self._cached(
            (key, id),
            lambda: weekly(self.clock, self.first, self.last, table.get(key), off=off),
        )

    def light(self, light: str) -> Hours:
        place = self.season["studio"].get("place")
        return self._cached(
            ("light", light),
            lambda: daylight(self.clock, self.first, self.last, place, dark=light == "dark"),
        )

    def hours(self, act: Act, people: tuple[str, ...]) -> Hours:
        """The minutes in which an act can be worked by these people (and its companions')."""
        present = {*people, *(who for shot in act.companions for who in shot["who"])}
        key = ("act", tuple(sorted(present)), act.where, act.light, "noise" in act.makes)

        def build() -> Hours:
            parts = [self.person(id) for id in sorted(present)]
            if act.where is not None:
                parts.append(self.space(act.where, "hours"))
                if "noise" in act.makes:
                    parts.append(self.space(act.where, "noise_hours"))
            if act.light is not None:
                parts.append(self.light(act.light))
            hours = parts[0] if parts else weekly(self.clock, self.first, self.last, None)
            for part in parts[1:]:
                hours = hours.both(part)
            return hours

        return self._cached(key, build)

    # ---- acts from tables -------------------------------------------------------------------

    def bound(self, episode: Table, table: Table, key: str, *, up: bool) -> int | None:
        if key not in table:
            return None
        return instant(self.clock, table[key], up=up, release=episode["release"])

    def fact(self, table: Table, key: str) -> int | None:
        """A `done`, `taken` or `started`: a bare date is the end of that day, now at the latest."""
        if key not in table:
            return None
        return min(self.now, instant(self.clock, table[key], up=False))

    def step(self, episode: Table, job: Table, index: int) -> Act:
        step = job["steps"][index]
        act = Act(
            key=(episode["id"], f"{job['id']}.{step['id']}"),
            kind="wait" if step["wait?"] else "hands",
            raw=step,
            job=job["id"],
            index=index,
            surface=step.get("surface", ""),
            alone=step.get("alone", False),
        )
        self._common(episode, act, step)
        if "coat" in step:
            product = self.products.get(step["coat"])
            act.coat = coat(step, product, self.air(act.where))
        if step["dropped?"]:
            act.state = "dropped"
        elif "done" in step and "failed" not in step:
            act.state, act.done = "done", self.fact(step, "done")
            act.begun = self.fact(step, "started")
        elif "started" in step and "failed" not in step:
            act.state, act.begun = "started", self.fact(step, "started")
        return act

    def shot(self, episode: Table, shot: Table) -> Act:
        act = Act(key=(episode["id"], shot["id"]), kind="shot", raw=shot)
        self._common(episode, act, shot)
        if shot["dropped?"]:
            act.state = "dropped"
        elif "taken" in shot and "lost" not in shot:
            act.state, act.done = "done", self.fact(shot, "taken")
        return act

    def _common(self, episode: Table, act: Act, table: Table) -> None:
        act.length, act.where, act.gear = table["length"], table["where"], table["gear"]
        act.one_go, act.light = bool(table["one_go"]), table["light"]
        act.makes, act.needs = set(table["makes"]), set(table["needs_air"])
        act.optional = table["optional"]
        who = table["who"]
        if isinstance(who, dict):
            act.candidates = [(id,) for id in who["any_of"]]
        else:
            act.candidates = [tuple(who)]
        bounds = [self.now, self.bound(episode, table, "not_before", up=True)]
        if act.kind != "wait":
            bounds.append(episode["may_start"])
        act.lower = max(bound for bound in bounds if bound is not None)
        act.upper = self.bound(episode, table, "not_after", up=False)
        act.at = self.bound(episode, table, "at", up=True)

    def started(self, act: Act) -> None:
        """What remains of a started act, once its companions are known."""
        if act.begun is None or act.state != "started":
            return
        act.one_go = False  # it has been begun, and what remains goes on in any open minute
        if act.kind == "wait":
            act.due = act.begun + act.length
        elif "left" in act.raw:
            act.length = values.minutes(act.raw["left"])
        else:
            who = act.candidates[0]
            spent = self.hours(act, who).count(act.begun, self.now)
            act.length = max(act.length - spent, -(-act.length // 4))

    def parcel(self, episode: Table, table: Table) -> Act:
        act = Act(
            key=(episode["id"], table["id"]),
            kind="parcel",
            raw=table,
            carrier=self.season["carriers"].get(table.get("carrier"), self.season["no_carrier"]),
            optional=table.get("optional", False),
            settle=values.minutes(table["settle"]) if "settle" in table else 0,
            lead=values.lead(table["lead"]) if "lead" in table else ("elapsed", 0),
            lower=max(self.now, self.bound(episode, table, "not_before", up=True) or 0),
            upper=self.bound(episode, table, "not_after", up=False),
        )
        if "failed" in table:
            return act
        act.begun = self._ordered(act, table)
        if "arrived" in table:
            act.arrived = min(self.now, self._at_hour(act, table["arrived"]))
            act.due = act.arrived + act.settle
            act.state = "done" if act.due <= self.now else "started"
            act.done = act.due if act.state == "done" else None
        elif act.begun is not None or "promised" in table:
            act.state = "started"
            act.arrived = self._expected(act, table)
            act.due = act.arrived + act.settle
        return act

    def _at_hour(self, act: Act, value: date) -> int:
        if isinstance(value, datetime) or act.carrier is None:
            return instant(self.clock, value, up=True)
        return act.carrier.on(value)

    def _ordered(self, act: Act, table: Table) -> int | None:
        """The minute of an order; a bare date counts as before the cut-off."""
        value = table.get("ordered")
        if value is None or isinstance(value, datetime):
            return None if value is None else instant(self.clock, value, up=True)
        cutoff = act.carrier.cutoff if act.carrier is not None else 1440
        return int(self.clock.at(value, min(cutoff, 1439)))

    def _expected(self, act: Act, table: Table) -> int:
        """The promise, else order and lead; when past, the next of the carrier's days."""
        if "promised" in table:
            expected = self._at_hour(act, table["promised"])
        else:
            assert act.begun is not None
            expected = act.arrival(act.begun)
        if expected < self.now and act.carrier is not None:
            return act.carrier.next_arrival(self.now)
        return expected
