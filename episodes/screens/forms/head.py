"""The form of an episode's head: title, release, room, money."""

from episodes.files import writing_words as words
from episodes.screens.forms.desk import Desk
from episodes.screens.forms.edit_form import EditForm
from episodes.screens.forms.fields import Field
from episodes.screens.forms.offers import Names
from episodes.screens.forms.step import DAY_OR


def head_fields(names: Names) -> list[Field]:
    """The fields of an episode itself."""
    return [
        Field(key="title", form=words.TEXT, hint="What the room is called in the film."),
        Field(key="release", form=words.MOMENT,
              hint="A month 2027-05 (its release day by the studio's rule), a day, or an instant."),
        Field(key="room", offers=names.of("spaces"), hint="The space it is about."),
        Field(key="budget", form=words.NUMBER, hint="What it may cost."),
        Field(key="may_start", form=words.MOMENT,
              hint=f"No work and no shot before: {DAY_OR}."),
        Field(key="note", form=words.TEXT, hint="A note of your own."),
        Field(key="released", form=words.MOMENT, head="Facts",
              hint="When it was out: then it is out of planning too."),
    ]  # fmt: skip


class EditHead(EditForm):
    """The head of an episode or idea."""

    def __init__(self, desk: Desk, file: str) -> None:
        """Raises Refused where there is no such file."""
        from episodes.files.writing_names import episode_of

        episode = desk.episode(file)
        id = episode_of(file)
        inherited = {"title": id}
        if not file.startswith("ideas/"):
            inherited["release"] = f"the month of its file, {id[:7]}"
        super().__init__(
            desk, file, "episode", "", f"The room {id}", head_fields(Names(desk.season, episode)),
            inherited=inherited,
        )  # fmt: skip

    def subjects(self) -> frozenset[str]:
        return frozenset({""})

    @property
    def name(self) -> str:
        return self.text("title") or self["title"].inherited
