"""What `lookback` says: rooms, then people and carriers, then the ranges it suggests."""

from episodes.amounts import Estimate, estimate_as_written, length_in_words
from episodes.answers.lookback import Group, LookbackAnswer, RoomBehind, Suggestion
from episodes.exports.safe_text import clean
from episodes.exports.text_words import Words, columns, counted, worked

MOST_SUGGESTIONS = 12
"""Suggestions listed before the rest is only counted."""

NOBODY = "no carrier"


def lookback_text(answer: LookbackAnswer) -> str:
    """The look back in plain lines, most telling first."""
    words = Words(answer.zone, answer.now)
    text = [f"Read as of {words.dated(answer.now)}."] if answer.read_as_of else []
    counting = [took for took in answer.records if not took.passed_over]
    text.append(_sentence(answer, len(counting)))
    text += [_room(room, answer.currency, words) for room in answer.rooms]
    text += _part("By person and kind of work", [_work(g, answer) for g in _of(answer, False)])
    text += _part("By carrier", [_carrier(g, answer) for g in _of(answer, True)])
    passed = [took for took in answer.records if took.passed_over]
    if passed:
        reasons = sorted({took.passed_over for took in passed})
        text += ["", f"Passed over: {counted(len(passed), 'record')} ({'; '.join(reasons)})."]
    text += suggestions_text(answer)
    return "\n".join(text)


def suggestions_text(answer: LookbackAnswer) -> list[str]:
    """The suggestions, and the line that takes the first of them."""
    found = answer.suggestions
    if not found:
        return []
    rows = [suggestion_row(suggestion, answer) for suggestion in found[:MOST_SUGGESTIONS]]
    text = _part("Ranges for what is to come", rows)
    if len(found) > MOST_SUGGESTIONS:
        text.append(f"  and {len(found) - MOST_SUGGESTIONS} more (--json lists all)")
    text.append(f"Nothing is changed. To take one: episodes lookback --take {clean(found[0].name)}")
    return text


def suggestion_row(suggestion: Suggestion, answer: LookbackAnswer) -> tuple[str, ...]:
    """Name, written range, proposed range, and what it rests on."""
    who = _name(suggestion.who, answer)
    rests = f"{who}, {suggestion.kind}: {counted(suggestion.n, 'record')}"
    if suggestion.clipped:
        rests += f", {suggestion.clipped} drawn in"
    return (
        clean(suggestion.name),
        range_words(suggestion.written, suggestion.workdays),
        "to",
        range_words(suggestion.proposed, suggestion.workdays),
        clean(rests),
    )


def range_words(estimate: Estimate, workdays: bool) -> str:
    """`2h..3h..6h`, `4..6..12 workdays`: as a plan file has it."""
    return estimate_as_written(estimate, workdays=workdays)


def _sentence(answer: LookbackAnswer, n: int) -> str:
    if not answer.records:
        return (
            "Nothing to look back on yet: `took` on a step, or `ordered` and `arrived` "
            "on a parcel, make a record."
        )
    guessed = sum(room.guessed for room in answer.rooms)
    took = sum(room.took for room in answer.rooms)
    line = f"{counted(n, 'record')} from {counted(len(answer.rooms), 'room')}"
    if guessed:
        line += f": work of {worked(guessed)} took {worked(took)}"
        line += f", {took / guessed:.2f} times as long"
    return line + "."


def _room(room: RoomBehind, currency: str, words: Words) -> str:
    out = "not out yet"
    if room.late is not None:
        day = words.moment(room.release)
        out = f"out on time, {day}" if room.late <= 0 else f"out {length_in_words(room.late)} late"
    line = f"{clean(room.title)}: {out}"
    if room.guessed:
        line += f"; guessed {worked(room.guessed)}, took {worked(room.took)}"
    if room.paid or room.budget is not None:
        of = "" if room.budget is None else f" of {room.budget:g}"
        line += f"; paid {room.paid:g}{of} {currency}".rstrip()
    return line + "."


def _of(answer: LookbackAnswer, deliveries: bool) -> list[Group]:
    return [group for group in answer.groups if (group.kind == "delivery") == deliveries]


def _work(group: Group, answer: LookbackAnswer) -> tuple[str, ...]:
    return (
        clean(_name(group.who, answer)),
        clean(group.kind),
        counted(group.n, "record"),
        f"guessed {worked(group.guessed)}",
        f"took {worked(group.took)}",
        _ratio(group),
    )


def _carrier(group: Group, answer: LookbackAnswer) -> tuple[str, ...]:
    def amount(value: int) -> str:
        return counted(value, "workday") if group.workdays else length_in_words(value)

    return (
        clean(_name(group.who, answer)),
        counted(group.n, "parcel"),
        f"guessed {amount(group.guessed)} in all",
        f"took {amount(group.took)}",
        _ratio(group),
    )


def _ratio(group: Group) -> str:
    drawn = f" ({group.clipped} drawn in)" if group.clipped else ""
    return f"{group.ratio:.2f} times{drawn}"


def _name(who: str, answer: LookbackAnswer) -> str:
    return answer.people.get(who) or answer.carriers.get(who) or who or NOBODY


def _part(heading: str, rows: "list[tuple[str, ...]]") -> list[str]:
    return ["", heading, *columns(rows)] if rows else []
