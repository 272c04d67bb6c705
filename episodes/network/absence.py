"""What takes no part in the plan: dropped, lost, kept for a fallback, its moment past."""

from episodes.model.episode import Episode, Shot, Step
from episodes.network.draft import Draft
from episodes.problems import Problem


def settle_absence(draft: Draft, episode: Episode) -> None:
    """Settle what takes no part: dropped, lost, kept for a fallback, or replaced."""
    absent = draft.absent
    replacers = {
        parcel.replaces: parcel.id
        for parcel in episode.parcels
        if parcel.replaces is not None and not parcel.fallback_only and parcel.dropped is None
    }
    for parcel in episode.parcels:
        key = (episode.id, parcel.id)
        if parcel.dropped is not None:
            absent[key] = "dropped"
        elif parcel.fallback_only:
            absent[key] = "spare"
        elif parcel.id in replacers:
            draft.replaced[key] = replacers[parcel.id]
            if parcel.failed is not None and parcel.arrived is None:
                absent[key] = "dropped"
    for job in episode.jobs:
        for step in job.steps:
            if job.dropped is not None or step.dropped is not None:
                absent[episode.id, step.id] = "dropped"
            elif step.fallback_only or job.fallback_only:
                absent[episode.id, step.id] = "spare"
    lost = {shot.id for shot in episode.shots if shot.lost is not None}
    covered = {
        shot.covers
        for shot in episode.shots
        if shot.covers in lost and shot.dropped is None and not shot.fallback_only
    }
    for shot in episode.shots:
        key = (episode.id, shot.id)
        if shot.dropped is not None:
            absent[key] = "dropped"
        elif shot.fallback_only or (shot.covers is not None and shot.covers not in lost):
            absent[key] = "spare"
        elif shot.lost is not None and shot.id in covered:
            absent[key] = "dropped"
            draft.replaced[key] = next(s.id for s in episode.shots if s.covers == shot.id)
        elif shot.lost is not None and shot.once:
            absent[key] = "dropped"
            draft.problems.append((episode.id, shot_lost(shot, "its footage is gone")))


def shot_lost(shot: Shot, why: str) -> Problem:
    return Problem(
        level="error",
        code="shot-lost",
        where=shot.place,
        text=f'"{shot.title}" can\'t be taken any more: {why}.',
        mend="Film something that stands in for it: a shot with covers = "
        f'"{shot.id}", and mark this one as lost.',
        subject=shot.id,
    )


def begun_step(step: Step) -> bool:
    if step.failed is not None and not (step.done is not None and step.done > step.failed):
        return False
    return step.started is not None or step.done is not None


def moments_past(episode: Episode) -> dict[str, str]:
    """Shots whose moment is past, by id, with what took it: a step after them has begun."""
    steps = {step.id: step for job in episode.jobs for step in job.steps}
    jobs = {job.id: job for job in episode.jobs}
    past: dict[str, str] = {}
    for shot in episode.shots:
        waiting: list[Step] = []
        for ref in shot.before:
            if ref.episode == episode.id and ref.kind == "step":
                waiting.append(steps[ref.id])
            elif ref.episode == episode.id and ref.kind == "job":
                waiting.extend(jobs[ref.id].steps)
        if shot.of is not None and shot.of.episode == episode.id:
            if shot.when == "before":
                if shot.of.kind == "step":
                    waiting.append(steps[shot.of.id])
                elif shot.of.kind == "job":
                    waiting.extend(jobs[shot.of.id].steps)
            elif shot.when == "during" and shot.of.kind == "step":
                if steps[shot.of.id].done is not None and begun_step(steps[shot.of.id]):
                    waiting.append(steps[shot.of.id])
            elif shot.of.kind == "step":
                job = jobs[steps[shot.of.id].job]
                waiting.extend(step for step in job.behind(shot.of.id) if step.hands is not None)
        begun = next((step for step in waiting if begun_step(step)), None)
        if begun is not None:
            past[shot.id] = f'"{begun.title}" has begun'
    return past
