"""What `rescue` says: the ways out, their price, and until when each can be decided."""

from typing import TYPE_CHECKING

from episodes.answers.rows import CheckAnswer
from episodes.exports.safe_text import clean
from episodes.exports.text_odds import in_words
from episodes.exports.text_words import (
    Words,
    columns,
    length,
    read_as_of,
    verdict_sentence,
    words_for,
)

if TYPE_CHECKING:
    from episodes.answers.rescue import RescueAnswer, Way


def rescue_text(rescue: "RescueAnswer", answer: CheckAnswer) -> str:
    """The ways out for a person; `answer` is the season as it stands."""
    words = words_for(answer)
    lines = [line for line in (read_as_of(answer),) if line]
    lines.append(verdict_sentence(rescue.before, words))
    lines += ways_lines(rescue, words)
    return "\n".join(lines)


def ways_lines(rescue: "RescueAnswer", words: Words) -> list[str]:
    """The ways out as lines: a sentence, then a row a way."""
    if rescue.verdict != "slips":
        return ["Nothing to save: the release is met."]
    if not rescue.ways:
        return [_none(rescue)]
    first = min(way.decide_by for way in rescue.ways)
    count = "One way out" if len(rescue.ways) == 1 else f"{len(rescue.ways)} ways out"
    lines = [f"{count}; the first must be decided by {words.moment(first)}.", ""]
    rows = [("", "costs", "loses", "to spare", "in time", "decide by")]
    rows += [_row(way, rescue, words) for way in rescue.ways]
    lines += columns(rows)
    if not rescue.proved:
        lines.append("There may be others: not every set of the fallbacks could be settled.")
    return lines


def _row(way: "Way", rescue: "RescueAnswer", words: Words) -> tuple[str, str, str, str, str, str]:
    titles = " + ".join(clean(title, limit=60) for title in way.titles)
    mark = " (offered by this program)" if way.own else ""
    cost = f"{way.cost:g} {clean(rescue.currency)}".strip() if way.cost else "nothing"
    return (
        titles + mark,
        cost,
        f"{way.loses:g}/10",
        length(way.spare_min),
        "-" if way.on_time is None else in_words(way.on_time),
        words.moment(way.decide_by),
    )


def _none(rescue: "RescueAnswer") -> str:
    if rescue.fallbacks == 0:
        return (
            "No way out is written down for it: add a [[fallback]] to its file, what the host "
            "would accept and at what price."
        )
    if rescue.proved:
        return "None of its fallbacks saves it, nor all together: that is proved."
    return "No way out was found among its fallbacks; that none exists is not proved."
