"""What changed since the screens were last left, as rows of the first page."""

from episodes.answers.changed import Changed
from episodes.answers.rows import CheckAnswer
from episodes.exports.text_words import Words, length


def change_words(change: Changed, answer: CheckAnswer, words: Words) -> str:
    """`Home office SLIPS by 8 d 3 h, before MEETS with 2 d to spare`."""
    match change.what:
        case "new":
            return f"{change.title} is new"
        case "gone":
            return f"{change.title} is gone"
        case "verdict":
            now = _verdict(change.verdict_after, change.after)
            return f"{change.title} {now}, before {_verdict(change.verdict_before, change.before)}"
        case "ready":
            now, was = (words.moment(each, "never") for each in (change.after, change.before))
            return f"{change.title}: ready {now}, before {was}"
        case "arrival":
            now, was = (words.moment(each, "never") for each in (change.after, change.before))
            return f"{change.parcel_title}: in hand {now}, before {was}"


def _verdict(verdict: str | None, spare: int | None) -> str:
    if verdict == "released":
        return "is RELEASED"
    if verdict == "meets":
        return f"MEETS with {length(spare)} to spare" if spare else "MEETS with nothing to spare"
    return "SLIPS" if spare is None else f"SLIPS by {length(-spare)}"
