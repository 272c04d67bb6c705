"""`add`: one more recipe, step, job, link, parcel or shot in an episode; its text stays."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from episodes.commands.opening import Opened, json_option, open_season, season_options

if TYPE_CHECKING:
    from episodes.files.growing import NewText
    from episodes.files.plan_text import Block
    from episodes.model.episode import Episode

_KEYWORDS = ("job", "link", "parcel", "shot")
_KINDS = ("job", "parcel", "shot", "fallback")


@dataclass(frozen=True, slots=True, kw_only=True)
class Details:
    """What was said of a step, parcel or shot; None: not said."""

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
    wait: str | None
    where: str | None
    gear: tuple[str, ...]
    coat: str | None
    note: str | None
    optional: bool
    gap: str | None
    within: str | None
    or_after: str | None
    stage: str | None
    steps: tuple[str, ...]


@click.command("add")
@click.argument("what", metavar="RECIPE[:size=V,..]|JOB|JOB.STEP|job|link|parcel|shot")
@click.argument("more", nargs=-1, metavar="[ID] [TITLE] [LENGTH]")
@click.option("--episode", metavar="ID", help="The episode. Default: the only one to come.")
@click.option("--who", multiple=True, metavar="PERSON,..", help="Who does it, who builds.")
@click.option("--workshop", metavar="SPACE", help="Recipe: where wood is cut.")
@click.option("--title", metavar="TEXT", help="Parcel, shot: its title.")
@click.option("--kind", metavar="KIND", help="Parcel: how it comes: parcel, freight, store ..")
@click.option("--lead", metavar="LEAD", help='Parcel: "4..6..12 workdays" or "3d".')
@click.option("--cost", type=float, metavar="AMOUNT", help="Step, parcel: what it costs.")
@click.option("--settle", metavar="LENGTH", help="Parcel: wait after arrival before use.")
@click.option("--after", multiple=True, metavar="NAME", help="What must be over first.")
@click.option("--for", "needed_for", multiple=True, metavar="STEP", help="Who waits for it.")
@click.option("--of", "of", metavar="NAME", help="Shot: a job or a step. Default: the room.")
@click.option("--when", type=click.Choice(["before", "during", "after"]), help="Shot.")
@click.option("--hands", metavar="LENGTH", help="Shot: how long. Default: 15min.")
@click.option("--once", is_flag=True, help="Shot: cannot be taken again later.")
@click.option("--light", type=click.Choice(["day", "dark"]), help="Step, shot.")
@click.option("--wait", metavar="LENGTH", help="Step: time that passes by itself, for hands.")
@click.option("--where", metavar="SPACE", help="Step, job: where it is done.")
@click.option("--gear", multiple=True, metavar="ID[=N],..", help="Step: what it keeps busy.")
@click.option("--coat", metavar="PRODUCT", help="Step: what it puts a coat of on.")
@click.option("--note", metavar="TEXT", help="Step: a note of your own.")
@click.option("--optional", is_flag=True, help="Step, job: the release does not wait for it.")
@click.option("--gap", metavar="LENGTH", help="Link: at least so long between.")
@click.option("--within", metavar="LENGTH", help="Link: starts no later than so long after.")
@click.option("--or-after", metavar="LENGTH", help="Link: with --within, or not before this.")
@click.option("--stage", metavar="STAGE", help="Link: touch, recoat, handle or cure of a coat.")
@click.option("--step", "steps", multiple=True, metavar="LINE", help="Job: a step as a line.")
@season_options
@json_option
def command(
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
    what: str,
    more: tuple[str, ...],
    episode: str | None,
    who: tuple[str, ...],
    workshop: str | None,
    **given: Any,
) -> None:
    """Put something into an episode. Its file keeps every line it has.

    \b
    episodes add paint-walls:area=30
    episodes add desk.fit "Fill and sand" 45min
    episodes add desk "Sand again" 30min..45min --after seal-1
    episodes add job shelf "Wall shelf" --step "Cut, 1h" --step "Hang, 30min, builder"
    episodes add link desk.sand --after lamp --gap 2h
    episodes add parcel lamp --title "Desk lamp" --kind freight --for desk.fit
    episodes add shot sparks --of desk.cut --when during
    """
    from episodes.commands.facts import tell
    from episodes.files.growing import write

    opened = open_season(None, season_option, now_text)
    details = Details(**given)
    if more and what not in _KEYWORDS and _is_recipe_alone(opened, what):
        raise click.UsageError(f'"{more[0]}": a recipe takes no id; write {what}:size=number')
    if what in ("job", "link") or (more and what not in _KEYWORDS):
        from episodes.commands.add_step import add_written

        add_written(opened, what, more, episode, who, given, as_json=as_json)
    _no_job(opened, what)
    plan = episode_meant(opened, episode)
    if what in ("parcel", "shot"):
        if len(more) != 1:
            raise click.UsageError(f"name it: episodes add {what} ID")
        texts, said = _one(opened, plan, what, more[0], details)
    else:
        _nothing_given(what, given)
        texts, said = _recipe(opened, plan, what, who, workshop)
    tell(
        opened,
        lambda: write(opened.folder, texts, said, clock=opened.clock, now=opened.now),
        lambda: said,
        as_json=as_json,
    )


def _nothing_given(what: str, given: dict[str, Any]) -> None:
    for key, value in given.items():
        if value not in (None, (), False):
            raise click.UsageError(
                f"--{option_of(key)} is for `add parcel`, `add shot` and steps; what {what} brings "
                "is changed in the file afterwards, or on the screen"
            )


def _no_job(opened: Opened, what: str) -> None:
    """Who names a job without a recipe of that name wants a step of it, and left its title out."""
    if what in _places(opened) and not _is_recipe(what):
        raise click.UsageError(f'say what is done there: episodes add {what} "Title" LENGTH')


def _is_recipe_alone(opened: Opened, what: str) -> bool:
    """Whether a name is a recipe's and no job's or step's."""
    return _is_recipe(what) and what not in _places(opened)


def _is_recipe(what: str) -> bool:
    from episodes.files.recipe_files import load_recipes

    return what.partition(":")[0] in load_recipes()


def _places(opened: Opened) -> set[str]:
    """The ids of all jobs and steps."""
    jobs = [job for each in opened.season.episodes for job in each.jobs]
    return {id for job in jobs for id in (job.id, *(step.id for step in job.steps))}


def option_of(key: str) -> str:
    """An option as it is typed, without its dashes."""
    return {"needed_for": "for", "or_after": "or-after", "steps": "step"}.get(key, key)


def episode_meant(opened: Opened, name: str | None) -> "Episode":
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
    from episodes.answers.check import check
    from episodes.commands.drafting import chosen_people
    from episodes.commands.fitting import complaining
    from episodes.commands.recipe_words import build_of
    from episodes.files.drafts import Place, with_recipe

    studio = opened.season.studio
    built = build_of(typed, studio.units)
    people = chosen_people(studio, who)
    place = Place(folder=opened.folder, clock=opened.clock, now=opened.now)
    with complaining():
        drafted = with_recipe(
            place, opened.season, plan, built, check, who=people, workshop=workshop
        )
    hours = length_in_words(built.hands.likely)
    names = ", ".join(job.id for job in drafted.fitted.composed.jobs) or "shots"
    said = f"{built.recipe.title}: added as {names}, likely {hours} of work"
    return list(drafted.texts), said


def _text(opened: Opened, plan: "Episode") -> str:
    from episodes.files.growing import current

    text = current(opened.folder, plan.file)
    assert text is not None
    return text


def _texts(
    opened: Opened, plan: "Episode", before: str, after: str, missing: Any
) -> "list[NewText]":
    from episodes.files.drafts import with_studio
    from episodes.files.growing import NewText

    return with_studio(opened.folder, [NewText(plan.file, before, after)], missing)
