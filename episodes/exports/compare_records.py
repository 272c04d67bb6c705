"""`episodes compare --json`."""

from typing import Any

from episodes.answers.compare import CompareAnswer, IdeaAnswer, Try
from episodes.exports.records import Instant, instants

Record = dict[str, Any]


def compare_record(answer: CompareAnswer) -> Record:
    """Each idea: its earliest release, the next one's verdict, hours, cost, what it delays."""
    instant = instants(answer.zone)
    return {
        "now": instant(answer.now),
        "ideas": [_idea(idea, instant) for idea in answer.ideas],
    }


def _idea(idea: IdeaAnswer, instant: Instant) -> Record:
    return {
        "id": idea.id,
        "title": idea.title,
        "earliest_release": None if idea.earliest is None else instant(idea.earliest.release),
        "next_release": None if idea.next is None else _try(idea.next, instant),
        "earliest": None if idea.earliest is None else _try(idea.earliest, instant),
        "hands_min": idea.hands,
        "cost": idea.cost,
        "unpriced": idea.unpriced,
        "delays_others_min": idea.delays_others,
        "delays": [
            {
                "episode": delay.episode,
                "minutes": delay.minutes,
                "before": delay.before,
                "after": delay.after,
            }
            for delay in idea.delays
        ],
        "held_by": idea.held_by or None,
        "held_from": instant(idea.held_from),
    }


def _try(tried: Try, instant: Instant) -> Record:
    return {
        "release": instant(tried.release),
        "verdict": tried.verdict,
        "proved": tried.proved,
        "ready_by": instant(tried.ready_by),
        "spare_min": tried.spare_min,
        "on_time": tried.on_time,
    }
