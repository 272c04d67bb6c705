"""Names in a season: who bears which, and what an `after` means by one.

Jobs, parcels, shots and ways out of an episode share one name space, beside which every step has
its JOB.STEP. Names are taken from the parsed TOML, not from what the schema accepted, so that a
fault in one step does not make all that name it look wrong too.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from episodes.files.faults import Faults
from episodes.files.source import Source
from episodes.files.values import nearest, quoted
from episodes.model.episode import Ref, RefKind
from episodes.problems import Place

RELEASE = "release"
_SHARED: tuple[Literal["job", "parcel", "shot", "fallback"], ...] = (
    "job",
    "parcel",
    "shot",
    "fallback",
)
_MOST_COMPARED = 100_000
"""Names that unknown ones are compared with in one run, a tenth of a second's work each 10,000."""


@dataclass(slots=True)
class EpisodeNames:
    """The names of one episode, each with what bears it; ways out apart: nothing waits for them."""

    id: str
    known: dict[str, Ref] = field(default_factory=dict)
    fallbacks: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.known[RELEASE] = Ref("release", self.id, RELEASE)


def tables(data: Mapping[str, Any], key: str) -> Iterator[tuple[int, dict[str, Any]]]:
    """The tables under `key` that are tables, with their position."""
    listed = data.get(key)
    if isinstance(listed, list):
        for index, table in enumerate(listed):
            if isinstance(table, dict):
                yield index, table


def collect(source: Source, id: str, faults: Faults) -> EpisodeNames:
    """The names of an episode's file; one borne twice is a fault on the second line."""
    names = EpisodeNames(id)
    first: dict[str, Place] = {}
    for place, name, kind in sorted(_borne(source), key=lambda each: each[0].line):
        if name == RELEASE and kind != "step":
            text = f"the id {quoted(name)} is kept for the release itself."
            faults.add("duplicate-id", place, text, "Take another id.", subject=name)
        elif name in first:
            text = f"the id {quoted(name)} is taken on line {first[name].line} already."
            mend = "Jobs, parcels, shots and ways out of an episode share their ids: take another."
            if kind == "step":
                mend = "Steps of a job need ids of their own."
            faults.add("duplicate-id", place, text, mend, subject=name)
        else:
            first[name] = place
            if kind == "fallback":
                names.fallbacks.add(name)
            else:
                names.known[name] = Ref(kind, id, name)
    return names


def _borne(source: Source) -> Iterator[tuple[Place, str, RefKind | Literal["fallback"]]]:
    """Every name of a file: where it stands, as it is asked for, and what bears it."""
    for kind in _SHARED:
        for index, table in tables(source.data, kind):
            name = source.written_id((kind, index))
            yield source.place((kind, index, "id")), name, kind
            if kind == "job":
                for at, _ in tables(table, "step"):
                    path = (kind, index, "step", at)
                    full = f"{name}.{source.written_id(path)}"
                    yield source.place((*path, "id")), full, "step"


class Names:
    """All names of a season, and the search for one of them.

    Attributes:
        unread: ids of episodes whose file could not be read; what they hold is not known, so
            names in them pass.
    """

    def __init__(self) -> None:
        self.episodes: dict[str, EpisodeNames] = {}
        self.unread: set[str] = set()
        self._compared = 0

    def find(
        self,
        name: str,
        *,
        episode: str,
        job: str | None,
        place: Place,
        saying: str,
        faults: Faults,
        subject: str = "",
    ) -> Ref | None:
        """What `name` means in this episode (and job, for the steps of one).

        Args:
            saying: the start of the sentence if there is no such thing: 'step "a" comes after'.

        Returns:
            None when nothing bears it; the fault has been recorded.
        """
        where, colon, inner = name.partition(":")
        if colon:
            if where in self.unread:
                return None
            if where not in self.episodes:
                near = self.nearest(where, list(self.episodes))
                text = f"{saying} {quoted(name)}, and no episode {quoted(where)} is in this season"
                self._unknown(faults, place, text, f"{near}:{inner}" if near else None, subject)
                return None
            names, name, job = self.episodes[where], inner, None
        else:
            names = self.episodes[episode]
        found = names.known.get(f"{job}.{name}") if job else None
        found = found or names.known.get(name)
        if found is not None:
            return found
        shown = quoted(f"{where}:{inner}" if colon else name)
        if name in names.fallbacks:
            text = f"{saying} {shown}, which is a way out: nothing can wait for one."
            faults.add("unknown-name", place, text, subject=subject)
            return None
        text = f"{saying} {shown}, which is not in {'that' if colon else 'this'} episode"
        near = self._nearest_in(names, name, job)
        near = f"{where}:{near}" if near and colon else near
        self._unknown(faults, place, text, near, subject)
        return None

    def _unknown(
        self, faults: Faults, place: Place, text: str, near: str | None, subject: str
    ) -> None:
        text += f"; did you mean {quoted(near)}?" if near else "."
        mend = (
            "Names are JOB.STEP, a job, a parcel, a shot or release;"
            " EPISODE:NAME for those of another episode."
        )
        faults.add("unknown-name", place, text, mend, subject=subject)

    def _nearest_in(self, names: EpisodeNames, name: str, job: str | None) -> str | None:
        if self._compared > _MOST_COMPARED:
            return None
        if job is not None:
            own = [
                step.removeprefix(f"{job}.") for step in names.known if step.startswith(f"{job}.")
            ]
            near = self.nearest(name, own)
            if near:
                return near
        near = self.nearest(name, list(names.known))
        if near is None:
            ends = [known for known in names.known if known.endswith(f".{name}")]
            near = ends[0] if ends else None
        return near

    def nearest(self, name: str, known: list[str]) -> str | None:
        """The nearest name; None once so many have been compared that it would take long."""
        self._compared += len(known)
        return nearest(name, known) if self._compared <= _MOST_COMPARED else None
