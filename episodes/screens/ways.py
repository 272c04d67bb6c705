"""The ways out of a slip: what each costs and loses, what it leaves to spare, until when it stands.

Space tries one: the verdict on every page then counts it in. Enter writes what is tried into the
plan as one change. They are sought in another process, so the page opens at once.
"""

from typing import TYPE_CHECKING, ClassVar

from episodes.answers.rows import EpisodeAnswer
from episodes.exports.text_odds import in_words
from episodes.screens import wording
from episodes.screens.errands import Failed
from episodes.screens.line import Line
from episodes.screens.marks import BOLD, FAINT, PLAIN, UNICODE, Marks
from episodes.screens.page import Key, Page, PageName, Stage, Target, key, pair
from episodes.screens.sheet import Said
from episodes.screens.sitting import Sitting

if TYPE_CHECKING:
    from episodes.answers.rescue import RescueAnswer, Way

ORDERS = ("price", "spare time", "odds", "decide by")
"""What the list can be sorted by; `price` is what it loses, then what it costs."""


class Ways(Page):
    """The ways out of the episode that the head speaks of."""

    name: ClassVar[PageName] = "ways"
    title: ClassVar[str] = "Ways out"
    waits_for: ClassVar[str] = "ways"
    fixed = 1

    def __init__(self, sitting: Sitting, stage: Stage, marks: Marks = UNICODE) -> None:
        super().__init__(sitting, stage, marks)
        self._ways: list[Way | None] = []
        """None is the heading over the suggestions."""
        self._said: list[str] = []
        """Lines that stand where no way does, or under the last one."""
        self._found: RescueAnswer | None = None
        self._order = 0

    # -- rows

    def build(self) -> None:
        before = self._here
        self._found = None
        self._ways, self._said = [], []
        episode = self.sitting.before()
        if episode is None:
            self._said = ["Nothing is planned, so nothing can slip."]
        elif episode.verdict == "released":
            self._said = [f"{episode.title} is out."]
        else:
            self._fill(episode)
        if before is not None and before in self._ways:
            self.cursor = self._ways.index(before)
        self.settle()

    def _fill(self, episode: EpisodeAnswer) -> None:
        found = self.stage.counting.ways(self.sitting, episode.id)
        if found is None:
            self._said = [self._waiting()]
        elif isinstance(found, Failed):
            self._said = [f"No ways out were sought: {found.text}"]
        else:
            self._found = found
            own, ours = (sorted(each, key=self._rank) for each in (found.ways, found.suggestions))
            self._ways = [*own, None, *ours] if ours else [*own]
            self._said = self._words(found)

    def _waiting(self) -> str:
        seconds = self.stage.counting.waiting("ways")
        since = f" {seconds} s" if seconds else ""
        return f"Looking for ways out ...{since}"

    def _rank(self, way: "Way") -> tuple[float, ...]:
        price = (way.loses, way.cost, float(len(way.fallbacks)))
        match ORDERS[self._order]:
            case "spare time":
                return (-way.spare_min, *price)
            case "odds":
                return (-(way.on_time or 0.0), *price)
            case "decide by":
                return (way.decide_by, *price)
        return price

    def _words(self, found: "RescueAnswer") -> list[str]:
        """What is to be said beside the ways."""
        if found.verdict != "slips":
            return ["Nothing to save: the release is met.", self._written(found), *self._slipping()]
        if found.ways:
            return [] if found.proved else ["There may be others: not every set could be settled."]
        if not found.fallbacks:
            return [
                "No way out is written down for this room.",
                "A [[fallback]] in its file says what you would accept, and at what price.",
            ]
        if found.proved:
            return ["None of its ways out saves it, nor all together: that is proved."]
        return ["No way out was found; that none exists is not proved."]

    def _slipping(self) -> list[str]:
        """The other rooms that need a way out."""
        return [
            f"{each.title} {wording.verdict(each).lower()}; r turns to the other rooms."
            for each in self.sitting.answer.episodes
            if each.verdict == "slips"
        ]

    def _written(self, found: "RescueAnswer") -> str:
        if not found.fallbacks:
            return "No way out is written down for this room yet."
        ways = "1 way out is" if found.fallbacks == 1 else f"{found.fallbacks} ways out are"
        return f"{ways} written down, for when it slips."

    @property
    def length(self) -> int:
        return len(self._ways) + len(self._said) + bool(self._ways and self._said)

    def selectable(self, row: int) -> bool:
        return row < len(self._ways) and self._ways[row] is not None

    @property
    def _here(self) -> "Way | None":
        return self._ways[self.cursor] if self.cursor < len(self._ways) else None

    # -- drawing

    @property
    def _columns(self) -> tuple[int, int, int, int, int]:
        """Widths of costs, loses, spare, odds, decide by; 0 for what has no room."""
        if self.width >= 90:
            return 11, 7, 11, 16, 17
        if self.width >= 76:
            return 9, 0, 10, 12, 17
        return 8, 0, 10, 0, 17

    def draw_fixed(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        if not self._ways:
            return line
        titles = ("costs", "loses", "to spare", "in time", "decide by")
        line.gap(3).put("way out", FAINT, width=width - 3 - sum(self._columns))
        for title, cells in zip(titles, self._columns, strict=True):
            if cells:
                line.put(title, FAINT, width=cells)
        return line

    def draw(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        if row < len(self._ways):
            way = self._ways[row]
            if way is None:
                return line.gap(3).put("SUGGESTIONS, not in your file: ask what each costs", FAINT)
            return self._draw_way(line, way, row == self.cursor)
        row -= len(self._ways) + bool(self._ways)
        return line.gap(3).put(self._said[row], FAINT) if row >= 0 else line

    def _draw_way(self, line: Line, way: "Way", here: bool) -> Line:
        style = BOLD if here else PLAIN
        cost, loses, spare, odds, _ = self._columns
        line.put(self.marks.cursor if here else " ", BOLD)
        tried = (self.sitting.room, way) in self.sitting.taken
        line.put("*" if tried else " ", BOLD).gap(1)
        room = line.width - 3 - sum(self._columns)
        line.put(" + ".join(way.titles), style, width=room - 1).gap(1)
        unit = self.sitting.base.currency
        price = f"{way.cost:g} {unit}".strip() if way.cost else "nothing"
        line.put(price if way.priced else "ask", style, width=cost - 1).gap(1)
        if loses:
            line.put(f"{way.loses:g}/10" if way.priced else "?", style, width=loses - 1).gap(1)
        line.put(wording.length(way.spare_min), style, width=spare - 1).gap(1)
        if odds:
            chance = "-" if way.on_time is None else in_words(way.on_time)
            line.put(chance, style, width=odds - 1).gap(1)
        return line.put(self.words.moment(way.decide_by), style)

    # -- what is selected

    def target(self) -> Target | None:
        return Target(self.sitting.room, "episode") if self.sitting.room else None

    def foot(self) -> tuple[str, str]:
        way = self._here
        if way is None:
            return ("", "")
        if self.sitting.taken:
            first = f"TRYING {self._tried()}: Enter writes it into the plan, Esc puts back."
        else:
            parts = [
                f"Ready {self.words.moment(way.ready_by)}",
                f"loses {way.loses:g}/10" if way.priced else "its price is yours to find out",
                f"must be decided by {self.words.moment(way.decide_by)}",
            ]
            first = ", ".join(parts) + "."
        lines = self.sitting.engine.change_lines(self.sitting.room, way)
        return first, "; ".join(lines) if lines else self._unwritable(way)

    def _tried(self) -> str:
        count = len(self.sitting.taken)
        return "1 way out" if count == 1 else f"{count} ways out"

    def _unwritable(self, way: "Way") -> str:
        return "It is not a change of the plan's files: what it means is yours to do."

    def open_at(self, target: Target) -> None:
        if target.episode:
            self.sitting.room = target.episode
        self.build()
        self.redraw()

    # -- keys

    def enter(self) -> None:
        if self.sitting.trying:
            self.stage.keep()
        else:
            self._explain()

    def enters(self) -> str:
        if self.sitting.trying:
            return "write it"
        return "look closer"

    def remarks(self) -> tuple[tuple[str, str], ...]:
        return (
            ("*", "tried: the verdict counts it in, nothing of it is written yet"),
            ("loses", "what the episode is worth less for it, out of ten, as you wrote it"),
            ("decide by", "the last moment at which it still saves the release"),
        )

    def own_keys(self) -> tuple[Key, ...]:
        return (
            key(
                "space",
                shown="Space",
                short="try",
                text="try this way out, or no more: nothing is written",
                run=lambda _: self._try(),
            ),
            key(
                "escape",
                shown="Esc",
                short="put back" if self.sitting.trying else "",
                text="nothing is tried any more",
                run=lambda _: self._put_back(),
            ),
            key(
                "o",
                shown="o",
                short="order",
                text="by price, by spare time, by odds, by when it must be decided",
                run=lambda _: self._reorder(),
            ),
            *pair(
                ("R", "shift+r"),
                ("r",),
                self._next_room,
                shown="r R",
                short="room",
                text="the next room, the one before",
            ),
            key(
                "w",
                shown="w",
                short="why",
                text="everything about this way out: what it changes, what it costs",
                run=lambda _: self._explain(),
            ),
        )

    def _try(self) -> None:
        way = self._here
        if way is None:
            return
        if not self.sitting.engine.changes(self.sitting.room, way):
            self.stage.say(self._unwritable(way))
            return
        self.sitting.take(self.sitting.room, way)
        self.redraw()
        self.stage.solve_soon()

    def _put_back(self) -> None:
        if self.sitting.put_back():
            self.redraw()
            self.stage.solve_soon()

    def _reorder(self) -> None:
        self._order = (self._order + 1) % len(ORDERS)
        self.build()
        self.redraw()
        self.stage.say(f"By {ORDERS[self._order]}.")

    def _next_room(self, by: int) -> None:
        self.sitting.turn_room(by)
        self.build()
        self.redraw()

    def _explain(self) -> None:
        way = self._here
        if way is None or self._found is None:
            return
        currency = self.sitting.base.currency
        chance = "" if way.on_time is None else in_words(way.on_time)
        price = f"{way.cost:g} {currency}".strip() if way.cost else "nothing"
        lines = [
            Said(self.words.moment(way.ready_by), "ready by"),
            Said(wording.length(way.spare_min), "to spare"),
            Said(chance, "in time"),
            Said(price if way.priced else "ask: it is not known", "costs"),
            Said(f"{way.loses:g} of 10" if way.priced else "", "loses"),
            Said(self.words.moment(way.decide_by), "decide by"),
            Said(),
        ]
        changes = self.sitting.engine.change_lines(self.sitting.room, way)
        lines += [Said(label="What it changes")] if changes else [Said(self._unwritable(way))]
        lines += [Said(f"{line}.") for line in changes]
        for delay in way.delays:
            lines.append(Said(f"{delay.title} is ready {wording.length(delay.minutes)} later."))
        lines += [Said(caution, "care", BOLD) for caution in way.cautions]
        kept = [line for line in lines if line.text or not line.label or line.label[0].isupper()]
        self.stage.read(" + ".join(way.titles), kept)
