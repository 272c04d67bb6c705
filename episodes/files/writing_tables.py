"""Putting tables into an array of tables, taking them out, moving them: on the text itself.

An array of tables is written in one of two ways, `[[job.step]]` or `step = [{ .. }, { .. }]`, and
keeps the one it has. A table goes with the comment lines right above it and with those of its own
lines; a line that rules off a section (`# -----`) stays where it is. What is not moved keeps every
character. Nothing here judges what a plan may say: who calls this reads the result again.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from episodes.files.editing import EditError
from episodes.files.plan_text import Block, block_text, comment_words, written
from episodes.files.toml_spans import Path, Table, Value, find, tables_of
from episodes.files.writing_pieces import Piece, comments_in, in_other_form, reindented

_RULE = re.compile(r"#\s*[-=~_#*]{4,}")
_COMMENT = re.compile(r"[ \t]*#")


@dataclass(frozen=True, slots=True)
class _Slot:
    """The place of one table in the text: its chunk from `start` to `end`, the table in it."""

    start: int
    end: int
    first: int
    """Where the table itself begins, behind the comments above it."""
    last: int
    """Where it ends, before a comma and a comment."""


@dataclass(frozen=True, slots=True)
class _Rows:
    """An array of tables as it is written."""

    slots: tuple[_Slot, ...]
    array: Value | None
    """The array of the inline form; None for tables with headers."""


def insert(text: str, array: Path, index: int, entries: Mapping[str, Any], *, file: str) -> str:
    """The text with a new table as number `index` of the array.

    Args:
        array: the way to it, `("job", 0, "step")`; it has one table at least.

    Raises:
        EditError: the array is written in a way that takes no more of it.
    """
    rows = _rows(text, array, file)
    header = ".".join(part for part in array if isinstance(part, str))
    if rows.array is not None:
        piece = Piece(text=written(entries), inline=True, entries=(), comments=())
    else:
        made = block_text(Block(kind=header, entries=dict(entries)))
        indent = _indent_of(text, rows)
        piece = Piece(text=_indented(made, indent), inline=False, entries=(), comments=())
    return _put(text, rows, index, piece)


def take(text: str, array: Path, index: int, *, file: str) -> tuple[str, Piece]:
    """The text without table number `index`, and what was taken out.

    Raises:
        EditError: it is written in several places, or is the only one of an array in `[ ]`.
    """
    rows = _rows(text, array, file)
    slot = rows.slots[index]
    piece = _piece(text, array, index, rows)
    if rows.array is None:
        start, end = slot.start, slot.end
        # The blank lines between two tables are one gap: of two that meet, one goes.
        above = _line_start(text, start - 1) if start else 0
        ruled = start > 0 and text[above] == "#" and _is_rule(text, above)
        if text[:start].endswith(("\n\n", "\n\r\n")) or not start or ruled:
            end += len(_blank_lines(text, end))
        before = text[:start]
        if end == len(text) and before.strip():
            before = before.rstrip() + _newline(text)
        return before + text[end:], piece
    return _without(text, rows, index), piece


def put(text: str, array: Path, index: int, piece: Piece, *, file: str) -> str:
    """The text with a table that was taken out as number `index` of the array."""
    rows = _rows(text, array, file)
    header = ".".join(part for part in array if isinstance(part, str))
    if piece.inline != (rows.array is not None):
        piece = in_other_form(piece, header)
    if rows.array is None:
        piece = reindented(piece, _indent_of(text, rows))
    return _put(text, rows, index, piece)


# ---------------------------------------------------------------------------- where they stand


def _rows(text: str, array: Path, file: str) -> _Rows:
    tables = tables_of(text)
    there = find(tables, array)
    if isinstance(there, Value) and there.items is not None:
        return _Rows(_inline_slots(text, there), there)
    groups: list[list[Table]] = []
    for number, table in enumerate(tables):
        if table.path[: len(array)] == array and len(table.path) > len(array):
            index = table.path[len(array)]
            assert isinstance(index, int)
            if index == len(groups):
                groups.append([])
            if groups[index] and tables[number - 1] is not groups[index][-1]:
                raise EditError(f"{file}: a table is written in several places; edit it by hand")
            groups[index].append(table)
    if not groups:
        raise EditError(f"{file}: what is asked for is written in a way that cannot be edited here")
    return _Rows(tuple(_header_slot(text, group) for group in groups), None)


def _header_slot(text: str, group: list[Table]) -> _Slot:
    last = group[-1]
    end = last.entries[-1].value.end if last.entries else last.header_end
    ends = _next_line(text, end)
    # Comment lines right below belong to it, unless a header follows at once: then to that.
    below = ends
    while _COMMENT.match(text, below) and not _is_rule(text, below):
        below = _next_line(text, below)
    if below > ends and not _starts_header(text, below):
        ends = below
    first = _line_start(text, group[0].start)
    return _Slot(_above(text, first), ends, first, ends)


def _inline_slots(text: str, array: Value) -> tuple[_Slot, ...]:
    items = array.items or []
    slots = []
    start = _open_end(text, array)
    for number, item in enumerate(items):
        limit = items[number + 1].start if number + 1 < len(items) else array.end - 1
        end = _chunk_end(text, item.end, limit)
        slots.append(_Slot(start, end, item.start, item.end))
        start = end
    return tuple(slots)


def _open_end(text: str, array: Value) -> int:
    """Where the first item's chunk begins: behind `[`, and the line break after it if any."""
    items = array.items or []
    limit = items[0].start if items else array.end - 1
    line = text.find("\n", array.start, limit)
    return line + 1 if line >= 0 else array.start + 1


def _chunk_end(text: str, end: int, limit: int) -> int:
    """Where an item's chunk ends: with its line, or with its comma where another one follows."""
    line = text.find("\n", end, limit)
    if line >= 0:
        return line + 1
    comma = text.find(",", end, limit)
    return comma + 1 if comma >= 0 else end


def _above(text: str, line: int) -> int:
    """The start of the comment lines right above a line; a rule is not one of them."""
    start = line
    while start > 0:
        before = _line_start(text, start - 1)
        if not _COMMENT.match(text, before) or _is_rule(text, before):
            break
        start = before
    # A first block of comments in a file speaks of the file.
    return line if start == 0 and line > 0 else start


def _is_rule(text: str, line: int) -> bool:
    end = _next_line(text, line)
    return _RULE.match(text[line:end].strip()) is not None


def _starts_header(text: str, at: int) -> bool:
    return text[at : _next_line(text, at)].lstrip(" \t").startswith("[")


# ---------------------------------------------------------------------------- in and out


def _put(text: str, rows: _Rows, index: int, piece: Piece) -> str:
    if rows.array is not None:
        return _put_inline(text, rows, index, piece)
    newline = _newline(text)
    body = piece.text if piece.text.endswith("\n") else piece.text + newline
    if newline != "\n":
        body = re.sub(r"\r?\n", newline, body)
    if index < len(rows.slots):
        at = rows.slots[index].start
        return text[:at] + body + _gap(text, rows) + text[at:]
    at = rows.slots[-1].end
    lead = "" if text[:at].endswith("\n") else newline
    return text[:at] + lead + _gap(text, rows) + body + text[at:]


def _gap(text: str, rows: _Rows) -> str:
    """What stands between two tables of the array; a blank line where there are no two."""
    newline = _newline(text)
    for slot, after in zip(rows.slots, rows.slots[1:], strict=False):
        between = text[slot.end : after.start]
        if not between.strip():
            return between
    return newline


def _put_inline(text: str, rows: _Rows, index: int, piece: Piece) -> str:
    array = rows.array
    assert array is not None
    slots = rows.slots
    newline = _newline(text)
    if not slots:
        return (
            text[: array.start]
            + f"[{newline}  {piece.text.strip()},{newline}]"
            + (text[array.end :])
        )
    like = slots[min(index, len(slots) - 1)]
    lead = text[_line_start(text, like.first) : like.first]
    ends_line = text[like.start : like.end].endswith("\n")
    own_line = "\n" in text[array.start : slots[0].first] and ends_line and not lead.strip()
    if not own_line:
        item = _alone(piece)
        # What was said of it needs lines of its own, also where the others share one.
        said = "".join(f"{newline}  # {comment_words(each)}" for each in piece.comments if each)
        lead, behind = (f"{said}{newline}  ", newline) if said else ("", "")
        if index < len(slots):
            return text[: like.first] + f"{lead}{item},{behind or ' '}" + text[like.first :]
        return text[: like.last] + f",{lead or ' '}{item}{behind}" + text[like.last :]
    chunk = piece.text
    if not chunk.endswith("\n"):
        # New, or of an array on one line: a line of its own, like its neighbours.
        chunk = f"{lead}{_alone(piece)},{newline}"
    chunk = re.sub(r"\r?\n", newline, _with_comma(chunk))
    if index < len(slots):
        return text[: like.start] + chunk + text[like.start :]
    return _comma_behind(text, like) + chunk + text[like.end :]


def _comma_behind(text: str, slot: _Slot) -> str:
    """The text up to the slot's end, with a comma behind its table."""
    behind = text[slot.last : slot.end]
    comma = "" if behind.lstrip().startswith(",") else ","
    return text[: slot.last] + comma + behind


def _with_comma(chunk: str) -> str:
    """A chunk of its own lines with a comma behind its table."""
    array = tables_of(f"x = [{chunk}\n]")[0].entries[0].value.items or []
    at = array[0].end - len("x = [")
    return chunk if chunk[at:].lstrip().startswith(",") else f"{chunk[:at]},{chunk[at:]}"


def _alone(piece: Piece) -> str:
    """The table without comments and comma, as one line."""
    if not piece.inline or not piece.entries:
        return piece.text.strip().rstrip(",")
    return "{ " + ", ".join(f"{key} = {value}" for key, value in piece.entries) + " }"


def _without(text: str, rows: _Rows, index: int) -> str:
    array, slot = rows.array, rows.slots[index]
    assert array is not None
    last = index == len(rows.slots) - 1
    chunk = text[slot.start : slot.end]
    if chunk.endswith("\n") or not last:
        start, end = slot.start, slot.end
        if not chunk.endswith("\n") and not index:
            # `[{ a }, { b }]`: the blank behind the comma was between the two.
            end += len(text[end:]) - len(text[end:].lstrip(" \t"))
        return text[:start] + text[end:]
    if not index:
        return text[: array.start] + "[]" + text[array.end :]
    before = rows.slots[index - 1]
    return text[: before.last] + text[slot.last :]


# ---------------------------------------------------------------------------- another form


def _piece(text: str, array: Path, index: int, rows: _Rows) -> Piece:
    slot = rows.slots[index]
    chunk = text[slot.start : slot.end]
    tables = tables_of(text)
    inline = rows.array is not None
    entries: list[tuple[str, str]] = []
    if rows.array is not None:
        items = rows.array.items or []
        listed = items[index].entries or []
        entries = [(text[e.start : e.value.start].rstrip(" =\t"), text[e.value.start : e.value.end])
                   for e in listed]  # fmt: skip
        comments = comments_in(text[slot.start : slot.first] + text[slot.last : slot.end])
    else:
        comments = comments_in(chunk)
        here = [table for table in tables if table.path == (*array, index)]
        below = [table for table in tables if table.path[: len(array) + 1] == (*array, index)]
        for entry in here[0].entries:
            value = text[entry.value.start : entry.value.end]
            entries.append((text[entry.start : entry.value.start].rstrip(" =\t"), value))
        if len(below) > 1:
            # A table of its own below the step's header has no raw text as a value.
            entries = []
    return Piece(text=chunk, inline=inline, entries=tuple(entries), comments=tuple(comments))


def _indent_of(text: str, rows: _Rows) -> str:
    first = rows.slots[0].first
    line = text[first : _next_line(text, first)]
    return line[: len(line) - len(line.lstrip(" \t"))]


def _indented(block: str, indent: str) -> str:
    return "".join(f"{indent}{line}" for line in block.splitlines(keepends=True))


# ---------------------------------------------------------------------------- lines


def _newline(text: str) -> str:
    at = text.find("\n")
    return "\r\n" if at > 0 and text[at - 1] == "\r" else "\n"


def _line_start(text: str, at: int) -> int:
    return text.rfind("\n", 0, at) + 1


def _next_line(text: str, at: int) -> int:
    """Where the line after the one of this offset begins; the text's end on the last."""
    end = text.find("\n", at)
    return len(text) if end < 0 else end + 1


def _blank_lines(text: str, at: int) -> str:
    found = at
    while found < len(text):
        end = _next_line(text, found)
        if text[found:end].strip():
            break
        found = end
    return text[at:found]
