"""One plan file as text and as parsed TOML, and the line on which each of its values stands.

Everything that can be wrong with a file before its content matters is settled here: not there,
not readable, too large, not text, not TOML. A file that fails is reported and None is returned.
"""

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from typing import Any

from episodes.files.faults import Faults
from episodes.files.saving import LARGEST_PLAN
from episodes.files.toml_spans import Entry, Path, Value, tables_of
from episodes.files.values import quoted
from episodes.problems import Place

LARGEST_FILE = LARGEST_PLAN
DEEPEST_KEY = 32
"""Parts of one dotted key; the parser's time grows with their square."""

_TOML_WHERE = re.compile(r" \((?:at line (\d+), column (\d+)|at end of document)\)$")
_STRINGS_AND_COMMENTS = re.compile(
    r'"""(?:[^\\"]++|\\.|"(?!""))*+"""|\'\'\'.*?\'\'\'|"(?:[^"\\\n]++|\\.)*+"|\'[^\'\n]*\'|#[^\n]*',
    re.DOTALL,
)
_DEEP_KEY = re.compile(rf"(?:[A-Za-z0-9_-]+[ \t]*\.[ \t]*){{{DEEPEST_KEY}}}")
_MENDS = (
    ("Cannot declare", "A list of tables is written [[job]], in two brackets, above each one."),
    ("Cannot overwrite", "The key stands twice in this table: leave one out."),
    ("Invalid value", "Text stands in quotes, a time of day is 18:30:00, yes is true."),
    ("Unterminated string", "A quote is missing at the end of the text."),
    ("Illegal character", "A quote may be missing at the end of the text."),
    ("Unclosed array", "A ] is missing."),
    ("Unclosed inline table", "A } is missing; a table in { } stays on one line."),
)
_KINDS = {*("job", "step", "parcel", "shot", "fallback", "person", "space", "gear", "carrier")}
"""Arrays of tables whose entries have an id."""


@dataclass(slots=True)
class Source:
    """A file that is TOML.

    Attributes:
        name: the name its problems show, from the season's folder on.
        data: what the TOML says.
        lines: path to line, counted from 1.
        broken: paths whose value was wrong and has been reported.
    """

    name: str
    file: FilePath
    data: dict[str, Any]
    lines: dict[Path, int]
    broken: set[Path] = field(default_factory=set)

    def place(self, path: Path = ()) -> Place:
        """Where `path` stands, or the nearest thing around it that is written somewhere."""
        key = _key_of(path)
        while path:
            line = self.lines.get(path)
            if line is not None:
                return Place(self.name, line, key)
            path = path[:-1]
        return Place(self.name, 1, key)

    def written_id(self, path: Path) -> str:
        """The id written in the table at `path`, in whatever form; a stand-in if there is none."""
        table: Any = self.data
        for part in path:
            try:
                table = table[part]
            except (KeyError, IndexError, TypeError):
                break
        id = table.get("id") if isinstance(table, dict) else None
        return id if isinstance(id, str) else stand_in(path)

    def owner(self, path: Path) -> tuple[str, str]:
        """What a message calls the thing that `path` belongs to (`step "cut"`), and its id."""
        here: Any = self.data
        words, subject = "", ""
        kind = ""
        for part in path:
            if isinstance(part, str):
                kind = part if part in _KINDS and (part != "gear" or not words) else ""
            try:
                here = here[part]
            except (KeyError, IndexError, TypeError):
                break
            if isinstance(part, int) and kind and isinstance(here, dict):
                id = here.get("id")
                if isinstance(id, str):
                    full = f"{subject}.{id}" if kind == "step" and subject else id
                    words, subject = f"{kind} {quoted(full)}", full
                else:
                    words, subject = f"{kind} {part + 1}", subject
        return words, subject


def _key_of(path: Path) -> str:
    """The key that a path goes through first in the step, parcel, .. that it belongs to."""
    start = 2 if len(path) > 1 and isinstance(path[1], int) else 0
    if path[:1] == ("job",) and path[2:3] == ("step",) and len(path) > 3:
        start = 4
    key = path[start] if len(path) > start else ""
    return key if isinstance(key, str) else ""


def stand_in(path: Path) -> str:
    """What a thing without an id is called: `(job 1)`."""
    kind = path[-2] if len(path) > 1 else ""
    number = path[-1] + 1 if path and isinstance(path[-1], int) else 0
    return f"({kind} {number})"


def load(file: FilePath, name: str, text: str | None, faults: Faults) -> Source | None:
    """Read and parse a file, or `text` in its place; None when that cannot be, with the fault."""
    if text is None:
        text = _read(file, name, faults)
        if text is None:
            return None
    elif len(text) > LARGEST_FILE:
        _too_large(name, faults)
        return None
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        faults.add("not-text", Place(name, line), "a NUL byte; this is not a text file.")
        return None
    text = text.removeprefix("\ufeff")
    deep = _line_of_deep_key(text)
    if deep:
        words = f"a key of more than {DEEPEST_KEY} parts between dots."
        faults.add("toml-syntax", Place(name, deep), words)
        return None
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        _report_syntax(text, name, str(error), faults)
        return None
    except RecursionError:
        faults.add("toml-syntax", Place(name), "lists or tables nested too deep to be a plan.")
        return None
    except ValueError:
        # int() refuses numbers of more than 4,300 digits with a ValueError of its own.
        faults.add("toml-syntax", Place(name), "a number of thousands of digits.")
        return None
    return Source(name, file, data, _lines(text))


def _line_of_deep_key(text: str) -> int:
    """The line of a key too deep for the parser, 0 if there is none."""
    if all(line.count(".") < DEEPEST_KEY for line in text.split("\n")):
        return 0

    def blank(match: re.Match[str]) -> str:
        kept = "" if match[0][0] == "#" else "q"
        return kept + "\n" * match[0].count("\n")

    deep = _DEEP_KEY.search(bare := _STRINGS_AND_COMMENTS.sub(blank, text))
    return bare[: deep.start()].count("\n") + 1 if deep else 0


def _read(file: FilePath, name: str, faults: Faults) -> str | None:
    place = Place(name)
    try:
        if not file.is_file():
            what = "is a folder, not a file." if file.is_dir() else "is no file that can be read."
            if not file.exists():
                what = "is not there."
            faults.add("unreadable", place, f"{quoted(name)} {what}")
            return None
        with file.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except OSError as error:
        reason = (error.strerror or "it cannot be read").lower()
        faults.add("unreadable", place, f"{quoted(name)} cannot be read: {reason}.")
        return None
    if len(content) > LARGEST_FILE:
        _too_large(name, faults)
        return None
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        faults.add("not-text", place, "the file is UTF-16 text.", "Save it as UTF-8.")
        return None
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        faults.add(
            "not-text",
            Place(name, line),
            f"the byte 0x{content[error.start]:02x} is no UTF-8 text.",
            "Save the file as UTF-8.",
        )
        return None


def _too_large(name: str, faults: Faults) -> None:
    limit = LARGEST_FILE // 1024 // 1024
    faults.add("too-large", Place(name), f"larger than {limit} MiB, which no plan is.")


def _report_syntax(text: str, name: str, message: str, faults: Faults) -> None:
    match = _TOML_WHERE.search(message)
    where = ""
    line = max(text.count("\n") + (not text.endswith("\n")), 1)
    if match is not None:
        message = message[: match.start()]
        if match[1]:
            line, where = int(match[1]), f" (column {match[2]})"
        else:
            where = " (the file ends here)"
    mend = next((mend for start, mend in _MENDS if message.startswith(start)), "")
    what = message[0].lower() + message[1:] if message else "it does not parse"
    clean = quoted(what)[1:-1] if not what.isprintable() or len(what) > 200 else what
    faults.add("toml-syntax", Place(name, line), f"not TOML: {clean}{where}.", mend)


def _lines(text: str) -> dict[Path, int]:
    """Line of every table, key and list entry of a TOML text that has parsed."""
    ends = [match.start() for match in re.finditer("\n", text)]
    lines: dict[Path, int] = {}

    def note(path: Path, offset: int) -> None:
        lines.setdefault(path, bisect_right(ends, offset - 1) + 1)

    def note_entry(table: Path, entry: Entry) -> None:
        path = table
        for part in entry.key:
            path = (*path, part)
            note(path, entry.start)
        note_value(path, entry.value)

    def note_value(path: Path, value: Value) -> None:
        if value.items is not None:
            for index, item in enumerate(value.items):
                note((*path, index), item.start)
                note_value((*path, index), item)
        elif value.entries is not None:
            for entry in value.entries:
                note_entry(path, entry)

    try:
        for table in tables_of(text):
            for depth in range(1, len(table.path) + 1):
                note(table.path[:depth], table.start)
            for entry in table.entries:
                note_entry(table.path, entry)
    except (ValueError, IndexError, RecursionError):
        # The finder is for valid TOML; should it lose its way, faults keep their file.
        return lines
    return lines


Texts = Mapping[FilePath, str]
