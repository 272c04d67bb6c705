"""The edges of a form: its title on top, below the hint or what is wrong, and the keys."""

from collections.abc import Sequence
from typing import Protocol

from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from episodes.screens.forms.form import Form
from episodes.screens.line import Line, folded
from episodes.screens.marks import BOLD, FAINT, Marks

FOOT = 4


class Remarks(Protocol):
    """What stands under a form."""

    def remark(self) -> tuple[Style, str]:
        """What was just said, a fault of the whole, or the hint of the field."""

    def hints(self) -> Sequence[tuple[str, str]]:
        """The key line."""


class FormFoot(Widget, inherit_bindings=False):
    """Four rows under the fields: a rule, the hint or what is wrong, the keys."""

    def __init__(self, sheet: Remarks, marks: Marks) -> None:
        super().__init__()
        self._sheet = sheet
        self._marks = marks

    def render_line(self, y: int) -> Strip:
        line = Line(self.size.width, self._marks)
        if y == 0:
            line.put(self._marks.rule * line.width, FAINT)
        elif y < FOOT - 1:
            style, text = self._sheet.remark()
            pieces = folded(text, max(line.width - 2, 10))
            if len(pieces) > FOOT - 2:
                pieces[FOOT - 3] = " ".join(pieces[FOOT - 3 :])
            line.gap(1).put(pieces[y - 1] if y <= len(pieces) else "", style)
        else:
            line.gap(1)
            for shown, short in self._sheet.hints():
                if line.left > len(shown) + len(short) + 1:
                    line.put(shown, BOLD).put(f" {short}  ", FAINT)
        return line.strip().apply_style(self.rich_style)


class FormTitle(Widget, inherit_bindings=False):
    """The first row: what is being written, and where."""

    def __init__(self, form: Form, marks: Marks) -> None:
        super().__init__()
        self._form = form
        self._marks = marks

    def render_line(self, y: int) -> Strip:
        line = Line(self.size.width, self._marks)
        line.put(self._form.title, BOLD)
        return line.strip().apply_style(self.rich_style)
