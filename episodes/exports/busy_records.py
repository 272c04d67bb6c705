"""A person's calendar as JSON: what `busy --json` prints."""

from typing import TYPE_CHECKING, Any

from episodes.exports.records import FORMAT, instants

if TYPE_CHECKING:
    from episodes.answers.busy_time import BusyAnswer


def busy_record(answer: "BusyAnswer") -> dict[str, Any]:
    """Each busy time within the window, and what was left out."""
    instant = instants(answer.zone)
    return {
        "format": FORMAT,
        "file": answer.file,
        "person": None if answer.person is None else answer.person[0],
        "named": answer.named,
        "from": instant(answer.start),
        "to": instant(answer.end),
        "busy_min": answer.busy_min,
        "hours_min": answer.hours_min,
        "takes_min": answer.takes_min,
        "busy": [
            {
                "from": instant(line.time.start),
                "to": instant(line.time.end),
                "title": line.time.title,
                "all_day": line.time.all_day,
                "line": line.time.line,
                "takes_min": line.takes_min,
            }
            for line in answer.lines
        ],
        "free": answer.free,
        "own": answer.own,
        "problems": [
            {
                "level": problem.level,
                "code": problem.code,
                "where": None if problem.where is None else str(problem.where),
                "text": problem.text,
            }
            for problem in answer.problems
        ],
    }
