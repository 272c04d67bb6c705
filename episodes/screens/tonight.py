"""The first page: the next releases, what to do today, what to order, what to film in time."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from episodes.amounts import length_in_words
from episodes.answers.rows import EpisodeAnswer, StepRow
from episodes.problems import Problem
from episodes.screens import wording
from episodes.screens.frame import odds_words
from episodes.screens.line import Line
from episodes.screens.marks import ALARM, BOLD, FAINT, UNICODE, Marks
from episodes.screens.page import Key, Page, PageName, Stage, Target, key, target_of
from episodes.screens.sitting import Sitting

if TYPE_CHECKING:
    from episodes.answers.changed import Changed, Seen
    from episodes.answers.today import AtRisk, Do, OrderBy, Running

ROOM = 22
"""Cells for the room's name beside a step, where there is room for it."""

LEAST = 2
"""Rows a section keeps where the screen is too low for all of them."""

_LEVELS = {"error": 0, "warning": 1, "note": 2}


@dataclass(frozen=True, slots=True)
class _Row:
    """A row of a section: how it is drawn, what the foot says of it, what Enter opens."""

    draw: Callable[[Line], Line]
    foot: Callable[[], tuple[str, str]]
    target: Target | None = None


@dataclass(slots=True)
class _Section:
    name: str
    rows: list[_Row]
    nothing: str
    shown: int = 0
    """Rows drawn; the rest is counted in one line."""


@dataclass(frozen=True, slots=True)
class _Place:
    """What stands on a row of the page: section, index into it; -1 the "and more" line."""

    section: int
    index: int
    first: bool


class Tonight(Page):
    """Home. Every row opens the page on which it can be looked at closer."""

    name: ClassVar[PageName] = "tonight"
    title: ClassVar[str] = "Tonight"

    earlier: "Seen | None" = None
    """What was seen when the screens were last left."""

    _expanded: frozenset[str] = frozenset()
    _airy: bool = False
    """Whether there is room for a blank row between the sections."""

    # -- rows

    def __init__(self, sitting: Sitting, stage: Stage, marks: Marks = UNICODE) -> None:
        super().__init__(sitting, stage, marks)
        self._sections: list[_Section] = []
        self._places: list[_Place | None] = []

    def build(self) -> None:
        sitting = self.sitting
        coming = [each for each in sitting.answer.episodes if each.verdict != "released"]
        today = sitting.today
        self._sections = [
            _Section("RELEASES", [self._release(each) for each in coming], "no episode is planned"),
            _Section("CHANGED", self._changes(), ""),
            _Section("TO DO", [self._do(each) for each in today.do], self._free()),
            _Section("DRYING", [self._running(each) for each in today.running], ""),
            _Section(
                "ORDER", [self._order(each) for each in today.order], "nothing to order this week"
            ),
            _Section(
                "FILM", [self._film(each) for each in today.at_risk], "no shot is lost this week"
            ),
            _Section("LOOK OUT", self._problems(coming), ""),
        ]
        self._sections = [each for each in self._sections if each.rows or each.nothing]
        self._allot()
        self._lay_out()
        self.settle()

    @property
    def _wide(self) -> bool:
        return self.width >= 96

    def _allot(self) -> None:
        """How many rows each section shows: all where they fit, else shares of the height."""
        for section in self._sections:
            full = section.name in self._expanded
            section.shown = len(section.rows) if full else min(LEAST, len(section.rows))
        gaps = len(self._sections) - 1
        self._airy = self._used() + gaps <= self.height
        room = self.height - (gaps if self._airy else 0)
        grown = True
        while grown:
            grown = False
            for section in self._sections:
                more = section.shown < len(section.rows)
                # The last row of a section takes the place of its "and 1 more".
                last = section.shown + 1 == len(section.rows)
                if more and self._used() + (not last) <= room:
                    section.shown += 1
                    grown = True

    def _used(self) -> int:
        return sum(max(each.shown + (each.shown < len(each.rows)), 1) for each in self._sections)

    def _lay_out(self) -> None:
        self._places = []
        for number, section in enumerate(self._sections):
            if number and self._airy:
                self._places.append(None)
            self._places.extend(
                _Place(number, index, index == 0) for index in range(max(section.shown, 1))
            )
            if section.shown < len(section.rows):
                self._places.append(_Place(number, -1, False))

    def _free(self) -> str:
        """What to say when nothing is planned for today: when it goes on."""
        coming = [
            (row.start, wording.name_of(each, row))
            for each in self.sitting.answer.episodes
            for row in each.steps
            if row.kind in ("hands", "shot")
            and row.state == "open"
            and row.start is not None
            and row.start >= self.sitting.now
        ]
        if not coming:
            return "nothing is left to do"
        start, name = min(coming)
        return f"nothing today; next {self.words.moment(start)}: {name}"

    # -- one kind of row each

    def _row_of(self, episode: str, id: str) -> tuple[EpisodeAnswer, StepRow]:
        answer = self.sitting.answer.episode(episode)
        return answer, answer.step(id)

    def _release(self, episode: EpisodeAnswer) -> _Row:
        sitting = self.sitting

        def draw(line: Line) -> Line:
            line.gap(1).put(episode.title, width=24 if self._wide else 21).gap(1)
            line.put(wording.away(episode.release, sitting.now), width=13).gap(1)
            word, rest = wording.verdict(episode).partition(" ")[::2]
            line.put(word, ALARM if episode.verdict == "slips" else BOLD).put(f" {rest}")
            room = f"room by {self.words.day(episode.room_by)}" if episode.room_by else ""
            odds = odds_words(sitting, episode)
            if odds and line.left > len(odds) + 2:
                line.gap(2).put(odds)
            if self._wide and line.left > len(room) + 1:
                line.right(room, line.left, FAINT)
            return line

        def foot() -> tuple[str, str]:
            parts = []
            if episode.ready_by is not None:
                parts.append(f"ready {self.words.moment(episode.ready_by)}")
            if episode.room_by is not None:
                by = self.words.deadline(episode.room_by)
                parts.append(f"the room must be finished by {by}")
            said = "; ".join(parts)
            return f"{said[:1].upper()}{said[1:]}." if said else "", self._second(episode)

        return _Row(draw, foot, Target(episode.id, "episode"))

    def _second(self, episode: EpisodeAnswer) -> str:
        """The gravest problem of an episode, else its money."""
        worst = sorted(episode.problems, key=lambda each: _LEVELS[each.level])
        if worst and worst[0].level != "note":
            return f"{worst[0].text} {worst[0].mend}".strip()
        money, unit = episode.money, self.sitting.answer.currency
        if money.budget is None:
            return f"Money: {money.planned:g} {unit} planned, {money.paid:g} paid."
        return f"Money: {money.planned:g} of {money.budget:g} {unit} planned, {money.paid:g} paid."

    def _do(self, do: "Do") -> _Row:
        sitting = self.sitting
        episode, row = self._row_of(do.episode, do.id)

        def draw(line: Line) -> Line:
            line.put(self.marks.taut if do.critical else " ", BOLD)
            line.put(f"{self.words.clock(do.from_)}-{self.words.clock(do.to)}", width=12)
            line.put(wording.people(sitting.answer, do.who), width=9).gap(1)
            film = f"{self.marks.shot_once} " if do.film_first else ""
            room = ROOM if self._wide else 0
            # Where it is tight the step alone; what it belongs to is in the foot.
            name = wording.name_of(episode, row) if self._wide else row.title
            line.put(f"{film}{name}", width=line.left - 9 - room).gap(1)
            if self._wide:
                line.put(episode.title, FAINT, width=room - 1).gap(1)
            return line.right(length_in_words(do.hands_min), 8)

        def foot() -> tuple[str, str]:
            said = wording.reason(sitting.answer, episode, row)
            if do.film_first:
                shots = ", ".join(episode.step(shot).title for shot in do.film_first)
                said = f"FILM FIRST: {shots}."
            elif row.cautions:
                said = f"{said} Care: {row.cautions[0]}".strip()
            latest = f"start by {self.words.moment(do.latest)}" if do.latest else ""
            parts = (wording.name_of(episode, row), wording.slack(row), latest)
            return "  ".join(part for part in parts if part), said

        return _Row(draw, foot, target_of(row))

    def _running(self, running: "Running") -> _Row:
        episode, row = self._row_of(running.episode, running.id)

        def draw(line: Line) -> Line:
            line.put(self.marks.taut if row.critical else " ", BOLD)
            line.put(wording.name_of(episode, row), width=line.left - 24).gap(1)
            return line.put(f"until {self.words.moment(running.until)}")

        def foot() -> tuple[str, str]:
            return f"{episode.title}  {wording.name_of(episode, row)}", wording.slack(row)

        return _Row(draw, foot, target_of(row))

    def _order(self, order: "OrderBy") -> _Row:
        sitting = self.sitting
        episode = sitting.answer.episode(order.episode)
        parcel = episode.parcel(order.id)

        def draw(line: Line) -> Line:
            line.put(self.marks.taut if episode.step(parcel.id).critical else " ", BOLD)
            by = "at once" if order.by is None else f"by {self.words.deadline(order.by)}"
            line.put(by, width=21)
            line.put(parcel.title, width=line.left - 24).gap(1)
            return line.put(f"comes {self.words.moment(parcel.arrives, 'never')}")

        def foot() -> tuple[str, str]:
            latest = self.words.moment(parcel.latest_arrival, "no day that would do")
            first = f"{parcel.title}, {episode.title}: ordered now it is in hand "
            first += f"{self.words.moment(parcel.arrives, 'never')}."
            return first, f"The last arrival that meets the release: {latest}."

        return _Row(draw, foot, Target(order.episode, "parcel", order.id))

    def _film(self, risk: "AtRisk") -> _Row:
        sitting = self.sitting
        episode, row = self._row_of(risk.episode, risk.shot)

        def draw(line: Line) -> Line:
            line.put(self.marks.taut if row.critical else " ", BOLD)
            line.put(f"{self.marks.shot_once} {row.title}", width=line.left - 29).gap(1)
            return line.put(f"gone after {self.words.moment(risk.before)}")

        def foot() -> tuple[str, str]:
            parts = (episode.title, row.title, wording.when(row, self.words))
            line = next(
                (each for each in sitting.shots if each.row.id == row.id and each.ended_by), None
            )
            ender = episode.step(line.ended_by) if line and line.ended_by else None
            if ender is None:
                return "  ".join(parts), wording.reason(sitting.answer, episode, row)
            return "  ".join(parts), f"Gone when {wording.name_of(episode, ender)} starts."

        return _Row(draw, foot, target_of(row))

    def _changes(self) -> list[_Row]:
        """What is otherwise than when the screens were last left."""
        if self.earlier is None:
            return []
        from episodes.answers.changed import changed

        found = changed(self.earlier, self.sitting.base)
        return [self._change(each) for each in found]

    def _change(self, change: "Changed") -> _Row:
        from episodes.screens.changes import change_words

        said = change_words(change, self.sitting.base, self.words)
        since = f"Since {self.words.moment(self.earlier.at)}." if self.earlier else ""
        here = any(each.id == change.episode for each in self.sitting.base.episodes)
        kind = "parcel" if change.parcel else "episode"
        target = Target(change.episode, kind, change.parcel) if here else None  # type: ignore[arg-type]
        return _Row(lambda line: line.gap(1).put(said), lambda: (f"{said}.", since), target)

    def _problems(self, episodes: Sequence[EpisodeAnswer]) -> list[_Row]:
        found = [(each, problem) for each in episodes for problem in each.problems]
        found.sort(key=lambda pair: _LEVELS[pair[1].level])
        return [self._problem(*pair) for pair in found if pair[1].level != "note"]

    def _problem(self, episode: EpisodeAnswer, problem: Problem) -> _Row:
        def draw(line: Line) -> Line:
            return line.gap(1).put(problem.text)

        def foot() -> tuple[str, str]:
            where = f"  ({problem.where})" if problem.where else ""
            return f"{problem.text}{where}", problem.mend

        row = next((row for row in episode.steps if row.id == problem.subject), None)
        return _Row(draw, foot, target_of(row) if row else Target(episode.id, "episode"))

    # -- drawing

    @property
    def length(self) -> int:
        return len(self._places)

    def selectable(self, row: int) -> bool:
        place = self._places[row]
        return place is not None and bool(self._sections[place.section].rows)

    def draw(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        place = self._places[row]
        if place is None:
            return line
        section = self._sections[place.section]
        line.put(f" {section.name}" if place.first else "", FAINT, width=11)
        line.put(self.marks.cursor if row == self.cursor and section.rows else " ", BOLD)
        if not section.rows:
            return line.gap(1).put(section.nothing, FAINT)
        if place.index < 0:
            return line.gap(1).put(f"and {len(section.rows) - section.shown} more", FAINT)
        return section.rows[place.index].draw(line)

    # -- what is selected

    @property
    def _here(self) -> _Row | None:
        place = self._places[self.cursor] if self._places else None
        if place is None or place.index < 0:
            return None
        rows = self._sections[place.section].rows
        return rows[place.index] if rows else None

    def target(self) -> Target | None:
        here = self._here
        return here.target if here else None

    def foot(self) -> tuple[str, str]:
        here = self._here
        return here.foot() if here else ("Enter shows all of them.", "")

    def to(self, row: int) -> None:
        super().to(row)
        target = self.target()
        if target is not None:
            self.sitting.room = target.episode

    def open_at(self, target: Target) -> None:
        self.build()
        self.redraw()

    def enter(self) -> None:
        place = self._places[self.cursor]
        target = self.target()
        if place is not None and place.index < 0:
            self._expanded = self._expanded | {self._sections[place.section].name}
            self.build()
            self.redraw()
        elif target is not None:
            self.stage.go("door" if target.kind == "parcel" else "runup", target)

    def own_keys(self) -> tuple[Key, ...]:
        return (
            key(
                "w",
                shown="w",
                short="why",
                text="everything about this row: why then, slack, care",
                run=lambda _: self._explain(),
            ),
        )

    def _explain(self) -> None:
        target = self.target()
        if target is not None and target.kind != "episode":
            self.stage.explain(target)
