"""`new`: an episode from recipes, ready to be checked; asks what it was not told."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from episodes.commands.opening import clock_minute, json_option, season_options
from episodes.commands.printing import ExitCode, at_a_terminal, leave, say

if TYPE_CHECKING:
    from episodes.commands.fitting import Fitted
    from episodes.files.growing import NewText
    from episodes.files.setting import Fitting
    from episodes.model.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """What was asked for on the command line; None or empty: not said."""

    slug: str | None
    month: str | None
    idea: bool
    recipes: tuple[str, ...]
    room: str | None
    title: str | None
    who: tuple[str, ...]
    workshop: str | None
    desk: str | None
    budget: int | None
    bare: bool
    name: str | None
    timezone: str | None
    people: tuple[str, ...]
    release: str | None


@click.command("new")
@click.argument("slug", required=False, metavar="[SLUG]")
@click.option("--month", metavar="YYYY-MM", help="The month of its release.")
@click.option("--idea", is_flag=True, help="A room without a month: goes into ideas/.")
@click.option(
    "--recipe", "recipes", multiple=True, metavar="NAME:size=V,..",
    help="What is built (`episodes recipes` lists them). May be given again and again.",
)  # fmt: skip
@click.option("--room", metavar="SPACE", help="The space it is about. Default: SLUG.")
@click.option("--title", metavar="TEXT", help="Default: SLUG in words.")
@click.option(
    "--who", multiple=True, metavar="PERSON,..", help="Who builds. Default: the first two people."
)
@click.option("--workshop", metavar="SPACE", help="Where wood is cut and pieces are painted.")
@click.option("--desk", metavar="SPACE", help="Where the film is edited.")
@click.option("--budget", type=click.IntRange(0), metavar="AMOUNT")
@click.option("--bare", is_flag=True, help="Only the recipes: no befores, reveal, edit.")
@click.option("--name", metavar="TEXT", help="New season: what the studio is called.")
@click.option("--timezone", metavar="ZONE", help="New season: default the computer's.")
@click.option(
    "--person", "people", multiple=True, metavar="ID: HOURS",
    help='New season: who works when, "host: mon-fri 18-21:30, sat 9-17". Once for each.',
)  # fmt: skip
@click.option("--release", metavar="RULE", help='New season: default "first friday 09:00".')
@click.option("--yes", is_flag=True, help="Ask nothing: take every default.")
@season_options
@json_option
def command(
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
    yes: bool,
    **given: Any,
) -> None:
    """Write a new episode: what is built, what comes, what is filmed, with usual hours.

    In a folder without a studio.toml that is written too. One `episodes undo` takes the episode
    back.
    """
    from episodes.commands.drafting import asked_place
    from episodes.files.growing import write

    wishes = Wishes(**given)
    ask = at_a_terminal() and not yes and not as_json
    folder, now = asked_place(season_option, now_text)
    clock = clock_minute()
    drafted = _draft(folder, wishes, ask, clock, now)
    write(folder, drafted.texts, f"{drafted.file}: new episode", clock=clock, now=now)
    if as_json:
        from episodes.exports.recipe_records import new_record
        from episodes.exports.records import to_json

        counts, answer = drafted.counts, drafted.fitted.answer
        say(to_json(new_record(drafted.file, counts, drafted.episode, answer)))
    else:
        say(_said(drafted))
    leave(ExitCode.MET)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drafted:
    file: str
    episode: str
    texts: tuple["NewText", ...]
    fitted: "Fitted"
    new_studio: bool

    @property
    def counts(self) -> dict[str, int]:
        composed = self.fitted.composed
        return {
            "steps": composed.steps,
            "shots": len(composed.shots),
            "parcels": len(composed.parcels),
        }


def _draft(folder: Path, wishes: Wishes, ask: bool, clock: int, now: int | None) -> _Drafted:
    from episodes.answers.check import check
    from episodes.commands import asking
    from episodes.commands.drafting import chosen_people
    from episodes.commands.fitting import complaining
    from episodes.files.drafting import DraftError
    from episodes.files.drafts import Place, Wanted, check_month, new_episode, next_month
    from episodes.files.editing import STUDIO_FILE
    from episodes.files.growing import current, grown
    from episodes.files.new_studio import needs, studio_text

    before = current(folder, STUDIO_FILE)
    made = None if before is not None else asking.new_studio(wishes, folder, ask)
    first = needs((), spaces={}).missing
    start = before if made is None else studio_text(made, first)
    assert start is not None
    season = _season(folder, before, start, clock, now)
    studio = season.studio
    slug, room, title = asking.room(wishes, studio, ask)
    try:
        month = wishes.month or asking.month(wishes, next_month(season), ask)
        check_month(month, season)
    except DraftError as error:
        raise click.BadParameter(str(error), param_hint="--month") from None
    chosen = asking.recipes(wishes, studio.units, ask)
    wanted = Wanted(
        slug=slug,
        title=title,
        month=month,
        builds=tuple(chosen),
        room=room,
        idea=wishes.idea,
        budget="" if wishes.budget is None else str(wishes.budget),
        people=chosen_people(studio, wishes.who or asking.people(studio, ask)),
        workshop=wishes.workshop,
        desk=wishes.desk,
        around=not wishes.bare,
        new_places=before is None,
    )
    try:
        with complaining():
            drafted = new_episode(
                Place(folder=folder, clock=clock, now=now),
                season,
                wanted,
                check,
                studio_before=before,
                studio_start=start,
                studio_with=lambda missing: (
                    grown(start, missing, file=STUDIO_FILE)
                    if made is None
                    else studio_text(made, (*first, *missing))
                ),
            )
    except DraftError as error:
        raise click.UsageError(str(error)) from None
    return _Drafted(
        file=wanted.file,
        episode=f"{month}-{slug}",
        texts=drafted.texts,
        fitted=drafted.fitted,
        new_studio=before is None,
    )


def _season(folder: Path, before: str | None, start: str, clock: int, now: int | None) -> "Season":
    """The season as it is, or as it is with nothing but its new studio."""
    from episodes.files.editing import STUDIO_FILE
    from episodes.files.growing import NewText, trial

    return trial(folder, [NewText(STUDIO_FILE, before, start)], clock=clock, now=now)


def _said(drafted: _Drafted) -> str:
    """What was written, whether it holds, and what had to be given up for it."""
    from episodes.exports.safe_text import clean
    from episodes.exports.text_words import counted, verdict_sentence, words_for

    counts, answer = drafted.counts, drafted.fitted.answer
    numbers = ", ".join(counted(counts[key], key.removesuffix("s")) for key in counts)
    lines = [f"{drafted.file}: {numbers}."]
    lines += [verdict_sentence(answer.episode(drafted.episode), words_for(answer))]
    lines += _given_up(drafted.fitted.fitting)
    if drafted.new_studio:
        lines.append("studio.toml: people, places, gear and carriers; edit it to be yours.")
    if not drafted.file.startswith("ideas/"):
        lines.append(f"See it: episodes check {drafted.file}")
    lines.append("Change it in any editor, or take it back: episodes undo")
    return "\n".join(clean(line) for line in lines)


def _given_up(fitting: "Fitting") -> list[str]:
    """What the hours and the air did not allow as the recipes have it."""
    from episodes.exports.text_words import listed

    lines = [
        f"{name} is longer than any opening of your hours: now in {parts} parts."
        for name, parts in fitting.parts.items()
    ]
    groups = (
        (fitting.any_light, "nobody is free at the hour it asks for, so `light` is left out"),
        (fitting.not_in_one_go, "fits into no opening in one go, so it may pause"),
        (fitting.in_the_room, "too cold, hot or damp in the workshop, so it is done in the room"),
    )
    for names, why in groups:
        if names:
            lines.append(f"{listed(sorted(names), 3)}: {why}.")
    return lines
