"""The JSON form of every answer: the one place for the names that programs read.

Names, meanings and order are those of the plan format; what is added here comes after them.
Instants are ISO 8601 with the studio's offset, minutes are integers, money is as written. All but
plain ASCII is written as `\\u` escapes, so that a title can do nothing to a terminal and the bytes
are the same everywhere.
"""

import json
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from episodes.answers.rows import CheckAnswer, EpisodeAnswer, Money, ParcelRow, StepRow
from episodes.calendars.local_time import zone
from episodes.calendars.working_time import NEVER
from episodes.problems import Problem

if TYPE_CHECKING:
    from episodes.answers.late import LateAnswer
    from episodes.answers.orders import OrderLine
    from episodes.answers.shots import ShotLine
    from episodes.answers.today import TodayAnswer
    from episodes.answers.why import WhyAnswer

FORMAT = 1
Record = dict[str, Any]
Instant = Callable[[int | None], str | None]


def to_json(record: Record) -> str:
    """One JSON object on one line, the same bytes for the same record."""
    return json.dumps(record, ensure_ascii=True, allow_nan=False).replace("\x7f", "\\u007f")


def instants(zone_name: str) -> Instant:
    """A function from UTC minutes to ISO 8601 with the offset of that zone; None stays None."""
    here = zone(zone_name)
    known: dict[int | None, str | None] = {None: None}

    def instant(minute: int | None) -> str | None:
        if minute is not None and minute not in known:
            outside = abs(minute) >= NEVER
            known[minute] = None if outside else here.local(minute).isoformat(timespec="seconds")
        return known[minute]

    return instant


def check_record(answer: CheckAnswer, stray: Sequence[Problem] = ()) -> Record:
    """`episodes check --json`; `stray` are problems of the season that are no episode's."""
    instant = instants(answer.zone)
    return {
        "format": FORMAT,
        "now": instant(answer.now),
        "episodes": [_episode(episode, instant) for episode in answer.episodes],
        "season": answer.season,
        "read_as_of": answer.read_as_of,
        "problems": [_problem(problem) for problem in stray],
    }


def _episode(episode: EpisodeAnswer, instant: Instant) -> Record:
    return {
        "id": episode.id,
        "title": episode.title,
        "release": instant(episode.release),
        "verdict": episode.verdict,
        "proved": episode.proved,
        "ready_by": instant(episode.ready_by),
        "ready_floor": instant(episode.ready_floor),
        "spare_min": episode.spare_min,
        "room_by": instant(episode.room_by),
        "steps": [_step(row, instant) for row in episode.steps],
        "parcels": [_parcel(row, instant) for row in episode.parcels],
        "money": _money(episode.money),
        "problems": [_problem(problem) for problem in episode.problems],
        "room": episode.room,
        "health": [
            {
                "code": metric.code,
                "value": amount(metric.value),
                "of": metric.of,
                "limit": amount(metric.limit),
                "ok": metric.ok,
                "subjects": list(metric.subjects),
            }
            for metric in episode.health
        ],
    }


def _step(row: StepRow, instant: Instant) -> Record:
    because = row.because
    return {
        "id": row.id,
        "kind": row.kind,
        "state": row.state,
        "critical": row.critical,
        "early_start": instant(row.early_start),
        "early_finish": instant(row.early_finish),
        "late_start": instant(row.late_start),
        "late_finish": instant(row.late_finish),
        "slack_min": row.slack_min,
        "slack_work_min": row.slack_work_min,
        "start": instant(row.start),
        "finish": instant(row.finish),
        "sessions": [[instant(start), instant(end)] for start, end in row.sessions],
        "who": list(row.who),
        "where": row.where,
        "because": None if because is None else {"kind": because.kind, "id": because.id},
        "title": row.title,
        "job": row.job or None,
        "optional": row.optional,
        "once": row.once,
        "cautions": list(row.cautions),
    }


def _parcel(row: ParcelRow, instant: Instant) -> Record:
    return {
        "id": row.id,
        "state": row.state,
        "order_by": instant(row.order_by),
        "arrives": instant(row.arrives),
        "latest_arrival": instant(row.latest_arrival),
        "latest_exact": row.latest_exact,
        "return_by": instant(row.return_by),
        "cost": amount(row.cost),
        "title": row.title,
        "kind": row.kind,
        "carrier": row.carrier,
        "failed": row.failed,
        "optional": row.optional,
    }


def _money(money: Money) -> Record:
    return {
        "budget": amount(money.budget),
        "planned": amount(money.planned),
        "paid": amount(money.paid),
        "left": amount(money.left),
        "unpriced": money.unpriced,
    }


def amount(value: float | None) -> int | float | None:
    """Money as a user would write it: whole amounts without a point, no dust from adding up."""
    if value is None:
        return None
    value = round(value, 6)
    return int(value) if value == int(value) else value


def _problem(problem: Problem) -> Record:
    return {
        "level": problem.level,
        "code": problem.code,
        "where": None if problem.where is None else str(problem.where),
        "text": problem.text,
        "mend": problem.mend,
        "subject": problem.subject or None,
    }


def late_record(answer: "LateAnswer") -> Record:
    """`episodes late --json`.

    `ways` is empty where none is needed or none exists, and null where none was looked for.
    """
    instant = instants(answer.zone)
    return {
        "parcel": answer.parcel,
        "arrives": instant(answer.arrives),
        "verdict": answer.verdict,
        "proved": answer.proved,
        "spare_min": answer.spare_min,
        "ready_by": instant(answer.ready_by),
        "latest_arrival": instant(answer.latest_arrival),
        "latest_exact": answer.latest_exact,
        "episodes": [
            {
                "id": episode.id,
                "verdict": episode.verdict,
                "spare_min": episode.spare_min,
                "verdict_before": episode.verdict_before,
                "spare_before_min": episode.spare_before,
            }
            for episode in answer.episodes
        ],
        "moved": [
            {
                "id": moved.id,
                "from": instant(moved.from_),
                "to": instant(moved.to),
                "episode": moved.episode,
                "title": moved.title,
            }
            for moved in answer.moved
        ],
        "ways": _late_ways(answer),
        "episode": answer.episode,
        "suggestions": _late_suggestions(answer),
    }


def _late_ways(answer: "LateAnswer") -> list[Record] | None:
    from episodes.exports.rescue_records import way_record

    if answer.ways is None:
        return None if answer.verdict == "slips" else []
    return [way_record(way, answer.zone) for way in answer.ways.ways]


def _late_suggestions(answer: "LateAnswer") -> list[Record]:
    from episodes.exports.rescue_records import way_record

    some = () if answer.ways is None else answer.ways.suggestions
    return [way_record(way, answer.zone) for way in some]


def today_record(answer: "TodayAnswer") -> Record:
    """`episodes today --json`."""
    instant = instants(answer.zone)
    return {
        "now": instant(answer.now),
        "do": [
            {
                "episode": do.episode,
                "id": do.id,
                "title": do.title,
                "who": list(do.who),
                "from": instant(do.from_),
                "to": instant(do.to),
                "hands_min": do.hands_min,
                "critical": do.critical,
                "latest": instant(do.latest),
                "film_first": list(do.film_first),
            }
            for do in answer.do
        ],
        "order": [
            {
                "episode": order.episode,
                "id": order.id,
                "by": instant(order.by),
                "title": order.title,
            }
            for order in answer.order
        ],
        "at_risk": [
            {
                "episode": risk.episode,
                "shot": risk.shot,
                "before": instant(risk.before),
                "title": risk.title,
            }
            for risk in answer.at_risk
        ],
        "running": [
            {
                "episode": running.episode,
                "id": running.id,
                "until": instant(running.until),
                "title": running.title,
            }
            for running in answer.running
        ],
    }


def why_record(answer: "WhyAnswer") -> Record:
    """`episodes why --json`."""
    instant = instants(answer.zone)
    return {
        "id": answer.id,
        "start": instant(answer.start),
        "chain": [
            {
                "id": link.id,
                "start": instant(link.start),
                "finish": instant(link.finish),
                "kind": link.kind,
                "text": link.text,
                "episode": link.episode or answer.episode,
            }
            for link in answer.chain
        ],
        "slack_min": answer.slack_min,
        "slack_work_min": answer.slack_work_min,
        "critical": answer.critical,
        "episode": answer.episode,
        "title": answer.title,
    }


def orders_record(
    lines: "Sequence[OrderLine]", answer: CheckAnswer, sure: int | None = None
) -> Record:
    """`episodes orders --json`: each parcel as in `check`, and what it may still cost in time.

    Args:
        sure: the samples in the hundred of `--sure`.
    """
    instant = instants(answer.zone)
    return {
        "now": instant(answer.now),
        "orders": [
            {
                "episode": line.episode,
                **_parcel(line.row, instant),
                "ordered": instant(line.row.ordered),
                "promised": instant(line.row.promised),
                "too_late": line.too_late,
                "give_min": line.give_min,
                **(
                    {"sure_by": instant(line.sure_by), "sure_cap": line.sure_cap}
                    if sure is not None
                    else {}
                ),
            }
            for line in lines
        ],
    }


def shots_record(lines: "Sequence[ShotLine]", answer: CheckAnswer) -> Record:
    """`episodes shots --json`: each shot's plan, what ends its chance, whether it is safe."""
    instant = instants(answer.zone)
    return {
        "now": instant(answer.now),
        "shots": [
            {
                "episode": line.episode,
                "id": line.row.id,
                "title": line.row.title,
                "state": line.row.state,
                "start": instant(line.row.start),
                "finish": instant(line.row.finish),
                "who": list(line.row.who),
                "where": line.row.where,
                "light": line.row.light,
                "once": line.row.once,
                "optional": line.row.optional,
                "gone_after": instant(line.gone_after),
                "ended_by": line.ended_by,
                "taken": line.taken,
                "backed_up": line.backed_up,
                "lost": line.lost,
            }
            for line in lines
        ],
    }


def fact_record(said: str, before: CheckAnswer | None, after: CheckAnswer) -> Record:
    """A command that writes a fact, with `--json`: what was written and what became of it."""
    instant = instants(after.zone)
    return {
        "now": instant(after.now),
        "said": said,
        "episodes": [
            {
                "id": episode.id,
                "verdict": episode.verdict,
                "spare_min": episode.spare_min,
                "ready_by": instant(episode.ready_by),
                "verdict_before": None if old is None else old.verdict,
                "spare_before_min": None if old is None else old.spare_min,
            }
            for episode in after.episodes
            for old in [_same(before, episode.id)]
        ],
    }


def _same(answer: CheckAnswer | None, id: str) -> EpisodeAnswer | None:
    episodes: Sequence[EpisodeAnswer] = () if answer is None else answer.episodes
    return next((episode for episode in episodes if episode.id == id), None)
