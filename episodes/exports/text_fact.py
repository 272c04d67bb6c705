"""What a written fact means: what is free when, what comes next, what became of the verdict.

Typed in the garage with one hand and read at a glance, so it is a sentence or two.
"""

from episodes.answers.rows import CheckAnswer, EpisodeAnswer, StepRow
from episodes.exports.safe_text import clean
from episodes.exports.text import problem_lines
from episodes.exports.text_words import Words, length, verdict_sentence, words_for
from episodes.problems import Problem


def fact_text(
    said: str,
    before: CheckAnswer | None,
    after: CheckAnswer,
    episode: str | None = None,
    id: str | None = None,
) -> str:
    """The answer to a fact.

    Args:
        said: what was written, in words, without a full stop.
        before: the season as it was; None where it could not be judged.
        after: the season with the fact.
        episode: whose fact it is; None where it is nobody's in particular.
        id: the step (JOB.STEP), parcel or shot it is about.
    """
    words = words_for(after)
    sentences = [f"{clean(said)}."]
    own = _find(after, episode)
    if own is not None and id is not None:
        sentences += meaning(after, own, id, words)
    verdicts = [
        line
        for each in after.episodes
        for line in [_verdict(each, _find(before, each.id), words, always=each is own)]
        if line
    ]
    lines = [" ".join(sentences), *(verdicts or ["No release moves."])]
    return "\n".join(lines + _new_problems(before, after))


def _new_problems(before: CheckAnswer | None, after: CheckAnswer) -> list[str]:
    """The problems that were not there before; none where that is not known."""
    if before is None:
        return []
    old = {_key(problem) for episode in before.episodes for problem in episode.problems}
    new = [
        problem
        for episode in after.episodes
        for problem in episode.problems
        if problem.level != "note" and _key(problem) not in old
    ]
    return problem_lines(new)


def _key(problem: Problem) -> tuple[str, str, str]:
    """What a problem is about, whatever figures its text has."""
    file = problem.where.file if problem.where is not None else ""
    return problem.code, file, problem.subject or problem.text


def meaning(answer: CheckAnswer, episode: EpisodeAnswer, id: str, words: Words) -> list[str]:
    """What follows from the fact about this step, parcel or shot, in sentences."""
    parcel = next((row for row in episode.parcels if row.id == id), None)
    row = next((row for row in episode.steps if row.id == id), None)
    if parcel is not None:
        return _of_parcel(episode, id, words)
    if row is None:
        return []
    if row.kind == "shot":
        return _next_shot(episode, words)
    return _of_step(answer, episode, row, words)


def _of_step(answer: CheckAnswer, episode: EpisodeAnswer, row: StepRow, words: Words) -> list[str]:
    rest = [
        each
        for each in episode.steps
        if each.job == row.job
        and each.id != row.id
        and each.state in ("open", "started")
        and each.start is not None
    ]
    parts = []
    if row.state == "started" and row.finish is not None:
        parts.append(f"over by {words.soon(row.finish)}")
    elif row.state == "open" and row.start is not None:
        parts.append(f"planned {words.soon(row.start)}")
    for wait in rest:
        if wait.kind not in ("wait", "dry") or wait.finish is None or wait.start is None:
            continue
        if wait.start > answer.now:
            continue
        held = [clean(answer.gear_titles.get(gear, gear)) for gear, _ in wait.gear]
        if held:
            parts.append(f"{', '.join(held)} free {words.soon(wait.finish)}")
        else:
            parts.append(f"{clean(wait.title)} until {words.soon(wait.finish)}")
    coming = next((each for each in rest if each.kind == "hands"), None) or _next_of(episode, row)
    if coming is not None and coming.start is not None:
        parts.append(f"next: {clean(coming.title)}, {words.soon(coming.start)}")
    return [_sentence("; ".join(parts))] if parts else []


def _next_of(episode: EpisodeAnswer, row: StepRow) -> StepRow | None:
    """What comes next in the room once the job has nothing left; of the same people first."""
    coming = [
        each
        for each in episode.steps
        if each.kind in ("hands", "shot")
        and each.state in ("open", "started")
        and each.sessions
        and each.id != row.id
    ]
    return next((each for each in coming if set(each.who) & set(row.who)), next(iter(coming), None))


def _of_parcel(episode: EpisodeAnswer, id: str, words: Words) -> list[str]:
    parcel, row = episode.parcel(id), episode.step(id)
    parts = []
    if parcel.failed and row.state == "open" and row.finish is not None:
        parts.append(f"planned as ordered again now, here {words.moment(row.finish)}")
    elif parcel.arrived is None and parcel.arrives is not None:
        parts.append(f"in hand {words.moment(parcel.arrives)}")
        if parcel.latest_arrival is not None:
            parts.append(f"last arrival that meets {words.moment(parcel.latest_arrival)}")
    elif parcel.arrived is not None and row.finish is not None and row.state != "done":
        parts.append(f"can be used from {words.soon(row.finish)}")
    waits = next(
        (
            each
            for each in episode.steps
            if each.because is not None
            and (each.because.kind, each.because.id) == ("parcel", id)
            and each.start is not None
            and each.state == "open"
        ),
        None,
    )
    if waits is not None and waits.start is not None:
        parts.append(f"waiting for it: {clean(waits.title)}, {words.soon(waits.start)}")
    if parcel.return_by is not None and parcel.returned is None and parcel.arrived is not None:
        parts.append(f"can go back until {words.deadline(parcel.return_by)}")
    return [_sentence("; ".join(parts))] if parts else []


def _next_shot(episode: EpisodeAnswer, words: Words) -> list[str]:
    coming = next(
        (
            each
            for each in episode.steps
            if each.kind == "shot" and each.state == "open" and each.start is not None
        ),
        None,
    )
    if coming is None or coming.start is None:
        return []
    return [f"Next shot: {clean(coming.title)}, {words.soon(coming.start)}."]


def _verdict(now: EpisodeAnswer, was: EpisodeAnswer | None, words: Words, *, always: bool) -> str:
    """How the episode stands; what it was before where that is different."""
    sentence = verdict_sentence(now, words)
    if was is None:
        return sentence if always else ""
    if (was.verdict, was.spare_min) == (now.verdict, now.spare_min):
        return sentence.replace(f" {now.verdict} ", f" still {now.verdict} ", 1) if always else ""
    if was.spare_min is None:
        return f"{sentence} Before, there was no plan."
    spare = length(abs(was.spare_min))
    return f"{sentence} Before: {spare} {'to spare' if was.spare_min >= 0 else 'late'}."


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _find(answer: CheckAnswer | None, id: str | None) -> EpisodeAnswer | None:
    if answer is None or id is None:
        return None
    return next((episode for episode in answer.episodes if episode.id == id), None)
