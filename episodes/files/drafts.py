"""Drafts: a recipe more in an episode that is there, a new episode or idea of recipes.

The texts of the files as they would be, made so that everything finds an hour (`fitting`).
Nothing is written here.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Generic

from episodes.calendars.local_time import zone
from episodes.calendars.release_day import release_of_month
from episodes.files.composing import compose
from episodes.files.drafting import (
    DraftError,
    chosen_people,
    needs_of,
    places_of,
    setting_of,
    used_spaces,
    with_what_they_bring,
)
from episodes.files.editing import STUDIO_FILE, Edit, EditError, edited
from episodes.files.episode_text import episode_text
from episodes.files.fitting import Answer, Fitted, fitted
from episodes.files.growing import NewText, current, grown, ids_of
from episodes.files.plan_text import Block
from episodes.files.recipe_files import load_recipes
from episodes.files.setting import Composed
from episodes.model.episode import Episode
from episodes.model.season import Season
from episodes.trade.builds import Build

KINDS = ("job", "parcel", "shot", "fallback")
"""What shares the ids of an episode."""
SOON = 28 * 1440
"""A release nearer than four weeks is not proposed: most builds take that long."""
_MONTHS_AHEAD = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """The season that is drafted for, and how a draft of it is planned.

    Attributes:
        answer: plans a season; raises PlanError where it cannot be.
    """

    folder: Path
    clock: int
    now: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafted(Generic[Answer]):
    """A draft: the files as they would be, and what the plan says of them."""

    texts: tuple[NewText, ...]
    fitted: Fitted[Answer]


def with_recipe(
    place: Place,
    season: Season,
    episode: Episode,
    built: Build,
    answer: Callable[[Season], Answer],
    *,
    who: Iterable[str] = (),
    workshop: str | None = None,
) -> Drafted[Answer]:
    """An episode with a recipe more.

    Args:
        who: who builds; the studio's first two people without it.
        workshop: where wood is cut; what looks like one without it.

    Raises:
        DraftError: somebody named is not of this studio.
        PlanError: it cannot be planned.
    """
    studio = season.studio
    builds = with_what_they_bring([built], around=False)
    text = current(place.folder, episode.file)
    if text is None:
        raise EditError(f"{episode.file} is not there any more")
    known = {space.id: space.title for space in studio.spaces}
    room = episode.room or next(iter(known), "room")
    places = places_of(known, room, workshop=workshop, desk=None, new=False)
    lacks = needs_of(studio, builds, used_spaces(builds, places, known), ())
    setting = setting_of(
        studio, current(place.folder, STUDIO_FILE) or "", lacks=lacks, places=places,
        people=chosen_people(studio, who),
    )  # fmt: skip
    jobs = {job.id for job in episode.jobs}
    there = {
        id: recipe.job
        for id, recipe in load_recipes().items()
        if recipe.job in jobs and id != built.recipe.id
    }
    taken = ids_of(text, KINDS)

    def texts(composed: Composed) -> list[NewText]:
        after = grown(text, composed.blocks, file=episode.file)
        after = _closing_jobs_wait(after, there, [job.id for job in composed.jobs], episode.file)
        return with_studio(place.folder, [NewText(episode.file, text, after)], lacks.missing)

    found = fitted(
        place.folder,
        lambda fitting: compose(builds, setting, fitting, taken=taken, jobs=there),
        texts,
        answer,
        clock=place.clock,
        now=place.now,
    )
    return Drafted(texts=found.texts, fitted=found)


def _closing_jobs_wait(text: str, there: dict[str, str], jobs: list[str], file: str) -> str:
    """Styling and the string-out, where the episode has them, wait for the new jobs too."""
    for closing in ("clean-and-style", "string-out"):
        if closing in there:
            for job in jobs:
                edit = Edit(kind="job", id=there[closing], key="after", value=job, add=True)
                text = edited(text, [edit], file=file)
    return text


def with_studio(folder: Path, texts: Sequence[NewText], missing: Sequence[Block]) -> list[NewText]:
    """The texts, and before them the studio's with what it lacks, if it lacks anything."""
    if not missing:
        return list(texts)
    studio = current(folder, STUDIO_FILE) or ""
    return [NewText(STUDIO_FILE, studio, grown(studio, missing, file=STUDIO_FILE)), *texts]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A new episode or idea as it is asked for.

    Attributes:
        month: of its release, YYYY-MM; an idea is planned in it too, to see whether it holds.
        idea: goes into ideas/.
        budget: as written; "" for none.
        people: who builds; empty: the studio's first two.
        around: befores, clearing, styling, reveal, edit and what follows with it.
        new_places: a workshop is made where there is none.
    """

    slug: str
    title: str
    month: str
    builds: tuple[Build, ...]
    room: str
    idea: bool = False
    budget: str = ""
    people: tuple[str, ...] = ()
    workshop: str | None = None
    desk: str | None = None
    around: bool = True
    new_places: bool = False

    @property
    def file(self) -> str:
        return f"ideas/{self.slug}.toml" if self.idea else f"{self.month}-{self.slug}.toml"


def new_episode(
    place: Place,
    season: Season,
    wanted: Wanted,
    answer: Callable[[Season], Answer],
    *,
    studio_before: str | None,
    studio_with: Callable[[Sequence[Block]], str],
    studio_start: str,
) -> Drafted[Answer]:
    """A new episode's file, and the studio's with what it lacks.

    Args:
        studio_before: the studio's file as it is; None where there is none yet.
        studio_with: its text with tables more.
        studio_start: its text without them.

    Raises:
        DraftError: the file is there already, or somebody named is not of this studio.
        PlanError: it cannot be planned.
    """
    studio = season.studio
    builds = with_what_they_bring(wanted.builds, around=wanted.around)
    known = {space.id: space.title for space in studio.spaces}
    places = places_of(
        known, wanted.room, workshop=wanted.workshop, desk=wanted.desk, new=wanted.new_places
    )
    titles = known if wanted.room in known else {wanted.room: wanted.title, **known}
    lacks = needs_of(studio, builds, used_spaces(builds, places, titles), ())
    grown_studio = studio_with(lacks.missing)
    setting = setting_of(
        studio, studio_start, people=chosen_people(studio, wanted.people), places=places,
        lacks=lacks,
    )  # fmt: skip
    if (place.folder / wanted.file).exists():
        raise DraftError(
            f"{wanted.file} is there already and is not written over; take another slug"
        )
    trial_name = f"{wanted.month}-{wanted.slug}.toml"

    def texts(composed: Composed, name: str = trial_name) -> list[NewText]:
        text = episode_text(wanted.title, wanted.room, composed, budget=wanted.budget)
        episode = NewText(name, None, text)
        if grown_studio == studio_before:
            return [episode]
        return [NewText(STUDIO_FILE, studio_before, grown_studio), episode]

    found = fitted(
        place.folder,
        lambda fitting: compose(builds, setting, fitting),
        texts,
        answer,
        clock=place.clock,
        now=place.now,
    )
    return Drafted(texts=tuple(texts(found.composed, wanted.file)), fitted=found)


def next_month(season: Season) -> str:
    """The first month whose release is a good while away and not given to another room.

    Raises:
        DraftError: there is none in the next five years.
    """
    rule = season.studio.release_rule
    here = zone(season.studio.zone)
    given = {episode.id[:7] for episode in season.episodes}
    day = here.day(season.now)
    for ahead in range(_MONTHS_AHEAD):
        year, month = divmod(day.year * 12 + day.month - 1 + ahead, 12)
        text = f"{year:04d}-{month + 1:02d}"
        if text in rule.skip or text in given:
            continue
        if release_of_month(here, rule, text) >= season.now + SOON:
            return text
    raise DraftError("no free month in the next five years; name one")


def check_month(month: str, season: Season) -> None:
    """Refuses a month that no room can be released in.

    Raises:
        DraftError: no month, or one that is skipped or past.
    """
    rule = season.studio.release_rule
    try:
        release = release_of_month(zone(season.studio.zone), rule, month)
    except ValueError as error:
        raise DraftError(str(error)) from None
    if month in rule.skip:
        raise DraftError(f"studio.toml skips {month}: take it out of `skip`, or another month")
    if release <= season.now:
        raise DraftError(f"the release of {month} is past")
