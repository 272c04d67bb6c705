"""Asking the solver: one worker, a fixed seed, counted effort, a plan in hand to begin with."""

from ortools.sat.python import cp_model

from episodes.calendars.working_time import LONG_AGO
from episodes.schedule.exact.air import write_air
from episodes.schedule.exact.holding import write_levels, write_people
from episodes.schedule.exact.model import Model
from episodes.schedule.exact.outcome import Outcome
from episodes.schedule.exact.patience import Patience
from episodes.schedule.exact.question import Ground, Question
from episodes.schedule.exact.shapes import Shapes
from episodes.schedule.exact.variables import Spots
from episodes.schedule.starts import Spot

SEED = 1

SECONDS_A_UNIT = 12.0
"""Seconds of a quiet core for one unit of the solver's own count, on models of this kind."""

SECONDS_A_CONSTRAINT = 6e-5
"""Seconds of a quiet core for writing and loading one variable or constraint."""


def search(
    question: Question, ground: Ground, patience: Patience, hint: Spots | None = None
) -> Outcome:
    """Answer a question within the patience.

    Args:
        hint: a plan to begin with, by number of the activity.
    """
    nothing = Outcome(kind="none", spots={})
    if question.empty:
        return nothing
    if patience.left <= 0:
        return Outcome(kind="open", spots={}, bound=_known(question))
    model = Model(question, ground)
    if not model.write():
        return nothing
    shapes = Shapes(model.sheet)
    write_people(model, shapes)
    write_levels(model, shapes)
    write_air(model, shapes)
    if model.sheet.broken:
        return nothing
    if hint is not None:
        model.sheet.hint(hint)
    proto = model.sheet.model.proto
    written = SECONDS_A_CONSTRAINT * (len(proto.variables) + len(proto.constraints))
    allowed = max(0.0, patience.left - written)
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.random_seed = SEED
    parameters.catch_sigint_signal = False
    # What is looked at before the search pays where a best plan is sought, and once is enough.
    parameters.cp_model_probing_level = 0
    parameters.cp_model_presolve = model.goal is not None
    parameters.max_presolve_iterations = 1
    parameters.max_deterministic_time = allowed / SECONDS_A_UNIT
    parameters.max_time_in_seconds = max(0.1, patience.seconds_left)
    patience.listen(solver.stop_search)
    try:
        status = solver.solve(model.sheet.model)
    finally:
        patience.deaf(solver.stop_search)
    spent = SECONDS_A_UNIT * solver.response_proto.deterministic_time
    patience.spend(spent + written, solver.wall_time)
    if status == cp_model.INFEASIBLE:
        return nothing
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
        raise AssertionError(solver.status_name(status))
    if status != cp_model.OPTIMAL and (patience.is_halted or spent < 0.98 * allowed):
        patience.cut_short()
    goal = model.goal is not None
    if status == cp_model.UNKNOWN:
        return Outcome(kind="open", spots={}, bound=_bound(question, model, solver))
    return Outcome(
        kind="best" if status == cp_model.OPTIMAL and goal else "some",
        spots=_spots(model, solver),
        bound=_bound(question, model, solver),
    )


def _known(question: Question) -> int:
    return question.arrivals[1] if question.latest is not None else question.floor


def _bound(question: Question, model: Model, solver: cp_model.CpSolver) -> int:
    if model.goal is None:
        return LONG_AGO
    bound = round(solver.best_objective_bound) + model.base
    if question.latest is None:
        return max(bound, question.floor)
    timing = model.network.activities[question.latest].choices[0].timing
    settle: int = timing.settle  # type: ignore[attr-defined]
    return min(bound - settle, question.arrivals[1])


def _spots(model: Model, solver: cp_model.CpSolver) -> dict[int, Spot]:
    """Where the solution has every member; pieces from the engine's own timing."""
    found: dict[int, Spot] = {}
    for index, act in model.acts.items():
        start = solver.value(act.start) + model.base
        finish = solver.value(act.finish) + model.base
        choice = next(
            (c for c, literal in act.choices.items() if literal is None or solver.value(literal)),
            0,
        )
        timing = act.activity.choices[choice].timing
        pieces = () if act.activity.kind == "parcel" else timing.pieces(start)
        found[index] = (start, finish, choice, pieces)
    return found
