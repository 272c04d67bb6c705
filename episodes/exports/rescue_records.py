"""The JSON form of ways out."""

from typing import TYPE_CHECKING

from episodes.amounts import estimate_as_written
from episodes.exports.records import Record, amount, instants

if TYPE_CHECKING:
    from episodes.answers.rescue import RescueAnswer, Way
    from episodes.model.episode import Fallback, NewLead


def rescue_record(answer: "RescueAnswer") -> Record:
    """`episodes rescue --json`."""
    return {
        "episode": answer.episode,
        "verdict": answer.verdict,
        "proved": answer.proved,
        "ways": [way_record(way, answer.zone) for way in answer.ways],
        "suggestions": [way_record(way, answer.zone) for way in answer.suggestions],
        "stopped_early": answer.stopped,
    }


def way_record(way: "Way", zone_name: str) -> Record:
    """One way; `cost` and `loses` are null where they are the host's to find out."""
    instant = instants(zone_name)
    return {
        "fallbacks": list(way.fallbacks),
        "cost": amount(way.cost) if way.priced else None,
        "loses": amount(way.loses) if way.priced else None,
        "ready_by": instant(way.ready_by),
        "spare_min": way.spare_min,
        "decide_by": instant(way.decide_by),
        "titles": list(way.titles),
        "own": way.own,
        "on_time": way.on_time,
        "decide_exact": way.decide_exact,
        "delays": [
            {
                "episode": delay.episode,
                "minutes": delay.minutes,
                "before": delay.before,
                "after": delay.after,
            }
            for delay in way.delays
        ],
        "cautions": list(way.cautions),
        "changes": [_changes(change, zone_name) for change in way.changes] if way.own else [],
    }


def _changes(way: "Fallback", zone_name: str) -> Record:
    """What a suggestion changes, by the keys of a `[[fallback]]`."""
    instant = instants(zone_name)
    written: Record = {
        "parcel": {id: _lead(new) for id, new in way.parcel.items()},
        "drop": [ref.id for ref in way.drop],
        "coat": {id: coating.product for id, coating in way.coat.items()},
        "extra": [
            {"person": person, "from": instant(start), "to": instant(end)}
            for person, (start, end) in way.extra
        ],
        "air": {
            space: {
                key: amount(value)
                for key, value in zip(("celsius", "humidity"), air, strict=True)
                if value is not None
            }
            for space, air in way.air.items()
        },
        "where": dict(way.where),
        "who": {id: list(who.people) for id, who in way.who.items()},
    }
    return {key: value for key, value in written.items() if value}


def _lead(new: "NewLead") -> str:
    return estimate_as_written(new.lead.amount, workdays=new.lead.workdays)
