"""Where every key and value of a TOML text stands, so that one of them can be changed alone.

A document library writes a document back as a whole; with arrays of tables that take turns
(`[[job]]`, `[[parcel]]`, `[[job]]`), the common shape of a plan, it moves tables and comments.
Here the text stays as it is and only offsets are found: what is not edited keeps every byte.

The text must already be valid TOML 1.0 with `tomllib`'s approval; this is a finder, not a second
validator. Offsets count characters of the text.
"""

import re
import tomllib
from dataclasses import dataclass, field

Path = tuple[str | int, ...]
"""The way to a value: keys, and positions in arrays: ("job", 0, "step", 2, "done")."""

_BLANK = re.compile(r"[ \t]*")
_BLANK_LINES_COMMENTS = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\n]+")
_QUOTED = re.compile(
    # Possessive, as no text is read in two ways: a long one must not be kept letter by letter.
    r'"""(?:[^\\"]++|\\.|"(?!""))*+"{3,5}(?!")'
    r"|'''.*?'{3,5}(?!')"
    r'|"(?:[^"\\\n]++|\\.)*+"'
    r"|'[^'\n]*'",
    re.DOTALL,
)


@dataclass(slots=True)
class Value:
    """A value from `start` to `end`; `items` of an array, `entries` of an inline table."""

    start: int
    end: int
    items: list["Value"] | None = None
    entries: list["Entry"] | None = None


@dataclass(slots=True)
class Entry:
    """`key = value`; a dotted key has several parts."""

    start: int
    key: tuple[str, ...]
    value: Value


@dataclass(slots=True)
class Table:
    """The lines under one header; `header_end` is the end of the header itself, before a comment.

    The first table of a document has no header: path (), header_end 0.
    """

    path: Path
    start: int
    header_end: int
    entries: list[Entry] = field(default_factory=list)


def tables_of(text: str) -> list[Table]:
    """All tables of a document, in the order of the text.

    Raises:
        ValueError: the text is not TOML.
    """
    tomllib.loads(text)
    return _Finder(text).document()


def find(tables: list[Table], path: Path) -> Table | Value | None:
    """The table, inline table, array or scalar that stands at `path`; None if nothing does.

    A table that is only implied, or written in several pieces, is not found.
    """
    for table in tables:
        if table.path == path:
            return table
    for table in sorted(tables, key=lambda table: -len(table.path)):
        if table.path == path[: len(table.path)]:
            found = _inside(table.entries, path[len(table.path) :])
            if found is not None:
                return found
    return None


def _inside(entries: list[Entry], path: Path) -> Value | None:
    for entry in entries:
        if entry.key != path[: len(entry.key)]:
            continue
        value, rest = entry.value, path[len(entry.key) :]
        while rest and value.items is not None:
            at, rest = rest[0], rest[1:]
            if not isinstance(at, int) or at >= len(value.items):
                return None
            value = value.items[at]
        if not rest:
            return value
        if value.entries is not None:
            return _inside(value.entries, rest)
    return None


class _Finder:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0

    def document(self) -> list[Table]:
        table = Table((), 0, 0)
        tables = [table]
        last: dict[Path, int] = {}
        while True:
            self.skip(_BLANK_LINES_COMMENTS)
            if self.at >= len(self.text):
                return tables
            if self.text[self.at] == "[":
                table = self.header(last)
                tables.append(table)
            else:
                table.entries.append(self.entry())

    def header(self, last: dict[Path, int]) -> Table:
        start = self.at
        is_array = self.text.startswith("[[", start)
        self.at += 2 if is_array else 1
        parts = self.key()
        self.at += 2 if is_array else 1
        path: Path = ()
        for depth, part in enumerate(parts, 1):
            path += (part,)
            if is_array and depth == len(parts):
                last[path] = last.get(path, -1) + 1
            if path in last:
                path += (last[path],)
        return Table(path, start, self.at)

    def entry(self) -> Entry:
        start = self.at
        key = self.key()
        self.expect("=")
        self.skip(_BLANK)
        return Entry(start, key, self.value())

    def key(self) -> tuple[str, ...]:
        """A key, dotted or not; ends at what follows it, blanks skipped."""
        parts: list[str] = []
        while True:
            self.skip(_BLANK)
            if self.text[self.at] in "\"'":
                quoted = self.take(_QUOTED)
                parts.append(next(iter(tomllib.loads(f"{quoted}=0"))))
            else:
                parts.append(self.take(_BARE_KEY))
            self.skip(_BLANK)
            if self.text[self.at] != ".":
                return tuple(parts)
            self.at += 1

    def value(self) -> Value:
        start = self.at
        first = self.text[start]
        if first == "[":
            return self.array()
        if first == "{":
            return self.inline_table()
        if first in "\"'":
            self.take(_QUOTED)
            return Value(start, self.at)
        scalar = self.take(_SCALAR).rstrip()
        self.at = start + len(scalar)
        return Value(start, self.at)

    def array(self) -> Value:
        start = self.at
        self.at += 1
        items: list[Value] = []
        while True:
            self.skip(_BLANK_LINES_COMMENTS)
            if self.text[self.at] == "]":
                self.at += 1
                return Value(start, self.at, items=items)
            items.append(self.value())
            self.skip(_BLANK_LINES_COMMENTS)
            if self.text[self.at] == ",":
                self.at += 1

    def inline_table(self) -> Value:
        start = self.at
        self.at += 1
        entries: list[Entry] = []
        while True:
            self.skip(_BLANK)
            if self.text[self.at] == "}":
                self.at += 1
                return Value(start, self.at, entries=entries)
            if self.text[self.at] == ",":
                self.at += 1
                continue
            entries.append(self.entry())

    def skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        if match is not None:
            self.at = match.end()

    def take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise ValueError(f"no TOML at offset {self.at}")
        self.at = match.end()
        return match[0]

    def expect(self, sign: str) -> None:
        if not self.text.startswith(sign, self.at):
            raise ValueError(f"{sign!r} expected at offset {self.at}")
        self.at += len(sign)
