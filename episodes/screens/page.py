"""A page of the screen: which lines it has, how each is drawn, which keys it knows.

A page draws; the body widget scrolls, the app dispatches. One table of keys (`Key`) feeds the key
line, the help sheet and the dispatch, so that what is shown is what works.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Literal, Protocol

from episodes.answers.rows import StepRow
from episodes.exports.text_words import Words
from episodes.screens.counting import Counting
from episodes.screens.line import Line
from episodes.screens.marks import UNICODE, Marks
from episodes.screens.sitting import Sitting

if TYPE_CHECKING:
    from episodes.screens.sheet import Said

PageName = Literal["tonight", "runup", "door", "ways", "camera", "next", "lookback", "load"]
TargetKind = Literal["episode", "step", "dry", "parcel", "shot", "release"]
"""`step` is hands-on work or a wait, as in the plan files."""


@dataclass(frozen=True, slots=True)
class Target:
    """Something a page can be opened at: an episode, or a row in it."""

    episode: str
    kind: TargetKind
    id: str = ""


def target_of(row: StepRow) -> Target:
    """The target that a row of an answer is."""
    if row.kind == "hands" or row.kind == "wait":
        return Target(row.episode, "step", row.id)
    return Target(row.episode, row.kind, row.id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One thing a key does.

    Attributes:
        keys: Textual's names of the keys that do it.
        shown: how the keys are written.
        short: what stands on the key line, "" where it is only in the help.
        text: what it does, for the help.
        run: called with the key pressed.
    """

    keys: tuple[str, ...]
    shown: str
    short: str
    text: str
    run: Callable[[str], None]


def key(
    *keys: str, run: Callable[[str], None], shown: str = "", short: str = "", text: str = ""
) -> Key:
    """A `Key`, written where it is used. Without `text` it is another key's other half."""
    return Key(keys=keys, shown=shown, short=short, text=text, run=run)


def pair(
    back: tuple[str, ...],
    on: tuple[str, ...],
    run: Callable[[int], None],
    *,
    shown: str,
    short: str,
    text: str,
) -> tuple[Key, Key]:
    """Two keys that do one thing in two directions: `run(-1)` and `run(1)`."""
    return (
        key(*back, run=lambda _: run(-1)),
        key(*on, run=lambda _: run(1), shown=shown, short=short, text=text),
    )


class Stage(Protocol):
    """What a page may ask of the app it stands in.

    Attributes:
        page: the page that is open.
        counting: what is worked out elsewhere.
    """

    page: "Page"
    counting: Counting

    def go(self, page: PageName, target: Target | None = None) -> None:
        """Opens a page, at a row."""

    def say(self, text: str, more: str = "") -> None:
        """Shows a message in the foot until the next key; with `more`, in both its lines."""

    def solve_soon(self) -> None:
        """Has what is tried answered before the next picture."""

    def keep(self) -> None:
        """Writes what is tried into the plan files."""

    def fact(self, what: Literal["backed_up", "lost"]) -> None:
        """Writes that the shot under the cursor has a copy, or that its footage is gone."""

    def box(self, what: Literal["failed", "returned"]) -> None:
        """Writes what became of the box under the cursor."""

    def explain(self, target: Target) -> None:
        """Opens the sheet that says everything about a row."""

    def promote(self, idea: str, title: str, releases: "Sequence[tuple[int, str]]") -> None:
        """Asks for one of the releases, and gives the idea that month.

        Args:
            releases: UTC minute, and what is to be said of it.
        """

    def guess(self, episode: str, id: str, key: str, value: str, first: str, said: str) -> None:
        """Writes another `hands` or `lead`; `first` is kept as the one first guessed."""

    def read(self, title: str, lines: "Sequence[Said]") -> None:
        """Opens a sheet with these lines."""


class Page(ABC):
    """A page over a sitting. Rows are counted from 0, the `fixed` ones on top do not scroll."""

    name: ClassVar[PageName]
    title: ClassVar[str]
    fixed = 0
    waits_for: ClassVar[str] = ""
    """Name of the long question that the page shows the answer of, `counting`'s."""

    def __init__(self, sitting: Sitting, stage: Stage, marks: Marks = UNICODE) -> None:
        self.sitting = sitting
        self.stage = stage
        self.marks = marks
        self.width = 80
        self.height = 17
        self.cursor = 0
        self._stale: set[int] | None = None

    @property
    def words(self) -> Words:
        """How moments read here."""
        return self.sitting.words

    # -- what the body asks

    @property
    @abstractmethod
    def length(self) -> int:
        """How many rows scroll."""

    @abstractmethod
    def selectable(self, row: int) -> bool:
        """Whether the cursor may stand on a row that scrolls."""

    @abstractmethod
    def draw(self, row: int, width: int) -> Line:
        """Row `row` of those that scroll."""

    def draw_fixed(self, row: int, width: int) -> Line:
        """Row `row` of the fixed ones; blank for a page that has none."""
        return Line(width, self.marks)

    @abstractmethod
    def build(self) -> None:
        """Works out the rows again: another answer, another room, another size."""

    @abstractmethod
    def foot(self) -> tuple[str, str]:
        """What is selected, and why it is where it is."""

    @abstractmethod
    def target(self) -> Target | None:
        """What the cursor is on."""

    @abstractmethod
    def open_at(self, target: Target) -> None:
        """Puts the cursor on a row."""

    def arrive(self) -> None:
        """Called when the page is turned to, after its rows have been built."""
        self.settle()

    def remarks(self) -> tuple[tuple[str, str], ...]:
        """Signs of the page and what they mean, for the help."""
        return ()

    @abstractmethod
    def own_keys(self) -> tuple[Key, ...]:
        """The page's own keys."""

    @abstractmethod
    def enter(self) -> None:
        """Enter, or a double click."""

    def enters(self) -> str:
        """What Enter would do, in a word for the key line."""
        return "open"

    def click(self, row: int, x: int) -> None:
        """A click on a row that scrolls, at cell `x`."""
        if self.selectable(row):
            self.to(row)

    def sized(self, width: int, height: int) -> None:
        if (width, height) != (self.width, self.height):
            self.width, self.height = width, height
            self.build()
            self.redraw()

    # -- moving

    def to(self, row: int) -> None:
        """Puts the cursor on a row; both rows are drawn again."""
        if row != self.cursor and 0 <= row < self.length:
            self.redraw(self.cursor, row)
            self.cursor = row

    def step(self, by: int) -> None:
        """Moves the cursor by so many selectable rows, as far as there are any."""
        row, left, way = self.cursor, abs(by), 1 if by > 0 else -1
        at = row + way
        while left and 0 <= at < self.length:
            if self.selectable(at):
                row, left = at, left - 1
            at += way
        self.to(row)

    def settle(self) -> None:
        """Puts the cursor on a selectable row after the rows have changed."""
        self.cursor = max(0, min(self.cursor, self.length - 1))
        if self.length and not self.selectable(self.cursor):
            rows = [row for row in range(self.length) if self.selectable(row)]
            if rows:
                self.cursor = min(rows, key=lambda row: abs(row - self.cursor))

    # -- drawing again

    def redraw(self, *rows: int) -> None:
        """Marks rows to be drawn again; all of them without any."""
        if not rows:
            self._stale = None
        elif self._stale is not None:
            self._stale.update(rows)

    def take_stale(self) -> set[int] | None:
        """The rows to be drawn again since the last call; None for all."""
        stale, self._stale = self._stale, set()
        return stale
