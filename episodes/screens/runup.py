"""The run-up of one episode: its pieces as lines on the band, read back from the release."""

from typing import ClassVar

from episodes.answers.rows import StepRow
from episodes.screens import wording
from episodes.screens.band import Scale, calendar_axis, countdown_axis, draw, legend, shapes
from episodes.screens.line import Line
from episodes.screens.marks import BOLD, FAINT, PLAIN, UNICODE, Marks
from episodes.screens.page import Key, Page, PageName, Stage, Target, key, pair, target_of
from episodes.screens.room_lines import BandLine, first_in_sight, gather, next_taut, stop_name
from episodes.screens.sitting import Sitting
from episodes.screens.view import PAN, View

LEGEND = 2
"""Rows of the legend, the blank one above it included."""


class RunUp(Page):
    """The band page. The cursor is a line and, on it, one of its rows (`_at`)."""

    name: ClassVar[PageName] = "runup"
    title: ClassVar[str] = "Run-up"
    fixed = 2

    _lines: list[BandLine]
    _at: str = ""
    """Id of the row selected on the cursor's line, `EPISODE:ID`."""
    _room: str = ""
    _view: View
    _unfolded: frozenset[str] = frozenset()
    _everything: bool = False
    _taut_only: bool = False

    # -- rows

    def __init__(self, sitting: Sitting, stage: Stage, marks: Marks = UNICODE) -> None:
        super().__init__(sitting, stage, marks)
        self._lines = []
        self._view = View()

    def build(self) -> None:
        room = self.sitting.room
        episode = self.sitting.episode()
        self._view.width = max(self.width - self._label, 10)
        if room != self._room:
            self._room, self._view.cell = room, 0
            self._unfolded, self._everything = frozenset(), False
            self._at, self.cursor = "", 0
        before = self._line.key if self._lines else ""
        self._lines = []
        if episode is None:
            return
        self._lines = gather(
            self.sitting.answer,
            episode,
            unfolded=self._unfolded,
            everything=self._everything,
            taut_only=self._taut_only,
        )
        if not self._view.cell:
            first = first_in_sight(episode, self.sitting.now)
            last = episode.release
            if episode.verdict == "slips" and episode.ready_by is not None:
                last = max(last, episode.ready_by)
            self._view.show_whole(episode.release, first, last)
        for row, line in enumerate(self._lines):
            if line.key == before:
                self.cursor = row
        self.settle()
        if self._lines and self._stop is None:
            self._choose_near(self.sitting.now)

    @property
    def length(self) -> int:
        lines = len(self._lines) or 1
        # The legend stands under the lines where there is room, else in the help alone.
        return lines + LEGEND if lines + LEGEND <= self.height else lines

    def selectable(self, row: int) -> bool:
        return row < len(self._lines)

    @property
    def _line(self) -> BandLine:
        return self._lines[min(self.cursor, len(self._lines) - 1)]

    @property
    def _stop(self) -> StepRow | None:
        """The row selected on the cursor's line."""
        if not self._lines:
            return None
        for row in self._line.stops:
            if f"{row.episode}:{row.id}" == self._at:
                return row
        return None

    @property
    def _label(self) -> int:
        """Cells of the names; the two marks before them and the blank behind included."""
        return 25 if self.width > 96 else 19 if self.width >= 70 else 14

    @property
    def _release(self) -> int:
        episode = self.sitting.episode()
        return episode.release if episode else self.sitting.now

    def _scale(self) -> Scale:
        return self._view.scale(self._release)

    # -- drawing

    def draw_fixed(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        if not self._lines:
            return line
        scale = self._scale()
        if row == 0:
            line.put(f"  a cell = {wording.length_in_words(scale.cell)}", FAINT, width=self._label)
            axis = countdown_axis(scale, self.sitting.zone, self.marks)
            line.put(axis, width=scale.width)
        else:
            line.gap(self._label)
            line.put(
                calendar_axis(scale, self.sitting.zone, self.sitting.now), FAINT, width=scale.width
            )
        return line

    def draw(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        if not self._lines:
            empty = "no line is taut" if self._taut_only else "nothing is planned for this room yet"
            return line.gap(2).put(empty)
        if row >= len(self._lines):
            return legend(line, self.marks) if row > len(self._lines) else line
        piece = self._lines[row]
        here = row == self.cursor
        line.put(self.marks.cursor if here else " ", BOLD)
        line.put(self.marks.taut if piece.taut else " ", BOLD)
        line.gap(2 * piece.depth)
        style = BOLD if here else PLAIN
        line.put(piece.label, style, width=self._label - 1 - line.at).to(self._label)
        at = self._at.partition(":")
        shapes, styles = draw(
            piece.paints,
            piece.ground,
            self._scale(),
            self.sitting.now,
            self.marks,
            (at[0], at[2]) if here else None,
        )
        return line.cells(shapes, styles)

    # -- what is selected

    def target(self) -> Target | None:
        row = self._stop
        return None if row is None else target_of(row)

    def foot(self) -> tuple[str, str]:
        answer, episode, row = self.sitting.answer, self.sitting.episode(), self._stop
        if episode is None or row is None:
            return "", ""
        where = next(each for each in answer.episodes if each.id == row.episode)
        parts = [
            stop_name(answer, episode, row),
            wording.when(row, self.words),
            wording.slack(row),
            wording.people(answer, row.who),
        ]
        said = wording.reason(answer, where, row)
        if row.cautions:
            said = f"{said} Care: {row.cautions[0]}".strip()
        return "  ".join(part for part in parts if part), said

    def open_at(self, target: Target) -> None:
        self.sitting.room = target.episode
        self.build()
        if target.id:
            self._show(target.id)
        self.redraw()

    def _show(self, id: str) -> None:
        """Selects a row of this episode, on its own line where that is unfolded."""
        name = f"{self._room}:{id}"
        rows = [
            (line.kind != "row", row)
            for row, line in enumerate(self._lines)
            if line.kind != "person"
            and any(f"{stop.episode}:{stop.id}" == name for stop in line.stops)
        ]
        if rows:
            self.cursor = min(rows)[1]
            self._choose(name)

    def _choose(self, name: str) -> None:
        self._at = name
        row = self._stop
        if row is not None and row.start is not None:
            self._bring(row.start)
        self.redraw(self.cursor)

    def _choose_near(self, minute: int) -> None:
        """Selects the stop of the cursor's line that is nearest in time."""
        stops = self._line.stops
        if stops:
            nearest = min(
                stops,
                key=lambda row: abs((row.start if row.start is not None else minute) - minute),
            )
            self._at = f"{nearest.episode}:{nearest.id}"

    def to(self, row: int) -> None:
        stop = self._stop
        minute = stop.start if stop is not None and stop.start is not None else self.sitting.now
        super().to(row)
        if self._lines and self._stop is None:
            self._choose_near(minute)

    def _along(self, by: int) -> None:
        """The next or previous row on this line."""
        stops = self._line.stops if self._lines else ()
        names = [f"{row.episode}:{row.id}" for row in stops]
        if names:
            index = names.index(self._at) if self._at in names else 0
            self._choose(names[max(0, min(index + by, len(names) - 1))])

    def _taut(self, by: int) -> None:
        """The next or previous taut row of the episode, in time."""
        episode = self.sitting.episode()
        row = next_taut(episode, self._stop, by) if episode else None
        if row is None:
            self.stage.say(
                "Nothing is taut: no minute more, anywhere, would move when it is ready."
            )
            return
        self.redraw(self.cursor)
        self._show(row.id)

    # -- the view

    def _bring(self, minute: int) -> None:
        if self._view.bring(self._release, minute):
            self.redraw()

    def _pan(self, cells: int) -> None:
        episode = self.sitting.episode()
        self._view.pan(cells)
        times = [self.sitting.now, self._release]
        for row in episode.steps if episode else ():
            times += [time for time in (row.start, row.finish) if time is not None]
        self._view.hold(self._release, min(times), max(times))
        self.redraw()

    def _zoom(self, by: int) -> None:
        stop = self._stop
        minute = stop.start if stop is not None and stop.start is not None else self._release
        if self._view.zoom(self._release, minute, by):
            self.redraw()
        else:
            self.stage.say("That is as far as the zoom goes.")

    def enter(self) -> None:
        if self._lines and self._line.opens:
            self._unfolded = self._unfolded ^ {self._line.key}
            self._everything = False
            self.build()
            self.redraw()
        else:
            self._explain()

    def enters(self) -> str:
        if not self._lines or not self._line.opens:
            return "look closer"
        return "fold" if self._everything or self._line.key in self._unfolded else "unfold"

    def click(self, row: int, x: int) -> None:
        if not self.selectable(row):
            return
        self.to(row)
        minute = self._scale().minute(x - self._label)
        if x >= self._label and self._line.stops:
            inside = self._scale().cell
            self._at = ""
            for paint in self._line.paints:
                if paint.start - inside < minute < max(paint.finish, paint.start + 1):
                    self._at = f"{paint.row[0]}:{paint.row[1]}"
            if not self._at:
                self._choose_near(minute)
            self.redraw(self.cursor)

    # -- keys

    def own_keys(self) -> tuple[Key, ...]:
        return (
            *pair(
                ("left", "h"),
                ("right", "l"),
                self._along,
                shown=self.marks.arrows,
                short="step",
                text="the row before, the row after on this line",
            ),
            *pair(
                ("N", "shift+n"),
                ("n",),
                self._taut,
                shown="n N",
                short="next taut",
                text="the next taut row, the one before",
            ),
            *pair(
                ("plus", "equals_sign"),
                ("minus",),
                self._zoom,
                shown="+ -",
                short="zoom",
                text="zoom in, zoom out",
            ),
            *pair(
                ("less_than_sign", "comma"),
                ("greater_than_sign", "full_stop"),
                lambda by: self._pan(by * PAN),
                shown="< >",
                short="pan",
                text="ten cells earlier, ten cells later",
            ),
            *pair(
                ("R", "shift+r"),
                ("r",),
                self._next_room,
                shown="r R",
                short="room",
                text="the next room, the one before",
            ),
            key("t", shown="t", short="now", text="now into sight", run=lambda _: self._to_now()),
            key(
                "e",
                shown="e",
                short="release",
                text="the edge of the release into sight",
                run=lambda _: self._to_edge(),
            ),
            key(
                "c",
                shown="c",
                short="taut lines",
                text="only the lines with something taut on them; again: all",
                run=lambda _: self._only_taut(),
            ),
            key(
                "f",
                shown="f",
                short="unfold all",
                text="unfold every piece; again: none",
                run=lambda _: self._all(),
            ),
            key(
                "w",
                shown="w",
                short="why",
                text="everything about this row: why then, slack, care",
                run=lambda _: self._explain(),
            ),
        )

    def remarks(self) -> tuple[tuple[str, str], ...]:
        return shapes(self.marks)

    def _to_now(self) -> None:
        scale = self._scale()
        self._pan(scale.column(self.sitting.now) - 2)

    def _to_edge(self) -> None:
        self._view.beyond = 0
        self.redraw()

    def _only_taut(self) -> None:
        self._taut_only = not self._taut_only
        self.build()
        self.redraw()

    def _all(self) -> None:
        self._everything = not self._everything
        self._unfolded = frozenset()
        self.build()
        self.redraw()

    def _next_room(self, by: int) -> None:
        self.sitting.turn_room(by)
        self.build()
        self.redraw()

    def _explain(self) -> None:
        target = self.target()
        if target is not None:
            self.stage.explain(target)
