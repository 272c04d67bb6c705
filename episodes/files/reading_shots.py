"""Shots: from the tables of the schema to the model, each with the place it is filmed in."""

from collections.abc import Mapping, Sequence

from episodes.files.activity import common
from episodes.files.context import Context, Layer, Layers
from episodes.files.reading_steps import JobRead
from episodes.files.schema_episode import ShotTable
from episodes.files.values import quoted
from episodes.model.episode import Ref, Shot, Step


def read_shots(
    context: Context, tables: Sequence[ShotTable], jobs: Sequence[JobRead]
) -> list[Shot]:
    """The shots; what is wrong with them goes to the context's faults."""
    by_id = {read.job.id: read for read in jobs}
    read = (
        _shot(context, context.layer(table, ("shot", index)), by_id)
        for index, table in enumerate(tables)
        if ("shot", index) not in context.source.broken
    )
    return list(read)


def _shot(context: Context, own: Layer, jobs: Mapping[str, JobRead]) -> Shot:
    table = own.table
    assert isinstance(table, ShotTable)
    place = context.source.place(own.path)
    layers = context.layers(own, kind="shot")
    id = context.id_of(own)
    saying = f"shot {quoted(id)}"
    when = layers.get("when", "after")
    of = _of(context, layers, when, jobs, saying, id)
    if layers.lacks("hands") and when != "during":
        text = f"{saying} has no `hands`, the time it takes to film."
        context.fault("missing-key", place, text, 'Write hands = "20min".', id)
    covers, covers_layer = layers.find("covers")
    if covers_layer is not None:
        at = covers_layer.place("covers")
        covered = context.find(covers, at, f"{saying} covers", id)
        if covered is not None and (covered.kind != "shot" or covered.episode != context.id):
            text = f"{saying}: `covers` names {quoted(covers)}, which is no shot of this episode."
            context.fault("unknown-name", at, text, "Name the shot it stands in for.", id)
        elif covers == id:
            text = f"{saying} covers itself."
            context.fault("unknown-name", at, text, "Name the shot it stands in for.", id)
    return Shot(
        id=id,
        of=of,
        when=when,
        hands=layers.get("hands"),
        who=context.who(layers, saying, id, may_be_empty=when == "during"),
        where=context.space(layers, saying, id, _place_of(of, jobs, context.room)),
        one_go=layers.get("one_go", True),
        once=layers.get("once", False),
        after=context.after(layers, "after", saying, id) or (),
        before=context.before(layers, saying, id),
        covers=covers,
        optional=layers.get("optional", False),
        fallback_only=layers.get("fallback_only", False),
        started=context.fact(layers, "started", saying, id, minute=0, of_today_is_now=False),
        taken=context.fact(layers, "taken", saying, id),
        backed_up=layers.get("backed_up", False),
        lost=context.fact(layers, "lost", saying, id),
        dropped=context.fact(layers, "dropped", saying, id),
        place=place,
        **common(context, layers, id, saying, id),
    )


def _of(
    context: Context,
    layers: Layers,
    when: str,
    jobs: Mapping[str, JobRead],
    saying: str,
    id: str,
) -> Ref | None:
    """What is filmed: a job or step of this episode, None for the room.

    A shot taken during a job of one step is taken during that step.
    """
    name, layer = layers.find("of")
    if layer is None:
        if when == "during" and layers.lacks("of"):
            text = f"{saying} is taken during its `of`, and has none."
            mend = 'Write of = "JOB.STEP", the step that is filmed.'
            context.fault("missing-key", context.source.place(layers.own.path), text, mend, id)
        return None
    place = layer.place("of")
    ref = context.find(name, place, f"{saying} is `of`", id)
    if ref is None:
        return None
    if ref.kind not in ("job", "step") or ref.episode != context.id:
        text = f"{saying}: `of` names {quoted(name)}, which is no job or step of this episode."
        mend = "Name a job or JOB.STEP; what it waits for otherwise goes into `after`."
        context.fault("unknown-name", place, text, mend, id)
        return None
    if when != "during":
        return ref
    step = _only_step(ref, jobs)
    if ref.kind == "job" and ref.id in jobs:
        if step is None:
            text = f"{saying} is taken during {quoted(ref.id)}, a job of several steps."
            context.fault("bad-during", place, text, "Name one of its steps: JOB.STEP.", id)
            return ref
        ref = Ref("step", context.id, step.id)
    if step is not None and step.wait is not None:
        text = f"{saying} is taken during {quoted(step.id)}, a wait that nobody works on."
        mend = 'Name a step with `hands`, or write when = "after".'
        context.fault("bad-during", place, text, mend, id)
    return ref


def _only_step(ref: Ref, jobs: Mapping[str, JobRead]) -> Step | None:
    """The step, or the only step of the job."""
    read = jobs.get(ref.id.partition(".")[0])
    if read is None:
        return None
    steps = read.job.steps
    if ref.kind == "step":
        return next((step for step in steps if step.id == ref.id), None)
    return steps[0] if len(steps) == 1 else None


def _place_of(of: Ref | None, jobs: Mapping[str, JobRead], room: str | None) -> str | None:
    if of is None:
        return room
    if of.kind == "job":
        return jobs[of.id].where if of.id in jobs else room
    step = _only_step(of, jobs)
    return step.where if step else room
