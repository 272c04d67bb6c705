"""Faults and warnings as values: what is wrong, where, and how to mend it.

Whatever a user can mend is a `Problem`, collected in full and handed back beside the answer;
exceptions are for promises broken inside the program. `PlanError` carries the problems to the
edge where no answer can be given at all (exit code 2).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

Level = Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True)
class Place:
    """A line of a plan file; `line` counts from 1, 0 where only the file is known.

    `key` is the key of the thing that is at fault, "" where it is the thing itself: for those who
    show a fault beside its field. Two places on one line are the same place.
    """

    file: str
    line: int = 0
    key: str = field(default="", compare=False)

    def __str__(self) -> str:
        return f"{self.file}:{self.line}" if self.line else self.file


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing the user can mend.

    Attributes:
        level: `error` (a plan with it is refused, or a release is in danger), `warning`, `note`.
        code: stable kebab-case name of the kind of problem.
        where: the line it stands on; None where no line is to blame.
        text: what is wrong, in a sentence of the user's own names.
        mend: what to do about it; may be empty.
        subject: id of the step, parcel or shot it speaks of, "" for none.
    """

    level: Level
    code: str
    where: Place | None
    text: str
    mend: str = ""
    subject: str = ""

    def __str__(self) -> str:
        head = f"{self.where}: " if self.where else ""
        tail = f" {self.mend}" if self.mend else ""
        return f"{head}{self.level} {self.code}: {self.text}{tail}"


class EpisodesError(Exception):
    """Base of the errors this program raises on purpose."""


class PlanError(EpisodesError):
    """The plan files cannot be answered for; `problems` says why, all of it."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems: tuple[Problem, ...] = tuple(problems)
