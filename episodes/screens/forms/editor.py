"""One line of text being edited: the text as typed, the cursor, and what of it is seen.

The text may hold anything, also what must never reach a terminal: escape codes pasted from
somewhere, marks that turn the reading order round. Each letter is shown by its picture
(`exports.safe_text.clean`) and kept as it is. The library's own input widget draws such text
unchanged, which is why this is not one.
"""

import unicodedata

from rich.cells import cell_len

from episodes.exports.safe_text import REPLACEMENT, clean

LONGEST = 20_000
"""Letters that a field takes; the reader of the files refuses longer text."""
_BREAK = "␊"


class Editor:
    """A line of text and a cursor in it; `at` counts letters, a mark belongs to its letter."""

    def __init__(self, text: str = "") -> None:
        self.letters = _letters(text)
        self.at = len(self.letters)

    @property
    def text(self) -> str:
        return "".join(self.letters)

    def set(self, text: str) -> None:
        """Other text, the cursor behind it."""
        self.letters = _letters(text)
        self.at = len(self.letters)

    def insert(self, text: str) -> bool:
        """Puts text in at the cursor; False where it would be too long to be a value."""
        if sum(map(len, self.letters)) + len(text) > LONGEST:
            return False
        before, after = "".join(self.letters[: self.at]) + text, "".join(self.letters[self.at :])
        head = _letters(before)
        self.letters = _letters(before + after)
        self.at = min(len(head), len(self.letters))
        return True

    def press(self, key: str) -> bool:
        """Does what an editing key does; False for a key that is none."""
        match key:
            case "left":
                self.at = max(self.at - 1, 0)
            case "right":
                self.at = min(self.at + 1, len(self.letters))
            case "home" | "ctrl+a":
                self.at = 0
            case "end" | "ctrl+e":
                self.at = len(self.letters)
            case "ctrl+left":
                self.at = self._word(-1)
            case "ctrl+right":
                self.at = self._word(1)
            case "backspace":
                self._delete(self.at - 1, self.at)
            case "delete" | "ctrl+d":
                self._delete(self.at, self.at + 1)
            case "ctrl+w" | "ctrl+backspace":
                self._delete(self._word(-1), self.at)
            case "ctrl+u":
                self._delete(0, self.at)
            case "ctrl+k":
                self._delete(self.at, len(self.letters))
            case _:
                return False
        return True

    def _delete(self, start: int, end: int) -> None:
        start, end = max(start, 0), min(end, len(self.letters))
        if start < end:
            del self.letters[start:end]
            self.at = start

    def _word(self, by: int) -> int:
        """The start of the word before the cursor, or the end of the one after it."""
        at, end = self.at, 0 if by < 0 else len(self.letters)

        def in_word() -> bool:
            return self.letters[at - 1 if by < 0 else at].isalnum()

        while at != end and not in_word():
            at += by
        while at != end and in_word():
            at += by
        return at

    def seen(self, width: int) -> tuple[str, str, str]:
        """What is drawn in a column: before the cursor, under it, behind it.

        The part under the cursor is a blank at the end of the text. All three together take no
        more than `width` cells, and the cursor is in them.
        """
        shown = [picture(letter) for letter in self.letters] + [" "]
        first = self.at
        room = width - cell_len(shown[self.at])
        while first > 0 and room - cell_len(shown[first - 1]) >= 0:
            first -= 1
            room -= cell_len(shown[first])
        last = self.at + 1
        while last < len(shown) and room - cell_len(shown[last]) >= 0:
            room -= cell_len(shown[last])
            last += 1
        before, after = "".join(shown[first : self.at]), "".join(shown[self.at + 1 : last])
        return before, shown[self.at], after


def picture(letter: str) -> str:
    """What is shown for one letter: never nothing, so that the cursor can stand on it."""
    if letter in "\n\r":
        return _BREAK
    return clean(letter) or REPLACEMENT


def typed(text: str) -> str:
    """Text that came from a terminal, as it can be kept: halves of a surrogate pair are none."""
    return "".join(REPLACEMENT if 0xD800 <= ord(char) <= 0xDFFF else char for char in text)


def _letters(text: str) -> list[str]:
    """The text cut into letters, each with the marks on it."""
    found: list[str] = []
    for char in text:
        if found and unicodedata.category(char).startswith("M") and found[-1].isprintable():
            found[-1] += char
        else:
            found.append(char)
    return found
