"""What `costs` and `links` say: a sentence of sums a room, then what they are made of."""

from typing import TYPE_CHECKING
from urllib.parse import quote

from episodes.exports.cells import escaped
from episodes.exports.safe_text import clean
from episodes.exports.text_words import Words, columns, counted, listed, price

if TYPE_CHECKING:
    from episodes.answers.costs import CostLine, CostsAnswer, EpisodeCosts
    from episodes.answers.links import LinkLine, LinksAnswer

_FOLLOWED = ("https://", "http://", "mailto:")
"""Only these become links that can be followed; anything else stays text."""
_STATES = {
    "open": "",
    "ordered": "ordered",
    "arrived": "in hand",
    "failed": "no use",
    "returned": "sent back",
    "done": "done",
    "dropped": "dropped",
}


def costs_text(answer: "CostsAnswer") -> str:
    """The money of every room, for a person."""
    words = Words(answer.zone, answer.now)
    lines = [f"Read as of {words.dated(answer.now)}."] if answer.read_as_of else []
    if not answer.episodes:
        lines.append("No episode is planned here.")
    lines += [_sums(episode, answer.currency) for episode in answer.episodes]
    for episode in answer.episodes:
        if episode.lines:
            lines += ["", clean(episode.title), *_room(episode, answer.currency)]
    return "\n".join(lines)


def _sums(episode: "EpisodeCosts", unit: str) -> str:
    left = episode.left
    text = f"{clean(episode.title)}: {price(episode.planned, unit)} planned"
    if episode.budget is not None and left is not None:
        rest = f"{price(left, unit)} left" if left >= 0 else f"{price(-left, unit)} too much"
        text += f" of {price(episode.budget, unit)}, {rest}"
    text += f"; {price(episode.paid, unit)} paid"
    if episode.unpriced:
        text += f"; {counted(episode.unpriced, 'parcel')} without a price"
    return text + "."


def _room(episode: "EpisodeCosts", unit: str) -> list[str]:
    parcels = [line for line in episode.lines if line.kind == "parcel"]
    shots = [line for line in episode.lines if line.kind == "shot"]
    rows: list[tuple[str, ...]] = []
    if parcels:
        rows.append(("parcels", _sum(parcels, unit)))
        rows += [_line(line, unit) for line in parcels]
    jobs = dict.fromkeys((line.job, line.job_title) for line in episode.lines if line.job)
    for job, title in jobs:
        rows.append((clean(title), price(episode.of_job(job), unit)))
        steps = [line for line in episode.lines if line.job == job and line.kind == "step"]
        rows += [_line(line, unit) for line in steps]
    if shots:
        rows.append(("shots", _sum(shots, unit)))
        rows += [_line(line, unit) for line in shots]
    return columns(rows)


def _sum(lines: "list[CostLine]", unit: str) -> str:
    return price(sum(line.planned for line in lines), unit)


def _line(line: "CostLine", unit: str) -> tuple[str, ...]:
    told = [_STATES[line.state]]
    if line.paid is not None:
        told.append(f"{price(line.paid, unit)} paid")
    if line.refunded:
        told.append(f"{price(line.refunded, unit)} refunded")
    if line.cost is not None and line.paid is not None and line.cost != line.paid:
        told.append(f"thought {price(line.cost, unit)}")
    amount = "no price" if line.unpriced else price(line.planned, unit)
    return f"  {clean(line.title)}", amount, ", ".join(filter(None, told))


def links_text(answer: "LinksAnswer", *, prices: bool = True) -> str:
    """The links as lines to paste under a video, a block a room."""
    words = Words(answer.zone, answer.now)
    lines = [f"Read as of {words.dated(answer.now)}.", ""] if answer.read_as_of else []
    for episode in answer.episodes:
        if episode.lines:
            lines += [clean(episode.title)]
            lines += [_link(line, answer.currency, prices) for line in episode.lines]
            lines.append("")
    if not any(episode.lines for episode in answer.episodes):
        lines.append('No parcel carries a link: write link = "https://..." on it.')
    return "\n".join(lines).rstrip("\n")


def _link(line: "LinkLine", unit: str, prices: bool) -> str:
    money = f" ({price(line.price, unit)})" if prices and line.price is not None else ""
    return f"{clean(line.title)}{money}: {clean(line.link)}"


def links_markdown(answer: "LinksAnswer", *, prices: bool = True) -> str:
    """The links as Markdown, a heading and a list a room."""
    parts = []
    for episode in answer.episodes:
        if episode.lines:
            rows = [_markdown(line, answer.currency, prices) for line in episode.lines]
            parts.append("\n".join([f"## {escaped(episode.title)}", "", *rows]))
    return "\n\n".join(parts) + "\n"


def _markdown(line: "LinkLine", unit: str, prices: bool) -> str:
    title, link = escaped(line.title), clean(line.link)
    money = f" ({escaped(price(line.price, unit))})" if prices and line.price is not None else ""
    if link.lower().startswith(_FOLLOWED):
        # What is left as it is has no meaning inside the angle brackets of a target.
        target = quote(link, safe="/:?#@!$&'()*+,;=%~-._")
        return f"- [{title}](<{target}>){money}"
    return f"- {title}{money}: {escaped(link)}"


def without_a_link(answer: "LinksAnswer") -> str:
    """A line that names what carries no link; "" where everything does."""
    titles = [clean(title) for episode in answer.episodes for title in episode.without]
    return f"without a link: {listed(titles, 6)}" if titles else ""
