"""One row of the screen, written cell by cell: cleaned, cut by cells, never wider than its room.

Every text that reaches the terminal through the screens goes through `Line.put`, which cleans it
(`exports.safe_text.clean`): a title cannot carry an escape code, a line break or a wide surprise.
"""

from functools import lru_cache

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from episodes.exports.safe_text import clean
from episodes.screens.looks import LOOK
from episodes.screens.marks import PLAIN, Marks


@lru_cache(maxsize=4096)
def fit(text: str, width: int, cut: str) -> str:
    """`text` cleaned and exactly `width` cells wide: padded with blanks or cut with the `cut` sign.

    >>> fit("Coat 1", 8, "~"), fit("Varnish the top", 8, "~")
    ('Coat 1  ', 'Varnish~')
    """
    if width <= 0:
        return ""
    safe = clean(text)
    if cell_len(safe) <= width:
        return set_cell_size(safe, width)
    return set_cell_size(safe, width - 1) + cut


class Line:
    """A row `width` cells wide, filled from the left. What does not fit is cut, and shows it."""

    __slots__ = ("_marks", "_segments", "at", "width")

    def __init__(self, width: int, marks: Marks) -> None:
        self.width = width
        self.at = 0
        self._marks = marks
        self._segments: list[Segment] = []

    @property
    def left(self) -> int:
        """Cells not yet written."""
        return self.width - self.at

    def put(self, text: str, style: Style = PLAIN, *, width: int | None = None) -> "Line":
        """Writes `text`; with `width`, in a column that wide."""
        room = self.left if width is None else min(width, self.left)
        if room <= 0:
            return self
        if width is None:
            safe = clean(text)
            cells = cell_len(safe)
            if cells > room:
                safe, cells = fit(text, room, self._marks.cut), room
        else:
            safe, cells = fit(text, room, self._marks.cut), room
        if safe:
            self._segments.append(Segment(safe, style))
            self.at += cells
        return self

    def right(self, text: str, width: int, style: Style = PLAIN) -> "Line":
        """Writes `text` at the right of a column `width` cells wide."""
        safe = clean(text)
        blank = min(width, self.left) - cell_len(safe)
        if blank > 0:
            self.gap(blank)
        return self.put(text, style, width=width - max(blank, 0))

    def gap(self, cells: int) -> "Line":
        """Writes that many blanks."""
        cells = min(cells, self.left)
        if cells > 0:
            self._segments.append(Segment(" " * cells, PLAIN))
            self.at += cells
        return self

    def to(self, column: int) -> "Line":
        """Blanks up to `column`; nothing where the writing is already past it."""
        return self.gap(column - self.at)

    def cells(self, shapes: str, styles: list[Style]) -> "Line":
        """Writes shapes of the band, one cell each; neighbours of one style become one segment."""
        shapes = shapes[: self.left]
        start = 0
        for i in range(1, len(shapes) + 1):
            if i == len(shapes) or styles[i] is not styles[start]:
                self._segments.append(Segment(shapes[start:i], styles[start]))
                start = i
        self.at += len(shapes)
        return self

    def strip(self) -> Strip:
        """The row as Textual draws it, blank to its full width."""
        if self.left > 0:
            self.gap(self.left)
        if LOOK.plain:
            return Strip(self._segments, self.width)
        styled = [Segment(text, LOOK.style(style or PLAIN)) for text, style, _ in self._segments]
        return Strip(styled, self.width)


def folded(text: str, width: int) -> list[str]:
    """Cleaned text in lines of at most `width` cells, broken at blanks where there are any.

    >>> folded("Waits for coat 2 to be dry.", 12)
    ['Waits for', 'coat 2 to be', 'dry.']
    """
    lines = [""]
    for word in clean(text).split(" "):
        joined = f"{lines[-1]} {word}" if lines[-1] else word
        if cell_len(joined) <= width:
            lines[-1] = joined
            continue
        if lines[-1]:
            lines.append("")
        while cell_len(word) > width > 1:
            head = set_cell_size(word, width).rstrip(" ")
            lines[-1] = head
            word = word[max(len(head), 1) :]
            lines.append("")
        lines[-1] = word
    return lines
