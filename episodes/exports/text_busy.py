"""A person's calendar as it was understood, in lines for a terminal."""

from typing import TYPE_CHECKING

from episodes.exports.safe_text import clean
from episodes.exports.text_words import Words, columns, counted, worked

if TYPE_CHECKING:
    from episodes.answers.busy_time import BusyAnswer, BusyLine

_TITLE_CELLS = 40


def busy_text(answer: "BusyAnswer") -> str:
    """A sentence, each busy time, and what does not count or was left out."""
    words = Words(answer.zone, answer.now)
    lines = [_sentence(answer, words)]
    lines += columns(_row(line, words, answer) for line in answer.lines)
    if answer.free:
        verb = "is" if answer.free == 1 else "are"
        lines.append(f"{counted(answer.free, 'event')} {verb} cancelled or marked as free.")
    if answer.own:
        lines.append(
            f"{counted(answer.own, 'event')} of this program's own: no busy time, or the plan "
            "would block itself."
        )
    warnings = [problem for problem in answer.problems if problem.level != "note"]
    if warnings:
        lines.append("Left out, so that its time looks free:")
        lines += [f"  {clean(str(problem))}" for problem in warnings]
    if answer.named is False and answer.person is not None:
        lines.append(
            f'The plan does not read it yet: write busy = ["{clean(answer.file)}"] under '
            f"{clean(answer.person[1])} in studio.toml, and lay the file beside it."
        )
    return "\n".join(lines)


def _sentence(answer: "BusyAnswer", words: Words) -> str:
    window = f"{words.moment(answer.start)} to {words.deadline(answer.end)}"
    head = f"{clean(answer.file)}, {window}: "
    if not answer.lines:
        return f"{head}no busy time."
    found = f"{counted(len(answer.lines), 'busy time')}, {worked(answer.busy_min)}"
    if answer.person is None or answer.takes_min is None or answer.hours_min is None:
        return f"{head}{found}."
    return (
        f"{head}{found}; {worked(answer.takes_min)} of {clean(answer.person[1])}'s "
        f"{worked(answer.hours_min)}."
    )


def _row(line: "BusyLine", words: Words, answer: "BusyAnswer") -> tuple[str, ...]:
    time = line.time
    if time.all_day:
        last = words.day(max(time.end - 1, time.start))
        first = words.day(time.start)
        when = first if first == last else f"{first} - {last}"
        when += ", all day"
    else:
        when = words.stretch(time.start, time.end)
    title = clean(time.title, limit=_TITLE_CELLS) or "(no title)"
    if line.takes_min is None:
        return (when, title)
    return (when, title, f"takes {worked(line.takes_min)}" if line.takes_min else "outside hours")
