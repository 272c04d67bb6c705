"""The sheet that a form is filled in on: a field a row, what is wrong with it right below it."""

from collections.abc import Sequence

from rich.style import Style
from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.geometry import Size
from textual.screen import ModalScreen
from textual.timer import Timer

from episodes.screens.forms.edges import FOOT, FormFoot, FormTitle
from episodes.screens.forms.editor import typed
from episodes.screens.forms.fields import Typed
from episodes.screens.forms.form import Form, Outcome
from episodes.screens.forms.rows import Fields
from episodes.screens.marks import ASCII, BOLD, FAINT, Marks
from episodes.screens.rail import set_rail

WIDEST = 64
LEAST_HEIGHT = 15
PAUSE = 0.15
"""Seconds without a key after which what is typed is read with the season."""
SLOW = 0.2
"""Seconds of a reading past which it is no longer done while typing, but when a field is left."""
LOOK_EVERY = 1.0
"""Seconds between looks at whether the file has changed meanwhile."""


class FormSheet(ModalScreen[Outcome | None]):
    """A form in its frame, under the verdict. Ends with what was written, None for nothing."""

    CSS = """
    FormSheet { align: center top; background: transparent; }
    FormSheet Vertical {
        border: round ansi_default; padding: 0 1; margin: 3 0 0 0;
        background: ansi_default; color: ansi_default;
    }
    FormSheet.small Vertical { margin: 0; }
    FormSheet.ascii Vertical { border: ascii ansi_default; }
    FormSheet Fields {
        height: 1fr; overflow-x: hidden; overflow-y: auto; scrollbar-gutter: stable;
        scrollbar-size-vertical: 1; background: ansi_default; color: ansi_default;
    }
    FormSheet FormTitle { height: 1; }
    FormSheet FormFoot { height: 4; }
    """

    def __init__(self, form: Form, marks: Marks) -> None:
        super().__init__(classes="ascii" if marks is ASCII else "")
        self.form = form
        self._marks = marks
        self._fields = Fields(form, marks, self)
        self._foot = FormFoot(self, marks)
        self._box = Vertical(FormTitle(form, marks), self._fields, self._foot)
        self._timer: Timer | None = None
        self._leaving = False
        self._said = ""
        self._fitted = (0, 0, False)

    def compose(self) -> ComposeResult:
        yield self._box

    def on_mount(self) -> None:
        set_rail(self._fields, self._marks)
        self._fields.focus()
        self._fields.lay_out()
        self._fit(self.app.size)
        self.set_interval(LOOK_EVERY, self._look)

    def on_resize(self, event: events.Resize) -> None:
        self._fit(event.size)

    def _fit(self, size: Size) -> None:
        width = min(WIDEST, max(size.width - 2, 16))
        low = size.height < LEAST_HEIGHT
        room = size.height if low else size.height - 3
        # With room for a fault or two, and never smaller again: a new height lays everything out
        # anew, and a frame that jumps while one types is no help.
        before = self._fitted[1] if self._fitted[0] == width else 0
        height = min(max(self._fields.wanted() + FOOT + 7, before), room)
        if (width, height, low) != self._fitted:
            self._fitted = (width, height, low)
            self.set_class(low, "small")
            self._box.styles.width = width
            self._box.styles.height = height

    # -- what the foot says

    def remark(self) -> tuple[Style, str]:
        """What stands under the fields: what was just said, a fault of the whole, or the hint."""
        if self._said:
            return BOLD, self._said
        if self.form.faults:
            return BOLD, self.form.faults[0]
        here = self._fields.typed_in
        if here.locked and not here.field.fixed:
            return FAINT, "Written in a form that is changed in the file alone."
        return FAINT, here.field.hint

    def hints(self) -> Sequence[tuple[str, str]]:
        """The key line."""
        here = self._fields.typed_in
        own: list[tuple[str, str]] = []
        if here.field.choices:
            own.append((self._marks.arrows, "choose"))
        elif here.field.offers is not None:
            own.append(("Tab", "complete"))
        return [
            ("Enter", self.form.enters),
            ("Esc", "leave"),
            *own,
            (self._marks.up_down, "field"),
            *self.form.hints(),
        ]

    def show(self) -> None:
        """Draws everything again."""
        self._fields.lay_out()
        self._foot.refresh()
        self._fit(self.app.size)
        at = self._fields.cursor_offset()
        if at is not None:
            self.app.cursor_position = at

    # -- keys

    def on_key(self, event: events.Key) -> None:
        """Keys typed before the fields have the focus; afterwards those take them."""
        self._fields.on_key(event)

    def press(self, key: str, character: str | None) -> None:
        said, self._said = self._said, ""
        leaving, self._leaving = self._leaving, False
        here = self._fields.typed_in
        if key in ("enter", "ctrl+s"):
            self._save()
            return
        if key == "escape":
            self._leave(leaving)
            return
        if self.form.press(key):
            self._fields.here = self.form.cursor(self._fields.here)
            self._changed()
        elif key == "tab" and not here.field.choices and here.complete():
            self._changed()
        elif key in ("tab", "down", "shift+tab", "up"):
            by = 1 if key in ("tab", "down") else -1
            self._fields.to((self._fields.here + by) % max(len(self.form.fields), 1))
        elif key in ("pagedown", "pageup"):
            self._fields.turn(1 if key == "pagedown" else -1)
            return
        elif key == "ctrl+z":
            here.put_back()
            self._changed()
        elif not here.locked:
            self._edit(here, key, character)
        else:
            self._said = said
        self.show()

    def _edit(self, here: Typed, key: str, character: str | None) -> None:
        if here.field.choices:
            if key in ("left", "right", "space"):
                here.turn(-1 if key == "left" else 1)
            elif key in ("backspace", "delete"):
                here.editor.set("")
            elif character is None or not here.choose(character):
                return
        elif character is not None:
            here.settle()
            if not here.editor.insert(typed(character)):
                self._said = "That is as much as a field takes."
        elif here.editor.press(key):
            here.settle()
        else:
            return
        self._changed()

    def paste(self, text: str) -> None:
        """Text pasted from elsewhere goes in as it is, but for the line breaks of names."""
        here = self._fields.typed_in
        if here.locked or here.field.choices:
            return
        here.settle()
        text = text.replace("\r\n", "\n").replace("\r", "\n").rstrip("\n")
        if self.form.paste(self._fields.here, text):
            self._changed()
            self.show()
            return
        if not self.form.takes_lines(here.field):
            text = ", ".join(text.splitlines()) if here.field.many else " ".join(text.splitlines())
        if not here.editor.insert(text):
            self._said = "That is longer than a field takes: nothing was put in."
        self._changed()
        self.show()

    # -- looking at what is typed

    def _changed(self) -> None:
        self.form.typed()
        if self._timer is not None:
            self._timer.stop()
            self._timer = None
        if self.form.took <= SLOW:
            self._timer = self.set_timer(PAUSE, self.look_now)

    def left_field(self) -> None:
        """A field was left: what is typed is looked at, however long that takes."""
        if self.form.stale:
            self.look_now()

    def look_now(self) -> None:
        """Reads the season with what is typed, and shows what is wrong where it stands."""
        if self._timer is not None:
            self._timer.stop()
            self._timer = None
        self.form.look()
        self.show()

    def _look(self) -> None:
        """Has the file changed meanwhile?"""
        said = self.form.changed_outside()
        if said:
            self._said = said
            self.look_now()

    # -- leaving

    def _save(self) -> None:
        outcome = self.form.save()
        if outcome is not None:
            self.dismiss(outcome)
            return
        self._said = self.form.said
        first = next((i for i, each in enumerate(self.form.fields) if each.faults), None)
        if first is not None:
            self._fields.here = first
        self.show()

    def _leave(self, sure: bool) -> None:
        if self.form.touched and not sure:
            self._leaving = True
            self._said = "What is typed is not written: Esc once more leaves it, Enter writes it."
            self.show()
            return
        self.dismiss(None)

    def on_click(self, event: events.Click) -> None:
        if event.widget is self:
            self._leave(self._leaving)
