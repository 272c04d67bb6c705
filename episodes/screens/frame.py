"""The frame round every page: tabs and the moment on top, the verdict under them, the foot.

The verdict's line never leaves the screen. What is cut first is the name of the room.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual import events
from textual.geometry import Size
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from episodes.answers.rows import EpisodeAnswer
from episodes.exports.safe_text import clean
from episodes.screens import wording
from episodes.screens.line import Line
from episodes.screens.marks import ALARM, BOLD, FAINT, HERE, PLAIN, Marks
from episodes.screens.page import PageName
from episodes.screens.sitting import Sitting


@dataclass(frozen=True, slots=True)
class Tab:
    name: PageName
    title: str


class Head(Widget, inherit_bindings=False):
    """Three rows: tabs and moment, room and verdict, a rule."""

    class Picked(Message):
        """A tab was clicked."""

        def __init__(self, name: PageName) -> None:
            super().__init__()
            self.name = name

    def __init__(self, tabs: Sequence[Tab], sitting: Callable[[], Sitting], marks: Marks) -> None:
        super().__init__()
        self.tabs = tuple(tabs)
        self.here: PageName = self.tabs[0].name
        self._sitting = sitting
        self._marks = marks

    def render_line(self, y: int) -> Strip:
        line = Line(self.size.width, self._marks)
        if y == 0:
            self._draw_tabs(line)
        elif y == 1:
            draw_verdict(line, self._sitting())
        else:
            line.put(self._marks.rule * line.width, FAINT)
        return line.strip().apply_style(self.rich_style)

    def _draw_tabs(self, line: Line) -> None:
        for number, tab in enumerate(self.tabs, 1):
            line.put(f" {number} {tab.title} ", HERE if tab.name == self.here else PLAIN)
        sitting = self._sitting()
        said = sitting.words.dated(sitting.now)
        if sitting.answer.read_as_of:
            said = f"as of {said}"
        if cell_len(said) + 2 <= line.left:
            line.right(said + " ", line.left, FAINT)

    def on_click(self, event: events.Click) -> None:
        if event.y:
            return
        at = 0
        for tab in self.tabs:
            end = at + len(tab.title) + 4
            if at <= event.x < end:
                self.post_message(self.Picked(tab.name))
            at = end

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return 3


def draw_verdict(line: Line, sitting: Sitting) -> None:
    """Room, release, time left, verdict: all of the verdict, and of the rest what fits."""
    episode = sitting.episode()
    if episode is None:
        line.gap(1).put("No episode is planned here yet.")
        return
    said = verdict_words(sitting, episode)
    release = f"{sitting.words.moment(episode.release)}, "
    release += wording.away(episode.release, sitting.now)
    room = line.width - cell_len(said) - 2
    if room - cell_len(release) < 12:
        release = wording.away(episode.release, sitting.now)
    if room - cell_len(release) < 6:
        release = ""
    title = room - cell_len(release) - 3
    line.gap(1)
    name = clean(episode.title)
    if title > 0:
        line.put(name, BOLD, width=min(cell_len(name), title))
    if release:
        line.gap(2).put(release)
    line.to(line.width - cell_len(said) - 1)
    word, rest = said.partition(" ")[::2]
    slips = episode.verdict == "slips" and not sitting.waiting
    line.put(word, ALARM if slips else BOLD).put(f" {rest}", BOLD)


def verdict_words(sitting: Sitting, episode: EpisodeAnswer) -> str:
    """The verdict with what must be known about it: that it is a trial, or still being counted."""
    if sitting.waiting:
        return "counting (TRYING)"
    said = wording.verdict(episode)
    return f"{said} (TRYING)" if sitting.trying else said


Hints = tuple[tuple[str, str], ...]
"""Keys and what they do, as the key line shows them."""


class Foot(Widget, inherit_bindings=False):
    """Four rows: a rule, what is selected, its reason, the keys."""

    def __init__(self, marks: Marks) -> None:
        super().__init__()
        self._marks = marks
        self._said = ("", "")
        self._hints: Hints = ()

    def show(self, said: tuple[str, str], hints: Hints) -> None:
        """Draws other words, if they are others."""
        if (said, hints) != (self._said, self._hints):
            self._said, self._hints = said, hints
            self.refresh()

    def render_line(self, y: int) -> Strip:
        line = Line(self.size.width, self._marks)
        if y == 0:
            line.put(self._marks.rule * line.width, FAINT)
        elif y == 1:
            line.gap(1).put(self._said[0], BOLD)
        elif y == 2:
            line.gap(1).put(self._said[1])
        else:
            line.gap(1)
            for shown, short in self._hints:
                if line.left > len(shown) + len(short) + 1:
                    line.put(shown, BOLD).put(f" {short}  ", FAINT)
        return line.strip().apply_style(self.rich_style)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return 4
