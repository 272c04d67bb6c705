"""The JSON form of `odds`."""

from typing import TYPE_CHECKING

from episodes.exports.records import Instant, Record, instants

if TYPE_CHECKING:
    from episodes.answers.odds import EpisodeOdds, OddsAnswer

_DIGITS = 6
"""Shares are counts over samples: six digits tell a million samples apart."""


def odds_record(answer: "OddsAnswer") -> Record:
    """`episodes odds --json`."""
    instant = instants(answer.zone)
    return {
        "now": instant(answer.now),
        "as_planned": answer.as_planned,
        "episodes": [_episode(episode, instant) for episode in answer.episodes],
    }


def _episode(episode: "EpisodeOdds", instant: Instant) -> Record:
    spread = episode.spread
    return {
        "id": episode.id,
        "samples": episode.samples,
        "seed": episode.seed,
        "on_time": _share(episode.on_time),
        "standard_error": _share(episode.standard_error),
        "ceiling": _share(episode.ceiling),
        "ready": {f"p{percent}": instant(at) for percent, at in episode.ready.items()},
        "criticality": {id: _share(share) for id, share in episode.criticality.items()},
        "parcels": [
            {
                "id": parcel.id,
                "order_by": {f"p{percent}": instant(at) for percent, at in parcel.order_by.items()},
                "harmless_until": instant(parcel.harmless_until),
                "cap": _share(parcel.cap),
            }
            for parcel in episode.parcels
        ],
        "title": episode.title,
        "release": instant(episode.release),
        "ready_by": instant(episode.ready_by),
        "verdict": episode.verdict,
        "drivers": [
            {
                "episode": driver.episode,
                "id": driver.id,
                "title": driver.title,
                "kind": driver.kind,
                "gain": _share(driver.gain),
                "likely_min": driver.likely_min,
                "arrives": instant(driver.arrives),
            }
            for driver in episode.drivers
        ],
        "spread": None
        if spread is None
        else {
            "start": instant(spread.start),
            "end": instant(spread.end),
            "shares": [_share(share) for share in spread.shares],
        },
    }


def _share(value: float) -> float:
    return round(value, _DIGITS)
