"""What `check --notes` says of a schedule's soundness: one line a question, with its limit."""

from episodes.answers.rows import EpisodeAnswer, Metric
from episodes.exports.safe_text import clean
from episodes.exports.text_words import columns

_QUESTIONS = {
    "unfilmed-start": "shots before the work",
    "unfilmed-end": "shots after the work",
    "open-start": "steps that wait for nothing",
    "open-end": "things that lead nowhere",
    "gaps": "links with a gap",
    "link-types": "links other than finish to start",
    "fixed-dates": "fixed starts and last moments",
    "high-float": "float over 44 working days",
    "long-steps": "steps of more than a full day's work",
    "no-range": "long lengths and leads without a range",
    "long-begun": "begun over two weeks ago, still open",
    "critical-path-test": "critical path test",
    "critical-path-index": "critical path length index",
}
_LEAST = ("unfilmed-start", "unfilmed-end", "critical-path-index")
"""Metrics of which the limit is the least."""


def health_lines(episode: EpisodeAnswer) -> list[str]:
    """The metrics of one room as a block of its own; nothing for one that is out."""
    if not episode.health:
        return []
    rows = [
        (
            "    " + _QUESTIONS[metric.code],
            _value(metric),
            _limit(metric),
            "ok" if metric.ok else "look here",
        )
        for metric in episode.health
        if metric.value is not None
    ]
    return ["  how sound the schedule is", *columns(rows, indent="")]


def _value(metric: Metric) -> str:
    if metric.code == "critical-path-test":
        first = clean(metric.subjects[0], limit=24) if metric.subjects else ""
        return f"{metric.of} d more on {first}: {metric.value:.0f} d later"
    if metric.of is None:
        return f"{metric.value:g}"
    return f"{metric.value:g} of {metric.of}"


def _limit(metric: Metric) -> str:
    if metric.limit is None:
        return ""
    if metric.code in _LEAST:
        return f"at least {metric.limit:g}"
    return "none" if not metric.limit else f"at most {metric.limit:.0%}"
