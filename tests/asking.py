"""Asking the program about a season folder, inside this process, as `check --json` would."""

import json
from pathlib import Path
from typing import Any

from episodes.answers.check import check
from episodes.exports.records import check_record, to_json
from episodes.files.reading import read_season

MATERIALS = Path(__file__).parents[1] / "episodes" / "trade" / "products.toml"


def answer(folder: Path) -> dict[str, Any]:
    """The JSON answer of `check` about a season with `as_of`, read back."""
    season = read_season(folder, clock=0)
    record: dict[str, Any] = json.loads(to_json(check_record(check(season))))
    return record


def season(folder: Path, studio: str, **episodes: str) -> Path:
    """A season folder of these texts; `may_2027` becomes the file `2027-05-may.toml`."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "studio.toml").write_text(studio, encoding="utf-8")
    for name, text in episodes.items():
        month = MONTHS.index(name[:3]) + 1
        (folder / f"{name[-4:]}-{month:02}-{name[:3]}.toml").write_text(text, encoding="utf-8")
    return folder


MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def row(record: dict[str, Any], name: str) -> dict[str, Any]:
    """The one row of that id (`EPISODE:ID` where several episodes have one)."""
    where, _, id = name.rpartition(":")
    found: list[dict[str, Any]] = [
        step
        for episode in record["episodes"]
        if where in ("", episode["id"])
        for step in episode["steps"]
        if step["id"] == id
    ]
    assert len(found) == 1, f"{name}: {len(found)} rows"
    return found[0]
