"""The files of a season: which there are, which is which, and what each says.

An episode's file is `YYYY-MM-slug.toml`, an idea's `ideas/slug.toml`; their stem is their id.
What looks like a plan and is not named like one is pointed out rather than passed over.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from episodes.files.faults import Faults
from episodes.files.names import Names, collect
from episodes.files.schema_check import check_episode
from episodes.files.schema_episode import EpisodeTable
from episodes.files.source import Source, load
from episodes.files.values import quoted
from episodes.problems import Place, PlanError, Problem

STUDIO = "studio.toml"
IDEAS = "ideas"
MOST_FILES = 500
MOST_STEPS = 5_000
MOST_OTHERS = 2_000
"""Parcels, shots or ways out of an episode."""

EPISODE_NAME = re.compile(r"(\d{4}-(?:0[1-9]|1[0-2]))-[a-z0-9][a-z0-9-]*", re.ASCII)
_IDEA_NAME = re.compile(r"[a-z0-9][a-z0-9-]*", re.ASCII)


@dataclass(frozen=True, slots=True)
class PlanFile:
    """An episode's or idea's file that is TOML, checked against the schema.

    Attributes:
        faults: where its faults go; an idea has a list of its own.
    """

    id: str
    idea: bool
    source: Source
    table: EpisodeTable
    faults: Faults


@dataclass(slots=True)
class Folder:
    """A season's folder.

    Attributes:
        named: id of the episode whose file the user named.
        texts: by absolute path, what to take for a file instead of what is on the disk.
        idea_faults: the faults of each idea.
    """

    path: Path
    named: str | None = None
    texts: dict[Path, str] = field(default_factory=dict)
    idea_faults: list[Faults] = field(default_factory=list)

    @classmethod
    def of(cls, path: Path, overrides: Mapping[Path, str] | None = None) -> "Folder":
        """The season's folder at `path`, or around an episode's file.

        Raises:
            PlanError: nothing there, or a file that is no plan.
        """
        texts = {file.absolute(): text for file, text in (overrides or {}).items()}
        try:
            if path.is_dir():
                return cls(path, None, texts)
            is_there = path.absolute() in texts or path.exists()
        except (OSError, ValueError):  # too long, or with a NUL in it
            is_there = False
        if is_there and path.suffix == ".toml":
            if path.name == STUDIO:
                return cls(path.parent, None, texts)
            folder = (
                path.absolute().parent.parent
                if path.absolute().parent.name == IDEAS
                else path.parent
            )
            return cls(folder, path.stem, texts)
        shown = quoted(str(path))
        text = (
            f"{shown} is no season folder and no episode's file."
            if is_there
            else f"{shown} is not there."
        )
        mend = "Name the folder that has studio.toml, or an episode's .toml file in it."
        problem = Problem(level="error", code="no-season", where=None, text=text, mend=mend)
        raise PlanError([problem])

    def studio(self, faults: Faults) -> Source | None:
        """studio.toml, None when it is not there or no TOML."""
        file = self.path / STUDIO
        if file.absolute() in self.texts or file.exists():
            return self._load(STUDIO, faults)
        text = f"no {STUDIO} in {quoted(str(self.path))}, so this is no season."
        faults.add("no-season", Place(STUDIO), text, self._way_on())
        return None

    def _way_on(self) -> str:
        """Where a season may be, for someone who stands in the wrong folder."""
        try:
            around = [self.path.absolute().parent, *sorted(self.path.iterdir())]
            near = next((each for each in around if (each / STUDIO).is_file()), None)
        except OSError:
            near = None
        if near is not None:
            return f"There is one in {quoted(str(near))}: --season {near}."
        return (
            "Go to the season's folder or name it with --season;"
            " `episodes demo DIR` writes one to try."
        )

    def plans(self, names: Names, faults: Faults) -> list[PlanFile]:
        """Every episode and idea that is TOML; `names` gets the names of each."""
        plans = []
        for id, name, idea in self._listed(faults):
            own = faults
            if idea:
                own = Faults()
                self.idea_faults.append(own)
            if id in names.episodes or id in names.unread:
                own.add("duplicate-id", Place(name), f"{quoted(id)} is an episode already.")
                continue
            source = self._load(name, own)
            if source is None or not _of_a_size(source, own):
                names.unread.add(id)
                continue
            table = check_episode(source, own)
            names.episodes[id] = collect(source, id, own)
            plans.append(PlanFile(id, idea, source, table, own))
        return plans

    def _load(self, name: str, faults: Faults) -> Source | None:
        file = self.path / name
        return load(file, name, self.texts.get(file.absolute()), faults)

    def _listed(self, faults: Faults) -> list[tuple[str, str, bool]]:
        """(id, name from the folder on, is an idea) of each plan; other names are pointed out."""
        found = []
        for name in self._names(self.path, faults):
            stem = name.removesuffix(".toml")
            if name == STUDIO:
                continue
            if EPISODE_NAME.fullmatch(stem):
                found.append((stem, name, False))
                continue
            meant = stem == self.named or stem[:4].isdigit()
            mend = "Episodes are named YYYY-MM-slug.toml, slug in lower-case letters, digits and -"
            mend += "; rooms without a month go into ideas/."
            faults.add(
                "file-name",
                Place(name),
                f"{quoted(name)} is not named like an episode"
                + ("." if meant else ", so it is not read."),
                mend,
                level="error" if meant else "warning",
            )
        for name in self._names(self.path / IDEAS, faults):
            stem = name.removesuffix(".toml")
            if _IDEA_NAME.fullmatch(stem):
                found.append((stem, f"{IDEAS}/{name}", True))
            else:
                text = f"{quoted(name)} is not named like an idea, so it is not read."
                mend = "Ideas are named slug.toml, in lower-case letters, digits and -."
                faults.add("file-name", Place(f"{IDEAS}/{name}"), text, mend, level="warning")
        if len(found) > MOST_FILES:
            text = f"{len(found):,} plans in one season; at most {MOST_FILES} are read."
            faults.add("too-many", None, text, "Move the old ones to a folder of their own.")
        return found[:MOST_FILES]

    def _names(self, folder: Path, faults: Faults) -> list[str]:
        """Names of the .toml files of a folder, those of `texts` too, in order."""
        given = {file.name for file in self.texts if file.parent == folder.absolute()}
        try:
            on_disk = {file.name for file in folder.iterdir()} if folder.is_dir() else set()
        except OSError as error:
            reason = (error.strerror or "it cannot be read").lower()
            text = f"the folder {quoted(str(folder))} cannot be read: {reason}."
            faults.add("unreadable", None, text)
            on_disk = set()
        names = given | on_disk
        return sorted(name for name in names if name.endswith(".toml") and name[0] != ".")


def _of_a_size(source: Source, faults: Faults) -> bool:
    """False for a plan of more things than any has, which would only take long."""
    counts = {"step": 0}
    for kind, value in source.data.items():
        if kind in ("parcel", "shot", "fallback") and isinstance(value, list):
            counts[kind] = len(value)
        elif kind == "job" and isinstance(value, list):
            counts["job"] = len(value)
            steps = (job.get("step") for job in value if isinstance(job, dict))
            counts["step"] = sum(len(listed) for listed in steps if isinstance(listed, list))
    fits = True
    for kind, count in counts.items():
        most = MOST_STEPS if kind in ("step", "job") else MOST_OTHERS
        if count > most:
            text = f"{count:,} of `{kind}` in one episode; at most {most:,} are read."
            faults.add("too-many", source.place((kind,)), text, "Split it into episodes.")
            fits = False
    return fits
