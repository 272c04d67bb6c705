"""A recipe with sizes: chosen, its sizes filled in, its steps, hours and shopping seen, put in."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from episodes.amounts import length_in_words
from episodes.files import writing_words as words
from episodes.screens.forms.desk import Desk, Refused
from episodes.screens.forms.fields import Field, Offer, Typed
from episodes.screens.forms.form import Form, Outcome
from episodes.screens.forms.offers import Names

if TYPE_CHECKING:
    from episodes.files.writing import Op
    from episodes.trade.builds import Build
    from episodes.trade.recipes import Recipe, Size


class RecipeForm(Form):
    """One more recipe in an episode."""

    enters = "put it in"

    def __init__(self, desk: Desk, file: str) -> None:
        """Raises Refused where the episode cannot be read."""
        episode = desk.episode(file)
        if episode is None:
            raise Refused(f"{file} cannot be read")
        self._season = desk.season
        self._episode = episode
        self._names = Names(self._season, episode)
        self._recipe: Recipe | None = None
        self._built: Build | None = None
        self._jobs = ""
        recipe = Field(key="recipe", offers=recipes,
                       hint="What is built. Type a part of its name; Tab completes.")  # fmt: skip
        super().__init__(desk, file, f"A recipe for {episode.title}", [Typed(recipe, None)])

    # -- fields

    def typed(self) -> None:
        super().typed()
        chosen = recipe_of(self.text("recipe"))
        if chosen is not self._recipe:
            self._recipe = chosen
            self.fields[1:] = [] if chosen is None else self._fields_of(chosen)
        self._work_out()

    def _fields_of(self, recipe: "Recipe") -> list[Typed]:
        found = []
        for number, size in enumerate(recipe.sizes):
            field = size_field(size, "Sizes" if not number else "")
            typed = Typed(field, None)
            typed.inherited = usual(size)
            found.append(typed)
        people = self._season.studio.people
        who = Field(key="who", form=words.NAMES, offers=self._names.of("people"), many=True,
                    head="Who and where", hint="Who builds it.")  # fmt: skip
        workshop = Field(key="workshop", offers=self._names.of("spaces"),
                         hint="Where wood is cut and pieces are painted.")  # fmt: skip
        found += [Typed(who, None), Typed(workshop, None)]
        found[-2].inherited = ", ".join(person.id for person in people[:2])
        return found

    def _work_out(self) -> None:
        """The recipe for the sizes typed; what is wrong with one is said below it."""
        from episodes.files.recipe_words import RecipeWordsError, number_of, sized

        self._built = None
        recipe, units = self._recipe, self._season.studio.units
        for each in self.fields:
            each.faults = ()
        if recipe is None:
            return
        given: dict[str, str] = {}
        wrong = False
        for size in recipe.sizes:
            field = self[size.id]
            if not field.text.strip():
                continue
            try:
                number_of(field.text, size, units)
                sized(recipe, {size.id: field.text}, units)
                given[size.id] = field.text
            except RecipeWordsError as error:
                field.faults = (f"{error}.",)
                wrong = True
        if not wrong:
            try:
                self._built = sized(recipe, given, units)
            except RecipeWordsError as error:
                self.faults = (f"{error}.",)

    def look(self) -> None:
        self.stale = False
        self.faults = ()
        self._work_out()

    def lines(self) -> Sequence[str]:
        return [] if self._built is None else ["", *told(self._built)]

    # -- putting it in

    def ops(self) -> "list[Op]":
        return []

    def save(self) -> Outcome | None:
        from episodes.files.drafts import with_recipe

        self.typed()
        built = self._built
        if built is None:
            self.said = "Choose a recipe first." if self._recipe is None else ""
            return None
        season = self.desk.season
        episode = self.desk.episode(self.file)
        try:
            if episode is None:
                raise Refused(f"{self.file} is not there any more")
            with self.desk.refusing():
                drafted = with_recipe(
                    self.desk.place, season, episode, built, self.desk.answered,
                    who=words.listed(self.text("who")), workshop=self.text("workshop") or None,
                )  # fmt: skip
            self._jobs = ", ".join(job.id for job in drafted.fitted.composed.jobs)
            self.desk.write(drafted.texts, self.in_words())
        except Refused as error:
            self._show_faults(error.problems)
            self.said = f"Not written: {error}"
            return None
        return self.outcome()

    def in_words(self) -> str:
        assert self._built is not None
        hours = length_in_words(self._built.hands.likely)
        return f"{self._built.recipe.title}: added as {self._jobs or 'shots'}, likely {hours}"

    def outcome(self) -> Outcome:
        return Outcome(said=self.in_words(), episode=self._episode.id)


def recipes() -> list[Offer]:
    """Every recipe with its title."""
    from episodes.files.recipe_files import load_recipes

    return [Offer(id, recipe.title) for id, recipe in load_recipes().items()]


def recipe_of(text: str) -> "Recipe | None":
    """The recipe that is typed in full; None for anything else."""
    from episodes.files.recipe_files import load_recipes

    return load_recipes().get(text)


def size_field(size: "Size", head: str = "") -> Field:
    """The field of a recipe's size."""
    from episodes.trade.builds import decimal, unit_words

    span = f"{decimal(size.lowest)} to {decimal(size.highest)}{unit_words(size)}"
    return Field(key=size.id, head=head, hint=f"{size.title}: {span}.")


def usual(size: "Size") -> str:
    """A size's usual value, with its unit."""
    from episodes.trade.builds import decimal, unit_words

    return f"{decimal(size.default)}{unit_words(size)}"


def told(built: "Build") -> list[str]:
    """What a recipe comes to at its sizes: hours, steps, shopping, shots, what can hurt."""
    from episodes.files.cautions import cautions_of
    from episodes.files.recipe_files import load_comings
    from episodes.trade.builds import BuiltStep

    low, likely, high = (
        length_in_words(each) for each in (built.hands.low, built.hands.likely, built.hands.high)
    )
    lines = []
    if built.hands.likely:
        lines.append(f"Likely {likely} of work; a good run {low}, a bad one {high}.")

    def length(step: BuiltStep) -> str:
        if step.hands is None:
            return f"waits {step.recipe.wait}"
        return length_in_words(step.hands.likely)

    steps = "; ".join(f"{step.recipe.title} {length(step)}" for step in built.steps)
    if steps:
        lines.append(f"{len(built.steps)} steps: {steps}.")
    comings = load_comings()
    buys = "; ".join(
        f"{each.words} ({comings[each.buy.kind].title}, {comings[each.buy.kind].lead})"
        for each in built.purchases
    )
    if buys:
        lines.append(f"To buy: {buys}.")
    if built.shots:
        lines.append(f"To film: {'; '.join(shot.recipe.title for shot in built.shots)}.")
    tags = dict.fromkeys(tag for step in built.steps for tag in step.recipe.cautions)
    care = [caution.text for caution in cautions_of(tuple(tags))]
    if care:
        lines.append(f"Take care: {' '.join(care)}")
        lines.append("Your local code, your lease and the product's own sheet come before this.")
    return lines
