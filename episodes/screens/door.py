"""The door: everything that is to come, when it comes, and what a later day would do.

Left and right move a box by one day of its carrier; every episode's verdict answers at once.
Nothing is written until Enter keeps what is tried.
"""

from dataclasses import dataclass
from typing import ClassVar

from episodes.amounts import MINUTES_A_DAY
from episodes.answers.rows import EpisodeAnswer, ParcelRow
from episodes.screens import wording
from episodes.screens.line import Line
from episodes.screens.marks import ALARM, BOLD, FAINT, PLAIN
from episodes.screens.page import Key, Page, PageName, Target, key

MOST_MARKS = 10
"""Days of slack drawn at most, one mark each."""


@dataclass(frozen=True, slots=True)
class _Row:
    """A parcel of an episode; without one, the episode's own line, or a blank before it."""

    episode: str
    parcel: str = ""
    blank: bool = False


class Door(Page):
    """The deliveries of all episodes that are not out yet, each under its episode's verdict."""

    name: ClassVar[PageName] = "door"
    title: ClassVar[str] = "Door"
    fixed = 1

    _rows: list[_Row]

    # -- rows

    def build(self) -> None:
        before = self._rows[self.cursor] if getattr(self, "_rows", None) else None
        self._rows = []
        for episode in self.sitting.answer.episodes:
            if episode.verdict == "released":
                continue
            # By the day as planned, so that a box keeps its row while other days are tried.
            parcels = sorted(
                (row for row in episode.parcels if row.state != "dropped"),
                key=lambda row: (
                    row.arrived is not None,
                    self.sitting.planned((episode.id, row.id)) or 0,
                    row.id,
                ),
            )
            if not parcels:
                continue
            if self._rows and self.height >= 24:
                self._rows.append(_Row(episode.id, blank=True))
            self._rows.append(_Row(episode.id))
            self._rows.extend(_Row(episode.id, row.id) for row in parcels)
        if before in self._rows:
            self.cursor = self._rows.index(before)
        self.settle()
        self._head()

    @property
    def length(self) -> int:
        return len(self._rows) or 1

    def selectable(self, row: int) -> bool:
        return row < len(self._rows) and bool(self._rows[row].parcel)

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
        if self._rows and self._rows[self.cursor].parcel:
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
        if here.blank:
            return line
        episode = self.sitting.answer.episode(here.episode)
        if not here.parcel:
            return self._draw_episode(line, episode)
        return self._draw_parcel(line, episode, episode.parcel(here.parcel), row == self.cursor)

    def _draw_episode(self, line: Line, episode: EpisodeAnswer) -> Line:
        """The episode's verdict, and what it was before the trial where that differs."""
        said = wording.verdict(episode)
        before = self.sitting.before(episode.id)
        was = wording.verdict(before) if before is not None and self.sitting.trying else said
        line.gap(1).put(episode.title, BOLD, width=self._columns[0] + 2)
        word, rest = said.partition(" ")[::2]
        line.put(word, ALARM if episode.verdict == "slips" else BOLD).put(f" {rest}", BOLD)
        if was != said:
            line.put(f"   was {was}", FAINT)
        return line

    def _draw_parcel(self, line: Line, episode: EpisodeAnswer, row: ParcelRow, here: bool) -> Line:
        name, state, hand, moved, last = self._columns
        came = row.arrived is not None
        taut = episode.step(row.id).critical
        style = BOLD if here else FAINT if came else PLAIN
        line.put(self.marks.cursor if here else " ", BOLD)
        line.put(self.marks.taut if taut else " ", BOLD).gap(1)
        line.put(row.title, style, width=name - 1).gap(1)
        line.put(wording.parcel_state(row), style, width=state - 1).gap(1)
        line.put(self.words.moment(row.arrives), style, width=hand - 1).gap(1)
        line.put(self._moved(episode, row), BOLD, width=moved - 1).gap(1)
        if came:
            return line
        if row.arrives is None or row.latest_arrival is None:
            return line.put("no day would do" if row.latest_arrival is None else "", width=last)
        unsure = "" if row.latest_exact else "?"
        line.put(self.words.day(row.latest_arrival) + unsure, style, width=last - 1).gap(1)
        days, left = divmod(row.latest_arrival - row.arrives, MINUTES_A_DAY)
        if days < 0:
            return line.put("TOO LATE", ALARM)
        if not days:
            return line.put("none left" if not left else "not a day", style)
        return line.put(self.marks.ground * min(days, MOST_MARKS), style)

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
            return "", ""
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
        if row.arrived is not None:
            back = (
                f" Can go back until {self.words.moment(row.return_by)}." if row.return_by else ""
            )
            return f"{row.title}: in hand since {self.words.moment(row.arrived)}.{back}"
        parts = [f"{row.title}: in hand {self.words.moment(row.arrives, 'never')}"]
        if row.order_by is not None and row.ordered is None:
            parts.append(f"order by {self.words.moment(row.order_by)}")
        if row.latest_arrival is None:
            parts.append("no arrival from now on meets the release")
        else:
            sure = "" if row.latest_exact else " (a later one is not ruled out)"
            parts.append(f"meets up to {self.words.moment(row.latest_arrival)}{sure}")
        return ", ".join(parts) + "."

    def _first_user(self, episode: EpisodeAnswer, row: ParcelRow) -> str:
        """The first step that starts because of this box."""
        for step in episode.steps:
            because = step.because
            if because and because.kind == "parcel" and because.id == row.id and step.start:
                name = wording.name_of(episode, step)
                start = self.words.moment(step.start)
                return f"What waits for it first: {name}, {start}."
        return "Nothing stands still for it alone."

    def open_at(self, target: Target) -> None:
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
        if self.sitting.trying:
            self.stage.keep()
        else:
            target = self.target()
            if target is not None:
                self.stage.explain(target)

    def enters(self) -> str:
        return "keep" if self.sitting.trying else "look closer"

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
                "w",
                shown="w",
                short="why",
                text="everything about this box: why then, slack",
                run=lambda _: self._explain(),
            ),
        )

    def _move(self, days: int) -> None:
        here = self._here
        if here is None:
            return
        episode, row = here
        if row.arrived is not None:
            self.stage.say(f"{row.title} is in hand already; there is no other day to try.")
        elif row.arrives is None:
            self.stage.say(f"{row.title} has no day on which it comes.")
        else:
            self.sitting.move((episode.id, row.id), days)
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
