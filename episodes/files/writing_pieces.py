"""A table cut out of a plan file, and the same table in the file's other way of writing one."""

from dataclasses import dataclass

from episodes.files.editing import EditError
from episodes.files.plan_text import comment_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A table cut out of a text, ready to be put in elsewhere.

    Attributes:
        text: as it stood: comment lines above, the table, what stands behind it on its last line.
        inline: it stood in `[{ .. }]`.
        entries: what it says, values as they were written.
        comments: its comment lines, without `#`.
    """

    text: str
    inline: bool
    entries: tuple[tuple[str, str], ...]
    comments: tuple[str, ...]


def comments_in(text: str) -> list[str]:
    """Comments of a stretch of text, strings left alone."""
    found = []
    for line in text.splitlines():
        at = _comment_at(line)
        if at >= 0:
            found.append(line[at + 1 :].strip())
    return found


def _comment_at(line: str) -> int:
    quote = ""
    at = 0
    while at < len(line):
        char = line[at]
        if quote:
            if char == "\\" and quote == '"':
                at += 1
            elif char == quote:
                quote = ""
        elif char in "\"'":
            quote = char
        elif char == "#":
            return at
        at += 1
    return -1


def in_other_form(piece: Piece, header: str) -> Piece:
    if not piece.entries:
        raise EditError("it is written with tables of its own below it; move it by hand")
    if piece.inline:
        lines = [f"# {comment_words(each)}" for each in piece.comments if each]
        lines += [f"[[{header}]]", *(f"{key} = {value}" for key, value in piece.entries)]
        text = "\n".join(lines) + "\n"
        return Piece(text=text, inline=False, entries=piece.entries, comments=piece.comments)
    if any("\n" in value for _, value in piece.entries):
        raise EditError("it has values of several lines; move it by hand")
    item = "{ " + ", ".join(f"{key} = {value}" for key, value in piece.entries) + " }"
    above = "".join(f"  # {comment_words(each)}\n" for each in piece.comments if each)
    text = f"{above}  {item},\n"
    return Piece(text=text, inline=True, entries=piece.entries, comments=piece.comments)


def reindented(piece: Piece, indent: str) -> Piece:
    lines = piece.text.split("\n")
    own = next((len(line) - len(line.lstrip(" \t")) for line in lines if line.strip()), 0)
    if any(line.strip() and line[:own].strip() for line in lines):
        return piece
    moved = [indent + line[own:] if line.strip() else line for line in lines]
    if any('"""' in line or "'''" in line for line in lines):
        return piece
    return Piece(
        text="\n".join(moved), inline=False, entries=piece.entries, comments=piece.comments
    )
