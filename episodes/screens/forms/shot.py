"""The form of a shot: something to film."""

from episodes.files import writing_words as words
from episodes.screens.forms.add_form import AddTableForm, borne
from episodes.screens.forms.desk import Desk
from episodes.screens.forms.edit_form import EditForm
from episodes.screens.forms.fields import Field
from episodes.screens.forms.offers import Names
from episodes.screens.forms.step import DAY_OR, YES_NO

USUAL = "15min"


def shot_fields(names: Names) -> list[Field]:
    """The fields of a shot, in the order in which they are asked for."""
    return [
        Field(key="title", form=words.TEXT, hint="What is seen, in a few words."),
        Field(key="id", hint="Its name in the plan: lower-case letters, digits, -. "
              "Renaming it renames it everywhere."),
        Field(key="of", offers=names.of("filmed"),
              hint="What it shows: a job, a step bench.cut; empty: the room."),
        Field(key="when", choices=("before", "during", "after"),
              hint="Before what it shows, while that is done, or after it."),
        Field(key="hands", hint="How long it takes to film: 20min."),
        Field(key="once", form=words.FLAG, choices=YES_NO,
              hint="It can't be taken again later."),
        Field(key="light", choices=("day", "dark"), hint="Only by daylight, or only in the dark."),
        Field(key="who", form=words.WHO, offers=names.of("who"), many=True,
              hint="Who films; nobody: a camera left running."),
        Field(key="where", offers=names.of("spaces"),
              hint="The space; else that of what it shows, else the room."),
        Field(key="gear", form=words.COUNTS, offers=names.of("gear"), many=True,
              hint="What it keeps busy: camera."),
        Field(key="after", form=words.LINKS, offers=names.of("awaited"), many=True,
              hint="What must be over first beside what it shows."),
        Field(key="before", form=words.NAMES, offers=names.of("awaited"), many=True,
              hint="What waits for it: bench.seal-1."),
        Field(key="needs_air", form=words.NAMES, many=True,
              hint="quiet: speech is recorded; fresh: no fumes; still: no dust."),
        Field(key="covers", offers=names.of("shots"),
              hint="Stands in when that shot is lost; not planned until then."),
        Field(key="one_go", form=words.FLAG, choices=YES_NO, hint="In one opening, with no pause."),
        Field(key="alone", form=words.FLAG, choices=YES_NO, hint="Nobody else in its space."),
        Field(key="optional", form=words.FLAG, choices=YES_NO,
              hint="The release does not wait for it."),
        Field(key="not_before", form=words.MOMENT, hint=f"Begins no earlier: {DAY_OR}."),
        Field(key="not_after", form=words.MOMENT, hint=f"Taken no later: {DAY_OR}."),
        Field(key="at", form=words.MOMENT, hint="Begins then: 2027-04-02 18:30."),
        Field(key="caution", form=words.TEXT, hint="Shown wherever the shot is shown."),
        Field(key="note", form=words.TEXT, hint="A note of your own."),
        Field(key="link", hint="Where to look: an address."),
    ]  # fmt: skip


def fact_fields() -> list[Field]:
    """What has happened to a shot; for putting a slip of the pen right."""
    day = "A day or an instant, 2027-04-02 18:30; never later than now."
    return [
        Field(key="taken", form=words.MOMENT, head="Facts", hint=day),
        Field(key="backed_up", form=words.FLAG, choices=YES_NO, hint="There is a second copy."),
        Field(key="lost", form=words.MOMENT, hint="The day on which the footage was gone."),
        Field(key="dropped", form=words.MOMENT, hint="The day on which it was given up."),
    ]


class EditShot(EditForm):
    """A shot that is there."""

    def __init__(self, desk: Desk, file: str, id: str) -> None:
        """Raises Refused where the file has no such shot."""
        episode = desk.episode(file)
        found = next((each for each in (episode.shots if episode else ()) if each.id == id), None)
        inherited = {"when": "after", "of": "the room", "one_go": "true"}
        if found is not None:
            inherited["who"] = ", ".join(found.who.people)
            inherited["where"] = found.where or ""
            inherited["gear"] = ", ".join(id if n == 1 else f"{id} = {n}" for id, n in found.gear)
        fields = [*shot_fields(Names(desk.season, episode)), *fact_fields()]
        super().__init__(desk, file, "shot", id, "What is filmed", fields, inherited=inherited)


class AddShot(AddTableForm):
    """A shot more, of what was selected."""

    what = "shot"
    kind = "shot"

    def __init__(self, desk: Desk, file: str, of: str = "") -> None:
        """
        Args:
            of: the step or job that it is proposed to show, "" for the room.
        """
        episode = desk.episode(file)
        super().__init__(
            desk, file, "New: what is filmed", shot_fields(Names(desk.season, episode)),
            taken=borne(episode), start={"of": of, "hands": USUAL},
            inherited={"when": "after", "of": "the room", "one_go": "true"},
        )  # fmt: skip
