"""What the screens say beyond moments and lengths: verdicts, slack and reasons in few cells.

Wording only, on top of the words that the text answers use; every figure is an answer's.
"""

from episodes.amounts import length_in_words
from episodes.answers.rows import Because, CheckAnswer, EpisodeAnswer, ParcelRow, StepRow
from episodes.exports.text_words import Words, length, name_of, people

__all__ = [
    "Words",
    "away",
    "in_hand",
    "in_hours",
    "length",
    "length_in_words",
    "name_of",
    "parcel_state",
    "people",
    "reason",
    "slack",
    "slack_words",
    "verdict",
    "when",
]


def when(row: StepRow, words: Words) -> str:
    """`Thu 15 Apr 19:00-19:25`, `no date`."""
    if row.start is None:
        return "no date"
    return words.stretch(row.start, row.start if row.finish is None else row.finish)


def away(minute: int, now: int) -> str:
    """`in 23 d 15 h`, `in 45 min`, `now`, `2 d ago`."""
    if minute == now:
        return "now"
    return f"in {length(minute - now)}" if minute > now else f"{length(now - minute)} ago"


def verdict(answer: EpisodeAnswer) -> str:
    """`MEETS, 4 d 20 h to spare`, `SLIPS by 8 d 3 h, not proved`."""
    spare = answer.spare_min
    if answer.verdict == "released":
        return "RELEASED"
    if answer.verdict == "meets":
        return f"MEETS, {length(spare)} to spare" if spare else "MEETS, nothing to spare"
    unsure = "" if answer.proved else ", not proved"
    if spare is None:
        return f"SLIPS, no plan at all{unsure}"
    return f"SLIPS by {length(-spare)}{unsure}"


def slack(row: StepRow) -> str:
    """`TAUT`, `slack 2 d 3 h, 3 h 30 of own hours`; "" where the row has none."""
    if row.critical:
        return "TAUT"
    if row.slack_min is None:
        return ""
    return slack_words(row) if row.slack_min < 0 else f"slack {slack_words(row)}"


def slack_words(row: StepRow) -> str:
    """`2 d 3 h, 31 h of own hours`: on the clock, and in the hours of who does it."""
    slack = row.slack_min or 0
    if slack < 0:
        return f"{length(-slack)} too late"
    said = length(slack)
    if row.kind in ("hands", "shot") and row.slack_work_min is not None:
        said += f", {in_hours(row.slack_work_min)} of own hours"
    return said


def in_hours(minutes: int) -> str:
    """Working time, never in days of 24 hours: `45 min`, `31 h`, `3 h 30`."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"


def reason(answer: CheckAnswer, episode: EpisodeAnswer, row: StepRow) -> str:
    """What held the start of a row, as one sentence; "" where nothing is known to have."""
    if row.state == "done":
        return "Done."
    if row.state == "started":
        begun = {"parcel": "On its way.", "hands": "Begun; it goes on from now."}
        return begun.get(row.kind, "Under way.")
    because = row.because
    if because is None:
        return ""
    what = _named(answer, episode, because)
    match because.kind:
        case "step":
            return f"Waits for {what or 'another step'} to be over."
        case "parcel":
            return f"Waits for {what or 'a box'} to be in hand."
        case "person":
            return f"Waits for {what or 'somebody'} to be free of other work."
        case "space":
            return f"Waits for a place in {what or 'its space'}."
        case "gear":
            return f"Waits for {what or 'its gear'} to be free."
        case "air":
            return f"Waits for clean air: {what} spoils it." if what else "Waits for clean air."
        case "light":
            return "Waits for its light."
        case "hours":
            return f"Waits for the hours of {what}." if what else "Waits for open hours."
        case "window":
            return f"Waits for the window after {what}." if what else "Waits for its window."
        case "now":
            return "Nothing holds it: it can start now."
        case "bound":
            return "Waits for a date that the plan sets."


def _named(answer: CheckAnswer, episode: EpisodeAnswer, because: Because) -> str:
    """The title of what a row waits for, of this episode or, as `EPISODE:ID`, of another."""
    if because.id is None:
        return ""
    for titles in (answer.people, answer.spaces, answer.gear_titles):
        if because.id in titles and because.kind not in ("step", "parcel", "window", "air"):
            return titles[because.id]
    other, _, id = because.id.rpartition(":")
    where = next((each for each in answer.episodes if each.id == other), episode)
    row = next((row for row in where.steps if row.id == id), None)
    if row is None:
        return because.id
    title = name_of(where, row)
    return title if where is episode else f"{where.title}, {title}"


def in_hand(row: ParcelRow) -> bool:
    """Whether a box has come and is not planned to come once more (damaged, wrong, short)."""
    return row.arrived is not None and row.arrives == row.arrived


def parcel_state(row: ParcelRow) -> str:
    """`to order`, `ordered`, `promised`, `arrived`, or what came of it."""
    if row.returned is not None:
        return "sent back"
    if row.failed:
        return row.failed if in_hand(row) else "reorder"
    if row.arrived is not None:
        return "arrived"
    if row.promised is not None:
        return "promised"
    return "ordered" if row.ordered is not None else "to order"
