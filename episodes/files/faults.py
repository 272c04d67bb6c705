"""The list in which the readers collect what is wrong, before anything is said about it."""

from episodes.problems import Level, Place, Problem

MOST_FAULTS = 2_000
"""A file with more is not a plan; the rest would only bury the first ones."""
LONGEST_FAULT = 600
"""Characters of one sentence; what is quoted from a file may be of any length."""


class Faults:
    """Faults of all files of one run; the same one is kept once."""

    def __init__(self) -> None:
        self._found: dict[Problem, None] = {}
        self._dropped = 0

    def add(
        self,
        code: str,
        place: Place | None,
        text: str,
        mend: str = "",
        *,
        subject: str = "",
        level: Level = "error",
    ) -> None:
        if self.full:
            self.pass_over()
            return
        problem = Problem(
            level=level,
            code=code,
            where=place,
            text=_one_line(text),
            mend=_one_line(mend),
            subject=subject,
        )
        self._found.setdefault(problem)

    def pass_over(self) -> None:
        """Count one that is not kept because there are too many."""
        self._dropped += 1

    def take(self, problem: Problem) -> None:
        """Keep a problem that someone else worded."""
        self._found.setdefault(problem)

    @property
    def errors(self) -> int:
        return sum(problem.level == "error" for problem in self._found)

    @property
    def full(self) -> bool:
        """Whether more faults would only be counted."""
        return len(self._found) >= MOST_FAULTS

    @property
    def dropped(self) -> int:
        """How many were not kept because there were too many."""
        return self._dropped

    def sorted(self) -> list[Problem]:
        """By file and line; within a line in the order they were found."""
        return sorted(
            self._found,
            key=lambda problem: (
                (problem.where.file, problem.where.line) if problem.where else ("", 0)
            ),
        )


def _one_line(text: str) -> str:
    """Text quoted from a file may hold anything: cut it, and write out what does not print."""
    if len(text) > LONGEST_FAULT:
        text = text[: LONGEST_FAULT - 3] + "..."
    if text.isprintable():
        return text
    return "".join(
        char if char.isprintable() else char.encode("unicode_escape").decode("ascii")
        for char in text
    )
