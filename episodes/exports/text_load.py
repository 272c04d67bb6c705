"""What `load` says: who is overbooked, then each person's weeks, then gear and places."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from episodes.exports.safe_text import clean
from episodes.exports.text_words import Words, columns, worked

if TYPE_CHECKING:
    from episodes.answers.demand import Squeeze
    from episodes.answers.load import LoadAnswer, PersonLoad, WeekLoad
    from episodes.answers.occupied import Occupied, WeekUse

_MOST_OF_A_ROOM = 24


def load_text(answer: "LoadAnswer", *, person: str | None = None) -> str:
    """How full the weeks are, for a person.

    Args:
        person: id of the one person to speak of; gear and places are left out then.
    """
    words = Words(answer.zone, answer.now)
    shown = [each for each in answer.people if person in (None, each.id)]
    lines = [f"Read as of {words.dated(answer.now)}."] if answer.read_as_of else []
    squeezes = [s for s in answer.overbooked if person is None or person in s.people]
    lines += [_overbooked(squeeze, answer, words) for squeeze in squeezes]
    if not squeezes:
        lines.append(_relaxed(shown, answer, words))
    rooms = _rooms(answer)
    for each in shown:
        if each.weeks:
            lines += ["", *_person(each, answer, rooms, words)]
    if any(week.needed_min for each in shown for week in each.weeks):
        lines += ["", "must: what can lie in no other week if the releases are to be met."]
    if person is None:
        lines += _occupied(answer.occupied, words)
    return "\n".join(lines)


def _overbooked(squeeze: "Squeeze", answer: "LoadAnswer", words: Words) -> str:
    names = {each.id: clean(each.title) for each in answer.people}
    who = " and ".join(names[id] for id in squeeze.people)
    verb = "is" if len(squeeze.people) == 1 else "are together"
    titles = dict(answer.episodes)
    of = ", ".join(_short(titles.get(id, id)) for id in squeeze.episodes)
    return (
        f"{who} {verb} overbooked: {worked(squeeze.needed_min)} of work must be done "
        f"{_between(squeeze, answer, words)} ({of}), and {worked(squeeze.open_min)} are open."
    )


def _between(squeeze: "Squeeze", answer: "LoadAnswer", words: Words) -> str:
    if squeeze.start == answer.now:
        return f"by {words.deadline(squeeze.end)}"
    return f"between {words.moment(squeeze.start)} and {words.deadline(squeeze.end)}"


def _relaxed(people: "Sequence[PersonLoad]", answer: "LoadAnswer", words: Words) -> str:
    weeks = [(each, week) for each in people for week in each.weeks if week.planned_min]
    if not weeks:
        return "No work is planned."
    each, week = max(weeks, key=lambda pair: _share(pair[1]))
    if len(people) == 1:
        text = f"{clean(each.title)} is not overbooked. Fullest:"
    else:
        text = f"Nobody is overbooked. Fullest: {clean(each.title)} in"
    return (
        f"{text} the week from {words.day(week.start)}, "
        f"{worked(week.planned_min)} of {worked(week.open_min)}."
    )


def _share(week: "WeekLoad") -> float:
    return week.planned_min / max(week.open_min, 1)


def _person(
    person: "PersonLoad", answer: "LoadAnswer", rooms: dict[str, str], words: Words
) -> list[str]:
    head = (
        f"{clean(person.title)}: {worked(person.planned_min)} planned of "
        f"{worked(person.open_min)} open until {words.moment(answer.until)}"
    )
    rows = [("week from", "planned", "open", "", "must", "")]
    for week in person.weeks:
        rows.append(
            (
                words.day(week.start),
                worked(week.planned_min) if week.planned_min else "-",
                worked(week.open_min) if week.open_min else "-",
                f"{_share(week):.0%}" if week.planned_min else "",
                worked(week.needed_min) if week.needed_min else "",
                "; ".join(
                    [*_state(week), *(f"{rooms[id]} {worked(n)}" for id, n in week.episodes)]
                ),
            )
        )
    return [head, *columns(rows)]


def _state(week: "WeekLoad") -> list[str]:
    if week.needed_min > week.open_min:
        return ["OVERBOOKED"]
    if week.due_min > week.due_open_min:
        return ["OVERBOOKED by its end"]
    return ["full"] if week.full else []


def _rooms(answer: "LoadAnswer") -> dict[str, str]:
    """A short name for each room: its title up to a colon, where no other has the same."""
    short = {id: title.partition(":")[0] for id, title in answer.episodes}
    names = list(short.values())
    return {
        id: clean(short[id] if names.count(short[id]) == 1 else title, limit=_MOST_OF_A_ROOM)
        for id, title in answer.episodes
    }


def _short(title: str) -> str:
    return clean(title.partition(":")[0], limit=_MOST_OF_A_ROOM)


def _occupied(each: "Sequence[Occupied]", words: Words) -> list[str]:
    rows = []
    for holder in each:
        used = [week for week in holder.weeks if week.most]
        if used:
            week = max(used, key=lambda week: (week.most, week.held_min, -week.start))
            rows.append(
                (
                    clean(holder.title),
                    f"week from {words.day(week.start)}",
                    f"{week.most} of {holder.limit} at once",
                    f"{_held(week):.0%} of the time",
                )
            )
    return ["", "Gear and places, the busiest week of each", *columns(rows)] if rows else []


def _held(week: "WeekUse") -> float:
    return week.held_min / max(week.limit_min, 1)
