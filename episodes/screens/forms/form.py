"""What every form has: its fields, what is wrong with them, and how they come into the files."""

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from episodes.files.writing_words import TEXT
from episodes.screens.forms.desk import Desk, Refused, sentence
from episodes.screens.forms.fields import Field, Typed

if TYPE_CHECKING:
    from episodes.files.writing import Op
    from episodes.problems import Problem
    from episodes.screens.page import TargetKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a form has written: in words, and where to look at it."""

    said: str
    episode: str
    kind: "TargetKind" = "episode"
    id: str = ""


class Form(ABC):
    """A form being filled in.

    Attributes:
        title: what is being written.
        fields: its fields with what is typed in them.
        faults: what is wrong with the whole, or with another place in the files.
        said: why the last `save` wrote nothing.
        took: seconds that the last look took.
        stale: something was typed since the last look.
        enters: what Enter does, in a word.
        asks: whether there is anything to ask; without it, it is written at once.
    """

    enters = "save"
    asks = True

    def __init__(self, desk: Desk, file: str, title: str, fields: Sequence[Typed]) -> None:
        self.desk = desk
        self.file = file
        self.title = title
        self.fields = list(fields)
        self.faults: tuple[str, ...] = ()
        self.said = ""
        self.took = 0.0
        self.stale = False
        self._asked = False
        """Whether it was to be saved once: from then on what is missing is said too."""

    def __getitem__(self, key: str) -> Typed:
        """The field of a key."""
        return next(each for each in self.fields if each.field.key == key)

    def text(self, key: str) -> str:
        """What is typed in a field, trimmed; "" where the form has none of that key."""
        return next((each.text.strip() for each in self.fields if each.field.key == key), "")

    # -- what a form says of itself

    @abstractmethod
    def ops(self) -> "list[Op]":
        """The changes that what is typed comes to."""

    @abstractmethod
    def in_words(self) -> str:
        """The change in words, for the journal."""

    @abstractmethod
    def outcome(self) -> Outcome:
        """What was written, once it is."""

    def subjects(self) -> frozenset[str]:
        """Ids by which a fault speaks of the thing that is written."""
        return frozenset()

    @property
    def whose(self) -> str:
        """How a fault of the thing begins: `step "cut"`; not said again in a form of it."""
        return ""

    def field_of(self, problem: "Problem") -> str:
        """The key of the field that a fault of the thing is shown at; "" for the whole."""
        return problem.where.key if problem.where is not None else ""

    def lines(self) -> Sequence[str]:
        """Text below the fields: what was understood."""
        return ()

    def hints(self) -> Sequence[tuple[str, str]]:
        """Keys of its own, for the key line."""
        return ()

    def press(self, key: str) -> bool:
        """Does what a key of its own does; False for any other."""
        return False

    def cursor(self, here: int) -> int:
        """The field to go to after a key of its own, `here` being the one that had it."""
        return here

    def paste(self, here: int, text: str) -> bool:
        """Takes text pasted into a field in a way of its own; False for the usual one."""
        return False

    def takes_lines(self, field: Field) -> bool:
        """Whether line breaks pasted into a field stay."""
        return field.form is TEXT

    # -- what is typed

    @property
    def touched(self) -> bool:
        """Whether there is anything to lose."""
        return any(each.touched for each in self.fields)

    def typed(self) -> None:
        """Something was typed."""
        self.stale = True

    def look(self) -> None:
        """Reads the season with what is typed; faults go to their fields."""
        self.stale = False
        try:
            problems, self.took = self.desk.tried(self.file, self.ops())
        except Refused as error:
            self._show_faults(())
            self.faults = (str(error),)
            return
        self._show_faults(problems)

    def _show_faults(self, problems: "Sequence[Problem]") -> None:
        left: list[str] = []
        of_field: dict[str, list[str]] = {}
        keys = {each.field.key for each in self.fields}
        for problem in problems:
            where = problem.where
            here = where is not None and where.file == self.file
            mine = here and problem.subject in self.subjects()
            said = sentence(problem, self.file, self.whose)
            key = self.field_of(problem) if mine else ""
            if key in keys:
                of_field.setdefault(key, []).append(said)
            elif self._asked or not mine:
                left.append(said)
        for each in self.fields:
            shown = self._asked or each.touched
            each.faults = tuple(of_field.get(each.field.key, ())) if shown else ()
        self.faults = tuple(left)

    def save(self) -> Outcome | None:
        """Writes what is typed; None where that cannot be, and why is in `said` and the fields."""
        self._asked = True
        self.said = self.changed_outside()
        if self.said:
            return None
        ops = self.ops()
        if not ops:
            return self.nothing()
        try:
            self.desk.save(self.file, ops, self.in_words())
        except Refused as error:
            self._show_faults(error.problems)
            if not error.problems:
                self.said = f"Not written: {error}"
            return None
        return self.outcome()

    def nothing(self) -> Outcome | None:
        """What Enter comes to where nothing was changed."""
        self.said = "Nothing is changed here yet; Esc leaves."
        return None

    def changed_outside(self) -> str:
        """Takes over what has changed in the files meanwhile; says what needs a look."""
        return ""
