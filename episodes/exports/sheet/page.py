"""The sheet as one HTML file: nothing to run, nothing to fetch, every text cleaned and escaped.

Each word that the template puts out is cleaned of what could act (`safe_text`) and then escaped by
the template engine; the one thing that is not is the band's picture, made here element by element.
The page's policy forbids scripts, frames, forms and everything from elsewhere; its one style sheet
is named by its digest.
"""

from base64 import b64encode
from collections.abc import Iterator
from functools import lru_cache
from hashlib import sha256
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from episodes.answers.sheet import PersonWeek, SheetAnswer, Sitting
from episodes.exports.band_svg import band_svg
from episodes.exports.safe_text import clean
from episodes.exports.sheet.tables import tables
from episodes.exports.text_words import (
    Words,
    counted,
    listed,
    name_of,
    people,
    verdict_sentence,
    words_for,
    worked,
)

if TYPE_CHECKING:
    from jinja2 import Template

_MOST_STEPS = 3
_TITLE_CELLS = 60
"""Of the page's own title, which a browser shows on a tab."""

_LIGHT = {"day": "by daylight", "dark": "in the dark"}


def sheet_page(answer: SheetAnswer) -> str:
    """The whole page; the same answer gives the same bytes."""
    css = _resource("sheet.css")
    episode = answer.episode
    words = words_for(answer.check)
    numbers = {advice.text: number for number, advice in enumerate(answer.advice, 1)}
    page: str = _template().render(
        policy=_policy(css),
        css=Markup(css),
        title=episode.title or episode.id,
        short_title=clean(episode.title or episode.id, limit=_TITLE_CELLS),
        verdict=verdict_sentence(episode, words),
        as_of=f"As of {words.dated(answer.check.now)}, {answer.check.zone}.",
        problems=[
            " ".join(part for part in (problem.text, problem.mend) if part)
            for problem in episode.problems
            if problem.level != "note"
        ],
        week={"title": _week_title(answer, words), "people": list(_people(answer, numbers))},
        resting=[
            f"{name_of(episode, row)}: until {words.deadline(row.finish)}" for row in answer.resting
        ],
        cautions=[
            {"text": advice.text, "steps": _steps(answer, advice.steps)} for advice in answer.advice
        ],
        band=Markup(band_svg(answer.check, episode)),
        tables=tables(answer),
        cuts=[{"title": cut.title, "lines": list(cut.cuts)} for cut in answer.cuts],
        closing=f"{answer.check.season}: printed from the plan; the plan is what counts.",
    )
    return page


@lru_cache(maxsize=1)
def _template() -> "Template":
    environment = Environment(
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_cleaned,
    )
    return environment.from_string(_resource("sheet.html.j2"))


def _cleaned(value: Any) -> Any:
    """What the template puts out, with nothing in it that could act."""
    if isinstance(value, str) and not isinstance(value, Markup):
        return clean(value)
    return value


def _resource(name: str) -> str:
    return (files("episodes.exports.sheet") / name).read_text(encoding="utf-8")


def _policy(css: str) -> str:
    """Nothing runs and nothing is fetched; the one style sheet is this one."""
    digest = b64encode(sha256(css.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def _week_title(answer: SheetAnswer, words: Words) -> str:
    return f"{words.day(answer.start)} to {words.day(answer.end - 1)}"


def _people(answer: SheetAnswer, numbers: dict[str, int]) -> Iterator[dict[str, Any]]:
    for person in answer.people:
        title = person.title if person.id else "Runs by itself"
        if not person.sittings:
            yield {"title": title, "caption": "Nothing in these days.", "days": []}
            continue
        work = counted(len(person.sittings), "piece of work", "pieces of work")
        yield {
            "title": title,
            "caption": f"{work}, {worked(person.work_min)}",
            "days": list(_days(answer, person, numbers)),
        }


def _days(
    answer: SheetAnswer, person: PersonWeek, numbers: dict[str, int]
) -> Iterator[dict[str, Any]]:
    words = words_for(answer.check)
    rows: dict[str, list[dict[str, Any]]] = {}
    for sitting in person.sittings:
        day = words.day(max(sitting.start, answer.start))
        rows.setdefault(day, []).append(_sitting(answer, person, sitting, numbers))
    for day, several in rows.items():
        yield {"title": day, "rows": several}


def _sitting(
    answer: SheetAnswer, person: PersonWeek, sitting: Sitting, numbers: dict[str, int]
) -> dict[str, Any]:
    row = sitting.row
    check = answer.check
    part = f" ({sitting.number} of {sitting.count})" if sitting.count > 1 else ""
    film = "Film: " if row.kind == "shot" else ""
    others = [id for id in row.who if id != person.id]
    gear = ", ".join(
        f"{check.gear_titles.get(id, id)} x {count}" if count > 1 else check.gear_titles.get(id, id)
        for id, count in row.gear
    )
    about = [
        check.spaces.get(row.where, row.where) if row.where else "",
        f"with {people(check, others)}" if others else "",
        gear,
        _LIGHT.get(row.light or "", ""),
        f"coat: {answer.products[row.id]}" if row.id in answer.products else "",
    ]
    lines = ["; ".join(part for part in about if part)]
    if row.once:
        lines.append("It can't be taken again.")
    lines.append(row.note)
    return {
        "when": words_for(check).stretch(sitting.start, sitting.end).split(" ", 3)[-1],
        "what": f"{film}{name_of(answer.episode, row)}{part}",
        "lines": [line for line in lines if line],
        "cautions": [numbers[text] for text in row.cautions if text in numbers],
    }


def _steps(answer: SheetAnswer, ids: tuple[str, ...]) -> str:
    rows = {row.id: row for row in answer.episode.steps}
    return f"({listed([name_of(answer.episode, rows[id]) for id in ids], _MOST_STEPS)})"
