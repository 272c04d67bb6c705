"""The form of a job: what its steps have in common; a new one comes with its first step."""

from typing import TYPE_CHECKING, Any

from episodes.files import writing_words as words
from episodes.screens.forms.add_form import AddForm, borne
from episodes.screens.forms.desk import Desk
from episodes.screens.forms.edit_form import EditForm
from episodes.screens.forms.fields import Field
from episodes.screens.forms.offers import Names
from episodes.screens.forms.step import YES_NO

if TYPE_CHECKING:
    from episodes.files.writing import Op


def job_fields(names: Names) -> list[Field]:
    """The fields of a job, in the order in which they are asked for."""
    return [
        Field(key="title", form=words.TEXT, hint="The piece of work: Folding bench."),
        Field(key="id", hint="Its name in the plan: lower-case letters, digits, -. "
              "Renaming it renames it everywhere."),
        Field(key="who", form=words.WHO, offers=names.of("who"), many=True,
              hint="Who does its steps, where a step does not say."),
        Field(key="where", offers=names.of("spaces"), hint="Where, where a step does not say."),
        Field(key="gear", form=words.COUNTS, offers=names.of("gear"), many=True,
              hint="What its steps keep busy, where a step does not say."),
        Field(key="after", form=words.LINKS, offers=names.of("awaited"), many=True,
              hint="What must be over before its first steps."),
        Field(key="makes", form=words.NAMES, many=True, hint="dust, fumes, noise."),
        Field(key="needs_air", form=words.NAMES, many=True, hint="still, fresh, quiet."),
        Field(key="optional", form=words.FLAG, choices=YES_NO,
              hint="The release does not wait for it."),
        Field(key="fallback_only", form=words.FLAG, choices=YES_NO,
              hint="Takes part only with a way out that uses it."),
        Field(key="cost", form=words.NUMBER, hint="What it costs beside its parcels and steps."),
        Field(key="note", form=words.TEXT, hint="A note of your own."),
    ]  # fmt: skip


class EditJob(EditForm):
    """A job that is there."""

    def __init__(self, desk: Desk, file: str, id: str) -> None:
        """Raises Refused where the file has no such job."""
        episode = desk.episode(file)
        fields = job_fields(Names(desk.season, episode))
        fields.append(Field(key="dropped", form=words.MOMENT, head="Facts",
                            hint="The day on which it was given up."))  # fmt: skip
        room = episode.room if episode and episode.room else ""
        super().__init__(desk, file, "job", id, "Piece of work", fields, inherited={"where": room})


class AddJob(AddForm):
    """A job more, with its steps as lines."""

    kind = "job"
    what = "job"

    def __init__(self, desk: Desk, file: str) -> None:
        episode = desk.episode(file)
        steps = Field(
            key="steps",
            form=words.TEXT,
            hint="Its first step as a line: Cut parts, 2h..3h..6h, builder; or a list.",
        )
        fields = job_fields(Names(desk.season, episode))
        fields.insert(2, steps)
        room = episode.room if episode and episode.room else ""
        super().__init__(
            desk, file, "New: a piece of work", fields, taken=borne(episode),
            inherited={"where": room},
        )  # fmt: skip

    def entries(self) -> dict[str, Any]:
        from episodes.files.writing_lines import steps_of
        from episodes.screens.forms.offers import known_in

        entries = super().entries()
        text = entries.pop("steps", "")
        steps = steps_of(str(text), known_in(self.desk.season))
        entries["step"] = [step.entries for step in steps]
        return entries

    def ops(self) -> "list[Op]":
        from episodes.files.writing import AddTable

        return [AddTable(kind="job", entries=self.entries())]

    def lines(self) -> list[str]:
        from episodes.files.writing_lines import steps_of
        from episodes.screens.forms.lines import echo
        from episodes.screens.forms.offers import known_in

        return echo(steps_of(self.text("steps"), known_in(self.desk.season)))
