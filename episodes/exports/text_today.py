"""What `today` says: the day's work, what to film before it, what to order, what is drying."""

from typing import TYPE_CHECKING

from episodes.amounts import length_in_words
from episodes.answers.rows import CheckAnswer, StepRow
from episodes.exports.safe_text import clean
from episodes.exports.text_words import (
    Words,
    columns,
    counted,
    name_of,
    people,
    read_as_of,
    room_of,
    words_for,
)

if TYPE_CHECKING:
    from episodes.answers.today import Do, TodayAnswer


def today_text(today: "TodayAnswer", answer: CheckAnswer) -> str:
    """The day for a person; `answer` is the season that `today` was taken from."""
    words = words_for(answer)
    lines = [line for line in (read_as_of(answer),) if line]
    lines.append(_sentence(today, words))
    work = columns(_work(do, answer, words) for do in today.do)
    for do, line in zip(today.do, work, strict=True):
        lines += [line, *_beneath(do, answer)]
    if today.order:
        rows = [
            (
                f"by {words.deadline(order.by)}" if order.by is not None else "at once",
                clean(order.title) + room_of(answer, order.episode),
            )
            for order in today.order
        ]
        lines += ["", "Order this week", *columns(rows)]
    if today.at_risk:
        rows = [
            (
                f"before {words.moment(risk.before)}",
                clean(risk.title) + room_of(answer, risk.episode),
            )
            for risk in today.at_risk
        ]
        lines += ["", "Film before it is gone", *columns(rows)]
    if today.running:
        rows = [
            (
                f"until {words.moment(running.until)}",
                clean(running.title) + room_of(answer, running.episode),
            )
            for running in today.running
        ]
        lines += ["", "Drying and waiting", *columns(rows)]
    return "\n".join(lines)


def _sentence(today: "TodayAnswer", words: Words) -> str:
    day = words.day(today.now)
    if not today.do:
        return f"{day}: nothing to do."
    minutes = sum(do.hands_min for do in today.do)
    shots = dict.fromkeys((do.episode, shot) for do in today.do for shot in do.film_first)
    text = f"{day}: {counted(len(today.do), 'step')}, {length_in_words(minutes)} of work"
    if shots:
        text += f"; film {counted(len(shots), 'shot')} before"
    return text + "."


def _work(do: "Do", answer: CheckAnswer, words: Words) -> tuple[str, ...]:
    row = _row(answer, do.episode, do.id)
    name = clean(do.title) if row is None else name_of(answer.episode(do.episode), row)
    if do.critical:
        slack = "critical"
    elif do.latest is not None:
        slack = f"start at the latest {words.moment(do.latest)}"
    else:
        slack = ""
    return (
        f"{words.clock(do.from_)}-{words.clock(do.to)}",
        people(answer, do.who),
        name + room_of(answer, do.episode),
        length_in_words(do.hands_min),
        slack,
    )


def _beneath(do: "Do", answer: CheckAnswer) -> list[str]:
    """What must be known before the step is begun."""
    indent = " " * 15
    lines = []
    for shot in do.film_first:
        found = _row(answer, do.episode, shot)
        lines.append(f"{indent}film first: {clean(shot if found is None else found.title)}")
    return lines + [f"{indent}caution: {clean(caution)}" for caution in do.cautions]


def _row(answer: CheckAnswer, episode: str, id: str) -> StepRow | None:
    return next((row for row in answer.episode(episode).steps if row.id == id), None)
