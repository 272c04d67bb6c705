"""The JSON form of `load`: how full the weeks are, by person, gear and place."""

from typing import TYPE_CHECKING

from episodes.exports.records import Instant, Record, instants

if TYPE_CHECKING:
    from episodes.answers.demand import Squeeze
    from episodes.answers.load import LoadAnswer, PersonLoad, WeekLoad
    from episodes.answers.occupied import Occupied


def load_record(answer: "LoadAnswer", *, person: str | None = None) -> Record:
    """`episodes load --json`; `person`: id of the one person to speak of, without gear."""
    instant = instants(answer.zone)

    def shown(squeeze: "Squeeze") -> bool:
        return person is None or person in squeeze.people

    return {
        "now": instant(answer.now),
        "until": instant(answer.until),
        "people": [_person(each, instant) for each in answer.people if person in (None, each.id)],
        "together": [_squeeze(squeeze, instant) for squeeze in answer.together if shown(squeeze)],
        "overbooked": [
            _squeeze(squeeze, instant) for squeeze in answer.overbooked if shown(squeeze)
        ],
        "occupied": [] if person else [_occupied(each, instant) for each in answer.occupied],
    }


def _person(person: "PersonLoad", instant: Instant) -> Record:
    tightest = person.tightest
    return {
        "id": person.id,
        "title": person.title,
        "open_min": person.open_min,
        "planned_min": person.planned_min,
        "overbooked": person.overbooked,
        "tightest": None if tightest is None else _squeeze(tightest, instant),
        "weeks": [_week(week, instant) for week in person.weeks],
    }


def _week(week: "WeekLoad", instant: Instant) -> Record:
    return {
        "from": instant(week.start),
        "to": instant(week.end),
        "open_min": week.open_min,
        "planned_min": week.planned_min,
        "needed_min": week.needed_min,
        "due_min": week.due_min,
        "due_open_min": week.due_open_min,
        "full": week.full,
        "overbooked": week.overbooked,
        "rooms": [{"id": id, "planned_min": minutes} for id, minutes in week.episodes],
    }


def _squeeze(squeeze: "Squeeze", instant: Instant) -> Record:
    return {
        "people": list(squeeze.people),
        "from": instant(squeeze.start),
        "to": instant(squeeze.end),
        "needed_min": squeeze.needed_min,
        "open_min": squeeze.open_min,
        "over_min": squeeze.over_min,
        "episodes": list(squeeze.episodes),
    }


def _occupied(each: "Occupied", instant: Instant) -> Record:
    return {
        "kind": each.kind,
        "id": each.id,
        "title": each.title,
        "limit": each.limit,
        "weeks": [
            {
                "from": instant(week.start),
                "to": instant(week.end),
                "held_min": week.held_min,
                "limit_min": week.limit_min,
                "most": week.most,
            }
            for week in each.weeks
        ],
    }
