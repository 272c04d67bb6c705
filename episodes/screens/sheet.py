"""A sheet laid over the page: a title and lines to read, closed by Esc, Enter or its own key."""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.style import Style
from textual import events
from textual.app import ComposeResult
from textual.geometry import Size
from textual.screen import ModalScreen
from textual.scroll_view import ScrollView
from textual.strip import Strip

from episodes.screens.line import Line, folded
from episodes.screens.marks import ASCII, BOLD, FAINT, PLAIN, Marks
from episodes.screens.rail import set_rail

WIDEST = 76
LEAST_HEIGHT = 15
_CLOSING = frozenset(("escape", "enter", "q", "question_mark", "w", "space"))


@dataclass(frozen=True, slots=True)
class Said:
    """A line of a sheet: text in one style behind a label in a column of its own."""

    text: str = ""
    label: str = ""
    style: Style = PLAIN


class Reading(ScrollView, can_focus=True, inherit_bindings=False):
    """The lines of a sheet, folded to its width."""

    def __init__(self, title: str, lines: Sequence[Said], marks: Marks) -> None:
        super().__init__()
        self._title = title
        self._said = tuple(lines)
        self._marks = marks
        self._rows: list[Line] = []
        self._label = max((len(each.label) for each in lines if each.text), default=0)

    def on_resize(self) -> None:
        self._fold()

    def _fold(self) -> None:
        width = self.scrollable_content_region.width
        label = min(self._label + 2, width // 3) if self._label else 0
        self._rows = [Line(width, self._marks).put(self._title, BOLD), Line(width, self._marks)]
        for each in self._said:
            if each.label and not each.text:
                self._rows.append(Line(width, self._marks).put(each.label, BOLD))
                continue
            for number, piece in enumerate(folded(each.text, width - label)):
                line = Line(width, self._marks)
                line.put(each.label if not number else "", FAINT, width=label)
                self._rows.append(line.put(piece, each.style))
        self.virtual_size = Size(width, len(self._rows))
        self.refresh()

    def wanted(self, width: int) -> int:
        """Rows it takes at a width."""
        label = min(self._label + 2, width // 3) if self._label else 0
        return 2 + sum(
            1 if each.label and not each.text else len(folded(each.text, width - label))
            for each in self._said
        )

    def render_line(self, y: int) -> Strip:
        row = y + self.scroll_offset.y
        width = self.scrollable_content_region.width
        line = self._rows[row] if row < len(self._rows) else Line(width, self._marks)
        return line.strip().apply_style(self.rich_style)

    def on_key(self, event: events.Key) -> None:
        event.stop()
        page = max(self.size.height - 1, 1)
        moves = {
            "down": 1, "j": 1, "up": -1, "k": -1, "pagedown": page, "pageup": -page,
            "ctrl+d": page // 2, "ctrl+u": -page // 2,
        }  # fmt: skip
        if event.key in moves:
            self.scroll_to(y=self.scroll_offset.y + moves[event.key], animate=False, force=True)
        elif event.key in _CLOSING:
            self.screen.dismiss()


class Sheet(ModalScreen[None]):
    """The sheet in its frame, in the middle of the screen; a click beside it closes it."""

    CSS = """
    Sheet { align: center top; background: transparent; }
    Sheet Reading {
        border: round ansi_default; padding: 0 1; margin: 3 0 0 0;
        background: ansi_default; color: ansi_default;
        overflow-x: hidden; overflow-y: auto; scrollbar-gutter: stable; scrollbar-size-vertical: 1;
    }
    Sheet.small Reading { margin: 0; }
    Sheet.ascii Reading { border: ascii ansi_default; }
    """

    def __init__(self, title: str, lines: Sequence[Said], marks: Marks) -> None:
        super().__init__(classes="ascii" if marks is ASCII else "")
        self._reading = Reading(title, lines, marks)
        self._marks = marks

    def compose(self) -> ComposeResult:
        yield self._reading

    def on_mount(self) -> None:
        set_rail(self._reading, self._marks)
        self._fit(self.app.size)
        self._reading.focus()

    def on_resize(self, event: events.Resize) -> None:
        self._fit(event.size)

    def _fit(self, size: Size) -> None:
        width = min(WIDEST, max(size.width - 4, 16))
        self._reading.styles.width = width
        low = size.height < LEAST_HEIGHT
        self.set_class(low, "small")
        # The head with the verdict stays in sight above it.
        room = size.height if low else size.height - 3
        self._reading.styles.height = min(self._reading.wanted(width - 5) + 2, room)

    def on_click(self, event: events.Click) -> None:
        if event.widget is self:
            self.dismiss()
