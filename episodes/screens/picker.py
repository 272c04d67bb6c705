"""A list laid over the page to choose from: typing narrows it, Enter takes a row, Esc none.

It finds rows of the season, runs commands by their names, and asks the few questions that a key
has to ask. A question may take what was typed itself, where it is no row of the list.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.geometry import Size
from textual.screen import ModalScreen
from textual.scroll_view import ScrollView
from textual.strip import Strip

from episodes.exports.safe_text import clean
from episodes.screens.line import Line
from episodes.screens.marks import ASCII, BOLD, FAINT, PLAIN, Marks
from episodes.screens.rail import set_rail

WIDEST = 76
LEAST_HEIGHT = 15
TOP = 3
"""Rows above the list: the title, what is typed, a rule."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A row: what it says, what stands faintly behind it, and what choosing it gives.

    Attributes:
        key: a letter that chooses it while nothing is typed.
    """

    text: str
    value: object
    more: str = ""
    key: str = ""


def narrowed(choices: Sequence[Choice], typed: str) -> list[Choice]:
    """The choices that hold every word typed, those first in which a word begins with it.

    >>> rows = [Choice("Sand the walls", 1), Choice("Tiles", 2, "thousand"), Choice("Oil", 3)]
    >>> [each.value for each in narrowed(rows, "sand")]
    [1, 2]
    """
    words = typed.casefold().split()
    if not words:
        return list(choices)
    found = []
    for number, each in enumerate(choices):
        text = f"{each.text} {each.more}".casefold()
        if all(word in text for word in words):
            at = text.find(words[0])
            begins = at == 0 or not text[at - 1].isalnum()
            inside = words[0] in each.text.casefold()
            found.append((not (begins and inside), not inside, number, each))
    return [each for *_, each in sorted(found, key=lambda row: row[:3])]


class Rows(ScrollView, can_focus=True, inherit_bindings=False):
    """The rows, with what is typed above them."""

    def __init__(self, picker: "Picker", marks: Marks) -> None:
        super().__init__()
        self._picker = picker
        self._marks = marks
        self.typed = ""
        self.here = 0
        self.shown: list[Choice] = list(picker.choices)

    def on_resize(self) -> None:
        self._lay_out()

    def _lay_out(self) -> None:
        self.virtual_size = Size(self.scrollable_content_region.width, len(self.shown) + TOP)
        self._into_sight()
        self.refresh()

    def _into_sight(self) -> None:
        top, seen = self.scroll_offset.y, self.size.height - TOP
        if seen > 0 and not top <= self.here < top + seen:
            goal = self.here if self.here < top else self.here - seen + 1
            self.scroll_to(y=goal, animate=False, immediate=True, force=True)

    # -- drawing

    def render_line(self, y: int) -> Strip:
        width = self.scrollable_content_region.width
        line = Line(width, self._marks)
        if y == 0:
            line.put(self._picker.title_text, BOLD)
        elif y == 1:
            self._draw_typed(line)
        elif y == 2:
            line.put(self._marks.rule * width, FAINT)
        else:
            self._draw_row(line, y - TOP + self.scroll_offset.y)
        return line.strip().apply_style(self.rich_style)

    def _draw_typed(self, line: Line) -> None:
        line.put(f"{self._picker.asks} ", FAINT)
        if self.typed:
            line.put(self.typed, BOLD)
        line.put("_")
        if not self.typed and self._picker.hint:
            line.gap(1).put(self._picker.hint, FAINT)

    def _draw_row(self, line: Line, row: int) -> None:
        if not self.shown:
            if row == 0:
                line.gap(2).put(self._picker.nothing(self.typed), FAINT)
            return
        if row >= len(self.shown):
            return
        each = self.shown[row]
        here = row == self.here
        line.put(self._marks.cursor if here else " ", BOLD).gap(1)
        if self._picker.letters:
            line.put(each.key, BOLD, width=2)
        more = min(cell_len(clean(each.more)), line.left // 2) if each.more else 0
        line.put(each.text, BOLD if here else PLAIN, width=line.left - more - (2 if more else 0))
        if more:
            line.gap(2).put(each.more, FAINT, width=more)

    # -- keys and mouse

    def on_key(self, event: events.Key) -> None:
        event.stop()
        event.prevent_default()
        page = max(self.size.height - TOP - 1, 1)
        moves = {"down": 1, "up": -1, "pagedown": page, "pageup": -page, "ctrl+d": page // 2,
                 "ctrl+u": -page // 2, "tab": 1, "shift+tab": -1, "home": -len(self.shown),
                 "end": len(self.shown)}  # fmt: skip
        if event.key in moves:
            self.to(self.here + moves[event.key])
        elif event.key == "enter":
            self._take()
        elif event.key == "escape":
            self.screen.dismiss(None)
        elif event.key in ("backspace", "ctrl+h"):
            self._type(self.typed[:-1])
        elif event.key == "ctrl+w":
            self._type(self.typed.rstrip().rpartition(" ")[0])
        elif event.character is not None and event.is_printable:
            self._letter(event.character)

    def _letter(self, character: str) -> None:
        if not self.typed and self._picker.letters:
            chosen = next((each for each in self.shown if each.key == character), None)
            if chosen is not None:
                self.screen.dismiss(chosen.value)
                return
        self._type(self.typed + character)

    def on_paste(self, event: events.Paste) -> None:
        event.stop()
        self._type(self.typed + " ".join(event.text.split()))

    def _type(self, text: str) -> None:
        self.typed = text[:200]
        self.shown = narrowed(self._picker.choices, self.typed)
        self.here = 0
        self._lay_out()

    def to(self, row: int) -> None:
        """Puts the cursor on a row."""
        self.here = max(0, min(row, len(self.shown) - 1))
        self._into_sight()
        self.refresh()

    def _take(self) -> None:
        typed = self._picker.takes(self.typed) if self._picker.takes is not None else None
        if typed is not None and (not self.shown or self.typed):
            self.screen.dismiss(typed)
        elif self.shown:
            self.screen.dismiss(self.shown[self.here].value)

    def on_click(self, event: events.Click) -> None:
        event.stop()
        inside = event.get_content_offset(self)
        if inside is None or inside.y < TOP:
            return
        row = inside.y - TOP + self.scroll_offset.y
        if row < len(self.shown):
            self.to(row)
            self._take()


class Picker(ModalScreen[object]):
    """The list in its frame, under the verdict.

    Args:
        title: what is chosen.
        choices: its rows.
        asks: what stands before what is typed.
        hint: what can be typed, shown until something is.
        takes: gives a value for a text that was typed, None where it is none.
        nothing: what to say where no row holds what was typed.
    """

    CSS = """
    Picker { align: center top; background: transparent; }
    Picker Rows {
        border: round ansi_default; padding: 0 1; margin: 3 0 0 0;
        background: ansi_default; color: ansi_default;
        overflow-x: hidden; overflow-y: auto; scrollbar-gutter: stable; scrollbar-size-vertical: 1;
    }
    Picker.small Rows { margin: 0; }
    Picker.ascii Rows { border: ascii ansi_default; }
    """

    def __init__(
        self,
        title: str,
        choices: Sequence[Choice],
        marks: Marks,
        *,
        asks: str = "find",
        hint: str = "",
        takes: Callable[[str], object | None] | None = None,
        nothing: Callable[[str], str] = lambda typed: f'nothing holds "{typed}"',
    ) -> None:
        super().__init__(classes="ascii" if marks is ASCII else "")
        self.title_text = title
        self.choices = tuple(choices)
        self.letters = any(each.key for each in choices)
        self.asks = asks
        self.hint = hint
        self.takes = takes
        self.nothing = nothing
        self._marks = marks
        self._rows = Rows(self, marks)

    def compose(self) -> ComposeResult:
        yield self._rows

    def on_mount(self) -> None:
        set_rail(self._rows, self._marks)
        self._fit(self.app.size)
        self._rows.focus()

    def on_resize(self, event: events.Resize) -> None:
        self._fit(event.size)

    def _fit(self, size: Size) -> None:
        low = size.height < LEAST_HEIGHT
        self.set_class(low, "small")
        self._rows.styles.width = min(WIDEST, max(size.width - 4, 16))
        room = size.height if low else size.height - 3
        self._rows.styles.height = min(max(len(self.choices), 1) + TOP + 2, room)

    def on_click(self, event: events.Click) -> None:
        if event.widget is self:
            self.dismiss(None)
