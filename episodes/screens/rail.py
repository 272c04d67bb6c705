"""The scroll bar: one shape on a blank ground, so that it can be ASCII and follows the terminal."""

from rich.color import Color
from rich.segment import Segment, Segments
from rich.style import Style
from textual.scrollbar import ScrollBarRender
from textual.widget import Widget

from episodes.screens.marks import ASCII, Marks

_NO_COLOUR = Color.default()


class Rail(ScrollBarRender):
    """The scroll bar in one shape on a blank ground: no colours to mix, so it can be ASCII too."""

    mark = "│"

    @classmethod
    def render_bar(
        cls,
        size: int = 25,
        virtual_size: float = 50,
        window_size: float = 20,
        position: float = 0,
        thickness: int = 1,
        vertical: bool = True,
        back_color: Color = _NO_COLOUR,
        bar_color: Color = _NO_COLOUR,
    ) -> Segments:
        if not (window_size and size and virtual_size > size):
            return Segments([Segment(" ")] * size, new_lines=True)
        length = max(round(window_size * size / virtual_size), 1)
        room = size - length
        first = round(room * position / max(virtual_size - window_size, 1))
        above = {"@mouse.down": "scroll_up"}
        below = {"@mouse.down": "scroll_down"}
        grab = {"@mouse.down": "grab"}
        bar = [
            Segment(cls.mark, Style(meta=grab))
            if first <= row < first + length
            else Segment(" ", Style(meta=above if row < first else below))
            for row in range(size)
        ]
        return Segments(bar, new_lines=True)


class AsciiRail(Rail):
    """The same without Unicode."""

    mark = ":"


def set_rail(widget: Widget, marks: Marks) -> None:
    """Gives a widget's vertical scroll bar this look."""
    widget.vertical_scrollbar.renderer = AsciiRail if marks is ASCII else Rail  # type: ignore[misc]
