"""How full the weeks are: everybody's work week by week against the hours they have."""

from typing import TYPE_CHECKING, ClassVar

from episodes.exports.text_words import worked
from episodes.screens.line import Line
from episodes.screens.listing import ListPage, Row
from episodes.screens.marks import ALARM, BOLD, FAINT, PLAIN, REVERSED
from episodes.screens.page import Key, PageName, key
from episodes.screens.sheet import Said

if TYPE_CHECKING:
    from episodes.answers.load import LoadAnswer, PersonLoad, WeekLoad

BAR = 24
"""Cells of the longest bar where there is room for it."""


def state_of(week: "WeekLoad") -> str:
    """`OVERBOOKED`, `full` or nothing, in words: never told by colour alone."""
    if week.needed_min > week.open_min:
        return "OVERBOOKED"
    if week.due_min > week.due_open_min:
        return "OVERBOOKED by its end"
    return "full" if week.full else ""


class Load(ListPage):
    """A line a week under each person's name."""

    name: ClassVar[PageName] = "load"
    title: ClassVar[str] = "Load"
    waits_for: ClassVar[str] = "load"
    looks_for: ClassVar[str] = "Adding up the weeks"
    fixed = 1

    def answer(self) -> object | None:
        return self.stage.counting.load(self.sitting)

    def fill(self, answer: object) -> None:
        from episodes.answers.load import LoadAnswer

        assert isinstance(answer, LoadAnswer)
        most = max((w.open_min for p in answer.people for w in p.weeks), default=0)
        most = max([most, *(w.planned_min for p in answer.people for w in p.weeks), 1])
        for person in answer.people:
            self.rows.append(self._head(person))
            self.rows += [self._week(person, week, answer, most) for week in person.weeks]
        if not any(person.weeks for person in answer.people):
            self.said.append("No release is coming that anybody would work for.")
        for squeeze in answer.overbooked:
            names = " and ".join(answer_title(answer, id) for id in squeeze.people)
            self.said.append(
                f"{names}: {worked(squeeze.needed_min)} must be done by "
                f"{self.words.deadline(squeeze.end)}, {worked(squeeze.open_min)} are open."
            )

    def _head(self, person: "PersonLoad") -> Row:
        total = f"{worked(person.planned_min)} of {worked(person.open_min)} open"

        def draw(line: Line, here: bool) -> Line:
            return line.put(person.title, BOLD, width=22).gap(1).put(total, FAINT)

        return Row(name=f"head:{person.id}", draw=draw)

    def _week(self, person: "PersonLoad", week: "WeekLoad", answer: "LoadAnswer", most: int) -> Row:
        state = state_of(week)
        rooms = dict(answer.episodes)
        parts = [f"{rooms.get(id, id)} {worked(minutes)}" for id, minutes in week.episodes]

        def draw(line: Line, here: bool) -> Line:
            style = BOLD if here else PLAIN
            line.gap(2).put(self.words.day(week.start), style, width=13)
            line.right(worked(week.planned_min) if week.planned_min else "-", 8, style)
            line.put(" of", FAINT).right(worked(week.open_min) if week.open_min else "-", 8, style)
            line.gap(2)
            bar = max(min(BAR, line.left - 14), 8)
            self._bar(line, week, bar, most)
            return line.gap(2).put(state, ALARM if state.isupper() or " by " in state else BOLD)

        share = week.planned_min / week.open_min if week.open_min else 0
        first = f"{person.title}, week from {self.words.day(week.start)}: "
        first += f"{worked(week.planned_min)} planned of {worked(week.open_min)} open"
        first += f", {share:.0%}" if share else ""
        sheet = [
            Said(worked(week.open_min), "open"),
            Said(worked(week.planned_min), "planned"),
            Said(worked(week.needed_min), "must"),
            Said(state or "room to spare", "so"),
            Said(),
            Said(label="For which rooms"),
            *(Said(part) for part in parts),
        ]
        return Row(
            name=f"{person.id}:{week.start}",
            draw=draw,
            foot=(f"{first}.", "; ".join(parts) or "Nothing is planned in it."),
            sheet=sheet,
            title=first,
        )

    def _bar(self, line: Line, week: "WeekLoad", width: int, most: int) -> None:
        """What must be done, what is planned on top of it, what stays open."""

        def cells(minutes: int) -> int:
            return max(round(minutes * width / most), 1) if minutes else 0

        must = cells(min(week.needed_min, week.planned_min))
        planned, open_ = cells(week.planned_min), cells(week.open_min)
        shapes = self.marks.hands_taut * must + self.marks.hands * max(planned - must, 0)
        over = max(planned - open_, 0)
        line.put(shapes[: len(shapes) - over], PLAIN).put(shapes[len(shapes) - over :], REVERSED)
        line.put(self.marks.ground * max(open_ - planned, 0), FAINT)
        line.gap(max(width - max(open_, planned), 0))

    def draw_fixed(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        line.gap(3).put("week from", FAINT, width=13).right("planned", 8, FAINT)
        return line.gap(3).right("open", 8, FAINT)

    def remarks(self) -> tuple[tuple[str, str], ...]:
        return (
            (self.marks.hands_taut, "can lie in no other week if the releases are to be met"),
            (self.marks.hands, "planned there, could be moved"),
            (self.marks.ground, "open hours left"),
        )

    def own_keys(self) -> tuple[Key, ...]:
        return (
            key(
                "w",
                shown="w",
                short="why",
                text="everything about this week: open, planned, for which rooms",
                run=lambda _: self.look_closer(),
            ),
        )


def answer_title(answer: "LoadAnswer", id: str) -> str:
    """A person's title."""
    return next((each.title for each in answer.people if each.id == id), id)
