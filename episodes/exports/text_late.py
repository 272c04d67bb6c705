"""What `late` says: whether it matters, until when it may come, what moves."""

from typing import TYPE_CHECKING

from episodes.answers.rows import CheckAnswer
from episodes.exports.safe_text import clean
from episodes.exports.text_rescue import ways_lines
from episodes.exports.text_words import (
    Words,
    columns,
    length,
    read_as_of,
    room_of,
    verdict_sentence,
    words_for,
)

if TYPE_CHECKING:
    from episodes.answers.late import LateAnswer, LateEpisode

_MOST_MOVED = 12


def late_text(late: "LateAnswer", answer: CheckAnswer) -> str:
    """A late parcel for a person; `answer` is the season as planned, for zone and titles."""
    words = words_for(answer)
    lines = [line for line in (read_as_of(answer),) if line]
    lines.append(verdict_sentence(late.after, words))
    came = "" if late.planned is None else f", planned {words.moment(late.planned)}"
    lines.append(f"{clean(late.title)} in hand {words.moment(late.arrives)}{came}.")
    lines.append(_latest(late, words))
    for episode in late.episodes:
        sentence = _other(episode, late)
        if sentence:
            lines.append(sentence)
    if late.ways is not None:
        lines += ways_lines(late.ways, words)
    if late.moved:
        lines += ["", "What moves"]
        rows = [
            (
                clean(moved.title) + room_of(answer, moved.episode),
                words.moment(moved.from_),
                "->",
                words.moment(moved.to),
            )
            for moved in late.moved[:_MOST_MOVED]
        ]
        lines += columns(rows)
        rest = len(late.moved) - _MOST_MOVED
        if rest > 0:
            lines.append(f"  and {rest} more")
    else:
        lines.append("Nothing else moves.")
    return "\n".join(lines)


def _latest(late: "LateAnswer", words: Words) -> str:
    if late.latest_arrival is None:
        none = "No arrival from now on meets the release"
        return f"{none}." if late.latest_exact else f"{none} with the plan in hand."
    last = f"Last arrival that meets: {words.moment(late.latest_arrival)}"
    return f"{last}." if late.latest_exact else f"{last}; a later one is not ruled out."


def _other(episode: "LateEpisode", late: "LateAnswer") -> str:
    """What becomes of another episode that this arrival moves."""
    if episode.id == late.episode:
        return ""
    title = clean(episode.title)
    if episode.spare_min is None:
        return f"{title}: {episode.verdict}, no plan was found for it."
    spare = length(abs(episode.spare_min))
    now = f"{spare} to spare" if episode.spare_min >= 0 else f"{spare} late"
    if episode.spare_before is None:
        return f"{title}: {episode.verdict}, {now}."
    before = length(abs(episode.spare_before))
    was = f"{before} to spare" if episode.spare_before >= 0 else f"{before} late"
    return f"{title}: {episode.verdict}, {now} (was {was})."
