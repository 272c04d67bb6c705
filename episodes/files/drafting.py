"""What a draft needs of a season: its places, its people, what its studio lacks."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from episodes.files.new_studio import Needs, needs
from episodes.files.recipe_files import AROUND, load_recipes
from episodes.files.setting import Setting
from episodes.model.studio import Person, Studio
from episodes.problems import EpisodesError
from episodes.trade.builds import Build, build
from episodes.trade.recipes import Spot

DESK, WORKSHOP = "desk", "workshop"
_TITLES = {DESK: "Edit desk", WORKSHOP: "Workshop"}
_LIKE_A_WORKSHOP = ("workshop", "garage", "shed", "cellar", "basement")
_LIKE_A_DESK = ("desk", "edit", "snug")
ENOUGH_TOGETHER = 60
"""Minutes in one window: less is no evening for two."""
KINDS = ("job", "parcel", "shot", "fallback")
"""What shares the ids of an episode."""


class DraftError(EpisodesError):
    """What was asked for cannot be drafted; says what could."""


def in_words(id: str) -> str:
    """A title for an id: `home-office` is `Home office`."""
    return id.replace("-", " ").capitalize()


def chosen_people(studio: Studio, named: Iterable[str]) -> tuple[str, ...]:
    """Ids of the people who do the builds: those named, else the studio's first two.

    Raises:
        DraftError: somebody is not of this studio.
    """
    ids = [person.id for person in studio.people]
    names = [name.strip() for text in named for name in text.split(",") if name.strip()]
    for name in names:
        if name not in ids:
            raise DraftError(f'"{name}" is nobody here; there is: {", ".join(ids)}')
    return tuple(dict.fromkeys(names)) or tuple(ids[:2])


def together(studio: Studio, people: Sequence[str]) -> bool:
    """Whether the first two are ever free at the same time, by their weekly hours."""
    if len(people) < 2:
        return False
    first, second = (studio.person(id) for id in people[:2])
    return any(
        min(mine[1], yours[1]) - max(mine[0], yours[0]) >= ENOUGH_TOGETHER
        for mine, yours in _pairs(first, second)
    )


def _pairs(first: Person, second: Person) -> Iterable[tuple[tuple[int, int], tuple[int, int]]]:
    for mine, yours in zip(first.hours.by_day, second.hours.by_day, strict=True):
        for window in mine:
            for other in yours:
                yield window, other


def places_of(
    spaces: Mapping[str, str], room: str, *, workshop: str | None, desk: str | None, new: bool
) -> dict[Spot, str]:
    """The space of each spot.

    Args:
        spaces: ids and titles of the studio's spaces.
        workshop, desk: as asked for; None: what looks like one.
        new: a workshop and a desk are made where there is none; else only a desk.
    """
    found = workshop or _like(spaces, _LIKE_A_WORKSHOP)
    return {
        "room": room,
        "workshop": found or (WORKSHOP if new else room),
        "desk": desk or _like(spaces, _LIKE_A_DESK) or DESK,
    }


def _like(spaces: Mapping[str, str], words: Iterable[str]) -> str | None:
    return next(
        (
            id
            for word in words
            for id, title in spaces.items()
            if word in id.split("-") or word in title.lower().split()
        ),
        None,
    )


def used_spaces(
    builds: Sequence[Build], places: Mapping[Spot, str], titles: Mapping[str, str]
) -> dict[str, str]:
    """Id and title of every space that the builds use, the room first."""
    spots: list[Spot] = ["room"]
    for each in builds:
        for step in each.steps:
            spots.append(step.recipe.spot or each.recipe.spot)
    return {
        places[spot]: titles.get(places[spot])
        or _TITLES.get(places[spot])
        or in_words(places[spot])
        for spot in dict.fromkeys(spots)
    }


def needs_of(
    studio: Studio, builds: Sequence[Build], spaces: Mapping[str, str], comings: Iterable[str]
) -> Needs:
    """What the studio lacks for these builds in these spaces."""
    return needs(
        builds,
        spaces=spaces,
        has_spaces=[space.id for space in studio.spaces],
        has_gear={gear.id: gear.count for gear in studio.gear},
        has_carriers=[carrier.id for carrier in studio.carriers],
        comings=comings,
    )


def setting_of(
    studio: Studio,
    studio_text: str,
    *,
    people: tuple[str, ...],
    places: Mapping[Spot, str],
    lacks: Needs,
) -> Setting:
    """Who and what there is, once what the studio lacks has been put in."""
    import tomllib

    defaults: Any = tomllib.loads(studio_text).get("defaults", {})
    shot = defaults.get("shot", {}) if isinstance(defaults, dict) else {}
    return Setting(
        host=studio.people[0].id,
        people=people,
        pair=together(studio, people),
        places=places,
        gear=lacks.gear,
        carriers=lacks.carriers,
        shot_defaults=shot,
    )


def with_what_they_bring(chosen: Sequence[Build], *, around: bool) -> list[Build]:
    """The recipes, those that come along with them, and if asked what every episode has."""
    recipes = load_recipes()
    builds = list(chosen)
    named = {each.recipe.id for each in builds}
    for each in chosen:
        for id in each.recipe.brings:
            if id not in named:
                own = {size.id for size in recipes[id].sizes}
                sizes = {key: value for key, value in each.sizes.items() if key in own}
                builds.append(build(recipes[id], sizes))
                named.add(id)
    if around:
        builds += [build(recipes[id]) for id in AROUND if id not in named]
    return builds
