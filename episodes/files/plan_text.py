"""Writing tables of a plan file as a person would: short lines, comments where a choice is.

A `Block` is one `[[parcel]]`, `[[job]]`, `[[shot]]` or `[[space]]` with its comments; it is
written as a block of lines or, inside an array, as one line. No document library: what is written
here is new text, and a test reads all of it back.
"""

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, time
from typing import Any

WIDTH = 100
RULE = "# " + "-" * 78
_UNSHOWN = re.compile("[\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
"""DEL and C1 controls, line separators, marks that turn the reading order round."""


@dataclass(frozen=True, slots=True)
class Bare:
    """A value that stands as it is written, without quotes: `2027-05-07`, `09:00:00`."""

    text: str


@dataclass(slots=True, kw_only=True)
class Block:
    """One table of an array of tables.

    Attributes:
        kind: the array: parcel, job, shot, space, gear, carrier, person.
        entries: its keys and values in order; a list of dicts is written an item a line.
        comments: lines above it, without `#`.
        remarks: by key, a comment behind its line.
    """

    kind: str
    entries: dict[str, Any]
    comments: tuple[str, ...] = ()
    remarks: dict[str, str] = field(default_factory=dict)

    @property
    def id(self) -> str:
        return str(self.entries["id"])


def written(value: Any) -> str:
    """A value in TOML, on one line."""
    if isinstance(value, Bare):
        return value.text
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return str(value)
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, str):
        # JSON's escapes are TOML's, but for what JSON lets pass and no terminal should be shown.
        return _UNSHOWN.sub(
            lambda char: f"\\u{ord(char[0]):04x}", json.dumps(value, ensure_ascii=False)
        )
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {written(it)}" for key, it in value.items()) + " }"
    assert isinstance(value, Sequence), value
    return "[" + ", ".join(map(written, value)) + "]"


def block_text(block: Block) -> str:
    """The block with its header and comments, one line break at its end."""
    lines = [*_comments(block.comments), f"[[{block.kind}]]"]
    for key, value in block.entries.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            lines.append(f"{_key(key)} = [")
            lines += [f"  {written(item)}," for item in value]
            lines.append("]")
        else:
            line = f"{_key(key)} = {written(value)}"
            remark = block.remarks.get(key, "")
            lines.append(f"{line.ljust(39)} # {remark}" if remark else line)
    return "\n".join(lines) + "\n"


def array_text(kind: str, blocks: Iterable[Block]) -> str:
    """The blocks as one array with a line for each."""
    lines = [f"{kind} = ["]
    for block in blocks:
        lines += [f"  {comment}" for comment in _comments(block.comments)]
        lines.append(f"  {written(block.entries)},")
    return "\n".join([*lines, "]"]) + "\n"


def section(title: str) -> str:
    """The line that begins a part of a file."""
    return f"{RULE[: WIDTH - len(title) - 3]} {title}\n"


def _comments(lines: Iterable[str]) -> list[str]:
    return [f"# {comment_words(line)}" for line in lines if line]


def comment_words(text: str) -> str:
    """Text that may stand behind `#`: on one line, nothing that TOML refuses there."""
    return " ".join("".join(char if char.isprintable() else " " for char in text).split())


def _key(key: str) -> str:
    bare = key and all(char.isascii() and (char.isalnum() or char in "-_") for char in key)
    return key if bare else written(key)
