"""The JSON form of `costs` and `links`."""

from typing import TYPE_CHECKING

from episodes.exports.records import Record, amount, instants

if TYPE_CHECKING:
    from episodes.answers.costs import CostLine, CostsAnswer
    from episodes.answers.links import LinksAnswer


def costs_record(answer: "CostsAnswer") -> Record:
    """`episodes costs --json`."""
    return {
        "now": instants(answer.zone)(answer.now),
        "currency": answer.currency or None,
        "episodes": [
            {
                "id": episode.id,
                "title": episode.title,
                "budget": amount(episode.budget),
                "planned": amount(episode.planned),
                "paid": amount(episode.paid),
                "unpaid": amount(episode.unpaid),
                "left": amount(episode.left),
                "unpriced": episode.unpriced,
                "lines": [_line(line) for line in episode.lines],
            }
            for episode in answer.episodes
        ],
    }


def _line(line: "CostLine") -> Record:
    return {
        "id": line.id,
        "title": line.title,
        "kind": line.kind,
        "job": line.job or None,
        "state": line.state,
        "cost": amount(line.cost),
        "paid": amount(line.paid),
        "refunded": amount(line.refunded),
        "planned": amount(line.planned),
        "unpriced": line.unpriced,
    }


def links_record(answer: "LinksAnswer") -> Record:
    """`episodes links --json`."""
    return {
        "now": instants(answer.zone)(answer.now),
        "currency": answer.currency or None,
        "episodes": [
            {
                "id": episode.id,
                "title": episode.title,
                "links": [
                    {
                        "id": line.id,
                        "title": line.title,
                        "link": line.link,
                        "price": amount(line.price),
                    }
                    for line in episode.lines
                ],
                "without": list(episode.without),
            }
            for episode in answer.episodes
        ],
    }
