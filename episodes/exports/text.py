"""What `check` says to a person: a sentence an episode, then for each what decides it.

First the verdicts, all of them, so that the question is answered in the first lines. Then for
each episode that is not out yet: until when the room must be finished, what is critical, what to
order by when, what comes next, the money, and the three problems that weigh most.
"""

from collections.abc import Sequence

from episodes.answers.rows import CheckAnswer, EpisodeAnswer, ParcelRow, StepRow
from episodes.exports.safe_text import clean
from episodes.exports.text_words import (
    Words,
    columns,
    counted,
    listed,
    name_of,
    people,
    price,
    read_as_of,
    verdict_sentence,
    words_for,
)
from episodes.problems import Level, Problem

MOST_PROBLEMS = 3
_MOST_CRITICAL = 6
_MOST_ORDERS = 4
_MOST_NEXT = 3
_RANK: dict[Level, int] = {"error": 0, "warning": 1, "note": 2}


def check_text(
    answer: CheckAnswer,
    stray: Sequence[Problem] = (),
    *,
    all_problems: bool = False,
    with_notes: bool = False,
) -> str:
    """The season judged, for a person.

    Args:
        answer: what `check` found.
        stray: problems of the season that are no episode's.
        all_problems: every problem, not only those that weigh most.
        with_notes: the notes too, and how sound each room's schedule is.
    """
    words = words_for(answer)
    lines = [line for line in (read_as_of(answer),) if line]
    lines += [verdict_sentence(episode, words) for episode in answer.episodes]
    if not answer.episodes:
        lines.append("No episode is planned here.")
    lines += problem_lines(stray, all_problems=all_problems, with_notes=with_notes)
    for episode in answer.episodes:
        part = _episode(answer, episode, words)
        part += problem_lines(episode.problems, all_problems=all_problems, with_notes=with_notes)
        if with_notes:
            from episodes.exports.text_health import health_lines

            part += health_lines(episode)
        if part:
            lines += ["", clean(episode.title), *part]
    return "\n".join(lines)


def _episode(answer: CheckAnswer, episode: EpisodeAnswer, words: Words) -> list[str]:
    if episode.verdict == "released":
        return []
    rows: list[tuple[str, str]] = []
    if episode.ready_by is not None:
        rows.append(("ready by", _ready(episode, words)))
    if episode.room_by is not None:
        rows.append(("room finished by", words.deadline(episode.room_by)))
    critical = [name_of(episode, row) for row in episode.steps if row.critical]
    if critical:
        rows.append(("critical", listed(critical, _MOST_CRITICAL)))
    orders = order_phrases(episode, words)
    if orders:
        rows.append(("order", orders[0]))
        rows += [("", phrase) for phrase in orders[1:_MOST_ORDERS]]
        if len(orders) > _MOST_ORDERS:
            rows.append(("", f"and {len(orders) - _MOST_ORDERS} more: `episodes orders`"))
    rows += _labelled("next", [_next(answer, episode, row, words) for row in _coming(episode)])
    money = _money(answer, episode)
    if money:
        rows.append(("money", money))
    return columns(rows)


def _ready(episode: EpisodeAnswer, words: Words) -> str:
    ready, floor = episode.ready_by, episode.ready_floor
    assert ready is not None
    if floor is None:
        return words.moment(ready)
    if floor >= ready:
        return f"{words.moment(ready)}; no plan is ready sooner"
    return f"{words.moment(ready)}; no plan is ready before {words.moment(floor)}"


def order_phrases(episode: EpisodeAnswer, words: Words) -> list[str]:
    """What is still to be ordered, the most urgent first: `Tiles by Thu 15 Apr 14:00`."""
    waiting = [row for row in episode.parcels if to_order(row)]
    waiting.sort(
        key=lambda row: (row.optional, row.order_by is not None, row.order_by or 0, row.id)
    )
    return [_order(row, words) for row in waiting]


def to_order(row: ParcelRow) -> bool:
    """Whether a parcel is still waiting to be ordered."""
    return row.state == "open" and row.ordered is None and row.arrived is None


def _order(row: ParcelRow, words: Words) -> str:
    title = clean(row.title)
    if row.optional:
        title += " (optional)"
    if row.order_by is None:
        # Without a last moment the release slips as it is: sooner is better, none is in time.
        return title if row.optional else f"{title} at once"
    return f"{title} by {words.deadline(row.order_by)}"


def _coming(episode: EpisodeAnswer) -> list[StepRow]:
    return [
        row
        for row in episode.steps
        if row.kind in ("hands", "shot") and row.state in ("open", "started") and row.sessions
    ][:_MOST_NEXT]


def _next(answer: CheckAnswer, episode: EpisodeAnswer, row: StepRow, words: Words) -> str:
    start, _ = row.sessions[0]
    who = people(answer, row.who)
    text = f"{words.moment(start)} {who + ': ' if who else ''}{name_of(episode, row)}"
    # Where a step is shown its caution is; the full text of it would drown the verdict here.
    return text + (" (caution: see `episodes today`)" if row.cautions else "")


def _labelled(label: str, texts: Sequence[str]) -> list[tuple[str, str]]:
    return [(label if not at else "", text) for at, text in enumerate(texts)]


def _money(answer: CheckAnswer, episode: EpisodeAnswer) -> str:
    money = episode.money
    if money.budget is None and not money.planned and not money.paid:
        return ""
    unit = answer.currency
    planned = price(money.planned, unit)
    if money.budget is None or money.left is None:
        text = f"{planned} planned"
    else:
        left = money.left
        rest = f"{price(left, unit)} left" if left >= 0 else f"{price(-left, unit)} too much"
        text = f"{planned} planned of {price(money.budget, unit)}, {rest}"
    text += f"; {price(money.paid, unit)} paid"
    return text + (
        f"; {counted(money.unpriced, 'parcel')} without a price" if money.unpriced else ""
    )


def problem_lines(
    problems: Sequence[Problem], *, all_problems: bool = False, with_notes: bool = False
) -> list[str]:
    """The problems that weigh most, one a line, and how many more there are; notes are counted."""
    notes = [problem for problem in problems if problem.level == "note"]
    ranked = sorted(
        (problem for problem in problems if problem.level != "note"),
        key=lambda problem: _RANK[problem.level],
    )
    shown = ranked if all_problems else ranked[:MOST_PROBLEMS]
    rest = len(ranked) - len(shown)
    if all_problems or with_notes:
        shown += notes
    lines = [f"  {problem.level}: {problem_text(problem)}" for problem in shown]
    if rest:
        lines.append(f"  and {counted(rest, 'more problem')}: `episodes check --all`")
    if notes and not (all_problems or with_notes):
        lines.append(f"  {counted(len(notes), 'note')}: `episodes check --notes`")
    return lines


def problem_text(problem: Problem) -> str:
    """What is wrong, how to mend it, and the line it stands on."""
    text = f"{problem.text} {problem.mend}".rstrip()
    return clean(f"{text} ({problem.where})" if problem.where else text)
