"""The next room: ideas side by side, each tried on the coming releases of the season as it stands.

`p` gives the one under the cursor a month: its file moves out of `ideas/`, and `u` moves it back.
"""

from typing import TYPE_CHECKING, ClassVar

from episodes.exports.text_odds import in_words
from episodes.exports.text_words import price, worked
from episodes.screens import wording
from episodes.screens.line import Line
from episodes.screens.listing import ListPage, Row
from episodes.screens.marks import BOLD, FAINT, PLAIN, UNICODE, Marks
from episodes.screens.page import Key, PageName, Stage, key
from episodes.screens.sheet import Said
from episodes.screens.sitting import Sitting

if TYPE_CHECKING:
    from episodes.answers.compare import CompareAnswer, IdeaAnswer, Try

ORDERS = ("release", "odds", "hours", "money")


class NextRoom(ListPage):
    """The rooms without a month."""

    name: ClassVar[PageName] = "next"
    title: ClassVar[str] = "Next room"
    waits_for: ClassVar[str] = "ideas"
    looks_for: ClassVar[str] = "Trying each room on the coming releases"
    fixed = 1

    def __init__(self, sitting: Sitting, stage: Stage, marks: Marks = UNICODE) -> None:
        super().__init__(sitting, stage, marks)
        self._ideas: dict[str, IdeaAnswer] = {}
        self._order = 0

    def answer(self) -> object | None:
        return self.stage.counting.ideas(self.sitting)

    def fill(self, answer: object) -> None:
        from episodes.answers.compare import CompareAnswer

        assert isinstance(answer, CompareAnswer)
        ideas = sorted(answer.ideas, key=self._rank)
        self._ideas = {idea.id: idea for idea in ideas}
        self.rows = [self._row(idea, answer) for idea in ideas]
        if not ideas:
            self.said = ["No idea to compare: put a room without a month into ideas/NAME.toml."]

    def _rank(self, idea: "IdeaAnswer") -> tuple[object, ...]:
        tried = idea.earliest
        release = (tried is None, tried.release if tried else 0, idea.delays_others, idea.id)
        match ORDERS[self._order]:
            case "odds":
                return (-((tried.on_time or 0.0) if tried else 0.0), *release)
            case "hours":
                return (sum(idea.hands.values()), *release)
            case "money":
                return (idea.cost, *release)
        return release

    # -- drawing

    @property
    def _columns(self) -> tuple[int, int, int, int, int]:
        """Widths of release, spare, odds, hours, money; 0 for what has no room."""
        if self.width >= 90:
            return 13, 11, 16, 10, 10
        return (12, 0, 16, 9, 9) if self.width >= 76 else (12, 0, 0, 9, 9)

    def draw_fixed(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        if not self.rows:
            return line
        line.gap(3).put("room", FAINT, width=width - 3 - sum(self._columns))
        titles = ("can be out", "to spare", "in time", "hands", "money")
        for title, cells in zip(titles, self._columns, strict=True):
            if cells:
                line.put(title, FAINT, width=cells)
        return line

    def _row(self, idea: "IdeaAnswer", answer: "CompareAnswer") -> Row:
        tried = idea.earliest

        def draw(line: Line, here: bool) -> Line:
            style = BOLD if here else PLAIN
            out, spare, odds, hours, money = self._columns
            line.gap(2).put(idea.title, style, width=line.left - sum(self._columns) - 3).gap(1)
            line.put(self.words.day(tried.release) if tried else "none", style, width=out - 1)
            line.gap(1)
            if spare:
                said = wording.length(tried.spare_min or 0) if tried else "-"
                line.put(said, style, width=spare - 1).gap(1)
            if odds:
                line.put(_chance(tried), style, width=odds - 1).gap(1)
            line.put(worked(sum(idea.hands.values())), style, width=hours - 1).gap(1)
            return line.put(price(idea.cost, answer.currency), style, width=money)

        return Row(
            name=idea.id,
            draw=draw,
            foot=(self._first(idea), self._second(idea)),
            sheet=self._sheet(idea, answer),
            title=idea.title,
        )

    def _first(self, idea: "IdeaAnswer") -> str:
        if idea.earliest is None:
            return f"{idea.title} makes no release of the coming 26 weeks."
        spare = wording.length(idea.earliest.spare_min or 0)
        said = f"Can be out {self.words.moment(idea.earliest.release)} with {spare} to spare. "
        return said + self._effect(idea)

    def _effect(self, idea: "IdeaAnswer") -> str:
        """What it does to what is under way."""
        if not idea.delays:
            return "No other room is ready later for it."
        parts = [
            f"{delay.title} by {wording.length(delay.minutes)}"
            + (", which then SLIPS" if (delay.before, delay.after) == ("meets", "slips") else "")
            for delay in idea.delays
        ]
        return f"Later for it: {'; '.join(parts)}."

    def _second(self, idea: "IdeaAnswer") -> str:
        if not idea.held_by:
            return ""
        since = "" if idea.held_from is None else f", {self.words.moment(idea.held_from)}"
        return f"What holds it back most: {idea.held_by}{since}."

    def _sheet(self, idea: "IdeaAnswer", answer: "CompareAnswer") -> list[Said]:
        hands = [
            f"{answer.people.get(person, person)} {worked(minutes)}"
            for person, minutes in idea.hands.items()
        ]
        unpriced = f", {idea.unpriced} without a price" if idea.unpriced else ""
        lines = [
            Said(self._tried(idea.earliest), "earliest"),
            Said(self._tried(idea.next), "next free"),
            Said(", ".join(hands) or "none", "work"),
            Said(price(idea.cost, answer.currency) + unpriced, "money"),
            Said(self._second(idea), "holds back"),
            Said(self._effect(idea), "others"),
        ]
        return [line for line in lines if line.text]

    def _tried(self, tried: "Try | None") -> str:
        if tried is None:
            return "none within 26 weeks"
        said = self.words.moment(tried.release)
        if tried.spare_min is None:
            return f"{said}: no plan was found"
        if tried.verdict == "meets":
            return f"{said}: meets, {wording.length(tried.spare_min)} to spare, {_chance(tried)}"
        return f"{said}: slips by {wording.length(-tried.spare_min)}"

    # -- keys

    def remarks(self) -> tuple[tuple[str, str], ...]:
        return (("can be out", "the first free release that it meets, behind all nearer rooms"),)

    def own_keys(self) -> tuple[Key, ...]:
        return (
            key(
                "p",
                shown="p",
                short="pick",
                text="give this room its month: the file moves out of ideas/",
                run=lambda _: self._pick(),
            ),
            key(
                "o",
                shown="o",
                short="order",
                text="by release, by odds, by hours, by money",
                run=lambda _: self._reorder(),
            ),
            key(
                "w",
                shown="w",
                short="why",
                text="everything about this room: what holds it back, what it does to others",
                run=lambda _: self.look_closer(),
            ),
        )

    def _reorder(self) -> None:
        self._order = (self._order + 1) % len(ORDERS)
        self.build()
        self.redraw()
        self.stage.say(f"By {ORDERS[self._order]}.")

    def _pick(self) -> None:
        idea = self._ideas.get(self.here.name) if self.here is not None else None
        tries = (idea.earliest, idea.next) if idea is not None else ()
        releases = {each.release: each for each in tries if each is not None}
        if idea is None or not releases:
            self.stage.say("No release of the coming 26 weeks is free for it.")
            return
        self.stage.promote(
            idea.id, idea.title, [(minute, self._tried(each)) for minute, each in releases.items()]
        )


def _chance(tried: "Try | None") -> str:
    return "-" if tried is None or tried.on_time is None else in_words(tried.on_time)
