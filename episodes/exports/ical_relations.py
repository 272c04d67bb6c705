"""How entries of a calendar file belong together: RELATED-TO by RFC 5545 and RFC 9253.

Each entry is the child of its episode's release (RELTYPE=PARENT, RFC 5545 section 3.2.15). The
plan's own links stand in the entry that must come first and name the one that must wait: RFC 9253
section 4, "will be present in the predecessor entity and will refer to the successor entity"; the
elapsed time between them is its GAP (section 6.2).

Work of several sessions is held at both ends: its first session waits, its last is waited for.
A release and an arrival are moments at which a quarter of an hour begins, an order the moment at
which one ends; so a link to or from them counts from that end. What has no entry in the file has
no relation either.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from episodes.answers.precedence import Point, Precedence
from episodes.exports.ical_entries import Entry, Kept, Key, Kind

_WORK: frozenset[Kind] = frozenset(("hands", "shot", "wait", "dry"))
_BEGINS: frozenset[Kind] = frozenset(("release", "arrival"))
_ENDS: frozenset[Kind] = frozenset(("order", "task"))
_TYPES: dict[tuple[Point, Point], str] = {
    ("finish", "start"): "FINISHTOSTART",
    ("finish", "finish"): "FINISHTOFINISH",
    ("start", "start"): "STARTTOSTART",
    ("start", "finish"): "STARTTOFINISH",
}


@dataclass(frozen=True, slots=True, order=True)
class Relation:
    """One RELATED-TO: its RELTYPE, the UID it names, and its GAP in minutes."""

    type: str
    uid: str
    gap: int = 0


def relations(
    placed: Iterable[Entry | Kept], links: Iterable[Precedence], elsewhere: Mapping[Key, Kept]
) -> dict[str, tuple[Relation, ...]]:
    """The relations of each entry by UID, sorted.

    A link that the entries contradict, since facts have overtaken it, is left out.

    Args:
        placed: the entries of the file that still stand.
        links: the plan's, of any episode.
        elsewhere: first sessions of work that the file holds but this answer does not speak of.
    """
    things = _Things(placed)
    found: dict[str, set[Relation]] = {entry.uid: set() for entry in things.every}
    for entry in things.every:
        release = things.by_key.get((entry.of[0], "release"))
        if release and entry.kind != "release":
            found[entry.uid].add(Relation("PARENT", release[0].uid))
        if entry.kind == "dry":
            coat = things.bearer((entry.of[0], entry.of[1].removesuffix(".dry")), "finish")
            if coat is not None and coat.minute <= entry.start:
                found[coat.uid].add(Relation("FINISHTOSTART", entry.uid))
    for link in links:
        bearer = things.bearer(link.earlier, link.from_)
        target = things.target(link.later, link.to)
        if target is None and link.to == "start" and link.later in elsewhere:
            target = _End.of(elsewhere[link.later], "start")
        if bearer is None or target is None or bearer.uid == target.uid:
            continue
        if bearer.minute + link.gap_min <= target.minute:
            type_ = _TYPES[bearer.point, target.point]
            found[bearer.uid].add(Relation(type_, target.uid, link.gap_min))
    return {uid: tuple(sorted(several)) for uid, several in found.items()}


@dataclass(frozen=True, slots=True)
class _End:
    """The end of a link: an entry, which point of it, and when that is."""

    uid: str
    point: Point
    minute: int

    @classmethod
    def of(cls, entry: Entry | Kept, point: Point) -> "_End":
        return cls(entry.uid, point, entry.start if point == "start" else entry.end)


class _Things:
    """The entries by what they stand for, sessions in order."""

    def __init__(self, placed: Iterable[Entry | Kept]) -> None:
        self.every = tuple(placed)
        self.by_key: dict[Key, list[Entry | Kept]] = {}
        for entry in self.every:
            self.by_key.setdefault(entry.of, []).append(entry)
        for entries in self.by_key.values():
            entries.sort(key=lambda entry: entry.number)

    def bearer(self, key: Key, point: Point) -> _End | None:
        """The end of a link from this thing; an order-by is a last moment, no planned order."""
        for entry in self.by_key.get(key, ()):
            if entry.kind in _BEGINS:
                return _End.of(entry, "start")
        return self._work(key, point)

    def target(self, key: Key, point: Point) -> _End | None:
        """The end of a link to this thing."""
        for entry in self.by_key.get(key, ()):
            if entry.kind in _ENDS:
                return _End.of(entry, "finish")
        return self._work(key, point)

    def _work(self, key: Key, point: Point) -> _End | None:
        work = [entry for entry in self.by_key.get(key, ()) if entry.kind in _WORK]
        if not work:
            return None
        return _End.of(work[0] if point == "start" else work[-1], point)
