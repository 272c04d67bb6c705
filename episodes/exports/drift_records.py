"""`episodes drift --json`, and the kept plan as text and back."""

import json
from typing import Any

from episodes.answers.drift import Baseline, DriftAnswer, KeptRow
from episodes.exports.records import instants
from episodes.problems import EpisodesError

Record = dict[str, Any]

FORMAT = 1
_ROW = ("id", "kind", "title", "start", "finish", "work_min")


def drift_record(answers: tuple[DriftAnswer, ...]) -> Record:
    """Each room with a kept plan: ready then and now, spare time, what added to the drift."""
    return {
        "rooms": [
            {
                "id": answer.episode,
                "title": answer.title,
                "said": (instant := instants(answer.zone))(answer.said),
                "now": instant(answer.now),
                "release_then": instant(answer.release_then),
                "release": instant(answer.release),
                "ready_then": instant(answer.ready_then),
                "ready_now": instant(answer.ready_now),
                "drift_min": answer.drift_min,
                "spare_then_min": answer.spare_then,
                "spare_now_min": answer.spare_now,
                "work_min": answer.work_min,
                "work_done_min": answer.work_done_min,
                "causes": [
                    {
                        "id": cause.id,
                        "title": cause.title,
                        "kind": cause.kind,
                        "minutes": cause.minutes,
                    }
                    for cause in answer.causes
                ],
                "added": list(answer.added),
                "gone": list(answer.gone),
                "due": answer.due,
                "missed": list(answer.missed),
                "execution_index": answer.execution_index,
            }
            for answer in answers
        ]
    }


def baseline_text(kept: Baseline) -> str:
    """A kept plan as it lies in its file: JSON, a row a line, UTC minutes."""
    rows = ",\n".join(
        json.dumps({name: getattr(row, name) for name in _ROW}, ensure_ascii=False)
        for row in kept.rows
    )
    head = json.dumps(
        {
            "format": FORMAT,
            "episode": kept.episode,
            "said": kept.said,
            "release": kept.release,
            "ready_by": kept.ready_by,
        }
    )
    return f'{head[:-1]}, "rows": [\n{rows}\n]}}\n'


def baseline_from(text: str, file: str) -> Baseline:
    """The kept plan of a text.

    Raises:
        EpisodesError: it is none; says which file to delete.
    """
    try:
        data = json.loads(text)
        if data["format"] != FORMAT:
            raise ValueError("another format")
        return Baseline(
            episode=_text(data["episode"]),
            said=_minute(data["said"]),
            release=_minute(data["release"]),
            ready_by=None if data["ready_by"] is None else _minute(data["ready_by"]),
            rows=tuple(_row(row) for row in data["rows"]),
        )
    except (ValueError, KeyError, TypeError, RecursionError):
        raise EpisodesError(
            f"{file} does not hold a plan that was kept; delete it and say go again"
        ) from None


def _row(row: Record) -> KeptRow:
    return KeptRow(
        id=_text(row["id"]),
        kind=_text(row["kind"]),
        title=_text(row["title"]),
        start=None if row["start"] is None else _minute(row["start"]),
        finish=None if row["finish"] is None else _minute(row["finish"]),
        work_min=_minute(row["work_min"]),
    )


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(value)
    return value


def _minute(value: object) -> int:
    # A moment farther out than the year 9999 is nobody's plan.
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > 1 << 33:
        raise TypeError(value)
    return value
