"""Trying a draft until every step of it finds an hour, before anything is written.

A coat that is longer than any evening is cut into parts, a shot whose people are never free by day
loses its light, a coat too cold for the workshop goes into the room. What cannot be mended so is
told as the fault that it is.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

from episodes.files.growing import NewText, trial
from episodes.files.setting import Composed, Fitting
from episodes.model.season import Season
from episodes.problems import PlanError, Problem

MOST_TRIALS = 40
MOST_PARTS = 32
_PART = re.compile(r"-part-\d+$")

Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted(Generic[Answer]):
    """A draft that can be planned, and what the plan says of it."""

    composed: Composed
    texts: tuple[NewText, ...]
    season: Season
    answer: Answer
    fitting: Fitting


def fitted(
    folder: Path,
    compose: Callable[[Fitting], Composed],
    texts: Callable[[Composed], Sequence[NewText]],
    answer: Callable[[Season], Answer],
    *,
    clock: int,
    now: int | None,
) -> Fitted[Answer]:
    """The first draft that can be planned.

    Args:
        compose: the tables, with what a fitting gives up.
        texts: the files with these tables; the last one is the episode's.
        answer: plans a season; raises PlanError where it cannot be.

    Raises:
        PlanError: it cannot be planned, whatever is given up.
    """
    fitting = Fitting()
    for _ in range(MOST_TRIALS):
        composed = compose(fitting)
        drafted = tuple(texts(composed))
        try:
            season = trial(folder, drafted, clock=clock, now=now)
            planned = answer(season)
        except PlanError as error:
            errors = [problem for problem in error.problems if problem.level == "error"]
            before = fitting.size
            mended: set[str] = set()
            seen_to = all(_mend(problem, composed, fitting, mended) for problem in errors)
            if not seen_to or fitting.size == before:
                raise
            continue
        return Fitted(
            composed=composed, texts=drafted, season=season, answer=planned, fitting=fitting
        )
    raise PlanError(
        [
            Problem(
                level="error",
                code="fits-nowhere",
                where=None,
                text="these hours leave no room for what is to be built.",
                mend="Give the people longer hours, or name other people with --who.",
            )
        ]
    )


def _mend(problem: Problem, composed: Composed, fitting: Fitting, mended: set[str]) -> bool:
    """Give something up so that this fault goes; False where nothing of the draft can.

    Args:
        mended: what was seen to in this round already: the parts of a coat all have its fault.
    """
    if problem.code not in ("fits-nowhere", "no-open-day"):
        return False
    shot = next((shot for shot in composed.shots if shot.id == problem.subject), None)
    if shot is not None:
        if "light" in shot.entries and shot.id not in fitting.any_light:
            fitting.any_light.add(shot.id)
            return True
        return _give_up(fitting.not_in_one_go, shot.id)
    step = _step(composed, problem.subject)
    if step is None:
        return False
    name = _PART.sub("", problem.subject)
    if name in mended:
        return True
    mended.add(name)
    if problem.code == "no-open-day":
        return _give_up(fitting.in_the_room, name)
    if "light" in step:
        return _give_up(fitting.any_light, name)
    if "coat" in step or step.get("one_go"):
        parts = 2 * fitting.parts.get(name, 1)
        if parts <= MOST_PARTS:
            fitting.parts[name] = parts
            return True
        return "coat" not in step and _give_up(fitting.not_in_one_go, name)
    return False


def _give_up(already: set[str], name: str) -> bool:
    """True the first time; what did not help once will not help again."""
    if name in already:
        return False
    already.add(name)
    return True


def _step(composed: Composed, name: str) -> dict[str, Any] | None:
    job, _, id = name.partition(".")
    for block in composed.jobs:
        if block.id == job:
            for step in block.entries["step"]:
                if step["id"] == id:
                    assert isinstance(step, dict)
                    return step
    return None
