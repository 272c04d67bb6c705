"""The shots: when each can be taken, and which are gone for good after what."""

from dataclasses import dataclass

from episodes.answers.rows import CheckAnswer, StepRow
from episodes.model.episode import Shot
from episodes.model.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotLine:
    """One shot. `gone_after` is the planned start of what ends its chance (once-only shots), and
    `ended_by` the id of that step; None where it can be retaken or nothing ends it."""

    episode: str
    row: StepRow
    gone_after: int | None
    ended_by: str | None
    taken: bool
    backed_up: bool
    lost: bool


def shots(answer: CheckAnswer, season: Season) -> tuple[ShotLine, ...]:
    """Shots of all episodes that are not out, by planned start (None last)."""
    lines: list[ShotLine] = []
    for judged in answer.episodes:
        if judged.verdict == "released":
            continue
        episode = season.episode(judged.id)
        written = {shot.id: shot for shot in episode.shots}
        rows = {row.id: row for row in judged.steps}
        for row in judged.steps:
            if row.kind != "shot":
                continue
            shot = written[row.id]
            ender = (
                _ender(shot, rows, season, judged.id) if shot.once and row.state == "open" else None
            )
            lines.append(
                ShotLine(
                    episode=judged.id,
                    row=row,
                    gone_after=None if ender is None else ender.start,
                    ended_by=None if ender is None else ender.id,
                    taken=shot.taken is not None and shot.lost is None,
                    backed_up=shot.backed_up,
                    lost=shot.lost is not None,
                )
            )
    lines.sort(key=lambda line: (line.row.start is None, line.row.start or 0, line.row.id))
    return tuple(lines)


def _ender(shot: Shot, rows: dict[str, StepRow], season: Season, episode: str) -> StepRow | None:
    """The first planned step that must not begin before the shot is taken."""
    ids: list[str] = []
    jobs = {job.id: job for job in season.episode(episode).jobs}
    for ref in shot.before:
        if ref.episode == episode and ref.kind == "job":
            ids.extend(step.id for step in jobs[ref.id].steps)
        elif ref.episode == episode:
            ids.append(ref.id)
    of = shot.of
    if of is not None and of.episode == episode:
        if shot.when == "before":
            ids.extend([of.id] if of.kind == "step" else [s.id for s in jobs[of.id].steps])
        elif of.kind == "step":
            job = jobs[of.id.partition(".")[0]]
            names = [step.id for step in job.steps]
            later = job.steps[names.index(of.id) + 1 :]
            ids.extend(step.id for step in later if step.hands is not None)
            if shot.when == "during":
                ids = [of.id]
    found = [rows[id] for id in ids if id in rows and rows[id].start is not None]
    return min(found, key=lambda row: (row.start or 0, row.id), default=None)
