"""What comes before what: every link of a season, sentence by sentence of the plan format.

A `Link` joins two acts by one or more alternatives `(low, high)`: the later one's start (or
finish) lies at or after `low` and at or before `high`, each counted from a point of the earlier
act: its start `S`, its finish `F`, or a drying stage of a coat. A link with no earlier act cannot
exist here; releases are plain lower bounds.
"""

from collections import defaultdict
from dataclasses import dataclass, field

from tests.reference import values
from tests.reference.acts import Act, Key, Makers
from tests.reference.season import Table

Point = tuple[str, int]
"""A point of the earlier act and minutes after it."""


@dataclass(frozen=True)
class Link:
    first: Key
    then: Key
    alternatives: tuple[tuple[Point | None, Point | None], ...]
    to: str = "S"
    why: str = ""
    job: bool = False
    """Whether it waits for a whole job, with whatever drying its rows have."""


@dataclass
class Net:
    """All acts and links of a season at one moment."""

    makers: Makers
    acts: dict[Key, Act] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    stages: dict[Key, set[str]] = field(default_factory=lambda: defaultdict(set))
    during: dict[Key, Key] = field(default_factory=dict)
    """Shots that run with a step, and that step."""
    dropped: set[Key] = field(default_factory=set)
    needed: set[Key] = field(default_factory=set)
    """Optional acts that something required waits for."""
    next_step: dict[Key, Key] = field(default_factory=dict)
    """The job's next step after a coat."""

    def into(self, key: Key) -> list[Link]:
        return [link for link in self.links if link.then == key]


def expand(season: Table, now: int, products: dict[str, Table]) -> Net:
    net = Net(Makers(season, now, products))
    episodes = [episode for episode in season["episodes"] if not episode["released"]]
    readers = [_Reader(net, season, episode) for episode in episodes]
    for reader in readers:
        reader.collect()
    for act in net.acts.values():
        net.makers.started(act)
    for reader in readers:
        reader.link()
    _scope(net)  # a shot of the room asks what is behind the release
    for reader in readers:
        reader.link_shots()
    _scope(net)
    _tie(net)
    return net


class _Reader:
    """Turns one episode's tables into acts and links."""

    def __init__(self, net: Net, season: Table, episode: Table) -> None:
        self.net, self.season, self.episode = net, season, episode
        self.id = episode["id"]
        self.jobs = {job["id"]: job for job in episode["jobs"]}
        self.parcels = {table["id"]: table for table in episode["parcels"]}
        self.shots = {table["id"]: table for table in episode["shots"]}
        self.befores: dict[str, list[str]] = defaultdict(list)
        self.covers = {
            table["covers"]: table["id"] for table in episode["shots"] if "covers" in table
        }
        self.replaced = {
            table["replaces"]: table["id"] for table in episode["parcels"] if "replaces" in table
        }

    # ---- acts -------------------------------------------------------------------------------

    def collect(self) -> None:
        makers, acts = self.net.makers, self.net.acts
        for table in self.parcels.values():
            if not table.get("fallback_only") and table["id"] not in self.replaced:
                acts[self.id, table["id"]] = makers.parcel(self.episode, table)
        for job in self.jobs.values():
            for index, step in enumerate(job["steps"]):
                if step["fallback_only"]:
                    continue
                act = makers.step(self.episode, job, index)
                if act.state == "dropped":
                    self.net.dropped.add(act.key)
                acts[act.key] = act
        for shot in self.shots.values():
            if shot["fallback_only"] or self._stands_by(shot) or self._gone(shot):
                continue
            act = makers.shot(self.episode, shot)
            if act.state == "dropped":
                self.net.dropped.add(act.key)
            elif shot["when"] == "during":
                step = acts[self.id, shot["of"]]
                if act.state == "open" and step.state in ("open", "started"):
                    step.companions.append(shot)
                    step.length += shot["length"]
                    self.net.during[act.key] = step.key
            acts[act.key] = act

    def _stands_by(self, shot: Table) -> bool:
        """A stand-in takes part only once what it covers is lost."""
        return "covers" in shot and "lost" not in self.shots[shot["covers"]]

    def _gone(self, shot: Table) -> bool:
        """A shot that was lost and can't be taken again, or that another stands in for."""
        return "lost" in shot and (bool(shot.get("once")) or shot["id"] in self.covers)

    # ---- links ------------------------------------------------------------------------------

    def link(self) -> None:
        for job in self.jobs.values():
            for step in job["steps"]:
                for name in step.get("before", []):
                    self.befores[self._full(name, job["id"])].append(f"{job['id']}.{step['id']}")
        for shot in self.shots.values():
            if (self.id, shot["id"]) in self.net.acts:
                for name in shot.get("before", []):
                    self.befores[self._full(name, "")].append(shot["id"])
        for key, act in list(self.net.acts.items()):
            if key[0] != self.id or act.state == "dropped":
                continue
            for link in self._links_into(act, set()):
                self._add(link, key)
        self._coats()

    def _full(self, name: str, job: str) -> str:
        """A name written out: `cut` inside its own job is `bench.cut`."""
        if job and any(step["id"] == name for step in self.jobs[job]["steps"]):
            return f"{job}.{name}"
        return name

    def _entries(self, act: Act) -> list[Table]:
        """What an act waits for, as tables: file order, `after`, `also_after`, `before`, job."""
        if act.kind in ("parcel", "shot"):
            entries = [_entry(item) for item in act.raw.get("after", [])]
            return entries + [_entry(name) for name in self.befores.get(act.key[1], [])]
        job = self.jobs[act.job]
        entries = []
        if "after" in act.raw:
            entries += [_entry(item) for item in act.raw["after"]]
        elif earlier := [s for s in job["steps"][: act.index] if not s["fallback_only"]]:
            entries.append({"step": earlier[-1]["id"]})
        entries += [_entry(item) for item in act.raw.get("also_after", [])]
        entries += [_entry(name) for name in self.befores.get(act.key[1], [])]
        entries += [
            _entry(name)
            for name in self.befores.get(act.job, [])  # a whole job that waits for it
        ]
        inside = {self._full(entry["step"], act.job) for entry in entries}
        if not any(f"{act.job}.{step['id']}" in inside for step in job["steps"]):
            entries += [_entry(item) for item in job.get("after", [])]
        return entries

    def _links_into(self, act: Act, seen: set[Key]) -> list[Link]:
        """Links into an act; those through something dropped come from what was before that."""
        found = []
        for entry in self._entries(act):
            for key, whole in self._targets(entry["step"], act):
                if key == act.key or key in seen:
                    continue
                target = self.net.acts[key]
                if key in self.net.dropped:
                    reader = self if key[0] == self.id else None
                    assert reader is not None, "dropped steps are bridged in their own episode"
                    found += reader._links_into(target, {*seen, act.key})
                else:
                    found.append(self._link(target, act, entry, whole=whole))
        return found

    def _targets(self, name: str, act: Act) -> list[tuple[Key, bool]]:
        """The acts that a name means, and whether it named a whole job."""
        episode, name = name.split(":", 1) if ":" in name else (self.id, name)
        if name == "release":
            release = next(e["release"] for e in self.season["episodes"] if e["id"] == episode)
            act.lower = max(act.lower, release)
            if episode == self.id:
                act.behind = True
            return []
        if episode == self.id and act.job:
            name = self._full(name, act.job)
        name = self.replaced.get(name, name) if episode == self.id else name
        if episode == self.id and name in self.covers and "lost" in self.shots[name]:
            name = self.covers[name]
        steps = [
            key
            for key, other in self.net.acts.items()
            if key[0] == episode and other.job == name and other.job
        ]
        if steps:
            return [(key, True) for key in steps]
        return [((episode, name), False)] if (episode, name) in self.net.acts else []

    def _link(self, first: Act, then: Act, entry: Table, *, whole: bool) -> Link:
        stage = entry.get("stage") or self._stage(first, then, entry, whole=whole)
        base = stage if first.coat and stage else ("S" if entry.get("from") == "start" else "F")
        low: Point = (base, _minutes(entry, "gap") or 0)
        high: Point | None = None
        if (within := _minutes(entry, "within")) is not None:
            high = (base, within)
        alternatives = [(low, high)]
        if (later := _minutes(entry, "or_after")) is not None:
            alternatives.append(((base, max(later, low[1])), None))
        return Link(
            first.key,
            then.key,
            tuple(alternatives),
            to="F" if entry.get("to") == "finish" else "S",
            why="after",
            job=whole,
        )

    def _stage(self, first: Act, then: Act, entry: Table, *, whole: bool) -> str | None:
        """The drying stage that a plain entry waits for."""
        if first.coat is None or entry.keys() & {"gap", "within", "or_after", "from"}:
            return None
        later = self._next_coat(first)
        if whole:
            return "handle"
        if then.kind != "shot" and then.job == first.job and then.key[0] == first.key[0]:
            if then.coat is not None:
                return None
            if later is not None and first.index < then.index < self._last_coat(first).index:
                return "recoat"
        return "handle"

    def _surface(self, first: Act) -> list[Act]:
        """The coats of an act's job and surface, in file order."""
        same = [
            act
            for act in self.net.acts.values()
            if act.key[0] == first.key[0] and act.job == first.job and act.coat is not None
            if act.surface == first.surface and act.state != "dropped"
        ]
        return sorted(same, key=lambda act: act.index)

    def _next_coat(self, first: Act) -> Act | None:
        return next((act for act in self._surface(first) if act.index > first.index), None)

    def _last_coat(self, first: Act) -> Act:
        return self._surface(first)[-1]

    def _coats(self) -> None:
        """Recoat times, longest recoat times and two-sided windows of the coat underneath."""
        for act in [act for act in self.net.acts.values() if act.key[0] == self.id]:
            if act.coat is None or act.state == "dropped":
                continue
            steps = self.jobs[act.job]["steps"]
            for step in steps[act.index + 1 :]:
                key = (self.id, f"{act.job}.{step['id']}")
                if key in self.net.acts and key not in self.net.dropped:
                    self.net.next_step[act.key] = key
                    break
            later = self._next_coat(act)
            if later is None:
                continue
            opened = any(
                step.get("opens_window") and not step["dropped?"] and not step["fallback_only"]
                for step in steps[act.index + 1 : later.index]
            )
            low: Point = ("recoat", 0)
            alternatives: list[tuple[Point | None, Point | None]] = [(low, None)]
            if act.coat.until is not None and not opened:
                alternatives = [(("F", 0), ("F", act.coat.until)), (low, None)]
            elif act.coat.recoat_by is not None and not opened:
                alternatives = [(low, ("F", act.coat.recoat_by))]
            self._add(Link(act.key, later.key, tuple(alternatives), why="coat"), later.key)

    def link_shots(self) -> None:
        for shot in self.shots.values():
            key = (self.id, shot["id"])
            if key not in self.net.acts or key in self.net.dropped or shot["when"] == "during":
                continue
            act = self.net.acts[key]
            for target in self._subject(shot):
                if target.state == "dropped":
                    continue
                if shot["when"] == "before":
                    self._add(_plain(act, target, "F", "before shot"), target.key)
                    continue
                base = "F"
                if target.coat is not None and shot["of"] != target.key[1]:
                    base = "handle"
                self._add(_plain(target, act, base, "after shot"), key)
            if shot["when"] == "after" and shot.get("once"):
                for step in self._later_steps(shot["of"]):
                    self._add(_plain(act, step, "F", "once shot"), step.key)

    def _subject(self, shot: Table) -> list[Act]:
        mine = [act for act in self.net.acts.values() if act.key[0] == self.id and act.job]
        of = shot["of"]
        if of is None:
            room = self.episode["room"]
            return [act for act in mine if act.where == room and act.required]
        return [act for act in mine if of in (act.job, act.key[1])]

    def _later_steps(self, of: str | None) -> list[Act]:
        if of is None or "." not in of:
            return []
        subject = self.net.acts.get((self.id, of))
        return [
            act
            for act in self.net.acts.values()
            if subject is not None
            and act.key[0] == self.id
            and act.job == subject.job
            and act.kind == "hands"
            and act.index > subject.index
            and act.state != "dropped"
        ]

    def _add(self, link: Link, then: Key) -> None:
        """Keep a link, moved to `then` when it was bridged, and note the stages it waits for."""
        earlier, then = (self.net.during.get(key, key) for key in (link.first, then))
        link = Link(earlier, then, link.alternatives, link.to, link.why, link.job)
        if link.first == then:
            return
        first = self.net.acts[link.first]
        if first.coat is not None and len(link.alternatives) == 1:
            # A coat inside the first side of a window waits for no stage.
            for low, _ in link.alternatives:
                if low is not None and low[0] not in "SF":
                    self.net.stages[link.first].add(low[0])
        self.net.links.append(link)


def _entry(item: str | Table) -> Table:
    return {"step": item} if isinstance(item, str) else dict(item)


def _minutes(entry: Table, key: str) -> int | None:
    return values.minutes(entry[key]) if key in entry else None


def _plain(first: Act, then: Act, base: str, why: str) -> Link:
    return Link(first.key, then.key, (((base, 0), None),), why=why)


def _scope(net: Net) -> None:
    """Who is behind the release, and who is required after all."""
    changed = True
    while changed:
        changed = False
        for link in net.links:
            first, then = net.acts[link.first], net.acts[link.then]
            if first.behind and not then.behind and first.key[0] == then.key[0]:
                then.behind = changed = True
            if first.optional and not then.optional and not then.fact:
                first.optional, changed = False, True
                if not first.fact:
                    net.needed.add(first.key)
    for shot, step in net.during.items():
        net.acts[shot].behind = net.acts[step].behind


def _tie(net: Net) -> None:
    """Waits that share gear with the step before them begin in the minute that it is over."""
    for link in list(net.links):
        first, then = net.acts[link.first], net.acts[link.then]
        if tied(net, first, then) and link.why == "after":
            net.links.append(Link(first.key, then.key, ((("F", 0), ("F", 0)),), why="tied"))


def tied(net: Net, first: Act, then: Act) -> bool:
    """A wait with no `after` that names the gear of the hands-on step before it in the file."""
    return (
        then.kind == "wait"
        and "after" not in then.raw
        and first.kind == "hands"
        and first.job == then.job
        and first.key[0] == then.key[0]
        and first.index == then.index - 1
        and bool(first.gear.keys() & then.gear.keys())
    )
