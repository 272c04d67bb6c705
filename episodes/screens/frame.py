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
from episodes.exports.text_odds import in_words
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
            self._draw_rule(line)
        return line.strip().apply_style(self.rich_style)

    def _draw_rule(self, line: Line) -> None:
        """The rule; where the first row has no room for the moment it stands in here."""
        said = "" if self._fits else f" {self._moment()} "
        line.put(self._marks.rule * max(line.width - cell_len(said) - 1, 0), FAINT)
        line.put(said, FAINT)
        line.put(self._marks.rule * line.left, FAINT)

    def _moment(self) -> str:
        sitting = self._sitting()
        said = sitting.words.dated(sitting.now)
        return f"as of {said}" if sitting.answer.read_as_of else said

    @property
    def _fits(self) -> bool:
        """Whether tabs and moment have room on one row."""
        return sum(map(cell_len, self._labels())) + cell_len(self._moment()) + 2 <= self.size.width

    def _labels(self) -> list[str]:
        """The tabs as they are written: with their titles, closer together, or as numbers alone."""
        wide = [f" {number} {tab.title} " for number, tab in enumerate(self.tabs, 1)]
        close = [f" {number} {tab.title}" for number, tab in enumerate(self.tabs, 1)]
        here = [tab.name == self.here for tab in self.tabs]
        short = [text if mine else text[:2] for text, mine in zip(close, here, strict=True)]
        for labels in (wide, close):
            if sum(map(cell_len, labels)) <= self.size.width:
                return labels
        return [f"{text} " for text in short]

    def _draw_tabs(self, line: Line) -> None:
        for label, tab in zip(self._labels(), self.tabs, strict=True):
            line.put(label, HERE if tab.name == self.here else PLAIN)
        if self._fits:
            line.right(f"{self._moment()} ", line.left, FAINT)

    def on_click(self, event: events.Click) -> None:
        if event.y:
            return
        at = 0
        for label, tab in zip(self._labels(), self.tabs, strict=True):
            end = at + cell_len(label)
            if at <= event.x < end:
                self.post_message(self.Picked(tab.name))
            at = end

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return 3


def draw_verdict(line: Line, sitting: Sitting) -> None:
    """Room, release, time left, verdict, odds: all of the verdict, and of the rest what fits."""
    episode = sitting.episode()
    if episode is None:
        line.gap(1).put("No episode is planned here yet.")
        return
    said, odds = verdict_words(sitting, episode), odds_words(sitting, episode)
    if odds and line.width - cell_len(said) - cell_len(odds) < _LEAST_BESIDE:
        odds = ""
    ending = cell_len(said) + (cell_len(odds) + 2 if odds else 0)
    release = f"{sitting.words.moment(episode.release)}, "
    release += wording.away(episode.release, sitting.now)
    room = line.width - ending - 2
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
    line.to(line.width - ending - 1)
    word, rest = said.partition(" ")[::2]
    slips = episode.verdict == "slips" and not sitting.waiting
    line.put(word, ALARM if slips else BOLD).put(f" {rest}", BOLD)
    if odds:
        line.gap(2).put(odds)


_LEAST_BESIDE = 14
"""Cells that must be left for the room's name before the odds are shown beside the verdict."""


def odds_words(sitting: Sitting, episode: EpisodeAnswer) -> str:
    """`93 in 100`, `odds ...` while they are counted; "" where there are none."""
    if episode.verdict == "released" or sitting.waiting:
        return ""
    if sitting.odds is None:
        return "odds ..."
    share = sitting.odds.get(episode.id)
    return "" if share is None else in_words(share)


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
