"""A new room from recipes: an episode with its month, or an idea that has none yet."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from episodes.amounts import length_in_words
from episodes.files import writing_words as words
from episodes.screens.forms.desk import Desk, Refused
from episodes.screens.forms.fields import Field, Typed
from episodes.screens.forms.form import Form, Outcome
from episodes.screens.forms.offers import Names
from episodes.screens.forms.recipe import recipes
from episodes.screens.forms.step import YES_NO

if TYPE_CHECKING:
    from episodes.files.drafts import Wanted
    from episodes.files.writing import Op
    from episodes.trade.builds import Build


class RoomForm(Form):
    """A new episode, or a new idea."""

    enters = "write it"

    def __init__(self, desk: Desk, *, idea: bool) -> None:
        """Raises Refused where no season can be read."""
        from episodes.files.drafts import next_month

        self.idea = idea
        self._season = desk.season
        names = Names(self._season, None)
        self._builds: tuple[Build, ...] = ()
        with desk.refusing():
            self._month = next_month(self._season)
        fields = [
            Field(key="title", form=words.TEXT, hint="What the room is called: Home office."),
            Field(key="slug", hint="Its name as a file: lower-case letters, digits, -."),
            Field(key="month", hint="Of its release: 2027-09.", fixed=idea),
            Field(key="room", offers=names.of("spaces"),
                  hint="The space it is about; a new one is put into studio.toml."),
            Field(key="budget", form=words.NUMBER, hint="What it may cost."),
            Field(key="recipes", offers=recipes, many=True, form=words.NAMES,
                  hint="What is built: paint-walls area=38 coats=2, cubbies n=4. Sizes can follow "
                  "a name; more later."),
            Field(key="around", form=words.FLAG, choices=YES_NO,
                  hint="With what every room has: befores, clearing, styling, reveal, edit."),
            Field(key="who", form=words.NAMES, offers=names.of("people"), many=True,
                  hint="Who builds."),
            Field(key="workshop", offers=names.of("spaces"),
                  hint="Where wood is cut and pieces are painted."),
        ]  # fmt: skip
        title = "A new idea: a room without a month" if idea else "A new room"
        super().__init__(desk, "", title, [Typed(field, None) for field in fields])
        people = self._season.studio.people
        self["who"].inherited = ", ".join(person.id for person in people[:2])
        self["around"].inherited = "true"
        self.typed()

    def typed(self) -> None:
        super().typed()
        self["slug"].inherited = self.slug
        self["room"].inherited = self.slug
        self["month"].inherited = "none yet" if self.idea else self._month
        self._work_out()

    @property
    def slug(self) -> str:
        from episodes.files.writing_lines import free_id

        return self.text("slug") or free_id(self.text("title") or "room", ())

    def _work_out(self) -> None:
        from episodes.files.recipe_words import RecipeWordsError, build_of

        self._builds = ()
        field = self["recipes"]
        field.faults = ()
        builds = []
        for part in words.listed(field.text):
            name, *sizes = part.split()
            try:
                typed = f"{name}:{','.join(sizes)}" if sizes else name
                builds.append(build_of(typed, self._season.studio.units))
            except RecipeWordsError as error:
                field.faults = (f"{error}.",)
                return
        self._builds = tuple(builds)

    def look(self) -> None:
        self.stale = False
        self._work_out()

    def lines(self) -> Sequence[str]:
        return [
            f"{built.recipe.title}: {len(built.steps)} steps, likely "
            f"{length_in_words(built.hands.likely)}"
            for built in self._builds
        ]

    def _wanted(self) -> "Wanted":
        from episodes.files.drafts import Wanted

        return Wanted(
            slug=self.slug,
            title=self.text("title") or self.slug,
            month=self.text("month") or self._month,
            builds=self._builds,
            room=self.text("room") or self.slug,
            idea=self.idea,
            budget=self.text("budget"),
            people=tuple(words.listed(self.text("who"))),
            workshop=self.text("workshop") or None,
            around=self["around"].value is not False,
        )

    def ops(self) -> "list[Op]":
        return []

    def save(self) -> Outcome | None:
        from episodes.files.drafts import check_month, new_episode
        from episodes.files.editing import STUDIO_FILE
        from episodes.files.growing import grown

        self._work_out()
        if self["recipes"].faults:
            return None
        if not self.text("title") and not self.text("slug"):
            self.said = "Give it a title."
            return None
        wanted = self._wanted()
        self.file = wanted.file
        season = self.desk.season
        before = self.desk.texts().get(STUDIO_FILE, "")
        try:
            with self.desk.refusing():
                check_month(wanted.month, season)
                drafted = new_episode(
                    self.desk.place, season, wanted, self.desk.answered,
                    studio_before=before, studio_start=before,
                    studio_with=lambda missing: grown(before, missing, file=STUDIO_FILE),
                )  # fmt: skip
            self.desk.write(drafted.texts, self.in_words())
        except Refused as error:
            self.said = f"Not written: {error}"
            return None
        return self.outcome()

    def in_words(self) -> str:
        return f"{self._wanted().file}: new {'idea' if self.idea else 'episode'}"

    def outcome(self) -> Outcome:
        wanted = self._wanted()
        episode = "" if self.idea else f"{wanted.month}-{wanted.slug}"
        return Outcome(said=self.in_words(), episode=episode)
