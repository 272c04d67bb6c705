"""The form of a step: a new one behind another, or one that is there."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from episodes.amounts import estimate_as_written
from episodes.files import writing_words as words
from episodes.screens.forms.add_form import AddForm
from episodes.screens.forms.desk import Desk
from episodes.screens.forms.edit_form import EditForm
from episodes.screens.forms.fields import Field
from episodes.screens.forms.offers import Names

if TYPE_CHECKING:
    from episodes.files.writing import Op
    from episodes.model.episode import Job, Step

YES_NO = ("true", "false")
DAY_OR = "2027-04-02, 2027-04-02 18:30 or release-14d"


def step_fields(names: Names) -> list[Field]:
    """The fields of a step, in the order in which they are asked for."""
    return [
        Field(key="title", form=words.TEXT, hint="What is done, in a few words."),
        Field(key="id", hint="Its name in the plan: lower-case letters, digits, -. "
              "Renaming it renames it everywhere."),
        Field(key="hands", hint="Hands-on time: 45min, 2h..3h..6h (good day..likely..bad day)."),
        Field(key="wait", hint="Time that passes by itself instead: 24h, 2d."),
        Field(key="who", form=words.WHO, offers=names.of("who"), many=True,
              hint="Who does it, all of them together; any_of host, builder: one of them."),
        Field(key="where", offers=names.of("spaces"), hint="The space it is done in."),
        Field(key="gear", form=words.COUNTS, offers=names.of("gear"), many=True,
              hint="What it keeps busy: camera, or clamps = 4."),
        Field(key="after", form=words.LINKS, offers=names.of("awaited"), many=True,
              hint="What must be over first, in the place of the step before it: lumber, "
              "glue gap 2h, spray within 1h or_after 24h, seal stage cure."),
        Field(key="also_after", form=words.LINKS, offers=names.of("awaited"), many=True,
              hint="The same, on top of the step before it."),
        Field(key="before", form=words.NAMES, offers=names.of("awaited"), many=True,
              hint="What waits for this."),
        Field(key="coat", offers=names.of("products"), head="Coat",
              hint="The product that it puts a coat of on; its drying is planned."),
        Field(key="surface", hint="Coats of one surface keep their recoat times."),
        Field(key="dries", form=words.PAIRS, many=True,
              hint="Times from the tin: touch = 1h, recoat = 4h, recoat_by = 24h, handle = 1d, "
              "cure = 7d; window = 1h and 24h."),
        Field(key="opens_window", form=words.FLAG, choices=YES_NO,
              hint="After it the longest recoat time does not count: a scuff sand."),
        Field(key="makes", form=words.NAMES, many=True, head="Air and light",
              hint="What it makes: dust, fumes, noise."),
        Field(key="needs_air", form=words.NAMES, many=True,
              hint="What it needs: still (no dust), fresh (no fumes), quiet (no noise)."),
        Field(key="does", form=words.NAMES, many=True,
              hint="What a space may forbid: holes, paint."),
        Field(key="light", choices=("day", "dark"), hint="Only by daylight, or only in the dark."),
        Field(key="one_go", form=words.FLAG, choices=YES_NO, head="How and when",
              hint="In one opening, without a pause."),
        Field(key="alone", form=words.FLAG, choices=YES_NO, hint="Nobody else in its space."),
        Field(key="optional", form=words.FLAG, choices=YES_NO,
              hint="The release does not wait for it."),
        Field(key="not_before", form=words.MOMENT, hint=f"Starts no earlier: {DAY_OR}."),
        Field(key="not_after", form=words.MOMENT, hint=f"Over no later: {DAY_OR}."),
        Field(key="at", form=words.MOMENT, hint="Starts then: 2027-04-02 18:30."),
        Field(key="cost", form=words.NUMBER, hint="What it costs; negative is income."),
        Field(key="caution", form=words.TEXT, hint="Shown wherever the step is shown."),
        Field(key="note", form=words.TEXT, hint="A note of your own."),
        Field(key="link", hint="Where to look: an address."),
    ]  # fmt: skip


def fact_fields() -> list[Field]:
    """What has happened to a step; for putting a slip of the pen right."""
    hint = "A day or an instant, 2027-04-02 18:30; never later than now."
    return [
        Field(key="started", form=words.MOMENT, head="Facts", hint=hint),
        Field(key="left", hint="Hands-on time still to do: 2h."),
        Field(key="done", form=words.MOMENT, hint=hint),
        Field(key="took", hint="Hands-on time it took: 3h30."),
        Field(key="failed", form=words.MOMENT, hint="The day on which it had to be done again."),
        Field(key="dropped", form=words.MOMENT, hint="The day on which it was given up."),
    ]


class EditStep(EditForm):
    """A step that is there."""

    def __init__(self, desk: Desk, file: str, id: str) -> None:
        """Raises Refused where the file has no such step."""
        episode = desk.episode(file)
        job_id = id.partition(".")[0]
        names = Names(desk.season, episode, job_id)
        job = next((each for each in (episode.jobs if episode else ()) if each.id == job_id), None)
        step = next((each for each in (job.steps if job else ()) if each.id == id), None)
        super().__init__(
            desk, file, "step", id, f"Step of {job.title if job else job_id}",
            [*step_fields(names), *fact_fields()],
            inherited=_inherited(job, step),
        )  # fmt: skip


class AddStepForm(AddForm):
    """A new step of a job, behind one of its steps."""

    kind = "step"
    what = "step"

    def __init__(
        self,
        desk: Desk,
        file: str,
        job: str,
        after: str | None,
        start: Mapping[str, str] | None = None,
    ) -> None:
        """
        Args:
            after: own id of the step that it goes behind; "" before all, None at the end.
        """
        episode = desk.episode(file)
        found = next((each for each in (episode.jobs if episode else ()) if each.id == job), None)
        self.job = job
        self.after = after
        steps = found.steps if found else ()
        super().__init__(
            desk, file, _heading(found, job, after),
            step_fields(Names(desk.season, episode, job)),
            taken={step.id.partition(".")[2] for step in steps},
            start=start,
            inherited=_inherited(found, None),
        )  # fmt: skip

    @property
    def full_id(self) -> str:
        return f"{self.job}.{self.id}"

    def ops(self) -> "list[Op]":
        from episodes.files.writing import AddStep

        return [AddStep(job=self.job, entries=self.entries(), after=self.after)]


def _heading(job: "Job | None", id: str, after: str | None) -> str:
    title = job.title if job else id
    steps = job.steps if job else ()
    behind = next((step.title for step in steps if step.id == f"{id}.{after}"), "")
    if behind:
        return f"New step of {title}, after {behind}"
    return f"New step of {title}, {'last' if after is None else 'first'}"


def _inherited(job: "Job | None", step: "Step | None") -> dict[str, str]:
    """What holds where a field is empty, as far as the model tells."""
    said: dict[str, str] = {}
    like: Sequence[Step] = (step,) if step is not None else job.steps if job else ()
    if like:
        model = like[0]
        ids = ", ".join(model.who.people)
        if ids and (step is not None or len({each.who for each in like}) == 1):
            said["who"] = f"{'any_of ' if model.who.any_of else ''}{ids}"
        if model.where and (step is not None or len({each.where for each in like}) == 1):
            said["where"] = model.where
    if step is not None:
        said["gear"] = ", ".join(id if n == 1 else f"{id} = {n}" for id, n in step.gear)
        said["makes"] = ", ".join(sorted(step.makes))
        said["needs_air"] = ", ".join(sorted(step.needs_air))
        said["one_go"] = "true" if step.one_go else ""
        if step.hands is not None:
            said["hands"] = estimate_as_written(step.hands)
        elif step.wait is not None:
            said["wait"] = estimate_as_written(step.wait)
    if job is not None:
        before = ""
        for each in job.steps:
            if step is not None and each.id == step.id:
                break
            before = each.title
        if step is not None and before:
            said["after"] = f"the step before it: {before}"
    return {key: value for key, value in said.items() if value}
