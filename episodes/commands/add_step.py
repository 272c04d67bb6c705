"""`add` for what is written by hand: a step, a job with its steps, a link."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NoReturn

import click

from episodes.commands.opening import Opened

if TYPE_CHECKING:
    from episodes.answers.names import Thing
    from episodes.files.writing import Op
    from episodes.model.episode import Episode

_STEP = frozenset(
    ("cost", "after", "needed_for", "light", "wait", "where", "gear", "coat", "note", "optional")
)
_JOB = frozenset(("after", "where", "cost", "optional", "note", "steps"))
_LINK = frozenset(("after", "gap", "within", "or_after", "stage"))


def add_written(
    opened: Opened,
    what: str,
    more: Sequence[str],
    episode: str | None,
    who: tuple[str, ...],
    given: dict[str, Any],
    *,
    as_json: bool,
) -> NoReturn:
    """Writes a step, job or link and answers what it means; leaves with 0.

    Args:
        what: `job`, `link`, or the job or step that a new step belongs to.
        more: what stands behind it.
        given: the options, by the names of their keys.

    Raises:
        click.UsageError: something is missing, or said that has no place here.
        PlanError: the season could not be read with it; nothing was written.
    """
    from episodes.commands.facts import tell

    if what == "job":
        plan, ops, said, thing = _job(opened, more, episode, who, given)
    elif what == "link":
        plan, ops, said, thing = _link(opened, more, episode, given)
    else:
        plan, ops, said, thing = _step(opened, what, more, episode, who, given)
    tell(
        opened,
        lambda: _write(opened, plan.file, ops, said),
        lambda: said,
        thing,
        as_json=as_json,
    )


def _write(opened: Opened, file: str, ops: "list[Op]", said: str) -> None:
    """Writes what leaves the season one that can be planned, if it was.

    Raises:
        PlanError: it could not be read or planned with this; nothing was written.
    """
    from episodes.answers.check import check
    from episodes.files.growing import trial, write
    from episodes.files.saving import texts_of
    from episodes.files.writing import new_texts
    from episodes.problems import PlanError

    texts = new_texts(texts_of(opened.folder), file, ops)
    after = trial(opened.folder, texts, clock=opened.clock, now=opened.now)
    try:
        check(opened.season)
    except PlanError:
        # It has no answer as it is: this may be the first of several lines that mend it.
        pass
    else:
        check(after)
    write(opened.folder, texts, said, clock=opened.clock, now=opened.now)


_Made = tuple["Episode", "list[Op]", str, "Thing | None"]


def _step(
    opened: Opened,
    what: str,
    more: Sequence[str],
    episode: str | None,
    who: tuple[str, ...],
    given: dict[str, Any],
) -> _Made:
    from episodes.answers.names import Thing
    from episodes.files import writing_words as words
    from episodes.files.writing import AddStep
    from episodes.files.writing_lines import USUAL, free_id

    _only(given, _STEP, "a step")
    if len(more) > 2:
        raise click.UsageError(
            f'write episodes add {what} "Title" LENGTH; the title in quotes is one word'
        )
    home = _named(opened, what, episode, ("job", "step"))
    plan = opened.season.episode(home.episode)
    job = home.id.partition(".")[0]
    title, length = more[0], more[1] if len(more) > 1 else None
    if length is not None and given["wait"] is not None:
        raise click.UsageError("give the length or --wait, not both")
    steps = next(each for each in plan.jobs if each.id == job).steps
    own = [each.id.partition(".")[2] for each in steps]
    behind = home.id.partition(".")[2] or None
    after: list[Any] = []
    for text in given["after"]:
        name = text.removeprefix(f"{job}.")
        if name in own and behind is None:
            # Its place in the file's order says it: what came next waits for this one then.
            behind = name
        else:
            after.append(words.read_link(text))
    entries: dict[str, Any] = {"id": free_id(title, own), "title": title}
    if given["wait"] is not None:
        entries["wait"] = given["wait"]
    else:
        entries["hands"] = length or USUAL
    entries |= _common(who, given)
    if after:
        entries["also_after"] = after
    if given["needed_for"]:
        entries["before"] = list(given["needed_for"])
    if given["coat"] is not None:
        entries["coat"] = given["coat"]
    if given["light"] is not None:
        entries["light"] = given["light"]
    id = f"{job}.{entries['id']}"
    said = f"{title}: added as {id}"
    if length is None and given["wait"] is None:
        said += f", {USUAL} as a guess"
    op = AddStep(job=job, entries=entries, after=behind)
    return plan, [op], said, Thing("step", plan.id, id, title, True)


def _job(
    opened: Opened,
    more: Sequence[str],
    episode: str | None,
    who: tuple[str, ...],
    given: dict[str, Any],
) -> _Made:
    from episodes.commands.add import episode_meant
    from episodes.commands.drafting import in_words
    from episodes.files import writing_words as words
    from episodes.files.writing import AddTable
    from episodes.files.writing_lines import Known, steps_of

    _only(given, _JOB, "a job")
    if not 1 <= len(more) <= 2:
        raise click.UsageError('write episodes add job ID "Title" --step "Cut parts, 2h"')
    plan = episode_meant(opened, episode)
    studio = opened.season.studio
    known = Known(
        people={each.id: each.title for each in studio.people},
        spaces={each.id: each.title for each in studio.spaces},
        gear={each.id: each.title for each in studio.gear},
    )
    steps = steps_of("\n".join(line.replace("\n", " ") for line in given["steps"]), known)
    if not steps:
        raise click.UsageError('a job has a step at least: --step "Cut parts, 2h"')
    title = more[1] if len(more) > 1 else in_words(more[0])
    entries: dict[str, Any] = {"id": more[0], "title": title, **_common(who, given)}
    if given["after"]:
        entries["after"] = [words.read_link(text) for text in given["after"]]
    entries["step"] = [step.entries for step in steps]
    count = f"{len(steps)} steps" if len(steps) > 1 else "one step"
    guessed = [step.id for step in steps if step.guessed]
    said = f"{title}: added as {more[0]}, {count}"
    if guessed:
        said += f"; guessed how long: {', '.join(guessed)}"
    return plan, [AddTable(kind="job", entries=entries)], said, None


def _link(opened: Opened, more: Sequence[str], episode: str | None, given: dict[str, Any]) -> _Made:
    from episodes.files.writing import AddLink, table_of
    from episodes.files.writing_words import show_link

    _only(given, _LINK, "a link")
    if len(more) != 1 or not given["after"]:
        raise click.UsageError("write episodes add link NAME --after NAME: who waits, for what")
    thing = _named(opened, more[0], episode, ("step", "job", "parcel", "shot"))
    plan = opened.season.episode(thing.episode)
    text = (opened.folder / plan.file).read_text(encoding="utf-8-sig")
    own_order = thing.kind != "step" or "after" in table_of(text, "step", thing.id)
    key = "after" if own_order else "also_after"
    keys = ("gap", "within", "or_after", "stage")
    extra = {key: given[key] for key in keys if given[key] is not None}
    ops: list[Op] = []
    waits = []
    for name in given["after"]:
        entry = {"step": name, **extra} if extra else name
        waits.append(show_link(entry))
        ops.append(AddLink(kind=thing.kind, id=thing.id, key=key, value=entry))  # type: ignore[arg-type]
    return plan, ops, f"{thing.title}: waits for {', '.join(waits)}", thing


def _common(who: tuple[str, ...], given: dict[str, Any]) -> dict[str, Any]:
    """Keys that a step and a job share."""
    from episodes.files import writing_words as words

    entries: dict[str, Any] = {}
    people = words.WHO.value(", ".join(who))
    if people is not None:
        entries["who"] = people
    if given["where"] is not None:
        entries["where"] = given["where"]
    gear = words.COUNTS.value(", ".join(given["gear"]))
    if gear is not None:
        entries["gear"] = gear
    if given["cost"] is not None:
        cost = given["cost"]
        entries["cost"] = int(cost) if cost == int(cost) else cost
    if given["note"] is not None:
        entries["note"] = given["note"]
    if given["optional"]:
        entries["optional"] = True
    return entries


def _named(opened: Opened, name: str, episode: str | None, kinds: tuple[Any, ...]) -> "Thing":
    from episodes.commands.facts import thing_named
    from episodes.commands.rooms import episode_named

    if episode is not None and ":" not in name:
        name = f"{episode_named(opened.season, episode)}:{name}"
    return thing_named(opened, name, kinds)


def _only(given: dict[str, Any], allowed: frozenset[str], what: str) -> None:
    """Refuses an option that has no place here instead of leaving it out.

    Raises:
        click.UsageError: there is one.
    """
    from episodes.commands.add import option_of

    for key, value in given.items():
        if key not in allowed and value not in (None, (), False):
            raise click.UsageError(f"--{option_of(key)} is not for {what}")
