"""`add`: one more recipe, parcel or shot in an episode that is there; its text stays."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from episodes.commands.opening import Opened, json_option, open_season, season_options

if TYPE_CHECKING:
    from episodes.files.growing import NewText
    from episodes.files.plan_text import Block
    from episodes.files.setting import Composed
    from episodes.model.episode import Episode

_KINDS = ("job", "parcel", "shot", "fallback")


@dataclass(frozen=True, slots=True, kw_only=True)
class Details:
    """What was said of a parcel or a shot; None: not said."""

    title: str | None
    kind: str | None
    lead: str | None
    cost: float | None
    settle: str | None
    after: tuple[str, ...]
    needed_for: tuple[str, ...]
    of: str | None
    when: str | None
    hands: str | None
    once: bool
    light: str | None


@click.command("add")
@click.argument("what", metavar="RECIPE[:size=V,..]|parcel|shot")
@click.argument("id", required=False, metavar="[ID]")
@click.option("--episode", metavar="ID", help="The episode. Default: the only one to come.")
@click.option("--who", multiple=True, metavar="PERSON,..", help="Recipe: who builds.")
@click.option("--workshop", metavar="SPACE", help="Recipe: where wood is cut.")
@click.option("--title", metavar="TEXT", help="Parcel, shot: its title.")
@click.option("--kind", metavar="KIND", help="Parcel: how it comes: parcel, freight, store ..")
@click.option("--lead", metavar="LEAD", help='Parcel: "4..6..12 workdays" or "3d".')
@click.option("--cost", type=float, metavar="AMOUNT", help="Parcel: what it costs.")
@click.option("--settle", metavar="LENGTH", help="Parcel: wait after arrival before use.")
@click.option("--after", multiple=True, metavar="NAME", help="What must be over first.")
@click.option(
    "--for", "needed_for", multiple=True, metavar="STEP", help="Parcel: who waits for it."
)
@click.option("--of", "of", metavar="NAME", help="Shot: a job or a step. Default: the room.")
@click.option("--when", type=click.Choice(["before", "during", "after"]), help="Shot.")
@click.option("--hands", metavar="LENGTH", help="Shot: how long. Default: 15min.")
@click.option("--once", is_flag=True, help="Shot: cannot be taken again later.")
@click.option("--light", type=click.Choice(["day", "dark"]), help="Shot.")
@season_options
@json_option
def command(
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
    what: str,
    id: str | None,
    episode: str | None,
    who: tuple[str, ...],
    workshop: str | None,
    **given: Any,
) -> None:
    """Put a recipe, a parcel or a shot into an episode. Its file keeps every line it has.

    \b
    episodes add paint-walls:area=30
    episodes add parcel lamp --title "Desk lamp" --kind freight --for desk.fit
    episodes add shot sparks --of desk.cut --when during
    """
    from episodes.commands.facts import tell
    from episodes.files.growing import write

    opened = open_season(None, season_option, now_text)
    plan = _episode(opened, episode)
    details = Details(**given)
    if what in ("parcel", "shot"):
        if id is None:
            raise click.UsageError(f"name it: episodes add {what} ID")
        texts, said = _one(opened, plan, what, id, details)
    else:
        if id is not None:
            raise click.UsageError(f'"{id}": a recipe takes no id; write {what}:size=number')
        _nothing_given(what, given)
        texts, said = _recipe(opened, plan, what, who, workshop)
    tell(
        opened,
        lambda: write(opened.folder, texts, said, clock=opened.clock, now=opened.now),
        lambda: said,
        as_json=as_json,
    )


def _nothing_given(what: str, given: dict[str, Any]) -> None:
    named = {"needed_for": "for"}
    for key, value in given.items():
        if value not in (None, (), False):
            raise click.UsageError(
                f"--{named.get(key, key)} is for `add parcel` and `add shot`; what {what} brings "
                "is changed in the file afterwards"
            )


def _episode(opened: Opened, name: str | None) -> "Episode":
    """The episode meant: named, or whose file was named, or the only one still to come."""
    from episodes.commands.rooms import episode_named

    season = opened.season
    if name is not None:
        return season.episode(episode_named(season, name))
    if opened.only is not None:
        return season.episode(opened.only)
    coming = [
        each for each in season.episodes if each.released is None and each.release > season.now
    ]
    if len(coming) == 1:
        return coming[0]
    if not coming:
        raise click.UsageError("no episode is still to come; name one with --episode")
    ids = ", ".join(each.id for each in coming)
    raise click.UsageError(f"which episode? --episode with one of {ids}")


def _one(
    opened: Opened, plan: "Episode", what: str, id: str, details: Details
) -> "tuple[list[NewText], str]":
    """The texts with a parcel or a shot more, and the change in words."""
    from episodes.commands.drafting import needs_of
    from episodes.files.editing import edited
    from episodes.files.growing import grown, ids_of

    text = _text(opened, plan)
    if id in ids_of(text, _KINDS):
        raise click.UsageError(f'"{id}" is borne in {plan.file} already; take another id')
    studio = opened.season.studio
    comings = (_way(details.kind or "parcel").id,) if what == "parcel" else ()
    lacks = needs_of(studio, (), {}, comings)
    block = (
        _parcel(id, details, lacks.carriers)
        if what == "parcel"
        else _shot(opened, plan, id, details)
    )
    after = grown(text, [block], file=plan.file)
    if what == "parcel":
        after = edited(after, _waiting(plan, id, details.needed_for, after), file=plan.file)
    title = block.entries.get("title", id)
    return _texts(opened, plan, text, after, lacks.missing), f"{title}: added as {id}"


def _parcel(id: str, details: Details, carriers: dict[str, str]) -> "Block":
    from episodes.commands.drafting import in_words
    from episodes.files.plan_text import Block
    from episodes.files.shopping import parcel_entries

    if details.of is not None or details.when is not None or details.light is not None:
        raise click.UsageError("--of, --when and --light are for shots")
    if details.hands is not None or details.once:
        raise click.UsageError("--hands and --once are for shots")
    entries = parcel_entries(
        id,
        details.title or in_words(id),
        _way(details.kind or "parcel"),
        carriers,
        settle=details.settle,
        notes=[],
    )
    if details.lead is not None:
        entries["lead"] = details.lead
    if details.after:
        entries["after"] = list(details.after)
    if details.cost is not None:
        entries["cost"] = int(details.cost) if details.cost == int(details.cost) else details.cost
    return Block(kind="parcel", entries=entries)


def _way(kind: str) -> Any:
    """The usual way for things to come of that id.

    Raises:
        click.UsageError: none.
    """
    from episodes.files.recipe_files import load_comings

    comings = load_comings()
    if kind not in comings:
        raise click.UsageError(f'"{kind}" is no kind; kinds: {", ".join(comings)}')
    return comings[kind]


def _shot(opened: Opened, plan: "Episode", id: str, details: Details) -> "Block":
    from episodes.commands.drafting import in_words
    from episodes.files.plan_text import Block

    if details.kind is not None or details.lead is not None or details.cost is not None:
        raise click.UsageError("--kind, --lead and --cost are for parcels")
    if details.settle is not None or details.needed_for:
        raise click.UsageError("--settle and --for are for parcels")
    if details.when == "during":
        _one_camera(opened, plan, details.of)
    entries: dict[str, Any] = {"id": id, "title": details.title or in_words(id)}
    if details.of is not None:
        entries["of"] = details.of
    if details.when not in (None, "after"):
        entries["when"] = details.when
    if details.when == "during":
        entries["who"] = []
    if details.hands is not None or details.when != "during":
        entries["hands"] = details.hands or "15min"
    if details.light is not None:
        entries["light"] = details.light
    if any(gear.id == "camera" for gear in opened.season.studio.gear):
        entries["gear"] = ["camera"]
    if details.once:
        entries["once"] = True
    if details.after:
        entries["after"] = list(details.after)
    return Block(kind="shot", entries=entries)


def _one_camera(opened: Opened, plan: "Episode", of: str | None) -> None:
    """Refuse a second shot during a step that holds the only camera: no plan could take both."""
    cameras = next((gear.count for gear in opened.season.studio.gear if gear.id == "camera"), 0)
    running = [
        shot.id
        for shot in plan.shots
        if shot.when == "during"
        and shot.of is not None
        and shot.of.id == of
        and shot.taken is None
        and any(gear == "camera" for gear, _ in shot.gear)
    ]
    if running and len(running) >= cameras:
        raise click.UsageError(
            f'"{running[0]}" films {of} already and has the camera; a second one is a higher '
            "`count` of it in studio.toml"
        )


def _waiting(plan: "Episode", parcel: str, steps: Sequence[str], text: str) -> list[Any]:
    """The edits that let these steps wait for the parcel."""
    import tomllib

    from episodes.files.editing import Edit

    known = {step.id for job in plan.jobs for step in job.steps}
    jobs = tomllib.loads(text).get("job", [])
    edits = []
    for name in steps:
        if name not in known:
            raise click.UsageError(f'--for "{name}": no such step; write JOB.STEP')
        job, _, id = name.partition(".")
        table = next(
            step for each in jobs if each["id"] == job for step in each["step"] if step["id"] == id
        )
        key = "after" if "after" in table else "also_after"
        edits.append(Edit(kind="step", id=name, key=key, value=parcel, add=True))
    return edits


def _recipe(
    opened: Opened, plan: "Episode", typed: str, who: tuple[str, ...], workshop: str | None
) -> "tuple[list[NewText], str]":
    """The texts with a recipe more, and the change in words."""
    from episodes.amounts import length_in_words
    from episodes.commands.drafting import (
        chosen_people,
        needs_of,
        places_of,
        setting_of,
        used_spaces,
        with_what_they_bring,
    )
    from episodes.commands.fitting import fit
    from episodes.commands.recipe_words import build_of
    from episodes.files.composing import compose
    from episodes.files.editing import STUDIO_FILE
    from episodes.files.growing import current, grown, ids_of
    from episodes.files.recipe_files import load_recipes

    studio = opened.season.studio
    built = build_of(typed, studio.units)
    builds = with_what_they_bring([built], around=False)
    text = _text(opened, plan)
    known = {space.id: space.title for space in studio.spaces}
    room = plan.room or next(iter(known), "room")
    places = places_of(known, room, workshop=workshop, desk=None, new=False)
    lacks = needs_of(studio, builds, used_spaces(builds, places, known), ())
    setting = setting_of(
        studio, current(opened.folder, STUDIO_FILE) or "", lacks=lacks, places=places,
        people=chosen_people(studio, who),
    )  # fmt: skip
    jobs = {job.id for job in plan.jobs}
    there = {
        id: recipe.job
        for id, recipe in load_recipes().items()
        if recipe.job in jobs and id != built.recipe.id
    }
    taken = ids_of(text, _KINDS)

    def texts(composed: "Composed") -> "list[NewText]":
        after = grown(text, composed.blocks, file=plan.file)
        after = _closing_jobs_wait(after, there, [job.id for job in composed.jobs], plan.file)
        return _texts(opened, plan, text, after, lacks.missing)

    fitted = fit(
        opened.folder,
        lambda fitting: compose(builds, setting, fitting, taken=taken, jobs=there),
        texts,
        clock=opened.clock,
        now=opened.now,
    )
    hours = length_in_words(built.hands.likely)
    names = ", ".join(job.id for job in fitted.composed.jobs) or "shots"
    return list(fitted.texts), f"{built.recipe.title}: added as {names}, likely {hours} of work"


def _closing_jobs_wait(text: str, there: dict[str, str], jobs: list[str], file: str) -> str:
    """Styling and the string-out, where the episode has them, wait for the new jobs too."""
    from episodes.files.editing import Edit, edited

    for closing in ("clean-and-style", "string-out"):
        if closing in there:
            for job in jobs:
                edit = Edit(kind="job", id=there[closing], key="after", value=job, add=True)
                text = edited(text, [edit], file=file)
    return text


def _text(opened: Opened, plan: "Episode") -> str:
    from episodes.files.growing import current

    text = current(opened.folder, plan.file)
    assert text is not None
    return text


def _texts(
    opened: Opened, plan: "Episode", before: str, after: str, missing: Any
) -> "list[NewText]":
    from episodes.files.editing import STUDIO_FILE
    from episodes.files.growing import NewText, current, grown

    texts = [NewText(plan.file, before, after)]
    if missing:
        studio = current(opened.folder, STUDIO_FILE) or ""
        texts.insert(0, NewText(STUDIO_FILE, studio, grown(studio, missing, file=STUDIO_FILE)))
    return texts
