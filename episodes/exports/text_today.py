"""What `today` says: the day's work, what to film before it, what to order, what is drying."""

from typing import TYPE_CHECKING

from episodes.amounts import length_in_words
from episodes.answers.rows import CheckAnswer, StepRow
from episodes.exports.safe_text import clean
from episodes.exports.text_words import (
    Words,
    counted,
    name_of,
    people,
    read_as_of,
    words_for,
)

if TYPE_CHECKING:
    from episodes.answers.today import Do, TodayAnswer


def today_text(today: "TodayAnswer", answer: CheckAnswer) -> str:
    """The day for a person; `answer` is the season that `today` was taken from."""
    words = words_for(answer)
    several = len({episode.id for episode in answer.episodes}) > 1
    lines = [line for line in (read_as_of(answer),) if line]
    lines.append(_sentence(today, words))
    for do in today.do:
        lines += _step(do, answer, words, several)
    if today.order:
        lines += ["", "Order"]
        lines += [
            f"  by {words.deadline(order.by)}  {clean(order.title)}"
            f"{_of(order.episode, answer, several)}"
            for order in today.order
        ]
    if today.at_risk:
        lines += ["", "Film before it is gone"]
        lines += [
            f"  before {words.moment(risk.before)}  {clean(risk.title)}"
            f"{_of(risk.episode, answer, several)}"
            for risk in today.at_risk
        ]
    if today.running:
        lines += ["", "Running by itself"]
        lines += [
            f"  until {words.moment(running.until)}  {clean(running.title)}"
            f"{_of(running.episode, answer, several)}"
            for running in today.running
        ]
    return "\n".join(lines)


def _sentence(today: "TodayAnswer", words: Words) -> str:
    day = words.day(today.now)
    if not today.do:
        return f"Nothing to do on {day}."
    minutes = sum(do.hands_min for do in today.do)
    shots = dict.fromkeys(shot for do in today.do for shot in do.film_first)
    text = f"{day}: {counted(len(today.do), 'step')}, {length_in_words(minutes)} of work"
    if shots:
        text += f"; film {counted(len(shots), 'shot')} first"
    return text + "."


def _step(do: "Do", answer: CheckAnswer, words: Words, several: bool) -> list[str]:
    episode = answer.episode(do.episode)
    row = _row(answer, do.episode, do.id)
    name = clean(do.title) if row is None else name_of(episode, row)
    when = f"{words.clock(do.from_)}-{words.clock(do.to)}"
    text = f"  {when}  {people(answer, do.who)}  {name}  {length_in_words(do.hands_min)}"
    text += _of(do.episode, answer, several)
    if do.critical:
        text += "  critical"
    elif do.latest is not None:
        text += f"  start at the latest {words.moment(do.latest)}"
    lines = [text]
    indent = " " * 15
    for shot in do.film_first:
        found = _row(answer, do.episode, shot)
        lines.append(f"{indent}film first: {clean(shot if found is None else found.title)}")
    if row is not None:
        lines += [f"{indent}caution: {clean(caution)}" for caution in row.cautions]
    return lines


def _of(episode: str, answer: CheckAnswer, several: bool) -> str:
    """Whose it is, where more than one room is under way."""
    return f"  ({clean(answer.episode(episode).title)})" if several else ""


def _row(answer: CheckAnswer, episode: str, id: str) -> StepRow | None:
    return next((row for row in answer.episode(episode).steps if row.id == id), None)
