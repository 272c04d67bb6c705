"""The one widget that draws every page, line by line, from strips it keeps.

A key that moves the cursor draws two lines anew, not the page; at an edge the page scrolls by
half its height at once, because every scroll repaints the whole region.
"""

from collections.abc import Callable

from textual import events
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from episodes.screens.line import Line
from episodes.screens.page import Page
from episodes.screens.rail import set_rail


class Body(ScrollView, can_focus=True, inherit_bindings=False):
    """Shows one page. Keys go to `press`, clicks to the page."""

    class Clicked(Message):
        """The page has changed by a click: head and foot are to be drawn again."""

    class Pasted(Message):
        """Text was pasted on a page."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def __init__(self, page: Page, press: Callable[[str], bool]) -> None:
        super().__init__()
        self.page = page
        self._press = press
        self._kept: dict[tuple[int, int, bool], Strip] = {}

    def on_mount(self) -> None:
        set_rail(self, self.page.marks)

    def show(self, page: Page) -> None:
        """Draws another page, or the same one after its rows have changed."""
        self.page = page
        page.sized(*self._room())
        page.build()
        page.redraw()
        self.follow()

    def follow(self) -> None:
        """Draws what the page says is stale, and scrolls to its cursor."""
        stale = self.page.take_stale()
        if stale is None:
            self._kept.clear()
            self._extend()
            self.refresh()
        else:
            for row in stale:
                self._forget(row)
        self._scroll_to_cursor()

    def _forget(self, row: int) -> None:
        for key in [key for key in self._kept if key[0] == row]:
            del self._kept[key]
        line = row + self.page.fixed - self.scroll_offset.y
        if self.page.fixed <= line < self.size.height:
            self.refresh_line(row + self.page.fixed)

    def _room(self) -> tuple[int, int]:
        size = self.scrollable_content_region.size
        return size.width, size.height - self.page.fixed

    def _extend(self) -> None:
        width = self.scrollable_content_region.width
        self.virtual_size = Size(width, self.page.length + self.page.fixed)

    def _scroll_to_cursor(self) -> None:
        top, seen = self.scroll_offset.y, self._room()[1]
        at = self.page.cursor
        if seen <= 0 or top <= at < top + seen:
            return
        lead = at - seen // 2 if at >= top + seen else at - seen + seen // 2
        # The first rows come into sight whole: what stands above them is a heading.
        goal = 0 if at < seen // 2 else lead
        self.scroll_to(y=max(goal, 0), animate=False, immediate=True, force=True)

    def render_line(self, y: int) -> Strip:
        width = self.scrollable_content_region.width
        page = self.page
        if y < page.fixed:
            row = y - page.fixed
            chosen = False
        else:
            row = y - page.fixed + self.scroll_offset.y
            chosen = row == page.cursor
        kept = (row, width, chosen)
        strip = self._kept.get(kept)
        if strip is None:
            strip = self._draw(row, width).strip().apply_style(self.rich_style)
            self._kept[kept] = strip
        return strip

    def _draw(self, row: int, width: int) -> Line:
        page = self.page
        if row < 0:
            return page.draw_fixed(row + page.fixed, width)
        if row < page.length:
            return page.draw(row, width)
        return Line(width, page.marks)

    def on_key(self, event: events.Key) -> None:
        if self._press(event.key):
            event.stop()
            event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        event.stop()
        self.post_message(self.Pasted(event.text))

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._kept.clear()

    def on_resize(self) -> None:
        self.page.sized(*self._room())
        self.page.redraw()
        self.follow()

    def on_click(self, event: events.Click) -> None:
        """A click selects; a second one on the same spot is Enter."""
        line = event.y - self.page.fixed
        if line < 0:
            return
        self.page.click(line + self.scroll_offset.y, event.x)
        if event.chain == 2:
            self.page.enter()
        self.post_message(self.Clicked())
