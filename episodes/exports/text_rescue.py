"""What `rescue` says: the ways out, their price, and until when each can be decided."""

from typing import TYPE_CHECKING

from episodes.answers.rows import CheckAnswer
from episodes.exports.safe_text import clean
from episodes.exports.text_odds import in_words
from episodes.exports.text_words import (
    Words,
    columns,
    length,
    listed,
    price,
    read_as_of,
    verdict_sentence,
    words_for,
)

if TYPE_CHECKING:
    from episodes.answers.rescue import RescueAnswer, Way

_MOST_CAUTIONS = 2


def rescue_text(rescue: "RescueAnswer", answer: CheckAnswer) -> str:
    """The ways out for a person; `answer` is the season as it stands."""
    words = words_for(answer)
    lines = [line for line in (read_as_of(answer),) if line]
    lines.append(verdict_sentence(rescue.before, words))
    lines += ways_lines(rescue, words)
    return "\n".join(lines)


def ways_lines(rescue: "RescueAnswer", words: Words) -> list[str]:
    """The ways out as lines: a sentence, then a row a way; the program's own suggestions apart."""
    if rescue.verdict != "slips":
        return ["Nothing to save: the release is met."]
    lines = _ways(rescue, words) if rescue.ways else [_none(rescue)]
    if rescue.stopped:
        lines.append("The search was ended by the clock before it was through.")
    return lines + _suggestions(rescue, words)


def _ways(rescue: "RescueAnswer", words: Words) -> list[str]:
    first = min(way.decide_by for way in rescue.ways)
    which = "One way out; it"
    if len(rescue.ways) > 1:
        which = f"{len(rescue.ways)} ways out; the first"
    lines = [f"{which} must be decided by {words.moment(first)}.", ""]
    rows: list[tuple[str, ...]] = [("", "costs", "loses", "to spare", "in time", "decide by")]
    rows += [_row(way, rescue, words) for way in rescue.ways]
    lines += columns(rows)
    for way in rescue.ways:
        lines += _notes(way, words)
    if not rescue.proved:
        lines.append("There may be others: not every set of the fallbacks could be settled.")
    return lines


def _row(way: "Way", rescue: "RescueAnswer", words: Words) -> tuple[str, ...]:
    return (
        _titles(way) + (" (ours, not in your file)" if way.own else ""),
        price(way.cost, rescue.currency) if way.cost else "nothing",
        f"{way.loses:g}/10",
        *_outcome(way, words),
    )


def _suggestions(rescue: "RescueAnswer", words: Words) -> list[str]:
    if not rescue.suggestions:
        return []
    lines = ["", "Our suggestions, not in your file; ask what each would cost:", ""]
    rows = [("", "to spare", "in time", "decide by")]
    rows += [(_titles(way), *_outcome(way, words)) for way in rescue.suggestions]
    lines += columns(rows)
    for way in rescue.suggestions:
        lines += _notes(way, words)
    lines.append("One that you would take belongs into the file as a [[fallback]] with its price.")
    return lines


def _titles(way: "Way") -> str:
    return " + ".join(clean(title, limit=72) for title in way.titles)


def _outcome(way: "Way", words: Words) -> tuple[str, str, str]:
    return (
        length(way.spare_min),
        "-" if way.on_time is None else in_words(way.on_time),
        words.moment(way.decide_by),
    )


def _notes(way: "Way", words: Words) -> list[str]:
    """What a row has no room for: who is ready later, which hours, what can hurt someone."""
    lines = [
        f"  Ready later for it: {clean(delay.title)}, by {length(delay.minutes)}."
        for delay in way.delays
    ]
    if way.own:
        for change in way.changes:
            hours = [words.stretch(*window) for _, window in change.extra]
            if hours:
                lines.append(f"  {clean(change.title, limit=72)}: {listed(hours, 4)}.")
        lines += [f"  Caution: {clean(caution)}" for caution in way.cautions[:_MOST_CAUTIONS]]
    return lines


def _none(rescue: "RescueAnswer") -> str:
    if rescue.fallbacks == 0:
        return (
            "No way out is written down for it: add a [[fallback]] to its file, what the host "
            "would accept and at what price."
        )
    if rescue.proved:
        return "None of its fallbacks saves it, nor all together: that is proved."
    return "No way out was found among its fallbacks; that none exists is not proved."
