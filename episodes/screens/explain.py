"""What the sheets say: everything about one row, and the keys of a page."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from episodes.answers.rows import CheckAnswer, EpisodeAnswer, StepRow
from episodes.exports.text_words import Words
from episodes.screens import wording
from episodes.screens.marks import BOLD
from episodes.screens.page import Key
from episodes.screens.sheet import Said

if TYPE_CHECKING:
    from episodes.answers.why import WhyAnswer

_LIGHT = {"day": "by daylight", "dark": "in the dark"}


TAUT = "a minute more here makes it ready a minute later"


def row_lines(
    answer: CheckAnswer, episode: EpisodeAnswer, row: StepRow, why: "WhyAnswer | None", words: Words
) -> list[Said]:
    """When, who, where, how much slack, why then, what to take care of."""
    lines = [
        Said(wording.when(row, words), "planned"),
        Said(f"{words.moment(row.early_start)} - {words.moment(row.early_finish)}", "earliest"),
        Said(f"{words.moment(row.late_start)} - {words.moment(row.late_finish)}", "latest"),
        Said(TAUT if row.critical else "", "taut", BOLD),
        Said(_slack(row), "slack"),
        Said(wording.people(answer, row.who), "who"),
        Said(answer.spaces.get(row.where or "", row.where or ""), "where"),
        Said(_gear(answer, row.gear), "gear"),
        Said(_LIGHT.get(row.light or "", ""), "light"),
        Said(
            "the release does not wait for it" if row.optional or row.after_release else "", "note"
        ),
        Said("can't be taken again later" if row.once else "", "once"),
        *(Said(caution, "care", BOLD) for caution in row.cautions),
        Said(row.note, "note"),
        Said(row.link, "link"),
        Said(f"{row.place}" if row.place else "", "file"),
    ]
    if row.early_start is None:
        del lines[1]
    if row.late_start is None:
        lines = [line for line in lines if line.label != "latest"]
    lines = [line for line in lines if line.text]
    if why is not None and why.chain:
        lines += [Said(), Said(label="Why then: what waited for what, from now on")]
        titles = {each.id: wording.name_of(episode, each) for each in episode.steps}
        lines += [
            Said(
                f"{titles.get(link.id or '', link.id or '')}: {link.text}", words.moment(link.start)
            )
            for link in why.chain
        ]
    else:
        said = wording.reason(answer, episode, row)
        lines += [Said(), Said(said)] if said else []
    return lines


def _slack(row: StepRow) -> str:
    """Slack by the dates; a taut row can have some: people and places are not counted there."""
    if row.slack_min is None:
        return ""
    return wording.slack_words(row) + (", by the dates alone" if row.critical else "")


def _gear(answer: CheckAnswer, gear: Iterable[tuple[str, int]]) -> str:
    named = ((answer.gear_titles.get(id, id), count) for id, count in gear)
    return ", ".join(name if count == 1 else f"{count} x {name}" for name, count in named)


def key_lines(
    page_title: str,
    own: Iterable[Key],
    common: Iterable[Key],
    remarks: Sequence[tuple[str, str]],
    hint: str,
) -> list[Said]:
    """The keys of a page, those of every page, and what the page's signs mean."""
    lines = [Said(label=f"On {page_title}")]
    lines += [Said(key.text, key.shown) for key in own if key.text]
    lines += [Said(), Said(label="Everywhere")]
    lines += [Said(key.text, key.shown) for key in common if key.text]
    if remarks:
        lines += [Said(), Said(label="Signs"), *(Said(text, sign) for sign, text in remarks)]
    return [*lines, Said(), Said(hint)]
