"""`episodes lookback --json`."""

from typing import Any

from episodes.amounts import Estimate
from episodes.answers.lookback import LookbackAnswer, Suggestion
from episodes.answers.took import Took
from episodes.exports.records import instants

Record = dict[str, Any]


def lookback_record(answer: LookbackAnswer) -> Record:
    """Rooms, records, what they come to by person and kind, and the ranges they suggest.

    Lengths are minutes, those of a record with `workdays` true working days of its carrier.
    """
    instant = instants(answer.zone)
    return {
        "now": instant(answer.now),
        "rooms": [
            {
                "id": room.episode,
                "title": room.title,
                "release": instant(room.release),
                "late_min": room.late,
                "records": room.records,
                "guessed_min": room.guessed,
                "took_min": room.took,
                "budget": room.budget,
                "paid": room.paid,
            }
            for room in answer.rooms
        ],
        "records": [_took(took) for took in answer.records],
        "groups": [
            {
                "who": group.who,
                "kind": group.kind,
                "workdays": group.workdays,
                "n": group.n,
                "guessed": group.guessed,
                "took": group.took,
                "ratio": group.ratio,
                "drawn_in": group.clipped,
            }
            for group in answer.groups
        ],
        "suggestions": [_suggestion(suggestion) for suggestion in answer.suggestions],
    }


def _took(took: Took) -> Record:
    return {
        "episode": took.episode,
        "id": took.id,
        "who": list(took.who),
        "kind": took.kind,
        "guessed": _range(took.guessed),
        "took": took.took,
        "workdays": took.workdays,
        "passed_over": took.passed_over or None,
    }


def _suggestion(suggestion: Suggestion) -> Record:
    return {
        "episode": suggestion.episode,
        "id": suggestion.id,
        "key": suggestion.key,
        "who": suggestion.who,
        "kind": suggestion.kind,
        "written": _range(suggestion.written),
        "first_guess": _range(suggestion.first_guess),
        "proposed": _range(suggestion.proposed),
        "workdays": suggestion.workdays,
        "n": suggestion.n,
        "drawn_in": suggestion.clipped,
    }


def _range(estimate: Estimate) -> list[int]:
    return [estimate.low, estimate.likely, estimate.high]
