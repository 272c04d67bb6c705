"""What `orders` and `shots` say: one line each, in the order in which they matter."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from episodes.answers.rows import CheckAnswer
from episodes.exports.safe_text import clean
from episodes.exports.text_odds import in_words
from episodes.exports.text_words import (
    Words,
    columns,
    counted,
    length,
    listed,
    read_as_of,
    room_of,
    words_for,
)

if TYPE_CHECKING:
    from episodes.answers.orders import OrderLine
    from episodes.answers.shots import ShotLine


def orders_text(lines: "Sequence[OrderLine]", answer: CheckAnswer, sure: int | None = None) -> str:
    """What to order and by when, what is on its way, what can still go back.

    Args:
        sure: samples in time, in the hundred, for which the lines have a moment to order.
    """
    words = words_for(answer)
    to_order = [line for line in lines if line.row.state == "open"]
    coming = [line for line in lines if line not in to_order and line.row.arrived is None]
    here = [line for line in lines if line.row.arrived is not None and line not in to_order]
    text = [line for line in (read_as_of(answer),) if line]
    text.append(_orders_sentence(to_order, words))
    text += _part("To order", [_to_order(line, answer, words, sure) for line in to_order])
    text += _part("On the way", [_coming(line, answer, words) for line in coming])
    text += _part(
        "Can go back",
        [
            (
                f"until {words.deadline(line.row.return_by)}",
                clean(line.row.title) + room_of(answer, line.episode),
            )
            for line in here
            if line.row.return_by is not None and line.row.return_by >= answer.now
        ],
    )
    return "\n".join(text)


def _orders_sentence(to_order: "Sequence[OrderLine]", words: Words) -> str:
    if not to_order:
        return "Nothing is left to order."
    late = [line for line in to_order if line.too_late]
    if late:
        names = listed([clean(line.row.title) for line in late], 3)
        return f"Order at once: {names}; the release slips as it is."
    first = next((line for line in to_order if line.row.order_by is not None), None)
    if first is None:
        return f"{counted(len(to_order), 'parcel')} to order."
    return f"Next to order: {clean(first.row.title)} by {words.deadline(first.row.order_by)}."


def _to_order(
    line: "OrderLine", answer: CheckAnswer, words: Words, sure: int | None
) -> tuple[str, ...]:
    row = line.row
    if row.order_by is not None:
        by = f"by {words.deadline(row.order_by)}"
    else:
        by = "at once" if line.too_late else "at any time"
    title = clean(row.title) + (", optional" if row.optional else "")
    comes = "" if row.arrives is None else f"comes {words.moment(row.arrives)}"
    name = title + room_of(answer, line.episode)
    return (
        (by, name, comes)
        if sure is None
        else (by, _surely(line, sure, answer.now, words), name, comes)
    )


def _surely(line: "OrderLine", sure: int, now: int, words: Words) -> str:
    """When to order it to be in time so often."""
    if line.sure_cap is None or line.row.optional:
        return ""
    if line.sure_by is None:
        return f"never {sure} in 100, {in_words(line.sure_cap)} at most"
    if line.sure_by < now:
        return f"too late for {sure} in 100"
    return f"{sure} in 100 by {words.deadline(line.sure_by)}"


def _coming(line: "OrderLine", answer: CheckAnswer, words: Words) -> tuple[str, ...]:
    row = line.row
    comes = "no date" if row.arrives is None else words.moment(row.arrives)
    if line.too_late:
        critical = answer.episode(line.episode).step(row.id).critical
        room = "decides when the room is ready" if critical else "the release slips as it is"
    elif row.latest_arrival is None:
        room = ""
    else:
        room = f"last arrival that meets {words.moment(row.latest_arrival)}"
        if line.give_min is not None and line.give_min >= 0:
            room += f", {length(line.give_min)} later"
    return comes, clean(row.title) + room_of(answer, line.episode), room


def shots_text(lines: "Sequence[ShotLine]", answer: CheckAnswer) -> str:
    """What to film, in the order of the plan, then what has no copy."""
    words = words_for(answer)
    text = [line for line in (read_as_of(answer),) if line]
    waiting = [line for line in lines if not line.taken and line.row.state != "dropped"]
    bare = [line for line in lines if line.taken and not line.backed_up]
    text.append(_shots_sentence(waiting, words))
    text += _part("To film", [_to_film(line, answer, words) for line in waiting])
    text += _part(
        "Taken, no copy yet",
        [(clean(line.row.title) + room_of(answer, line.episode),) for line in bare],
    )
    return "\n".join(text)


def _shots_sentence(waiting: "Sequence[ShotLine]", words: Words) -> str:
    if not waiting:
        return "Nothing is left to film."
    endings = [(line.gone_after, line) for line in waiting if line.gone_after is not None]
    if not endings:
        return f"{counted(len(waiting), 'shot')} to film; none of them will be gone."
    gone, line = min(endings, key=lambda pair: (pair[0], pair[1].row.id))
    return (
        f"{counted(len(waiting), 'shot')} to film; the first that will be gone: "
        f"{clean(line.row.title)}, {words.moment(gone)}."
    )


def _to_film(line: "ShotLine", answer: CheckAnswer, words: Words) -> tuple[str, ...]:
    row = line.row
    when = words.moment(row.start)
    title = clean(row.title) + room_of(answer, line.episode)
    light = {"day": "daylight", "dark": "dark"}.get(row.light or "", "")
    if line.lost:
        end = "lost: take it again"
    elif line.gone_after is not None:
        ender = _title(answer, line.episode, line.ended_by)
        end = f"gone when {ender} starts, {words.moment(line.gone_after)}"
    else:
        end = "once only" if row.once else "can be retaken"
    return when, title, light, end


def _title(answer: CheckAnswer, episode: str, id: str | None) -> str:
    row = next((row for row in answer.episode(episode).steps if row.id == id), None)
    return clean(row.title if row is not None else id or "")


def _part(title: str, rows: Sequence[Sequence[str]]) -> list[str]:
    return ["", title, *columns(rows)] if rows else []
