"""The sheet's tables of things to order, to film, to buy and to put on, as rows of words."""

from typing import Any
from urllib.parse import urlsplit

from episodes.answers.orders import OrderLine
from episodes.answers.sheet import SheetAnswer
from episodes.answers.shots import ShotLine
from episodes.exports.text_words import (
    Words,
    counted,
    listed,
    name_of,
    price,
    words_for,
)

Table = dict[str, Any]
_MOST_STEPS = 6


def tables(answer: SheetAnswer) -> list[Table]:
    """Tables of two columns and, where something is to be done, a box to tick."""
    words = words_for(answer.check)
    found = [_orders(answer, words), _coming(answer, words), _shots(answer, words)]
    found += [_shopping(answer), _coats(answer)]
    return [table for table in found if table is not None]


def _table(
    id: str,
    title: str,
    heads: tuple[str, str],
    rows: list[Table],
    caption: str,
    tick: str = "",
) -> Table:
    first, second = heads
    return {
        "id": id,
        "title": title,
        "first": first,
        "second": second,
        "rows": rows,
        "caption": caption,
        "tick": tick,
    }


def _row(when: str, what: str, *lines: str, link: str = "") -> Table:
    return {
        "when": when,
        "what": what,
        "lines": [line for line in lines if line],
        "link": link,
        "link_is_safe": is_address(link),
    }


def is_address(link: str) -> bool:
    """Whether a link may be followed from a page: an address of the web and nothing else."""
    try:
        parts = urlsplit(link)
    except ValueError:
        return False
    # What browsers drop from an address may not hide its scheme.
    plain = link.isprintable() and not any(sign.isspace() for sign in link)
    return plain and parts.scheme in ("http", "https") and bool(parts.netloc)


def _orders(answer: SheetAnswer, words: Words) -> Table:
    rows = []
    for line in answer.orders:
        row = line.row
        if row.state != "open":
            continue
        comes = "" if row.arrives is None else f"ordered now it comes {words.moment(row.arrives)}"
        latest = (
            ""
            if row.latest_arrival is None
            else f"it must be here by {words.moment(row.latest_arrival)}"
        )
        about = "; ".join(part for part in (comes, latest) if part)
        rows.append(_row(_by(line, words), row.title, about, link=row.link))
    caption = counted(len(rows), "parcel") + " to order" if rows else "Nothing is left to order."
    return _table("orders", "To order", ("Order by", "What"), rows, caption, tick="Ordered")


def _by(line: OrderLine, words: Words) -> str:
    if line.row.order_by is not None:
        return words.deadline(line.row.order_by)
    return "at once" if line.too_late else "at any time"


def _coming(answer: SheetAnswer, words: Words) -> Table | None:
    rows = []
    for line in answer.orders:
        row = line.row
        if row.state == "open":
            continue
        if row.arrived is None:
            last = (
                ""
                if row.latest_arrival is None
                else f"last arrival that meets the release: {words.moment(row.latest_arrival)}"
            )
            rows.append(_row(words.moment(row.arrives), row.title, last, link=row.link))
        elif row.return_by is not None and row.return_by >= answer.check.now:
            back = f"can go back until {words.deadline(row.return_by)}"
            rows.append(_row("here", row.title, back))
    if not rows:
        return None
    caption = counted(len(rows), "parcel")
    return _table("coming", "On the way, or to send back", ("Comes", "What"), rows, caption)


def _shots(answer: SheetAnswer, words: Words) -> Table:
    rows = [
        _shot(answer, line, words)
        for line in answer.shots
        if not line.taken and line.row.state != "dropped"
    ]
    caption = counted(len(rows), "shot") + " to film" if rows else "Nothing is left to film."
    return _table("shots", "Shot list", ("When", "Shot"), rows, caption, tick="Taken")


def _shot(answer: SheetAnswer, line: ShotLine, words: Words) -> Table:
    row = line.row
    light = {"day": "by daylight", "dark": "in the dark"}.get(row.light or "", "")
    if row.id in answer.sun:
        rise, sets = (words.clock(minute) for minute in answer.sun[row.id])
        light = f"by daylight, {'sun' if answer.sun_known else 'taken as'} {rise}-{sets}"
    if line.lost:
        chance = "lost: take it again"
    elif line.gone_after is not None:
        rows = {each.id: each for each in answer.episode.steps}
        ender = rows.get(line.ended_by or "")
        what = "the next step" if ender is None else name_of(answer.episode, ender)
        chance = f"gone when this starts: {what}, {words.moment(line.gone_after)}"
    else:
        chance = "once only" if row.once else ""
    about = "; ".join(part for part in (light, chance) if part)
    return _row(words.moment(row.start), row.title, about, row.note, link=row.link)


def _shopping(answer: SheetAnswer) -> Table | None:
    if not answer.shopping:
        return None
    rows = []
    total = 0.0
    unknown = 0
    for line in answer.shopping:
        row = line.order.row
        cost = "price not known" if row.cost is None else price(row.cost, answer.check.currency)
        total += row.cost or 0
        unknown += row.cost is None
        rows.append(_row(cost, row.title, line.carrier, line.note))
    caption = f"{counted(len(rows), 'thing')}, {price(round(total, 2), answer.check.currency)}"
    if unknown:
        caption += f", {counted(unknown, 'price')} not known"
    return _table("shopping", "Shopping list", ("Cost", "What"), rows, caption, tick="Got")


def _coats(answer: SheetAnswer) -> Table | None:
    if not answer.coats:
        return None
    rows = {row.id: row for row in answer.episode.steps}
    found = []
    for coat in answer.coats:
        steps = listed([name_of(answer.episode, rows[id]) for id in coat.steps], _MOST_STEPS)
        found.append(_row(counted(len(coat.steps), "coat"), coat.title, steps))
    caption = counted(len(found), "product") + " still to put on"
    return _table("coats", "Coats and glues", ("How often", "Product"), found, caption)
