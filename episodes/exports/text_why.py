"""What `why` says: when a step starts, what waited for what on the way there, how much slack."""

from typing import TYPE_CHECKING

from episodes.amounts import length_in_words
from episodes.answers.rows import CheckAnswer
from episodes.exports.safe_text import clean
from episodes.exports.text_words import columns, name_of, read_as_of, room_of, words_for

if TYPE_CHECKING:
    from episodes.answers.why import WhyAnswer


def why_text(why: "WhyAnswer", answer: CheckAnswer) -> str:
    """The reasons of one start for a person; `answer` is the season it was taken from."""
    words = words_for(answer)
    lines = [line for line in (read_as_of(answer),) if line]
    start = f"starts {words.moment(why.start)}" if why.start is not None else "has no start"
    lines.append(f"{clean(why.title)} {start}. {_slack(why)}".rstrip())
    if why.chain:
        lines += ["", "From now to there"]
        lines += columns(
            (
                words.moment(link.start),
                "" if link.finish is None else f"- {words.moment(link.finish)}",
                _what(answer, link.episode or why.episode, link.id, why.episode),
                clean(link.text),
            )
            for link in why.chain
        )
    row = next(
        (row for row in answer.episode(why.episode).steps if row.id == why.id),
        None,
    )
    if row is not None and row.cautions:
        lines += ["", *(f"Caution: {clean(caution)}" for caution in row.cautions)]
    return "\n".join(lines)


def _what(answer: CheckAnswer, episode: str, id: str | None, asked: str) -> str:
    """The title of a link's thing, and its room where that is another one."""
    if id is None:
        return ""
    rooms = sorted(answer.episodes, key=lambda room: room.id != episode)
    found = next(((room, row) for room in rooms for row in room.steps if row.id == id), None)
    if found is None:
        return clean(id)
    return name_of(*found) + ("" if found[0].id == asked else room_of(answer, found[0].id))


def _slack(why: "WhyAnswer") -> str:
    if why.critical:
        return "It is critical: a minute more here makes the room a minute later."
    if why.slack_min is None:
        return ""
    if why.slack_min < 0:
        return f"It is {length_in_words(-why.slack_min)} later than the release allows."
    text = f"It has {length_in_words(why.slack_min)} of slack"
    if why.slack_work_min is not None and why.slack_work_min != why.slack_min:
        text += f", {length_in_words(why.slack_work_min)} of it in its own hours"
    return text + "."
