"""The app on a stand: driven key by key without a terminal, its screen read as plain text."""

from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import replace
from typing import Any

from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot

from episodes.answers.changed import Seen
from episodes.answers.rows import CheckAnswer
from episodes.model.episode import Fallback
from episodes.screens.app import EpisodesApp
from episodes.screens.facts import Fact, NotWritten
from episodes.screens.marks import UNICODE, Marks
from tests.screens.hand_engine import HandEngine
from tests.screens.season_by_hand import NOW

SIZES = [(80, 24), (100, 30)]


class Notebook:
    """Files that are not there: facts are noted, and taken back from the note."""

    def __init__(self) -> None:
        self.written: list[tuple[tuple[Fact, ...], str]] = []
        self.gone: list[tuple[tuple[Fact, ...], str]] = []
        self.fault = ""
        self.dirty = False
        self.now = NOW
        self.calendar: bytes | None = None

    def moment(self) -> int:
        return self.now

    def write(self, facts: Sequence[Fact], said: str) -> None:
        if self.fault:
            raise NotWritten(self.fault)
        self.written.append((tuple(facts), said))

    def adopt(self, episode: str, changes: Sequence[Fallback], said: str) -> None:
        if self.fault:
            raise NotWritten(self.fault)
        taken = [
            Fact(episode=episode, kind="fallback", id=each.id, key="taken", value=True)
            for each in changes
        ]
        self.written.append((tuple(taken), said))

    def promote(self, idea: str, month: str, said: str) -> None:
        if self.fault:
            raise NotWritten(self.fault)
        fact = Fact(episode=f"{month}-{idea}", kind="idea", id=idea, key="month", value=month)
        self.written.append(((fact,), said))

    def undo(self) -> str:
        if not self.written:
            raise NotWritten("there is nothing to undo here")
        self.gone.append(self.written.pop())
        return self.gone[-1][1]

    def redo(self) -> str:
        if not self.gone:
            raise NotWritten("there is nothing to do again here")
        self.written.append(self.gone.pop())
        return self.written[-1][1]

    def calendar_there(self) -> bytes | None:
        return self.calendar

    def put_calendar(self, data: bytes) -> str:
        self.calendar = data
        return "/season/plan.ics"

    def changed(self) -> bool:
        return self.dirty

    def seen(self) -> None:
        self.dirty = False


class Errands:
    """Long questions answered at once, or held back until they are let go.

    Attributes:
        held: names of questions that are not answered yet.
    """

    def __init__(self) -> None:
        self.held: set[str] = set()
        self.app: EpisodesApp | None = None
        self.asked: list[str] = []
        self.waiting: dict[str, tuple[Callable[[], object], Callable[[object], None]]] = {}

    def ask(
        self,
        name: str,
        question: Callable[[], object],
        then: Callable[[object], None],
        *,
        after: float = 0.0,
        urgent: bool = True,
    ) -> None:
        self.asked.append(name)
        self.waiting[name] = (question, then)
        if name not in self.held:
            self.let_go(name)

    def let_go(self, name: str, answer: object = None) -> None:
        """Answers a question, with `answer` where one is given."""
        question, then = self.waiting.pop(name)
        assert self.app is not None
        self.app.call_later(lambda: then(question() if answer is None else answer))

    def close(self) -> None:
        self.waiting.clear()


def _event(key: str) -> events.Key:
    """A key as the terminal's reader would send it."""
    if len(key) == 1:
        return events.Key(key if key.isalnum() else _character_to_key(key), key)
    return events.Key(key, " " if key == "space" else None)


class Stand:
    """An app under test: press keys, read rows."""

    def __init__(self, app: EpisodesApp, pilot: Pilot[int], notes: Notebook) -> None:
        self.app = app
        self.pilot = pilot
        self.notes = notes

    @property
    def errands(self) -> Errands:
        assert isinstance(self.app.errands, Errands)
        return self.app.errands

    @property
    def engine(self) -> Any:
        return self.app.sitting.engine

    async def press(self, *keys: str) -> str:
        """Presses keys; the screen after them."""
        for key in keys:
            self.app._driver.send_message(_event(key))
            await self.settle()
        return self.text

    async def settle(self) -> None:
        """Waits until every message is handled; Pilot's own press sleeps for longer than that."""
        for _ in range(2):
            await self.pilot._wait_for_screen()
        self.app.screen._on_timer_update()
        if not self.text.strip():
            # A sheet that has just been laid on top has no lines yet.
            await self.pilot.pause()

    @property
    def rows(self) -> list[str]:
        """The screen, row by row, blanks at the ends gone."""
        return [
            "".join(segment.text for segment in strip).rstrip()
            for strip in self.app.screen._compositor.render_strips()
        ]

    @property
    def text(self) -> str:
        return "\n".join(self.rows)

    @property
    def head(self) -> str:
        """The line of the verdict."""
        return self.rows[1]

    @property
    def foot(self) -> tuple[str, str]:
        """What is selected, and the reason or message under it."""
        return self.rows[-3].strip(), self.rows[-2].strip()

    def row(self, text: str) -> str:
        """The one row of the body that holds a text."""
        found = [row for row in self.rows[3:-4] if text in row]
        assert len(found) == 1, f"{len(found)} rows with {text!r} in:\n{self.text}"
        return found[0]

    @property
    def cursor(self) -> str:
        """The row of the body that the cursor is on."""
        found = [row for row in self.rows[3:-4] if self.app.marks.cursor in row[:14]]
        assert len(found) == 1, f"{len(found)} cursors in:\n{self.text}"
        return found[0]


@asynccontextmanager
async def stand(
    answer: CheckAnswer | None = None,
    size: tuple[int, int] = (80, 24),
    *,
    marks: Marks = UNICODE,
    engine: Any = None,
    reload: Any = None,
    hold: Sequence[str] = (),
    earlier: Seen | None = None,
) -> AsyncIterator[Stand]:
    """Sets up the app over an engine made by hand, at a size in cells."""
    notes = Notebook()
    first = engine or HandEngine(answer)
    errands = Errands()
    errands.held |= set(hold)
    again = reload or (lambda: first)
    app = EpisodesApp(first, notes, reload=again, marks=marks, errands=errands, earlier=earlier)
    errands.app = app
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield Stand(app, pilot, notes)
    if app.broken is not None:
        raise app.broken


def with_title(answer: CheckAnswer, title: str) -> CheckAnswer:
    """The season with one title everywhere: episodes, rows, boxes, people, places, gear."""
    episodes = tuple(
        replace(
            each,
            title=title,
            steps=tuple(
                replace(row, title=title, cautions=(title,) if row.cautions else ())
                for row in each.steps
            ),
            parcels=tuple(replace(box, title=title) for box in each.parcels),
            problems=tuple(replace(it, text=title, mend=title) for it in each.problems),
            jobs=tuple((id, title) for id, _ in each.jobs),
        )
        for each in answer.episodes
    )
    return replace(
        answer,
        episodes=episodes,
        season=title,
        people=dict.fromkeys(answer.people, title),
        spaces=dict.fromkeys(answer.spaces, title),
        gear_titles=dict.fromkeys(answer.gear_titles, title),
    )
