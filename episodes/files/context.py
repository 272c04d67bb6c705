"""What the readers of an episode lean on: the studio's names, the moment, defaults, faults.

A value may come from the step, its job or `[defaults]`: the nearest wins and replaces. `Layers`
finds it and remembers where it stood, so that a fault is reported on the line that has it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from episodes.amounts import MINUTES_A_DAY
from episodes.calendars.local_time import Zone
from episodes.files import moments
from episodes.files.faults import Faults
from episodes.files.names import Names
from episodes.files.schema import Table
from episodes.files.schema_episode import AfterTable
from episodes.files.source import Source, stand_in
from episodes.files.toml_spans import Path
from episodes.files.values import Moment, quoted
from episodes.model.episode import After, Ref, Who
from episodes.model.studio import Carrier, ReleaseRule
from episodes.problems import Place


@dataclass(frozen=True, slots=True)
class Layer:
    """A table that may give a value, and where it stands.

    Attributes:
        gives: the only keys that it gives on; None for all.
        keeps: keys that it does not give on.
    """

    table: Table
    source: Source
    path: Path
    gives: frozenset[str] | None = None
    keeps: frozenset[str] = frozenset()

    def value(self, key: str) -> Any:
        if key in self.keeps or (self.gives is not None and key not in self.gives):
            return None
        return getattr(self.table, key, None)

    def place(self, key: str, *more: str | int) -> Place:
        return self.source.place((*self.path, key, *more))

    def lacks(self, key: str) -> bool:
        """Neither given nor given wrongly (which has been reported)."""
        return getattr(self.table, key, None) is None and (
            (*self.path, key) not in self.source.broken
        )


@dataclass(frozen=True, slots=True)
class Layers:
    """Tables that may give a value, the nearest first; the first is the thing's own."""

    layers: tuple[Layer, ...]

    @property
    def own(self) -> Layer:
        return self.layers[0]

    def find(self, key: str) -> tuple[Any, Layer | None]:
        """The nearest value of `key` and where it stood; (None, None) if none is given."""
        for layer in self.layers:
            value = layer.value(key)
            if value is not None:
                return value, layer
        return None, None

    def get(self, key: str, default: Any = None) -> Any:
        value = self.find(key)[0]
        return default if value is None else value

    def lacks(self, key: str) -> bool:
        return all(layer.lacks(key) for layer in self.layers)


@dataclass(frozen=True, slots=True)
class Ground:
    """The studio as the episodes stand on it.

    Attributes:
        unread: kinds of thing (`person`, ..) whose list could not be read: any name of one passes.
        spaces: space to what it forbids.
        gear: gear to how many there are.
        first_person: who does what names nobody.
    """

    zone: Zone
    now: int
    unread: frozenset[str]
    rule: ReleaseRule
    people: frozenset[str]
    spaces: dict[str, tuple[str, ...]]
    gear: dict[str, int]
    carriers: dict[str, Carrier | None]
    first_person: str
    defaults: dict[str, Layer]

    def carrier(self, id: str | None) -> Carrier | None:
        return self.carriers.get(id) if id is not None else None


@dataclass(slots=True)
class Context:
    """One episode being read."""

    ground: Ground
    names: Names
    faults: Faults
    source: Source
    id: str
    release: int
    room: str | None
    coated: set[str] = field(default_factory=set)
    """Steps that have a `coat`, also a wrong one."""

    def layer(self, table: Table, path: Path, gives: frozenset[str] | None = None) -> Layer:
        return Layer(table, self.source, path, gives)

    def layers(self, *own: Layer, kind: str, keeps: frozenset[str] = frozenset()) -> Layers:
        """The thing's own tables, then `[defaults.KIND]` but for the keys it `keeps`."""
        default = self.ground.defaults.get(kind)
        if default is None:
            return Layers(own)
        return Layers((*own, replace(default, keeps=keeps)))

    def fault(self, code: str, place: Place, text: str, mend: str = "", subject: str = "") -> None:
        self.faults.add(code, place, text, mend, subject=subject)

    def id_of(self, own: Layer) -> str:
        """The id of a table; without a good one what it has, or a stand-in, and a fault."""
        id = getattr(own.table, "id", None)
        if isinstance(id, str):
            return id
        if own.lacks("id"):
            text = f"{stand_in(own.path)[1:-1]} has no `id`."
            self.fault("missing-key", self.source.place(own.path), text, 'Write id = "..".')
        return self.source.written_id(own.path)

    # ---------------------------------------------------------------- names

    def known(
        self, kind: str, name: str, known: Iterable[str], place: Place, saying: str, subject: str
    ) -> bool:
        """Whether the studio has a person, space, gear or carrier of this name; a fault if not."""
        if name in known or kind in self.ground.unread:
            return True
        if place.file != self.source.name:
            return False  # in [defaults] of studio.toml, where it has been reported once
        names = list(known)
        near = self.names.nearest(name, names)
        text = f"{saying} {quoted(name)}, and studio.toml has no such {kind}"
        text += f"; did you mean {quoted(near)}?" if near else "."
        mend = f"It has {', '.join(sorted(names)[:12])}." if names else f"It has no {kind} at all."
        self.fault("unknown-name", place, text, mend, subject)
        return False

    def who(self, layers: Layers, saying: str, subject: str, *, may_be_empty: bool = False) -> Who:
        """The people of a step or shot; nobody named anywhere is the studio's first person."""
        who: Who
        who, layer = layers.find("who")
        if layer is None:
            return Who((self.ground.first_person,))
        place = layer.place("who")
        if not who.people and not may_be_empty and layer.source is self.source:
            text = f"{saying}: `who` is empty, and hands-on time needs someone."
            mend = "Name them, or leave `who` out for the studio's first person."
            self.fault("nobody", place, text, mend, subject)
        for person in who.people:
            words = f"{saying}: `who` names"
            self.known("person", person, self.ground.people, place, words, subject)
        return who

    def space(self, layers: Layers, saying: str, subject: str, default: str | None) -> str | None:
        where: str
        where, layer = layers.find("where")
        if layer is None:
            return default
        words = f"{saying}: `where` names"
        self.known("space", where, self.ground.spaces, layer.place("where"), words, subject)
        return where

    def gear(self, layers: Layers, saying: str, subject: str) -> tuple[tuple[str, int], ...]:
        gear: tuple[tuple[str, int], ...]
        gear, layer = layers.find("gear")
        if layer is None:
            return ()
        for name, count in gear:
            place = layer.place("gear", name)
            words = f"{saying}: `gear` names"
            if not self.known("gear", name, self.ground.gear, place, words, subject):
                continue
            there = self.ground.gear.get(name, count)
            if count > there and layer.source is self.source:
                text = f"{saying}: needs {count} of {quoted(name)}, and the studio has {there}."
                mend = "Take fewer, or raise `count` in studio.toml."
                self.fault("too-much-gear", place, text, mend, subject)
        return gear

    def after(
        self, layers: Layers, key: str, saying: str, subject: str, job: str | None = None
    ) -> tuple[After, ...] | None:
        """The entries of `after` or `also_after`, names resolved; None where the key is absent."""
        entries, layer = layers.find(key)
        if layer is None:
            return None
        read = []
        for index, entry in enumerate(entries):
            path = (*layer.path, key, index)
            if path not in layer.source.broken:
                after = self._entry(entry, Layer(entry, layer.source, path), saying, subject, job)
                if after is not None:
                    read.append(after)
        return tuple(read)

    def _entry(
        self, entry: AfterTable, layer: Layer, saying: str, subject: str, job: str | None
    ) -> After | None:
        place = layer.source.place(layer.path)
        if entry.step is None:
            if layer.lacks("step"):
                text = f"{saying}: an entry of `after` names nothing."
                self.fault("missing-key", place, text, 'Write { step = "NAME", .. }.', subject)
            return None
        gap, within, or_after = entry.gap, entry.within, entry.or_after
        if or_after is not None and within is None and layer.lacks("within"):
            text = f"{saying}: `or_after` stands without `within`."
            mend = "Give the first side too, or write `gap` for one side alone."
            self.fault("bad-bounds", place, text, mend, subject)
        if or_after is not None and within is not None and or_after <= within:
            text = f"{saying}: `or_after` is no later than `within`, so nothing lies between them."
            self.fault("bad-bounds", place, text, "Leave both out.", subject)
        if gap is not None and within is not None and gap > within:
            text = f"{saying}: `gap` is longer than `within`, so no start is both."
            self.fault("bad-bounds", place, text, "Shorten the one or lengthen the other.", subject)
        target = self.find(entry.step, place, f"{saying} comes after", subject, job)
        if target is None:
            return None
        return After(
            target=target,
            gap=gap,
            within=within,
            or_after=or_after,
            stage=entry.stage,
            from_start=entry.from_ == "start",
            to_finish=entry.to == "finish",
            place=place,
        )

    def before(
        self, layers: Layers, saying: str, subject: str, job: str | None = None
    ) -> tuple[Ref, ...]:
        names, layer = layers.find("before")
        if layer is None:
            return ()
        found = (
            self.find(name, layer.place("before", index), f"{saying} comes before", subject, job)
            for index, name in enumerate(names)
        )
        return tuple(ref for ref in found if ref is not None)

    def find(
        self, name: str, place: Place, saying: str, subject: str, job: str | None = None
    ) -> Ref | None:
        return self.names.find(
            name,
            episode=self.id,
            job=job,
            place=place,
            saying=saying,
            faults=self.faults,
            subject=subject,
        )

    # ---------------------------------------------------------------- moments

    def lower(self, value: Moment | None) -> int | None:
        return None if value is None else moments.lower(self.ground.zone, value, self.release)

    def upper(self, value: Moment | None) -> int | None:
        return None if value is None else moments.upper(self.ground.zone, value, self.release)

    def fact(
        self,
        layers: Layers,
        key: str,
        saying: str,
        subject: str,
        *,
        minute: int = MINUTES_A_DAY,
        of_today_is_now: bool = True,
    ) -> int | None:
        """UTC minute of a fact; a fault where it is still to come."""
        value, layer = layers.find(key)
        if layer is None:
            return None
        return self.moment_of(
            value,
            layer.place(key),
            f"{saying}: `{key}`",
            subject,
            minute=minute,
            of_today_is_now=of_today_is_now,
        )

    def moment_of(
        self,
        value: date | datetime,
        place: Place,
        saying: str,
        subject: str,
        *,
        minute: int,
        of_today_is_now: bool = True,
    ) -> int:
        zone, now = self.ground.zone, self.ground.now
        try:
            return moments.fact(zone, value, now, minute=minute, of_today_is_now=of_today_is_now)
        except ValueError as fault:
            at = zone.local(now).strftime("%Y-%m-%d %H:%M")
            text = f"{saying} {value.isoformat()} {fault} (it is {at})."
            mend = "A fact is written when it has happened."
            self.fault("fact-to-come", place, text, mend, subject)
            return now
