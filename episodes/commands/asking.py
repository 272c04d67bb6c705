"""The few questions of `new`, each with a default; without a terminal the defaults answer."""

import re
from collections.abc import Sequence
from datetime import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.drafting import in_words
from episodes.commands.printing import say
from episodes.commands.recipe_words import (
    build_of,
    computer_zone,
    hours_of,
    hours_words,
    number_of,
    recipe_named,
)

if TYPE_CHECKING:
    from episodes.commands.new import Wishes
    from episodes.files.new_studio import NewPerson, NewStudio
    from episodes.model.studio import Studio
    from episodes.trade.builds import Build
    from episodes.trade.recipes import Recipe

_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,60}", re.ASCII)
_RULE = re.compile(r"(?P<on>\w+ \w+?)(?:\s+(?:at\s+)?(?P<h>\d{1,2}):(?P<m>\d\d))?", re.ASCII)


def id_of(text: str) -> str:
    """An id of what was typed: `Home office` is `home-office`.

    Raises:
        click.UsageError: nothing of it can stand in one.
    """
    id = re.sub(r"[^a-z0-9]+", "-", text.strip().lower()).strip("-")[:60].strip("-")
    if not _ID.fullmatch(id):
        raise click.UsageError(f'"{text}" is no name for a file; write letters and digits')
    return id


def new_studio(wishes: "Wishes", folder: Path, ask: bool) -> "NewStudio":
    """The answers that a new studio is written from."""
    from episodes.calendars.local_time import zone
    from episodes.files.new_studio import NewStudio

    if ask:
        say("No studio.toml here yet: a few questions make one. Enter takes what is in brackets.")
    name = _asked("What is the studio called?", wishes.name, in_words(folder.absolute().name), ask)
    place = _asked("Time zone?", wishes.timezone, computer_zone(), ask)
    try:
        zone(place)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--timezone") from None
    rule = _asked("Released when?", wishes.release, "first friday 09:00", ask)
    match = _RULE.fullmatch(rule.strip().lower())
    if match is None:
        raise click.BadParameter(
            f'"{rule}" is no rule; write "first friday" or "last monday 18:00"',
            param_hint="--release",
        )
    return NewStudio(
        name=name,
        zone=place,
        people=_people(wishes, ask),
        on=match["on"],
        at=_time(match, rule),
    )


def _time(match: re.Match[str], rule: str) -> time:
    if match["h"] is None:
        return time(9)
    try:
        return time(int(match["h"]), int(match["m"]))
    except ValueError:
        raise click.BadParameter(f'"{rule}": no such time', param_hint="--release") from None


def _people(wishes: "Wishes", ask: bool) -> "tuple[NewPerson, ...]":
    from episodes.files.new_studio import EVENINGS

    typed = list(wishes.people)
    if not typed:
        usual = f"host: {hours_words(EVENINGS)}"
        typed = [_asked("Who works, and when?", None, usual, ask)]
        while ask and (more := _asked("Who else? (Enter: nobody)", None, "", ask)):
            typed.append(more)
    return tuple(person_of(text) for text in typed)


def person_of(text: str) -> "NewPerson":
    """A person of `host: mon-fri 18-21:30, sat 9-17`; a name alone works the usual evenings.

    Raises:
        click.BadParameter: the hours are none.
    """
    from episodes.files.new_studio import EVENINGS, NewPerson

    name, colon, hours = text.partition(":")
    try:
        week = hours_of(hours) if colon else EVENINGS
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--person") from None
    return NewPerson(id=id_of(name), title=name.strip().capitalize(), hours=week)


def room(wishes: "Wishes", studio: "Studio", ask: bool) -> tuple[str, str, str]:
    """Slug of the file, id of the room, title of the episode."""
    slug = wishes.slug
    if slug is None:
        if not ask and wishes.room is None and wishes.title is None:
            raise click.UsageError("name the room: episodes new home-office")
        proposed = wishes.room or wishes.title or ""
        slug = proposed or _asked("Which room?", None, "room", ask)
    slug = id_of(slug)
    spaces = ", ".join(space.id for space in studio.spaces)
    label = f"Which space is that? ({spaces}, or a new one)" if spaces else ""
    chosen = wishes.room
    if chosen is None:
        asks = ask and bool(label) and all(space.id != slug for space in studio.spaces)
        chosen = _asked(label, None, slug, asks)
    return slug, id_of(chosen), wishes.title or in_words(slug)


def month(wishes: "Wishes", proposed: str, ask: bool) -> str:
    """The month of the release."""
    return proposed if wishes.idea else _asked("For which month?", None, proposed, ask)


def people(studio: "Studio", ask: bool) -> tuple[str, ...]:
    """Who builds, where there is a choice."""
    if not ask or len(studio.people) < 2:
        return ()
    usual = ",".join(person.id for person in studio.people[:2])
    return (_asked("Who builds?", None, usual, ask),)


def recipes(wishes: "Wishes", units: str, ask: bool) -> "list[Build]":
    """What is built, worked out."""
    if wishes.recipes or not ask:
        return [build_of(text, units) for text in wishes.recipes]
    while True:
        typed = _asked("What is to be built? (names, `?` lists them)", None, "paint-walls", ask)
        if typed.strip() == "?":
            from episodes.exports.text_recipes import recipes_text
            from episodes.files.recipe_files import load_recipes

            say(recipes_text(load_recipes().values()))
            continue
        try:
            return [_sized(word, units) for word in re.split(r"[\s;]+", typed.strip()) if word]
        except click.UsageError as error:
            say(error.format_message())


def _sized(word: str, units: str) -> "Build":
    """A recipe with its main sizes asked for, where none was typed."""
    if ":" in word:
        return build_of(word, units)
    recipe = recipe_named(word)
    sizes = ",".join(_sizes(recipe, units))
    built = build_of(f"{recipe.id}:{sizes}", units)
    from episodes.amounts import length_in_words

    say(f"  {recipe.title}: likely {length_in_words(built.hands.likely)} of work")
    return built


def _sizes(recipe: "Recipe", units: str) -> Sequence[str]:
    from episodes.trade.builds import decimal, unit_words

    found = []
    for size in recipe.sizes:
        if not size.asked:
            continue
        usual = f"{decimal(size.default)}{unit_words(size)}".replace(" ", "")
        while True:
            typed = _asked(f"  {recipe.title}, {size.title}?", None, usual, True)
            try:
                number_of(typed, size, units)
                build_of(f"{recipe.id}:{size.id}={typed}", units)
                break
            except click.UsageError as error:
                say(f"  {error.format_message()}")
        found.append(f"{size.id}={typed}")
    return found


def _asked(label: str, given: str | None, usual: str, ask: bool) -> str:
    """What was given, else what is typed, else the usual."""
    if given is not None or not ask:
        return usual if given is None else given
    answer = click.prompt(label, default=usual, show_default=bool(usual))
    assert isinstance(answer, str)
    return answer
