"""What each key of the plan files means, taken from the page that documents them.

The page is the one source: `docs/plan-format.md`, which comes along in the installed package. Its
tables have a row for most keys; for the others the sentence that names the key is taken.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path

PAGE = "plan-format.md"

TABLES: dict[str, tuple[str, str]] = {
    "StudioTable": ("studio.toml", "## studio.toml"),
    "ReleaseTable": ("release = { ... }", "## studio.toml"),
    "PlaceTable": ("place = { ... }", "## studio.toml"),
    "PersonTable": ("[[person]]", "**People**"),
    "SpaceTable": ("[[space]]", "**Places**"),
    "AirTable": ("air = { ... }", "**Places**"),
    "LingersTable": ("lingers = { ... }", "**Places**"),
    "GearTable": ("[[gear]]", "**Gear**"),
    "CarrierTable": ("[[carrier]]", "**Carriers**"),
    "OddsTable": ("[odds]", "## studio.toml"),
    "DefaultsTable": ("[defaults]", "## studio.toml"),
    "EpisodeTable": ("YYYY-MM-slug.toml", "## An episode"),
    "ParcelTable": ("[[parcel]]", "### Parcels"),
    "JobTable": ("[[job]]", "### Jobs and steps"),
    "StepTable": ("[[job.step]]", "### Jobs and steps"),
    "AfterTable": ("an entry of after", "### What comes after what"),
    "DriesTable": ("dries = { ... }", "### Coats"),
    "ShotTable": ("[[shot]]", "### Shots"),
    "FallbackTable": ("[[fallback]]", "### Fallbacks"),
    "NewLeadTable": ("parcel of a fallback", "### Fallbacks"),
    "MoreHoursTable": ("an entry of extra of a fallback", "### Fallbacks"),
}
"""By class of the schema, in the files' order: how it is written, and its part of the page."""

EVERYWHERE = ("title", "note", "link", "tags", "x")
"""Keys that any table may have; told once."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a key means, and what holds where it is left out ("" where that is not said)."""

    text: str
    left_out: str = ""


@cache
def page_text() -> str:
    """The page in Markdown; "" where it has not come along."""
    installed = files("episodes") / PAGE
    beside = Path(str(files("episodes"))).parent / "docs" / PAGE
    for place in (installed, beside):
        if place.is_file():
            return place.read_text(encoding="utf-8")
    return ""


def meanings(keys: Mapping[str, Sequence[str]]) -> dict[tuple[str, str], Meaning]:
    """By (class of the schema, key).

    Args:
        keys: of each class, by its name.
    """
    page = page_text()
    return {
        (name, key): _meaning(page, name, key)
        for name, (_, _) in TABLES.items()
        for key in keys.get(name, ())
    }


def everywhere() -> list[tuple[str, str]]:
    """The keys that any table may have, with what they mean."""
    head = page_text().partition("\n## ")[0]
    return [(key, _sentence(head, key)) for key in EVERYWHERE]


def _meaning(page: str, name: str, key: str) -> Meaning:
    part = _part(page, TABLES[name][1])
    if name == "EpisodeTable":
        part = part.partition("\n### ")[0]
    rows = _rows(part, name)
    for wanted in (_is_the_key, _begins_with, _mentions):
        for cells in rows:
            if wanted(cells[0], key):
                text, left_out = _plain(cells[1]), _plain(cells[2]) if len(cells) > 2 else ""
                if text == "as for steps":
                    text = _meaning(page, "StepTable", key).text
                return Meaning(text, left_out)
    facts = [line for line in part.splitlines() if line.startswith("Facts of")]
    if name != "JobTable" and any(_mentions(line, key) for line in facts):
        return Meaning("a fact, written down as it happens")
    said = _sentence(part, key)
    if "as for steps" in said and name != "StepTable":
        return _meaning(page, "StepTable", key)
    return Meaning(said)


def _part(page: str, start: str) -> str:
    """The page from a heading or bold line on, up to the next of the same rank or higher."""
    text = re.sub(r"^```.*?^```", "", page, flags=re.DOTALL | re.MULTILINE)
    at = text.find(start)
    if at < 0:
        return ""
    rest = text[at + len(start) :]
    level = start.count("#") or 6
    stop = re.search(rf"^(?:#{{1,{level}}} |\*\*)", rest, flags=re.MULTILINE)
    return rest[: stop.start()] if stop else rest


def _rows(part: str, name: str) -> list[list[str]]:
    rows = [
        [cell.strip() for cell in re.split(r"(?<!\\)\|", line.strip().strip("|"))]
        for line in part.splitlines()
        if line.startswith("|")
    ]
    rows = [cells for cells in rows if "`" in cells[0]]
    # One part of the page tells of jobs in prose and of steps in a table.
    return [] if name == "JobTable" else rows


def _spans(cell: str) -> list[str]:
    return re.findall(r"`([^`]+)`", cell)


def _is_the_key(cell: str, key: str) -> bool:
    return key in _spans(cell)


def _begins_with(cell: str, key: str) -> bool:
    return any(re.match(rf"{key}\b", span) for span in _spans(cell))


def _mentions(cell: str, key: str) -> bool:
    return any(re.search(rf"\b{key}\b", span) for span in _spans(cell))


def _sentence(part: str, key: str) -> str:
    """The first sentence outside the tables that names the key."""
    for line in part.splitlines():
        if not line.startswith("|"):
            for sentence in re.split(r"(?<=\.) ", line):
                if _mentions(sentence, key):
                    bare = re.sub(r"^\s*(?:\(.*?\))?[:\s-]*", "", sentence)
                    return _plain(bare).rstrip(".")
    for line in part.splitlines():
        if line.startswith("|") and _mentions(line, key):
            return _plain(line.strip("| ").split("|")[1].strip())
    return ""


def _plain(markdown: str) -> str:
    """A cell or a sentence without markup."""
    text = re.sub(r"\[([^\]]+)\]\([^)]*\)", r"\1", markdown)
    return text.replace("`", "").replace("\\|", "|").replace("**", "").strip()
