"""A page that is a list over an answer worked out elsewhere: rows, or what is said instead."""

from abc import abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from episodes.screens.errands import Failed
from episodes.screens.line import Line
from episodes.screens.marks import BOLD, FAINT, UNICODE, Marks
from episodes.screens.page import Page, Stage, Target
from episodes.screens.sheet import Said
from episodes.screens.sitting import Sitting


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of the list.

    Attributes:
        name: stays the same from answer to answer, so the cursor can find its row again.
        draw: writes it behind the cursor's three cells; told whether the cursor is on it.
        foot: what is selected, and what else there is to say of it.
        sheet: everything about it; () for a heading, which the cursor passes over.
        target: what Enter opens elsewhere.
    """

    name: str
    draw: Callable[[Line, bool], Line]
    foot: tuple[str, str] = ("", "")
    sheet: Sequence[Said] = ()
    title: str = ""
    target: Target | None = None


class ListPage(Page):
    """Rows over the answer to a long question; the page opens before it is there."""

    looks_for: ClassVar[str] = ""
    """What is said while it is worked out."""

    def __init__(self, sitting: Sitting, stage: Stage, marks: Marks = UNICODE) -> None:
        super().__init__(sitting, stage, marks)
        self.rows: list[Row] = []
        self.said: list[str] = []
        """Lines under the rows, or where there are none."""

    @abstractmethod
    def answer(self) -> object | None:
        """The answer, a `Failed`, or None while it is worked out."""

    @abstractmethod
    def fill(self, answer: object) -> None:
        """Puts rows and lines for an answer."""

    def build(self) -> None:
        before = self.here.name if self.here is not None else ""
        self.rows, self.said = [], []
        found = self.answer()
        if found is None:
            seconds = self.stage.counting.waiting(self.waits_for)
            self.said = [f"{self.looks_for} ..." + (f" {seconds} s" if seconds else "")]
        elif isinstance(found, Failed):
            self.said = [f"No answer: {found.text}"]
        else:
            self.fill(found)
        for index, row in enumerate(self.rows):
            if row.name == before and before:
                self.cursor = index
        self.settle()

    @property
    def here(self) -> Row | None:
        """The row that the cursor is on."""
        return self.rows[self.cursor] if self.cursor < len(self.rows) else None

    @property
    def length(self) -> int:
        return len(self.rows) + len(self.said) + bool(self.rows and self.said)

    def selectable(self, row: int) -> bool:
        return row < len(self.rows) and bool(self.rows[row].sheet)

    def draw(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        if row < len(self.rows):
            each = self.rows[row]
            here = row == self.cursor and bool(each.sheet)
            line.put(self.marks.cursor if here else " ", BOLD)
            return each.draw(line, here)
        row -= len(self.rows) + bool(self.rows)
        return line.gap(3).put(self.said[row], FAINT) if row >= 0 else line

    def target(self) -> Target | None:
        return self.here.target if self.here is not None else None

    def foot(self) -> tuple[str, str]:
        return self.here.foot if self.here is not None else ("", "")

    def open_at(self, target: Target) -> None:
        self.build()
        self.redraw()

    def enter(self) -> None:
        self.look_closer()

    def enters(self) -> str:
        return "look closer"

    def look_closer(self) -> None:
        """Opens the sheet of the row."""
        if self.here is not None and self.here.sheet:
            self.stage.read(self.here.title, self.here.sheet)
