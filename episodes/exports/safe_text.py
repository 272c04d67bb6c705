"""Text of unknown origin made safe to show: on a terminal, in a calendar, in an error line.

Titles, notes and file names come from files that somebody else may have written. Unchanged they
could carry escape sequences that drive the terminal, characters that turn the reading order round
or take no place, and stacks of marks that spill over the rows above. `clean` is the one door all
such text goes through; the text kept in the plan stays as it was written.

What becomes of a character (general categories of the Unicode Character Database, those of the
running Python; the ranges that are invisible by design are its property
Default_Ignorable_Code_Point, written down from memory):

    C0 controls and DEL                      their visible picture, U+2400..2421
    blanks and line breaks of any kind       one space (a line break where `lines` is asked for)
    C1, private use, unassigned, surrogates  U+FFFD
    bidi controls, zero-width characters, joiners, variation selectors, tags, soft hyphen,
    fillers, skin tones                      nothing
    marks on a letter                        the first two; none without a letter

Left as they are: letters of every script, also those that run from right to left.
"""

import unicodedata
from functools import lru_cache

REPLACEMENT = "\ufffd"
ELLIPSIS = "…"
MARKS_A_LETTER = 2

_BLANKS = frozenset("\t\v\f\u2800")  # the last: braille pattern blank
_LINE_BREAKS = frozenset("\n\r\x85\u2028\u2029")
_INVISIBLE_RANGES = (
    (0x00AD, 0x00AD),  # soft hyphen
    (0x034F, 0x034F),  # combining grapheme joiner
    (0x061C, 0x061C),  # Arabic letter mark
    (0x115F, 0x1160),  # Hangul fillers
    (0x17B4, 0x17B5),  # Khmer inherent vowels
    (0x180B, 0x180F),  # Mongolian variation selectors and vowel separator
    (0x200B, 0x200F),  # zero-width space, joiners, direction marks
    (0x202A, 0x202E),  # bidi embeddings and overrides
    (0x2060, 0x206F),  # word joiner, invisible operators, bidi isolates
    (0x3164, 0x3164),  # Hangul filler
    (0xFE00, 0xFE0F),  # variation selectors
    (0xFEFF, 0xFEFF),  # byte order mark
    (0xFFA0, 0xFFA0),  # halfwidth Hangul filler
    (0xFFF0, 0xFFF8),
    (0x1BCA0, 0x1BCA3),  # shorthand format controls
    (0x1D173, 0x1D17A),  # musical format controls
    (0xE0000, 0xE0FFF),  # tags, variation selectors supplement
    # Not invisible, but drawn into the emoji before or beside it, as the terminal likes: without
    # them a row is as wide everywhere.
    (0x1F3FB, 0x1F3FF),  # skin tones
)
_JAMO_JOINING = ((0x1160, 0x11FF), (0xD7B0, 0xD7FF))
"""Hangul vowels and finals, drawn into the syllable's first letter."""

_LATELY_WIDE = ((0x2630, 0x2637), (0x268A, 0x268F), (0x4DC0, 0x4DFF), (0x1D300, 0x1D376))
"""Two cells since Unicode 16.0; older tables, Python's own among them, say one."""


def clean(text: str, limit: int | None = None, lines: bool = False) -> str:
    """The text with nothing in it that could act: only what can be seen.

    Args:
        text: of unknown origin, any length.
        limit: most terminal cells the result may take; cut with `…` past it. None: all of it.
        lines: keep line breaks, as `\\n`; without it they become spaces.

    Returns:
        Text without control, format, private-use and unassigned characters. Cleaning it again
        changes nothing.

    >>> clean("a\\x1b[2Jb")
    'a␛[2Jb'
    >>> clean("two\\r\\nlines"), clean("two\\r\\nlines", lines=True)
    ('two lines', 'two\\nlines')
    >>> clean("Folding bench", limit=8)
    'Folding…'
    """
    # Most text is plain, and this is called for every cell drawn.
    if not (text.isascii() and text.isprintable()):
        text = _visible(text, lines, len(text) if limit is None else limit)
    return text if limit is None else cut(text, limit)


def cut(text: str, limit: int) -> str:
    """Cleaned text in at most `limit` cells, with `…` for what is left out."""
    if len(text) * 2 <= limit or cells(text) <= limit:
        return text
    if limit <= 0:
        return ""
    kept: list[str] = []
    used = 0
    for character in text:
        used += _cells(character)
        if used > limit - 1:
            break
        kept.append(character)
    return "".join(kept).rstrip() + ELLIPSIS


def cells(text: str) -> int:
    """How many terminal cells cleaned text takes; a line break counts as one."""
    if text.isascii():
        return len(text)
    return sum(map(_cells, text))


@lru_cache(maxsize=4096)
def _cells(character: str) -> int:
    point = ord(character)
    if _within(point, _JAMO_JOINING) or unicodedata.category(character).startswith("M"):
        return 0
    if unicodedata.east_asian_width(character) in "WF" or _within(point, _LATELY_WIDE):
        return 2
    return 1


def _visible(text: str, lines: bool, enough: int) -> str:
    """The cleaned text, or more than `enough` cells of it where it is longer than that."""
    kept: list[str] = []
    letters = 0
    marks = MARKS_A_LETTER  # no letter yet that a mark could stand on
    jamo = False
    for character in text.replace("\r\n", "\n"):
        shown = _picture(character)
        if shown == _MARK:
            if marks == MARKS_A_LETTER:
                continue
            marks += 1
            shown = character
            jamo = jamo or _within(ord(character), _JAMO_JOINING)
        elif shown == "\n":
            shown = "\n" if lines else " "
            marks = MARKS_A_LETTER if lines else 0
            letters += 1
        elif shown:
            marks = 0
            letters += 1
        kept.append(shown)
        if letters > enough:
            # Each letter takes a cell or two: what follows will be cut off in any case.
            break
    result = "".join(kept)
    # Letters of one syllable written apart become the syllable: last, since what stood between
    # them may just have gone.
    return unicodedata.normalize("NFC", result) if jamo else result


_MARK = "mark"


@lru_cache(maxsize=4096)
def _picture(character: str) -> str:
    """What is shown for one character: itself, another, nothing, a line break, or `_MARK`."""
    point = ord(character)
    if character in _LINE_BREAKS:
        return "\n"
    category = unicodedata.category(character)
    if character in _BLANKS or category == "Zs":
        return " "
    if point < 0x20:
        return chr(0x2400 + point)
    if point == 0x7F:
        return "␡"
    if category == "Cf" or _within(point, _INVISIBLE_RANGES):
        return ""
    if category.startswith("C"):
        return REPLACEMENT
    if category.startswith("M") or _within(point, _JAMO_JOINING):
        return _MARK
    return character


def _within(point: int, ranges: tuple[tuple[int, int], ...]) -> bool:
    # The tables rise; most text lies below their first entry.
    if point < ranges[0][0]:
        return False
    return any(first <= point <= last for first, last in ranges)
