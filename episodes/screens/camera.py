"""The camera: every shot still to take, when, and after what it can never be taken again.

Shots that are taken and copied are folded away; one that is on a single card stays in sight.
"""

from typing import TYPE_CHECKING, ClassVar

from episodes.screens import wording
from episodes.screens.line import Line
from episodes.screens.marks import ALARM, BOLD, FAINT, PLAIN, UNICODE, Marks
from episodes.screens.page import Key, Page, PageName, Stage, Target, key, target_of
from episodes.screens.sitting import Sitting

if TYPE_CHECKING:
    from episodes.answers.rows import EpisodeAnswer, StepRow
    from episodes.answers.shots import ShotLine

ROOM = 22
"""Cells for the room's name, where there is room for it."""


class Camera(Page):
    """Shots of all episodes by planned start, as the files have the season."""

    name: ClassVar[PageName] = "camera"
    title: ClassVar[str] = "Camera"
    fixed = 1

    _opened: bool = False

    def __init__(self, sitting: Sitting, stage: Stage, marks: Marks = UNICODE) -> None:
        super().__init__(sitting, stage, marks)
        self._shots: list[ShotLine] = []
        self._kept = 0
        """How many are taken and copied."""

    def build(self) -> None:
        before = self.target()
        every = [line for line in self.sitting.shots if line.row.state != "dropped"]
        safe = [line for line in every if line.taken and line.backed_up]
        waiting = [line for line in every if not (line.taken and line.backed_up)]
        self._kept = len(safe)
        self._shots = waiting + (safe if self._opened else [])
        for index, line in enumerate(self._shots):
            if before == target_of(line.row):
                self.cursor = index
        self.settle()

    @property
    def length(self) -> int:
        return len(self._shots) + 1

    def selectable(self, row: int) -> bool:
        return row < len(self._shots) or (row == len(self._shots) and self._kept > 0)

    @property
    def _here(self) -> "ShotLine | None":
        return self._shots[self.cursor] if self.cursor < len(self._shots) else None

    def to(self, row: int) -> None:
        super().to(row)
        self._head()

    def _head(self) -> None:
        if self._here is not None:
            self.sitting.room = self._here.episode

    # -- drawing

    @property
    def _wide(self) -> bool:
        return self.width >= 96

    @property
    def _name(self) -> int:
        """Cells of the title; what is left by the other columns."""
        return max(self.width - 3 - 17 - 17 - 8 - (ROOM if self._wide else 0), 8)

    def draw_fixed(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        line.gap(3).put("shot", FAINT, width=self._name)
        if self._wide:
            line.put("room", FAINT, width=ROOM)
        line.put("when", FAINT, width=17).put("gone after", FAINT, width=17)
        return line.put("state", FAINT)

    def draw(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        here = row == self.cursor
        if row == len(self._shots):
            return self._draw_kept(line, here)
        shot = self._shots[row]
        style = BOLD if here else FAINT if shot.taken else PLAIN
        line.put(self.marks.cursor if here else " ", BOLD)
        line.put(self.marks.taut if shot.row.critical else " ", BOLD).gap(1)
        mark = self.marks.shot_once if shot.row.once else self.marks.shot
        line.put(f"{mark} {shot.row.title}", style, width=self._name - 1).gap(1)
        if self._wide:
            episode = self.sitting.base.episode(shot.episode)
            line.put(episode.title, FAINT, width=ROOM - 1).gap(1)
        line.put(self.words.moment(shot.row.start), style, width=16).gap(1)
        line.put(self._gone(shot), style, width=16).gap(1)
        word, alarm = self._state(shot)
        return line.put(word, ALARM if alarm else style)

    def _draw_kept(self, line: Line, here: bool) -> Line:
        if not self._kept:
            return line.gap(3).put("" if self._shots else "No shot is planned.", FAINT)
        line.put(self.marks.cursor if here else " ", BOLD).gap(2)
        fold = self.marks.fold if self._opened else self.marks.unfold
        return line.put(f"{fold} {self._kept} taken and copied", BOLD if here else FAINT)

    def _gone(self, shot: "ShotLine") -> str:
        if shot.taken:
            return ""
        if not shot.row.once:
            return "can be retaken"
        return self.words.moment(shot.gone_after, "nothing ends it")

    def _state(self, shot: "ShotLine") -> tuple[str, bool]:
        """A word or two, and whether they are to stand out."""
        if shot.lost:
            return "LOST", True
        if shot.taken:
            return ("taken", False) if shot.backed_up else ("NO COPY", True)
        return "to take", False

    # -- what is selected

    def target(self) -> Target | None:
        return target_of(self._here.row) if self._here is not None else None

    def foot(self) -> tuple[str, str]:
        shot = self._here
        if shot is None:
            return ("Enter shows them.", "") if self._kept else ("", "")
        answer = self.sitting.base
        episode, row = answer.episode(shot.episode), shot.row
        parts = (row.title, wording.when(row, self.words), wording.people(answer, row.who))
        first = "  ".join(part for part in (*parts, wording.slack(row)) if part)
        return first, self._second(episode, row, shot)

    def _second(self, episode: "EpisodeAnswer", row: "StepRow", shot: "ShotLine") -> str:
        if shot.taken and not shot.backed_up:
            return "On one card only: copy it before the card is used again, then press b."
        if shot.taken:
            return "Taken and copied."
        ender = episode.step(shot.ended_by) if shot.ended_by else None
        if ender is not None:
            return f"Gone when {wording.name_of(episode, ender)} starts."
        return wording.reason(self.sitting.base, episode, row)

    def arrive(self) -> None:
        """Goes to the first shot of the room that the head speaks of."""
        room = self.sitting.room
        if self._here is not None and self._here.episode != room:
            rows = [index for index, line in enumerate(self._shots) if line.episode == room]
            self.cursor = rows[0] if rows else self.cursor
        self._head()

    def open_at(self, target: Target) -> None:
        self.build()
        for index, line in enumerate(self._shots):
            if target_of(line.row) == target:
                self.cursor = index
        self._head()
        self.redraw()

    # -- keys

    def enter(self) -> None:
        target = self.target()
        if target is not None:
            self.stage.go("runup", target)
        elif self._kept:
            self._opened = not self._opened
            self.build()
            self.redraw()

    def enters(self) -> str:
        if self._here is None and self._kept:
            return "fold" if self._opened else "unfold"
        return "run-up"

    def remarks(self) -> tuple[tuple[str, str], ...]:
        return (
            (self.marks.shot_once, "can't be taken again once what ends it has begun"),
            (self.marks.shot, "can be retaken"),
        )

    def own_keys(self) -> tuple[Key, ...]:
        return (
            key(
                "b",
                shown="b",
                short="copied",
                text="this shot has a second copy",
                run=lambda _: self.stage.fact("backed_up"),
            ),
            key(
                "L",
                shown="L",
                short="lost",
                text="the footage of this shot is gone",
                run=lambda _: self.stage.fact("lost"),
            ),
            key(
                "w",
                shown="w",
                short="why",
                text="everything about this shot: why then, slack, gear",
                run=lambda _: self._explain(),
            ),
        )

    def _explain(self) -> None:
        target = self.target()
        if target is not None:
            self.stage.explain(target)
