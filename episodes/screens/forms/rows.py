"""The fields of a form as rows: label and value, what was understood, what is wrong, what fits."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from rich.style import Style
from textual import events
from textual.geometry import Offset, Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from episodes.screens.forms.editor import typed
from episodes.screens.forms.fields import Field, Typed
from episodes.screens.forms.form import Form
from episodes.screens.line import Line, folded
from episodes.screens.marks import ALARM, BOLD, FAINT, PLAIN, REVERSED, Marks

LABEL = 14


class Keys(Protocol):
    """Who the keys go to."""

    def press(self, key: str, character: str | None) -> None:
        """A key, and the letter that it types if it is one."""

    def paste(self, text: str) -> None:
        """Text pasted."""

    def left_field(self) -> None:
        """The cursor has gone to another field."""


@dataclass(frozen=True, slots=True)
class _Row:
    """A row of the sheet: what is drawn, and the field it belongs to (-1: none)."""

    draw: Callable[[Line], Line]
    field: int = -1
    own: bool = False
    """The field's own row, on which its cursor stands."""


_NOTHING = Typed(Field(key="", fixed=True), None)


class Fields(ScrollView, can_focus=True, inherit_bindings=False):
    """The rows of a form, drawn line by line."""

    def __init__(self, form: Form, marks: Marks, sheet: Keys) -> None:
        super().__init__()
        self.form = form
        self.marks = marks
        self.here = 0
        self._sheet = sheet
        self._rows: list[_Row] = []

    # -- rows

    def lay_out(self) -> None:
        """Works out the rows anew: a key was pressed, a fault has come or gone."""
        width = self.scrollable_content_region.width or self.size.width
        rows: list[_Row] = []
        for number, typed_in in enumerate(self.form.fields):
            rows += self._rows_of(number, typed_in, max(width, 20))
        for text in self.form.lines():
            rows += [_said(piece, PLAIN) for piece in folded(text, max(width - 1, 10))]
        self._rows = rows
        self.virtual_size = Size(width, len(rows))
        self._into_sight()
        self.refresh()

    def _rows_of(self, number: int, typed_in: Typed, width: int) -> list[_Row]:
        field = typed_in.field
        rows: list[_Row] = []
        if field.head:
            rows += [_said("", PLAIN)] if number else []
            rows.append(_said(field.head, FAINT))
        rows.append(_Row(lambda line: self._draw_field(line, number, typed_in), number, True))
        for piece in folded(typed_in.echo, width - LABEL) if typed_in.echo else ():
            rows.append(_Row(_put_at(LABEL, piece, FAINT), number))
        for fault in typed_in.faults:
            for piece in folded(fault, width - LABEL - 2):
                rows.append(_indented(piece, BOLD, number))
        if number == self.here:
            for index, offer in enumerate(typed_in.offered):
                style = REVERSED if index == typed_in.taken else FAINT
                rows.append(_offered(offer.word, offer.means, style, number))
        return rows

    def _draw_field(self, line: Line, number: int, typed_in: Typed) -> Line:
        here = number == self.here
        line.put(self.marks.cursor if here else " ", BOLD)
        line.put(typed_in.field.shown, BOLD if here else FAINT, width=LABEL - 2).to(LABEL)
        room = line.left
        if typed_in.locked:
            return line.put(typed_in.text, PLAIN, width=room)
        if not here:
            if not typed_in.text and typed_in.inherited:
                return line.put(f"({typed_in.inherited})", FAINT, width=room)
            return line.put(typed_in.text, BOLD if typed_in.touched else PLAIN, width=room)
        before, under, after = typed_in.editor.seen(room)
        line.put(before).put(under, REVERSED).put(after)
        if not typed_in.text and typed_in.inherited and line.left > 1:
            line.put(f"({typed_in.inherited})", FAINT)
        return line

    @property
    def typed_in(self) -> Typed:
        """The field that keys go to; one that takes nothing where the form has none."""
        return self.form.fields[self.here] if self.form.fields else _NOTHING

    def wanted(self) -> int:
        """Rows it takes in all."""
        return len(self._rows)

    def _into_sight(self) -> None:
        """Scrolls so that the field with its faults and offers is seen, its own row first."""
        mine = [row for row, each in enumerate(self._rows) if each.field == self.here]
        height = self.size.height
        if not mine or height <= 0:
            return
        first, last, top = mine[0], mine[-1], self.scroll_offset.y
        if first and self._rows[first - 1].field < 0:
            first -= 1
        if first < top or last - first >= height:
            self.scroll_to(y=first, animate=False, immediate=True, force=True)
        elif last >= top + height:
            self.scroll_to(y=last - height + 1, animate=False, immediate=True, force=True)

    def turn(self, by: int) -> None:
        """A screenful down or up: what stands below the fields comes into sight."""
        page = max(self.size.height - 1, 1)
        self.scroll_to(y=self.scroll_offset.y + by * page, animate=False, force=True)

    def render_line(self, y: int) -> Strip:
        row = y + self.scroll_offset.y
        line = Line(self.scrollable_content_region.width, self.marks)
        if row < len(self._rows):
            line = self._rows[row].draw(line)
        return line.strip().apply_style(self.rich_style)

    def cursor_offset(self) -> Offset | None:
        """Where the text cursor stands on the screen: input methods show their window there."""
        for row, each in enumerate(self._rows):
            if each.own and each.field == self.here:
                before, _, _ = self.typed_in.editor.seen(max(self.size.width - LABEL, 1))
                at = Offset(LABEL + len(before), row - self.scroll_offset.y)
                return at + self.content_region.offset
        return None

    # -- keys

    def to(self, number: int) -> None:
        """Goes to a field; the one that is left is looked at."""
        number = max(0, min(number, len(self.form.fields) - 1))
        if self.form.fields and number != self.here:
            self.typed_in.settle()
            self.here = number
            self._sheet.left_field()
        self.lay_out()

    def on_key(self, event: events.Key) -> None:
        event.stop()
        event.prevent_default()
        self._sheet.press(event.key, event.character if event.is_printable else None)

    def on_paste(self, event: events.Paste) -> None:
        event.stop()
        self._sheet.paste(typed(event.text))

    def on_click(self, event: events.Click) -> None:
        row = event.y + self.scroll_offset.y
        if row < len(self._rows) and self._rows[row].field >= 0:
            self.to(self._rows[row].field)

    def on_resize(self) -> None:
        self.lay_out()


def _said(text: str, style: Style) -> _Row:
    return _Row(lambda line: line.gap(1).put(text, style))


def _put_at(column: int, text: str, style: Style) -> Callable[[Line], Line]:
    return lambda line: line.to(column).put(text, style)


def _indented(text: str, style: Style, field: int) -> _Row:
    return _Row(lambda line: line.to(LABEL - 2).put("! ", ALARM).put(text, style), field)


def _offered(word: str, means: str, style: Style, field: int) -> _Row:
    def draw(line: Line) -> Line:
        line.to(LABEL).put(word, style, width=min(max(len(word), 16), line.left))
        return line.put(f"  {means}" if means else "", FAINT)

    return _Row(draw, field)
