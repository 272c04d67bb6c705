"""The look back: what was guessed against what it took, and the ranges that this suggests.

`m` takes the suggestion under the cursor into its plan file; `u` takes it back.
"""

from typing import TYPE_CHECKING, ClassVar

from episodes.exports.text_lookback import range_words
from episodes.exports.text_words import worked
from episodes.screens.line import Line
from episodes.screens.listing import ListPage, Row
from episodes.screens.marks import BOLD, FAINT, PLAIN, UNICODE, Marks
from episodes.screens.page import Key, PageName, Stage, key
from episodes.screens.sheet import Said
from episodes.screens.sitting import Sitting

if TYPE_CHECKING:
    from episodes.answers.lookback import Group, LookbackAnswer, Suggestion

BAR = 20
"""Cells of the longest bar."""


class LookBack(ListPage):
    """People and carriers by kind of work, then the suggestions."""

    name: ClassVar[PageName] = "lookback"
    title: ClassVar[str] = "Look back"
    waits_for: ClassVar[str] = "lookback"
    looks_for: ClassVar[str] = "Reading what was done"
    fixed = 1

    def __init__(self, sitting: Sitting, stage: Stage, marks: Marks = UNICODE) -> None:
        super().__init__(sitting, stage, marks)
        self._suggestions: dict[str, Suggestion] = {}

    def answer(self) -> object | None:
        return self.stage.counting.lookback(self.sitting)

    def fill(self, answer: object) -> None:
        from episodes.answers.lookback import LookbackAnswer

        assert isinstance(answer, LookbackAnswer)
        self.rows = [self._group(each, answer) for each in answer.groups]
        self._suggestions = {each.name: each for each in answer.suggestions}
        if answer.suggestions:
            self.rows.append(self._heading("RANGES FOR WHAT IS TO COME"))
            self.rows += [self._suggestion(each, answer) for each in answer.suggestions]
        if not answer.groups:
            self.said = [
                "Nothing to look back on yet: `took` on a step, or `ordered` and `arrived`",
                "on a parcel, make a record.",
            ]

    def draw_fixed(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        if not self.rows:
            return line
        line.gap(3).put("who, kind of work", FAINT, width=self._name)
        line.right("records", 8, FAINT).right("guessed", 10, FAINT).right("took", 10, FAINT)
        return line.right("ratio", 8, FAINT)

    @property
    def _name(self) -> int:
        return max(min(self.width - 3 - 36 - 2 - BAR // 2, 40), 20)

    def _heading(self, text: str) -> Row:
        return Row(name="heading", draw=lambda line, here: line.put(text, FAINT))

    def _group(self, group: "Group", answer: "LookbackAnswer") -> Row:
        who = answer.people.get(group.who) or answer.carriers.get(group.who) or group.who
        name = f"{who or 'no carrier'}, {group.kind}"

        def amount(value: int) -> str:
            return f"{value} d" if group.workdays else worked(value)

        def draw(line: Line, here: bool) -> Line:
            style = BOLD if here else PLAIN
            line.gap(2).put(name, style, width=self._name)
            line.right(str(group.n), 8, style).right(amount(group.guessed), 10, style)
            line.right(amount(group.took), 10, style).right(f"{group.ratio:.2f}", 8, style).gap(2)
            most = max(group.guessed, group.took, 1)
            room = max(min(BAR, line.left), 0)
            guessed, took = (value * room // most for value in (group.guessed, group.took))
            line.put(self.marks.hands_taut * min(took, guessed))
            return line.put(self.marks.hands * max(guessed - took, 0)).put(
                self.marks.coming_taut * max(took - guessed, 0)
            )

        first = f"{name} took {group.ratio:.2f} times what was guessed, over {group.n} records."
        drawn = f"{group.clipped} drawn in to what is believed." if group.clipped else ""
        return Row(
            name=f"{group.who}:{group.kind}",
            draw=draw,
            foot=(first, drawn),
            sheet=[Said(first), *([Said(drawn)] if drawn else [])],
            title=name,
        )

    def _suggestion(self, each: "Suggestion", answer: "LookbackAnswer") -> Row:
        written = range_words(each.written, each.workdays)
        proposed = range_words(each.proposed, each.workdays)
        who = answer.people.get(each.who) or answer.carriers.get(each.who) or each.who
        rests = f"Rests on {each.n} records of {who or 'no carrier'}, {each.kind}."

        def draw(line: Line, here: bool) -> Line:
            style = BOLD if here else PLAIN
            line.gap(2).put(each.title, style, width=self._name)
            return line.gap(2).put(f"{written}  to  {proposed}", style)

        return Row(
            name=each.name,
            draw=draw,
            foot=(f"{each.title}: {written} as written, {proposed} by what it took.", rests),
            sheet=[
                Said(each.name, "what"),
                Said(written, "as written"),
                Said(proposed, "suggested"),
                Said(rests, "why"),
            ],
            title=each.title,
        )

    def remarks(self) -> tuple[tuple[str, str], ...]:
        return (
            (self.marks.hands_taut, "took what was guessed"),
            (self.marks.hands, "guessed, and not needed"),
            (self.marks.coming_taut, "took longer than was guessed"),
        )

    def own_keys(self) -> tuple[Key, ...]:
        return (
            key(
                "m",
                shown="m",
                short="take it" if self._chosen else "",
                text="take this range into the plan; the first guess is kept beside it",
                run=lambda _: self._take(),
            ),
            key(
                "w",
                shown="w",
                short="why",
                text="what this row rests on",
                run=lambda _: self.look_closer(),
            ),
        )

    @property
    def _chosen(self) -> "Suggestion | None":
        return self._suggestions.get(self.here.name) if self.here is not None else None

    def _take(self) -> None:
        each = self._chosen
        if each is None:
            self.stage.say("Only a suggested range can be taken.")
            return
        new = range_words(each.proposed, each.workdays)
        old = range_words(each.written, each.workdays)
        first = range_words(each.first_guess, each.workdays)
        said = f"{each.title}: {each.key} {new} (was {old})"
        self.stage.guess(each.episode, each.id, each.key, new, first, said)
