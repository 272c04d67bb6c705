"""What can be checked only when every episode has been read: stages, a rental's rules, ways out."""

from collections.abc import Iterable, Mapping

from episodes.files.faults import Faults
from episodes.files.values import quoted
from episodes.model.episode import After, Episode, Job, Parcel, Shot, Step
from episodes.model.studio import Studio

Things = Mapping[str, Step | Job]
"""Steps and jobs of a season by qualified name, EPISODE:JOB.STEP or EPISODE:JOB."""


def things_of(episodes: Iterable[Episode]) -> Things:
    things: dict[str, Step | Job] = {}
    for episode in episodes:
        for job in episode.jobs:
            things[f"{episode.id}:{job.id}"] = job
            things |= {f"{episode.id}:{step.id}": step for step in job.steps}
    return things


def check_episode(
    episode: Episode, things: Things, studio: Studio, coated: set[str], faults: Faults
) -> None:
    """Faults of names that were resolved but do not fit what they name.

    Args:
        coated: qualified names of the steps with a `coat`, also one that was at fault.
    """
    forbids = {space.id: space.forbids for space in studio.spaces}
    for job in episode.jobs:
        _check_stages(job.after, things, coated, faults, job.id)
        for step in job.steps:
            after = (*(step.after or ()), *step.also_after)
            _check_stages(after, things, coated, faults, step.id)
            _check_deeds(step, forbids, faults)
    for shot in episode.shots:
        _check_stages(shot.after, things, coated, faults, shot.id)
        _check_deeds(shot, forbids, faults)
    for parcel in episode.parcels:
        _check_stages(parcel.after, things, coated, faults, parcel.id)
    _check_fallback_only(episode, faults)


def _check_stages(
    entries: Iterable[After],
    things: Things,
    coated: set[str],
    faults: Faults,
    subject: str,
) -> None:
    """A drying stage that is waited for is one that the coat named has."""
    for entry in entries:
        if entry.stage is None:
            continue
        name = quoted(entry.target.id)
        thing = things.get(entry.target.qualified)
        if thing is None and entry.target.kind in ("step", "job"):
            continue  # it is there, with a fault of its own
        steps = () if thing is None else thing.steps if isinstance(thing, Job) else (thing,)
        coats = [step.coating for step in steps if step.coating is not None]
        episode = entry.target.episode
        if any(f"{episode}:{step.id}" in coated for step in steps) and not coats:
            continue
        waits = f"{quoted(subject)} waits for the stage `{entry.stage}` of {name}"
        if not coats:
            text = f"{waits}, which puts no coat on."
            mend = "Leave `stage` out, or name the step with the coat."
            faults.add("no-such-stage", entry.place, text, mend, subject=subject)
        elif not any(entry.stage in coat.times for coat in coats):
            text = f"{waits}, whose `dries` has none."
            mend = f'Give it there, {entry.stage} = "..", or wait for another stage.'
            faults.add("no-such-stage", entry.place, text, mend, subject=subject)


def _check_deeds(thing: Step | Shot, forbids: dict[str, tuple[str, ...]], faults: Faults) -> None:
    """A rental's rules: what a step `does` is not what its place forbids."""
    if thing.where is None:
        return
    for deed in thing.does:
        if deed in forbids.get(thing.where, ()):
            text = f"{quoted(thing.id)} does {quoted(deed)}, which {quoted(thing.where)} forbids."
            mend = "Do it another way, in another place, or ask the owner and change `forbids`."
            faults.add("forbidden", thing.place, text, mend, subject=thing.id)


def _check_fallback_only(episode: Episode, faults: Faults) -> None:
    """Things that take part only with a way out, and no way out that uses them: a warning."""
    used = {ref.id for fallback in episode.fallbacks for ref in fallback.use}
    things: list[Job | Parcel | Shot] = [*episode.jobs, *episode.parcels, *episode.shots]
    for thing in things:
        if not thing.fallback_only or thing.id in used:
            continue
        if isinstance(thing, Job) and any(step.id in used for step in thing.steps):
            continue
        text = f"{quoted(thing.id)} is fallback_only, and no fallback uses it: it never takes part."
        mend = "Name it in the `use` of a [[fallback]], or leave fallback_only out."
        faults.add("never-used", thing.place, text, mend, subject=thing.id, level="warning")
