"""The door: everything that is to come, when it comes, and what a later day would do.

Left and right move a box by one day of its carrier; every episode's verdict answers at once.
Nothing is written until Enter keeps what is tried.
"""

from dataclasses import dataclass
from typing import ClassVar, Literal

from episodes.amounts import MINUTES_A_DAY
from episodes.answers.rows import EpisodeAnswer, ParcelRow
from episodes.problems import EpisodesError
from episodes.screens import wording
from episodes.screens.line import Line
from episodes.screens.marks import ALARM, BOLD, FAINT, PLAIN, UNICODE, Marks
from episodes.screens.page import Key, Page, PageName, Stage, Target, key
from episodes.screens.sitting import Sitting

MOST_MARKS = 10
"""Days of slack drawn at most, one mark each."""


@dataclass(frozen=True, slots=True)
class _Row:
    """A parcel of an episode; without one, another line of it.

    `kind`: `head` is the episode's verdict, `blank` the row before it, `there` stands for the
    boxes that are in hand already.
    """

    episode: str
    parcel: str = ""
    kind: Literal["box", "head", "blank", "there"] = "box"


class Door(Page):
    """The deliveries of all episodes that are not out yet, each under its episode's verdict."""

    name: ClassVar[PageName] = "door"
    title: ClassVar[str] = "Door"
    fixed = 1

    _opened: frozenset[str] = frozenset()
    """Episodes that show what is in hand already."""

    # -- rows

    def __init__(self, sitting: Sitting, stage: Stage, marks: Marks = UNICODE) -> None:
        super().__init__(sitting, stage, marks)
        self._rows: list[_Row] = []

    def build(self) -> None:
        before = self._rows[self.cursor] if self._rows else None
        groups = [
            self._group(episode)
            for episode in self.sitting.answer.episodes
            if episode.verdict != "released" and episode.parcels
        ]
        airy = sum(len(group) + 1 for group in groups) <= self.height
        self._rows = []
        for group in groups:
            if self._rows and airy:
                self._rows.append(_Row(group[0].episode, kind="blank"))
            self._rows.extend(group)
        if before in self._rows:
            self.cursor = self._rows.index(before)
        self.settle()

    def _group(self, episode: EpisodeAnswer) -> list[_Row]:
        """An episode's line and its boxes, by the day as planned: a box keeps its row while
        other days are tried."""
        planned = {
            row.id: row.arrives or 0 for row in self.sitting.base.episode(episode.id).parcels
        }
        parcels = sorted(
            (row for row in episode.parcels if row.state != "dropped"),
            key=lambda row: (planned.get(row.id, 0), row.id),
        )
        rows = [_Row(episode.id, kind="head")]
        rows += [_Row(episode.id, row.id) for row in parcels if not wording.in_hand(row)]
        there = [_Row(episode.id, row.id) for row in parcels if wording.in_hand(row)]
        if there:
            rows.append(_Row(episode.id, kind="there"))
            rows += there if episode.id in self._opened else []
        return rows

    @property
    def length(self) -> int:
        return len(self._rows) or 1

    def selectable(self, row: int) -> bool:
        return row < len(self._rows) and self._rows[row].kind in ("box", "there")

    @property
    def _here(self) -> tuple[EpisodeAnswer, ParcelRow] | None:
        if not self._rows or not self._rows[self.cursor].parcel:
            return None
        row = self._rows[self.cursor]
        episode = self.sitting.episode(row.episode)
        return (episode, episode.parcel(row.parcel)) if episode else None

    def to(self, row: int) -> None:
        super().to(row)
        self._head()

    def _head(self) -> None:
        """The head speaks of the episode whose box the cursor is on."""
        if self._rows:
            self.sitting.room = self._rows[self.cursor].episode

    # -- drawing

    @property
    def _columns(self) -> tuple[int, int, int, int, int]:
        """Widths of name, state, in hand, moved, last day."""
        if self.width >= 96:
            return 34, 10, 17, 7, 14
        if self.width >= 76:
            return 20, 10, 17, 7, 13
        return 14, 10, 17, 6, 12

    def draw_fixed(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        name, state, hand, moved, last = self._columns
        line.gap(3).put("comes to the door", FAINT, width=name)
        line.put("", FAINT, width=state).put("in hand", FAINT, width=hand + moved)
        line.put("meets up to", FAINT, width=last)
        return line.put("days left", FAINT)

    def draw(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        if not self._rows:
            return line.gap(3).put("Nothing is on its way and nothing is to be ordered.")
        here = self._rows[row]
        episode = self.sitting.answer.episode(here.episode)
        if here.kind == "blank":
            return line
        if here.kind == "head":
            return self._draw_episode(line, episode)
        if here.kind == "there":
            return self._draw_there(line, episode, row == self.cursor)
        return self._draw_parcel(line, episode, episode.parcel(here.parcel), row == self.cursor)

    def _draw_episode(self, line: Line, episode: EpisodeAnswer) -> Line:
        """The episode's verdict, and what it was before the trial where that differs."""
        said = wording.verdict(episode)
        before = self.sitting.before(episode.id)
        was = wording.verdict(before) if before is not None and self.sitting.trying else said
        line.gap(1).put(episode.title, BOLD, width=self._columns[0] + 1).gap(1)
        word, rest = said.partition(" ")[::2]
        line.put(word, ALARM if episode.verdict == "slips" else BOLD).put(f" {rest}", BOLD)
        if was != said:
            line.put(f"   was {was}", FAINT)
        return line

    def _draw_parcel(self, line: Line, episode: EpisodeAnswer, row: ParcelRow, here: bool) -> Line:
        name, state, hand, moved, last = self._columns
        came = wording.in_hand(row)
        taut = episode.step(row.id).critical
        style = BOLD if here else FAINT if came else PLAIN
        line.put(self.marks.cursor if here else " ", BOLD)
        line.put(self.marks.taut if taut else " ", BOLD).gap(1)
        line.put(row.title, style, width=name - 1).gap(1)
        line.put(wording.parcel_state(row), style, width=state - 1).gap(1)
        # The tried day, not the answer's: it is seen moving before the verdict is counted.
        arrives = self.sitting.moved.get((episode.id, row.id), row.arrives)
        line.put(self.words.moment(arrives), style, width=hand - 1).gap(1)
        line.put(self._moved(episode, row), BOLD, width=moved - 1).gap(1)
        if came:
            return line
        if arrives is None or row.latest_arrival is None:
            return line.put(self._no_limit(episode, row), style, width=last)
        unsure = "" if row.latest_exact else "?"
        line.put(self.words.day(row.latest_arrival) + unsure, style, width=last - 1).gap(1)
        days, left = divmod(row.latest_arrival - arrives, MINUTES_A_DAY)
        if days < 0:
            return line.put("TOO LATE", ALARM)
        if not days:
            return line.put("none left" if not left else "not a day", style)
        return line.put(self.marks.ground * min(days, MOST_MARKS), style)

    def _no_limit(self, episode: EpisodeAnswer, row: ParcelRow) -> str:
        """Why a box has no last day."""
        if row.arrives is None:
            return "no date"
        if row.optional:
            return "optional"
        return "no day helps" if episode.verdict == "slips" else "-"

    def _draw_there(self, line: Line, episode: EpisodeAnswer, here: bool) -> Line:
        count = sum(wording.in_hand(row) for row in episode.parcels if row.state != "dropped")
        line.put(self.marks.cursor if here else " ", BOLD).gap(2)
        fold = self.marks.fold if episode.id in self._opened else self.marks.unfold
        return line.put(f"{fold} {count} in hand already", BOLD if here else FAINT)

    def _moved(self, episode: EpisodeAnswer, row: ParcelRow) -> str:
        there = self.sitting.moved.get((episode.id, row.id))
        planned = self.sitting.planned((episode.id, row.id))
        if there is None or planned is None:
            return ""
        days = round((there - planned) / MINUTES_A_DAY)
        return f"{days:+d} d"

    # -- what is selected

    def target(self) -> Target | None:
        here = self._here
        return None if here is None else Target(here[0].id, "parcel", here[1].id)

    def foot(self) -> tuple[str, str]:
        here = self._here
        if here is None:
            return ("Enter shows them.", "") if self._rows else ("", "")
        episode, row = here
        return self._tried(episode) or self._what(episode, row), self._first_user(episode, row)

    def _tried(self, episode: EpisodeAnswer) -> str:
        count = len(self.sitting.moved)
        before = self.sitting.before(episode.id)
        if not count or before is None:
            return ""
        boxes = "1 arrival" if count == 1 else f"{count} arrivals"
        said = f"TRYING {boxes}: Enter keeps, Esc puts back."
        others = [
            f"{each.title} now {wording.verdict(each)}."
            for each in self.sitting.answer.episodes
            if each.id != episode.id
            and wording.verdict(each) != wording.verdict(self.sitting.base.episode(each.id))
        ]
        return " ".join([said, *others]) if others else f"{said} Was: {wording.verdict(before)}."

    def _what(self, episode: EpisodeAnswer, row: ParcelRow) -> str:
        if row.arrived is not None and wording.in_hand(row):
            back = (
                f" Can go back until {self.words.moment(row.return_by)}." if row.return_by else ""
            )
            return f"{row.title}: in hand since {self.words.moment(row.arrived)}.{back}"
        parts = [f"{row.title}: in hand {self.words.moment(row.arrives, 'never')}"]
        if row.latest_arrival is None and row.optional:
            parts.append("the release does not wait for it")
        elif row.latest_arrival is None:
            parts.append("no day of its own meets the release")
        else:
            up_to = "up to" if row.latest_exact else "at least up to"
            parts.append(f"meets {up_to} {self.words.moment(row.latest_arrival)}")
        if row.order_by is not None and row.ordered is None:
            parts.append(f"order by {self.words.deadline(row.order_by)}")
        return ", ".join(parts) + "."

    def _first_user(self, episode: EpisodeAnswer, row: ParcelRow) -> str:
        """The first step that starts because of this box."""
        for step in episode.steps:
            because = step.because
            if because and because.kind == "parcel" and because.id == row.id and step.start:
                name = wording.name_of(episode, step)
                start = self.words.moment(step.start)
                return f"What waits for it first: {name}, {start}."
        return "No start is held by it."

    def arrive(self) -> None:
        """Goes to the boxes of the room that the head speaks of."""
        room = self.sitting.room
        if self._rows and self._rows[self.cursor].episode != room:
            rows = [index for index, row in enumerate(self._rows) if row.episode == room]
            self.cursor = next((row for row in rows if self.selectable(row)), self.cursor)
        self._head()

    def open_at(self, target: Target) -> None:
        self._opened = self._opened | {target.episode}
        self.build()
        rows = [
            index
            for index, row in enumerate(self._rows)
            if row.episode == target.episode and row.parcel and target.id in ("", row.parcel)
        ]
        if rows:
            self.cursor = rows[0]
            self._head()
        self.redraw()

    # -- keys

    def enter(self) -> None:
        if self._rows and self._rows[self.cursor].kind == "there":
            self._opened = self._opened ^ {self._rows[self.cursor].episode}
            self.build()
            self.redraw()
        elif self.sitting.trying:
            self.stage.keep()
        else:
            self._explain()

    def enters(self) -> str:
        if self._rows and self._rows[self.cursor].kind == "there":
            return "fold" if self._rows[self.cursor].episode in self._opened else "unfold"
        return "keep" if self.sitting.trying else "look closer"

    def remarks(self) -> tuple[tuple[str, str], ...]:
        return (
            (self.marks.taut, "taut: a minute later in hand makes the room ready a minute later"),
            (self.marks.ground, "a day between in hand and the last one that meets"),
            ("?", "a later day may do as well; that none does is not proved"),
        )

    def own_keys(self) -> tuple[Key, ...]:
        return (
            key("left", "h", run=lambda _: self._move(-1)),
            key(
                "right",
                "l",
                shown=self.marks.arrows,
                short="a day",
                text="in hand one day of its carrier earlier, later (tried, not written)",
                run=lambda _: self._move(1),
            ),
            key(
                "0",
                shown="0",
                short="as planned",
                text="this box as planned again",
                run=lambda _: self._as_planned(),
            ),
            key(
                "escape",
                shown="Esc",
                short="put back",
                text="all boxes as planned again",
                run=lambda _: self._put_back(),
            ),
            key(
                "v",
                shown="v",
                short="ways out" if self._slips else "",
                text="the ways out of this room's slip, with what is tried",
                run=lambda _: self.stage.go("ways"),
            ),
            key(
                "F",
                "shift+f",
                shown="F",
                text="this box is no use: damaged, wrong or short",
                run=lambda _: self.stage.box("failed"),
            ),
            key(
                "B",
                "shift+b",
                shown="B",
                text="this box was sent back, as of now",
                run=lambda _: self.stage.box("returned"),
            ),
            key(
                "w",
                shown="w",
                short="why",
                text="everything about this box: why then, slack",
                run=lambda _: self._explain(),
            ),
        )

    @property
    def _slips(self) -> bool:
        episode = self.sitting.episode()
        return episode is not None and episode.verdict == "slips"

    def _move(self, days: int) -> None:
        here = self._here
        if here is None:
            return
        episode, row = here
        if wording.in_hand(row):
            self.stage.say(f"{row.title} is in hand already; there is no other day to try.")
            return
        try:
            self.sitting.move((episode.id, row.id), days)
        except EpisodesError as error:
            self.stage.say(str(error))
            return
        self.redraw(self.cursor)
        self.stage.solve_soon()

    def _as_planned(self) -> None:
        here = self._here
        if here is not None and self.sitting.put_back((here[0].id, here[1].id)):
            self.stage.solve_soon()

    def _put_back(self) -> None:
        if self.sitting.put_back():
            self.stage.solve_soon()

    def _explain(self) -> None:
        target = self.target()
        if target is not None:
            self.stage.explain(target)
