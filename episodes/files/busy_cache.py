"""What a calendar file was understood to say, kept in the user's cache folder.

Working out a calendar of years takes seconds, and it seldom changes. So what was found is kept: one
file for each calendar's place, good for its content, the studio's zone, the window looked at and
the versions of all that had a say. The cache is a convenience: a folder that cannot be written, or
a file that somebody else has been at, only means working it out again.

Titles of what was left out stand in it, so it is readable by its user alone.
"""

import contextlib
import json
import os
from hashlib import sha256
from pathlib import Path

from episodes.calendars.openings import Stretch
from episodes.files.holiday_cache import cache_folder
from episodes.problems import Place, Problem

FORMAT = 1
"""Raised whenever the same calendar is understood in another way."""

LIBRARIES = ("icalendar", "recurring-ical-events", "python-dateutil", "tzdata")
LARGEST = 4 * 1024 * 1024
_LEVELS = ("error", "warning", "note")


class Shelf:
    """The place of one calendar file's findings."""

    def __init__(
        self,
        path: Path,
        data: bytes,
        zone_name: str,
        start: int,
        end: int,
        *,
        folder: Path | None = None,
    ) -> None:
        place = f"{path.absolute()}\x1f{zone_name}".encode("utf-8", "surrogateescape")
        name = f"{sha256(place).hexdigest()[:40]}.json"
        self.file = (folder or cache_folder()) / "busy" / name
        self.name = path.name
        said = [FORMAT, sha256(data).hexdigest(), zone_name, start, end, *_versions()]
        self.key = sha256(json.dumps(said).encode()).hexdigest()

    def read(self) -> tuple[tuple[Stretch, ...], tuple[Problem, ...]] | None:
        """What was kept; None where there is nothing that can be trusted."""
        try:
            if self.file.stat().st_size > LARGEST:
                return None
            head, _, body = self.file.read_text(encoding="utf-8").partition("\n")
            if head != f"{self.key} {_seal(body)}":
                return None
            found = json.loads(body)
            edges = [int(edge) for edge in found["edges"]]
            problems = tuple(self._problem(*problem) for problem in found["problems"])
        except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
            return None
        if len(edges) % 2 or edges != sorted(set(edges)):
            return None
        return tuple(zip(edges[::2], edges[1::2], strict=True)), problems

    def _problem(self, level: str, code: str, line: int, text: str, mend: str) -> Problem:
        if level not in _LEVELS:
            raise ValueError(level)
        return Problem(
            level=level,  # type: ignore[arg-type]
            code=code,
            where=Place(self.name, line),
            text=text,
            mend=mend,
        )

    def write(self, busy: tuple[Stretch, ...], problems: tuple[Problem, ...]) -> None:
        """Keep what was found; where that cannot be done, nothing happens."""
        found = {
            "edges": [edge for stretch in busy for edge in stretch],
            "problems": [
                [each.level, each.code, each.where.line if each.where else 0, each.text, each.mend]
                for each in problems
            ],
        }
        body = json.dumps(found)
        text = f"{self.key} {_seal(body)}\n{body}"
        # Written beside and put in place, so that a second program never reads half a file.
        part = self.file.with_name(f".{self.file.name}.{os.getpid()}")
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True)
            handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as out:
                out.write(text)
            part.replace(self.file)
        except OSError:
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)


def _seal(body: str) -> str:
    """Tells a file that was damaged since."""
    return sha256(body.encode()).hexdigest()


def _versions() -> list[str]:
    """The installed versions of what has a say, without importing any of it."""
    from importlib.metadata import PackageNotFoundError, version

    found = []
    for name in LIBRARIES:
        try:
            found.append(version(name))
        except PackageNotFoundError:
            found.append("")
    return found
