"""What `drift` and `go` say: how much later a room is ready than when go was said, and why."""

from episodes.answers.drift import Cause, DriftAnswer
from episodes.exports.safe_text import clean
from episodes.exports.text_words import Words, length, listed

MOST_CAUSES = 5
LEAST_INDEX = 0.95
"""The least baseline execution index of the 14 schedule metrics (DCMA, from memory)."""

_PARTS = (
    (0.05, "none"), (0.15, "a tenth"), (0.29, "a quarter"), (0.41, "a third"),
    (0.58, "half"), (0.7, "two thirds"), (0.85, "three quarters"), (0.97, "nearly all"),
)  # fmt: skip


def drift_text(answers: tuple[DriftAnswer, ...]) -> str:
    """One paragraph a room."""
    first = answers[0]
    words = Words(first.zone, first.now)
    text = [f"Read as of {words.dated(first.now)}."] if first.read_as_of else []
    for answer in answers:
        text += _room(answer, words)
    return "\n".join(text)


def in_parts(share: float) -> str:
    """A share in words: `a third`, `half`, `all`.

    >>> in_parts(0.34), in_parts(0.5), in_parts(1.0)
    ('a third', 'half', 'all')
    """
    return next((word for limit, word in _PARTS if share < limit), "all")


def _room(answer: DriftAnswer, words: Words) -> list[str]:
    title = clean(answer.title)
    since = f"since go on {words.moment(answer.said)}"
    if answer.drift_min is None:
        return [f"{title}: no plan was there {'then' if answer.ready_then is None else 'now'}."]
    if answer.drift_min == 0:
        lines = [f"{title} is ready when it was to be {since}: {words.moment(answer.ready_now)}."]
    else:
        later = "later" if answer.drift_min > 0 else "earlier"
        by = length(abs(answer.drift_min))
        was = words.moment(answer.ready_then)
        lines = [f"{title} is ready {by} {later} than planned {since}: "]
        lines[0] += f"{words.moment(answer.ready_now)}, was {was}."
    lines.append(f"  {_cushion(answer)}")
    if answer.due:
        lines.append(f"  {_due(answer)}")
    lines += _causes(answer.causes)
    if answer.release != answer.release_then:
        was = words.moment(answer.release_then)
        lines.append(f"  The release is {words.moment(answer.release)}, was {was}.")
    if answer.added or answer.gone:
        lines.append(f"  Since then {len(answer.added)} came in and {len(answer.gone)} went out.")
    return lines


def _cushion(answer: DriftAnswer) -> str:
    """Spare time used against work done, in words."""
    done = in_parts(answer.work_done_min / answer.work_min) if answer.work_min else "all"
    work = f"{done} of the work done"
    spare_then, spare_now = answer.spare_then, answer.spare_now
    assert spare_then is not None
    assert spare_now is not None
    if spare_then <= 0:
        return f"There was no spare time at go; {work}."
    if spare_now < 0:
        return f"All of the spare time gone and {length(-spare_now)} more; {work}."
    used = (spare_then - spare_now) / spare_then
    gone = "None" if used <= 0 else in_parts(used).capitalize()
    return (
        f"{gone} of the spare time gone, {work}: {length(spare_now)} left of {length(spare_then)}."
    )


def _due(answer: DriftAnswer) -> str:
    """What was to be over by now and is, and what is not."""
    over = answer.due - len(answer.missed)
    text = f"{over} of {answer.due} that were to be over by now are"
    if answer.execution_index is not None and answer.execution_index < LEAST_INDEX:
        text += f" (execution index {answer.execution_index:.2f}, {LEAST_INDEX} is asked for)"
    if not answer.missed:
        return text + "."
    return text + f"; not yet: {listed([clean(id) for id in answer.missed], MOST_CAUSES)}."


def _causes(causes: tuple[Cause, ...]) -> list[str]:
    """What came later, took longer or was added; then, in one line, what hours and queues made
    of it: a step pushed past an evening's end is no cause of its own."""
    own = [cause for cause in causes if cause.kind != "starts"]
    lines = [f"  {_cause(cause)}" for cause in own[:MOST_CAUSES]]
    if len(own) > MOST_CAUSES:
        lines.append(f"  and {len(own) - MOST_CAUSES} smaller causes")
    passed_on = [cause for cause in causes if cause.kind == "starts"]
    total = sum(cause.minutes for cause in passed_on)
    if total < 0:
        lines.append(f"  Waiting for hours, people and places won back {length(-total)}.")
    elif total > 0:
        most = clean(max(passed_on, key=lambda cause: cause.minutes).title)
        lines.append(
            f"  Waiting for hours, people and places: {length(total)} later, most at {most}."
        )
    return lines


def _cause(cause: Cause) -> str:
    title, by = clean(cause.title), length(abs(cause.minutes))
    if cause.kind == "added":
        return f"{title}: came into the plan, {by}."
    if cause.kind == "longer":
        return f"{title}: takes {by} {'longer' if cause.minutes > 0 else 'less'}."
    return f"{title}: comes {by} {'later' if cause.minutes > 0 else 'earlier'}."
