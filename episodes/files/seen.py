"""What was on the screen when it was last left, kept in the season's `.episodes/seen.json`.

A memory, not a record: a file that is missing, spoiled or of another hand only means that nothing
is known of the last time.
"""

import json
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path

from episodes.answers.changed import Seen, SeenEpisode
from episodes.files.saving import PRIVATE_FOLDER, write_whole
from episodes.problems import EpisodesError

LARGEST = 1_000_000
"""Bytes; what is written here is far smaller."""
_VERDICTS = ("meets", "slips", "released")


def read_seen(folder: Path) -> Seen | None:
    """What was seen the last time; None where nothing is known of it."""
    path = _path(folder)
    try:
        if path.stat().st_size > LARGEST:
            return None
        data = json.loads(path.read_text(encoding="utf-8"))
        return Seen(
            at=_minute(data["at"]), episodes=tuple(_episode(each) for each in data["episodes"])
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def write_seen(folder: Path, seen: Seen) -> None:
    """Remember what is seen now; a folder that cannot be written is left as it is."""
    with suppress(OSError, EpisodesError):
        (folder / PRIVATE_FOLDER).mkdir(exist_ok=True)
        write_whole(_path(folder), json.dumps(asdict(seen)) + "\n")


def _path(folder: Path) -> Path:
    return folder / PRIVATE_FOLDER / "seen.json"


def _episode(data: dict[str, object]) -> SeenEpisode:
    verdict, arrives = data["verdict"], data["arrives"]
    if verdict not in _VERDICTS or not isinstance(arrives, dict):
        raise ValueError(verdict)
    return SeenEpisode(
        id=str(data["id"]),
        title=str(data["title"]),
        verdict=verdict,  # type: ignore[arg-type]
        spare_min=None if data["spare_min"] is None else _minute(data["spare_min"]),
        ready_by=None if data["ready_by"] is None else _minute(data["ready_by"]),
        arrives={str(id): _minute(minute) for id, minute in arrives.items()},
    )


def _minute(value: object) -> int:
    if not isinstance(value, int) or abs(value) > 1 << 33:
        raise ValueError(value)
    return value
