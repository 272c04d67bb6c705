"""The notes of a schedule's health: for each question not answered well, what to do about it."""

from collections.abc import Callable, Sequence

from episodes.answers.rows import Metric
from episodes.model.episode import Episode
from episodes.problems import Place, Problem

MOST_NAMES = 4


def notes(episode: Episode, metrics: Sequence[Metric]) -> list[Problem]:
    """One note for each metric that is not well, in the order of the metrics.

    An index below its limit has none: the verdict says it.
    """
    places = _places(episode)
    found = []
    for metric in metrics:
        words = _WORDS.get(metric.code)
        if metric.ok or words is None:
            continue
        text, mend = words(metric)
        first = metric.subjects[0] if metric.subjects else ""
        found.append(
            Problem(
                level="note",
                code=metric.code,
                where=places.get(first, episode.place),
                text=text,
                mend=mend,
                subject=first,
            )
        )
    return found


def _places(episode: Episode) -> dict[str, Place]:
    return {
        **{step.id: step.place for job in episode.jobs for step in job.steps},
        **{shot.id: shot.place for shot in episode.shots},
        **{parcel.id: parcel.place for parcel in episode.parcels},
    }


def _names(metric: Metric) -> str:
    quoted = [f'"{id}"' for id in metric.subjects]
    rest = len(quoted) - MOST_NAMES
    if rest > 0:
        return f"{', '.join(quoted[:MOST_NAMES])} and {rest} more"
    return ", ".join(quoted)


def _count(metric: Metric) -> str:
    return f"{metric.value:.0f} of {metric.of}"


def _unfilmed_start(metric: Metric) -> tuple[str, str]:
    return (
        "Nothing is filmed before the work in the room begins.",
        'Add a shot with when = "before": that state can be filmed once.',
    )


def _unfilmed_end(metric: Metric) -> tuple[str, str]:
    return (
        "Nothing is filmed once the work is done.",
        "Add the reveal: a shot of the room, or after the last job.",
    )


def _open_start(metric: Metric) -> tuple[str, str]:
    return (
        f"{_count(metric)} steps wait for nothing, so they are planned at once: {_names(metric)}.",
        "Say in their after what must come first: a parcel, a before shot, the clearing.",
    )


def _open_end(metric: Metric) -> tuple[str, str]:
    one = metric.value == 1
    lead = "leads" if one else "lead"
    them = "it" if one else "them"
    return (
        f"{_names(metric)} {lead} nowhere: nothing waits for {them}, and no shot comes after.",
        f"Name {them} in the after of what needs {them}, or of a shot; else mark {them} optional.",
    )


def _gaps(metric: Metric) -> tuple[str, str]:
    return (
        f"{_count(metric)} links hold time without a name (gap), before {_names(metric)}.",
        "Write a wait step in its place: that can be seen, and told progress of.",
    )


def _link_types(metric: Metric) -> tuple[str, str]:
    return (
        f"{_count(metric)} links do not run from a finish to a start, those of {_names(metric)}.",
        "Cut the earlier step in two where the later one may begin.",
    )


def _fixed_dates(metric: Metric) -> tuple[str, str]:
    return (
        f"{_count(metric)} have a date of their own (at, not_after): {_names(metric)}.",
        "Let links carry them, and keep dates for appointments.",
    )


def _high_float(metric: Metric) -> tuple[str, str]:
    return (
        f"{_count(metric)} have more than 44 working days of float: {_names(metric)}.",
        "Something that waits for them may lack its after.",
    )


def _long_steps(metric: Metric) -> tuple[str, str]:
    verb = "takes" if metric.value == 1 else "take"
    return (
        f"{_names(metric)} {verb} more than a full day of work in one step.",
        "Cut it into steps of an evening or two: then it can be seen how far it is.",
    )


def _no_range(metric: Metric) -> tuple[str, str]:
    return (
        f"{_count(metric)} long steps and leads are written as certain: {_names(metric)}.",
        'Write low..likely..high ("2h..3h..6h"); without it the odds take them as sure.',
    )


def _long_begun(metric: Metric) -> tuple[str, str]:
    verb = "was" if metric.value == 1 else "were"
    return (
        f"{_names(metric)} {verb} begun more than two weeks ago and not entered as done.",
        "Enter it with `episodes done`, or what is left with `episodes left`.",
    )


def _path_test(metric: Metric) -> tuple[str, str]:
    first, *missed = metric.subjects
    if not missed:
        return (
            f'Four weeks more on "{first}" make the room only {metric.value:.0f} days later.',
            "Look at what stands between it and the release: a link is missing, or a date fixed.",
        )
    quoted = ", ".join(f'"{id}"' for id in missed)
    return (
        f'"{first}" is critical, and any delay of it runs into the fixed moment of {quoted}.',
        "Have a second appointment ready, or take the at out and let it follow.",
    )


_WORDS: dict[str, Callable[[Metric], tuple[str, str]]] = {
    "unfilmed-start": _unfilmed_start,
    "unfilmed-end": _unfilmed_end,
    "open-start": _open_start,
    "open-end": _open_end,
    "gaps": _gaps,
    "link-types": _link_types,
    "fixed-dates": _fixed_dates,
    "high-float": _high_float,
    "long-steps": _long_steps,
    "no-range": _no_range,
    "long-begun": _long_begun,
    "critical-path-test": _path_test,
}
