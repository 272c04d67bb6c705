"""Jobs and their steps: from the tables of the schema to the model."""

from dataclasses import dataclass

from episodes.amounts import Estimate
from episodes.files.activity import common
from episodes.files.context import Context, Layer, Layers
from episodes.files.reading_coats import coating
from episodes.files.schema_episode import JobTable, StepTable
from episodes.files.toml_spans import Path
from episodes.files.values import quoted
from episodes.model.episode import Job, Step, Who

_FROM_JOB = frozenset({"who", "where", "gear", "makes", "needs_air"})
_FROM_JOB_TO_WAITS = frozenset({"where", "gear"})
_NOT_FOR_WAITS = ("who", "light", "one_go", "coat", "dries", "left", "took", "guessed")
_KEPT_FROM_WAITS = frozenset({*_NOT_FOR_WAITS, "hands", "makes", "needs_air", "surface"})
_KEPT_FROM_HANDS = frozenset({"wait"})


@dataclass(frozen=True, slots=True)
class JobRead:
    """A job, and the place that shots of it are filmed in unless they name another."""

    job: Job
    where: str | None


def read_jobs(context: Context, tables: list[JobTable]) -> list[JobRead]:
    """The jobs, steps and all; what is wrong with them goes to the context's faults."""
    paths: list[Path] = [("job", index) for index in range(len(tables))]
    read = (
        _job(context, context.layer(table, path))
        for table, path in zip(tables, paths, strict=True)
        if path not in context.source.broken
    )
    return list(read)


def _job(context: Context, own: Layer) -> JobRead:
    table = own.table
    assert isinstance(table, JobTable)
    place = context.source.place(own.path)
    id = context.id_of(own)
    saying = f"job {quoted(id)}"
    if not table.step and own.lacks("step"):
        text = f"{saying} has no step."
        context.fault("missing-key", place, text, "Write a [[job.step]] under it.", id)
    layers = Layers((own,))
    after = context.after(layers, "after", saying, id) or ()
    dropped = context.fact(layers, "dropped", saying, id)
    optional, fallback_only = bool(table.optional), bool(table.fallback_only)
    steps = []
    for index, step_table in enumerate(table.step or ()):
        path = (*own.path, "step", index)
        if path in context.source.broken:
            continue
        steps.append(_step(context, context.layer(step_table, path), own, id, dropped))
    with_defaults = context.layers(own, kind="step")
    job = Job(
        id=id,
        title=table.title or id,
        after=after,
        optional=optional,
        fallback_only=fallback_only,
        dropped=dropped,
        cost=table.cost,
        steps=tuple(steps),
        note=table.note or "",
        place=place,
    )
    return JobRead(job, with_defaults.get("where", context.room))


def _step(context: Context, own: Layer, job: Layer, job_id: str, job_dropped: int | None) -> Step:
    table, job_table = own.table, job.table
    assert isinstance(table, StepTable)
    assert isinstance(job_table, JobTable)
    place = context.source.place(own.path)
    own_id = context.id_of(own)
    id = f"{job_id}.{own_id}"
    saying = f"step {quoted(id)}"
    hands, wait = _lengths(context, own, saying, id)
    is_wait = wait is not None
    layers = context.layers(
        own,
        context.layer(job_table, job.path, _FROM_JOB_TO_WAITS if is_wait else _FROM_JOB),
        kind="step",
        keeps=_KEPT_FROM_WAITS if is_wait else _KEPT_FROM_HANDS,
    )
    if is_wait:
        _refuse_on_wait(context, own, saying, id)
    coat = None if is_wait else coating(context, layers, saying, id)
    started = context.fact(layers, "started", saying, id, minute=0, of_today_is_now=False)
    done = context.fact(layers, "done", saying, id)
    if started is not None and done is not None and started > done:
        text = f"{saying}: `done` lies before `started`."
        context.fault("facts-disagree", own.place("done"), text, "Mend the one or the other.", id)
    dropped = context.fact(layers, "dropped", saying, id)
    return Step(
        id=id,
        job=job_id,
        hands=hands,
        wait=wait,
        who=Who() if is_wait else context.who(layers, saying, id),
        where=context.space(layers, saying, id, context.room),
        one_go=bool(layers.get("one_go", coat is not None)),
        after=context.after(layers, "after", saying, id, job_id),
        also_after=context.after(layers, "also_after", saying, id, job_id) or (),
        before=context.before(layers, saying, id, job_id),
        coating=coat,
        surface=layers.get("surface", ""),
        opens_window=layers.get("opens_window", False),
        optional=bool(job_table.optional) or layers.get("optional", False),
        fallback_only=bool(job_table.fallback_only) or layers.get("fallback_only", False),
        started=started,
        done=done,
        left=layers.get("left"),
        took=layers.get("took"),
        failed=context.fact(layers, "failed", saying, id),
        dropped=job_dropped if dropped is None else dropped,
        place=place,
        **common(context, layers, own_id, saying, id),
    )


def _lengths(
    context: Context, own: Layer, saying: str, id: str
) -> tuple[Estimate | None, Estimate | None]:
    """Hands-on time or wait, exactly one; from `[defaults.step]` where the step gives neither."""
    table = own.table
    assert isinstance(table, StepTable)
    if table.hands is not None and table.wait is not None:
        text = f"{saying} has both `hands` (worked time) and `wait` (elapsed time)."
        mend = "Keep one; a wait after the work is a step of its own."
        context.fault("hands-or-wait", own.place("wait"), text, mend, id)
        return table.hands, None
    if table.hands is not None or table.wait is not None:
        return table.hands, table.wait
    if not (own.lacks("hands") and own.lacks("wait")):
        return None, None
    layers = context.layers(own, kind="step")
    hands, wait = layers.get("hands"), layers.get("wait")
    if hands is None and wait is None and layers.lacks("hands") and layers.lacks("wait"):
        text = f"{saying} has no length."
        mend = 'Write hands = "2h" for work or wait = "24h" for time that passes by itself.'
        context.fault("missing-key", context.source.place(own.path), text, mend, id)
    return hands, None if hands is not None else wait


def _refuse_on_wait(context: Context, own: Layer, saying: str, id: str) -> None:
    for key in _NOT_FOR_WAITS:
        if getattr(own.table, key) is not None:
            text = f"{saying} is a wait and takes no `{key}`: nobody works on it."
            mend = "Leave it out, or write `hands` for worked time."
            context.fault("not-for-waits", own.place(key), text, mend, id)
