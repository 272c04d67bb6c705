"""Drafts that the engine cannot plan: that nothing was written is said before the faults."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeAlias

from episodes.commands.printing import complain
from episodes.files.fitting import Fitted as AnyFitted
from episodes.problems import PlanError

if TYPE_CHECKING:
    from episodes.answers.rows import CheckAnswer

Fitted: TypeAlias = "AnyFitted[CheckAnswer]"


@contextmanager
def complaining() -> Iterator[None]:
    """Says what faults that stop a draft are the faults of."""
    try:
        yield
    except PlanError as error:
        if any(problem.where is not None for problem in error.problems):
            complain("episodes: nothing was written; with this the season has faults:")
        raise
