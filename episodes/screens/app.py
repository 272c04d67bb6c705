"""The app: three widgets in a frame, pages over one sitting, one table of keys."""

from collections.abc import Callable, Sequence
from functools import partial
from time import perf_counter
from typing import ClassVar, Literal

from textual import events
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.geometry import Size

from episodes.answers.changed import Seen
from episodes.problems import EpisodesError
from episodes.screens import explain, wording
from episodes.screens.body import Body
from episodes.screens.camera import Camera
from episodes.screens.counting import Counting
from episodes.screens.door import Door
from episodes.screens.engine import Engine
from episodes.screens.errands import Errands, OtherProcess
from episodes.screens.facts import Files
from episodes.screens.finding import Finding
from episodes.screens.forms.desk import Desk
from episodes.screens.forms.writing import Writing
from episodes.screens.frame import Foot, Head, Tab
from episodes.screens.keeping import Keeping
from episodes.screens.keys import common_keys
from episodes.screens.load import Load
from episodes.screens.lookback import LookBack
from episodes.screens.looks import LOOK, LOOKS
from episodes.screens.marks import UNICODE, Marks
from episodes.screens.next_room import NextRoom
from episodes.screens.odds_sheet import OddsSheet
from episodes.screens.page import Key, Page, PageName, Target
from episodes.screens.runup import RunUp
from episodes.screens.sheet import Said, Sheet
from episodes.screens.sitting import Sitting
from episodes.screens.small import Small
from episodes.screens.suspending import mind_going_on
from episodes.screens.tonight import Tonight
from episodes.screens.ways import Ways

LEAST_WIDTH, LEAST_HEIGHT = 60, 15
READ_EVERY = 5
"""Minutes after which the season is read again because time has gone on."""

AT_ONCE = 0.06
"""Seconds of an answer that is waited for before anything is drawn; a longer one is announced."""

LOOK_EVERY = 2.0
"""Seconds between looks at the files."""

AMBIGUOUS = "Shapes broken or twice as wide? Leave, and start with EPISODES_ASCII=1 or --ascii."


class EpisodesApp(App[int]):
    """The screens over an engine.

    Args:
        engine: answers for the season as it is now.
        files: where facts go.
        reload: reads the season again and gives an engine for it; raises EpisodesError.
        marks: the shapes to draw with.
        room: id of the episode to begin with; the nearest without it.
        desk: the plan files, for what is added and changed; None where there are none.
        errands: where long questions are answered; another process without it.
        earlier: what was seen when the screens were last left.
    """

    CSS = """
    Screen { background: ansi_default; color: ansi_default; layout: vertical; }
    Head { height: 3; }
    Body { height: 1fr; overflow-x: hidden; overflow-y: auto; scrollbar-gutter: stable;
           scrollbar-size-vertical: 1; background: ansi_default; color: ansi_default; }
    Foot { height: 4; }
    .small Head, .small Foot { display: none; }
    """
    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = []

    def __init__(
        self,
        engine: Engine,
        files: Files,
        *,
        reload: Callable[[], Engine],
        marks: Marks = UNICODE,
        room: str | None = None,
        desk: Desk | None = None,
        errands: Errands | None = None,
        earlier: Seen | None = None,
    ) -> None:
        super().__init__(ansi_color=True)
        self.broken: Exception | None = None
        self._reload = reload
        self._files = files
        self.marks = marks
        self.sitting = Sitting(engine, room)
        self.errands = errands or OtherProcess(self.call_later)
        self.counting = Counting(self.errands, self._arrived)
        self._message = ("", "")
        self._area: Size | None = None
        self._leaving = False
        self.odds = OddsSheet(self)
        self._looked = 0
        self._solving = False
        self._took = AT_ONCE
        """Seconds that the last answer took."""
        self.pages: dict[PageName, Page] = {
            page.name: page(self.sitting, self, self.marks)
            for page in (Tonight, RunUp, Door, Ways, Camera, NextRoom, LookBack, Load)
        }
        self.page: Page = self.pages["tonight"]
        assert isinstance(self.page, Tonight)
        self.page.earlier = earlier
        self._small = Small(self.sitting, self, self.marks)
        self.keeping = Keeping(self, files)
        self.writing = Writing(self, desk)
        self.finding = Finding(self)
        self._common = common_keys(self)
        self._body = Body(self.page, self.press)
        tabs = [Tab(page.name, page.title) for page in self.pages.values()]
        self._head = Head(tabs, lambda: self.sitting, self.marks)
        self._foot = Foot(self.marks)

    def compose(self) -> ComposeResult:
        yield self._head
        yield self._body
        yield self._foot

    def on_mount(self) -> None:
        mind_going_on(self)
        self._body.focus()
        self.open(self.page)
        self.set_interval(LOOK_EVERY, self._look)
        self.set_interval(1.0, self._tick)

    # -- pages

    def open(self, page: Page) -> None:
        """Draws a page: another one, or the same after its rows have changed."""
        page.build()
        if page is not self.page:
            page.arrive()
        self.page = page
        self._head.here = page.name
        self._body.show(self._small if self.is_small else page)
        self.paint()

    @property
    def is_small(self) -> bool:
        """Whether the terminal has no room for the frame."""
        size = self._area or self.size
        return size.width < LEAST_WIDTH or size.height < LEAST_HEIGHT

    def on_resize(self, event: events.Resize) -> None:
        self._area = event.size
        self.screen_stack[0].set_class(self.is_small, "small")
        shown = self._body.page
        if (shown is self._small) != self.is_small:
            self._body.show(self._small if self.is_small else self.page)
        self.call_after_refresh(self.paint)

    def paint(self) -> None:
        """Head, foot and the stale rows of the body after anything has happened."""
        self.counting.odds(self.sitting)
        self._head.refresh()
        if self.is_small:
            self._small.redraw()
        else:
            first, second = self.page.foot()
            text, more = self._message
            said = (text, more) if more else (first, text or second)
            self._foot.show(said, self._hints())
        self._body.follow()

    def _hints(self) -> tuple[tuple[str, str], ...]:
        """The key line: only what would do something here, the way to all the keys first."""
        own = [(each.shown, each.short) for each in self.page.own_keys() if each.short]
        return (
            ("?", "keys"),
            ("Enter", self.page.enters()),
            *own,
            *self.keeping.hints(),
            *self.writing.hints(),
            ("q", "leave"),
        )

    # -- what pages ask (page.Stage)

    def go(self, page: PageName, target: Target | None = None) -> None:
        opened = self.pages[page]
        if opened is not self.page:
            self.open(opened)
        if target is not None:
            opened.open_at(target)

    def say(self, text: str, more: str = "") -> None:
        self._message = (text, more)

    def solve_soon(self) -> None:
        if self._took <= AT_ONCE:
            self._solve()
        elif not self._solving:
            # After the keys already typed: held keys cost one answer, not one each.
            self._solving = True
            self.call_later(self._solve)

    def _solve(self) -> None:
        self._solving = False
        began = perf_counter()
        try:
            self.sitting.solve()
        except EpisodesError as error:
            # A box that has come, or takes no part any more: what was tried with it is dropped.
            self.sitting.put_back()
            self.sitting.solve()
            self.say(str(error))
        self._took = perf_counter() - began
        self.rebuild()

    def rebuild(self) -> None:
        """Builds the page again from another answer."""
        self.page.build()
        self.page.redraw()
        self.paint()

    def _arrived(self, name: str) -> None:
        """A long question is answered."""
        if name == "odds":
            self.counting.odds(self.sitting)
        self.odds.arrived(name)
        self.rebuild()

    def _tick(self) -> None:
        """Every second: how long has somebody been waiting for an answer?"""
        if self.page.waits_for and self.counting.waiting(self.page.waits_for) is not None:
            self.rebuild()

    def keep(self) -> None:
        self.keeping.keep()

    def fact(self, what: Literal["backed_up", "lost"]) -> None:
        self.keeping.footage(what)

    def box(self, what: Literal["failed", "returned"]) -> None:
        self.keeping.box(what)

    def explain(self, target: Target) -> None:
        episode = self.sitting.episode(target.episode)
        if episode is None or not target.id:
            return
        row = episode.step(target.id)
        why = None
        if not self.sitting.trying and row.kind != "release":
            why = self.sitting.engine.why(episode.id, row.id)
        title = wording.name_of(episode, row)
        lines = explain.row_lines(self.sitting.answer, episode, row, why, self.sitting.words)
        self.read(title, lines)

    def promote(self, idea: str, title: str, releases: Sequence[tuple[int, str]]) -> None:
        from episodes.screens.picker import Choice, Picker

        choices = [Choice(said, minute) for minute, said in releases]
        picker = Picker(f"{title}: which release?", choices, self.marks)

        def chosen(minute: object) -> None:
            if isinstance(minute, int):
                self.keeping.promote(idea, title, minute)
            self.paint()

        self.push_screen(picker, chosen)

    def guess(self, episode: str, id: str, key: str, value: str, first: str, said: str) -> None:
        self.keeping.guess(episode, id, key, value, first, said)

    def read(self, title: str, lines: Sequence[Said]) -> None:
        self.push_screen(Sheet(title, lines, self.marks))

    # -- reading again

    def read_again(self) -> bool:
        """Reads the season anew; on a fault keeps the last good one and says what it is."""
        try:
            engine = self._reload()
        except (EpisodesError, OSError) as error:
            self.say(f"Shown as last read: {(str(error).splitlines() or ['?'])[0]}")
            self._files.seen()
            self._looked = self._files.moment()
            self.paint()
            return False
        self._files.seen()
        room = self.sitting.room
        moved, taken = dict(self.sitting.moved), tuple(self.sitting.taken)
        self.counting.forget()
        self.sitting = Sitting(engine, room)
        self.sitting.take_over(moved, taken)
        for page in (*self.pages.values(), self._small):
            page.sitting = self.sitting
        self.rebuild()
        return True

    def _look(self) -> None:
        """Every two seconds: has a file changed, has the clock gone on?"""
        since = max(self.sitting.now, self._looked)
        if self._files.changed() or self._files.moment() >= since + READ_EVERY:
            self.read_again()

    # -- keys

    def all_keys(self) -> tuple[Key, ...]:
        """The keys that every page knows."""
        return self._common

    def looks(self) -> tuple[tuple[str, Callable[[], None]], ...]:
        """The looks to choose from, by name."""
        return tuple((f"Look: {name}", partial(self._look_like, name)) for name in LOOKS)

    def _look_like(self, name: str) -> None:
        LOOK.choose(name)
        self._body.notify_style_update()
        self.screen_stack[0].refresh(layout=False)
        for widget in (self._head, self._body, self._foot):
            widget.refresh()
        self.say(f"Look: {name}. EPISODES_LOOK={name} starts with it.")

    def do(self, run: Callable[[], None]) -> None:
        """Does what was chosen from a list, as if its key had been pressed."""
        self._message = ("", "")
        run()
        self.paint()

    def press(self, name: str) -> bool:
        """Does what a key does here; False for a key that does nothing."""
        for each in (*self.page.own_keys(), *self._common):
            if name in each.keys:
                self._message = ("", "")
                self._leaving = self._leaving and name == "q"
                each.run(name)
                self.paint()
                return True
        return False

    def on_head_picked(self, event: Head.Picked) -> None:
        self._message = ("", "")
        self.open(self.pages[event.name])

    def on_body_pasted(self, event: Body.Pasted) -> None:
        self._message = ("", "")
        self.writing.paste(event.text)

    def on_body_clicked(self) -> None:
        self._message = ("", "")
        self.paint()

    def turn(self, by: int) -> None:
        names = list(self.pages)
        self.open(self.pages[names[(names.index(self.page.name) + by) % len(names)]])

    def help(self) -> None:
        lines = explain.key_lines(
            self.page.title,
            self.page.own_keys(),
            self._common,
            self.page.remarks(),
            AMBIGUOUS,
        )
        self.push_screen(Sheet("Keys", lines, self.marks))

    def leave(self) -> None:
        if self.sitting.trying and not self._leaving:
            self._leaving = True
            self.say("What you are trying is not written: q once more leaves it, Enter keeps it.")
            return
        self.exit(0)

    def key_ctrl_z(self) -> None:
        """Leaves the terminal to the shell until `fg`."""
        self.action_suspend_process()

    def action_help_quit(self) -> None:
        """Ctrl+C in Textual: tells how to leave instead of ending in the middle of something."""
        self.say("q leaves.")
        self.paint()

    # -- never a traceback

    def _handle_exception(self, error: Exception) -> None:
        # Textual's own prints the traceback with local values: with what the plan says. The name
        # is private; a test provokes a fault to see that it is still called.
        self.broken = self.broken or error
        self._return_code = 3
        if self._exception is None:
            self._exception = error
            self._exception_event.set()
        self._close_messages_no_wait()
