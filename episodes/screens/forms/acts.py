"""Which form is opened for what is selected: one function a form."""

from collections.abc import Callable

from episodes.screens.forms.desk import Desk, Refused
from episodes.screens.forms.form import Form
from episodes.screens.page import Target

Act = Callable[[Desk, Target], Form]
"""Makes the form for what is selected; raises Refused where there is none."""
SHOWN = {"step": "step", "dry": "step", "parcel": "parcel", "shot": "shot"}
"""What the plan files call what the pages show."""


def id_of(target: Target) -> str:
    """The id of what is selected; of drying that of its coat."""
    return target.id.removesuffix(".dry") if target.kind == "dry" else target.id


def edit(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.head import EditHead
    from episodes.screens.forms.parcel import EditParcel
    from episodes.screens.forms.shot import EditShot
    from episodes.screens.forms.step import EditStep

    file = desk.file_of(target.episode)
    match target.kind:
        case "step" | "dry":
            return EditStep(desk, file, id_of(target))
        case "parcel":
            return EditParcel(desk, file, target.id)
        case "shot":
            return EditShot(desk, file, target.id)
        case _:
            return EditHead(desk, file)


def move(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.move import MoveForm

    if target.kind not in ("step", "dry"):
        raise Refused("only a step can be moved")
    return MoveForm(desk, desk.file_of(target.episode), id_of(target))


def new_step(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.step import AddStepForm

    job, after = place(desk, target)
    return AddStepForm(desk, desk.file_of(target.episode), job, after)


def new_lines(desk: Desk, target: Target, text: str = "") -> Form:
    from episodes.screens.forms.lines import AddLines

    job, after = place(desk, target)
    return AddLines(desk, desk.file_of(target.episode), job, after, text)


def place(desk: Desk, target: Target) -> tuple[str, str | None]:
    """The job that a new step belongs to, and the step that it goes behind (None: the last)."""
    if target.kind in ("step", "dry"):
        job, _, step = id_of(target).partition(".")
        return job, step
    episode = desk.episode(desk.file_of(target.episode))
    if episode is None or not episode.jobs:
        raise Refused("there is no job yet that a step could belong to; i, j makes one")
    if target.kind == "shot":
        of = next((each.of for each in episode.shots if each.id == target.id), None)
        if of is not None:
            job, _, step = of.id.partition(".")
            return job, step or None
    return episode.jobs[-1].id, None


def _its_job(desk: Desk, target: Target) -> str:
    """The job of what is selected."""
    if target.kind not in ("step", "dry", "shot"):
        raise Refused("select a step of the job first")
    return place(desk, target)[0]


def new_parcel(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.parcel import AddParcel

    step = id_of(target) if target.kind in ("step", "dry") else ""
    return AddParcel(desk, desk.file_of(target.episode), step)


def new_shot(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.shot import AddShot

    of = id_of(target) if target.kind in ("step", "dry") else ""
    return AddShot(desk, desk.file_of(target.episode), of)


def new_link(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.link import AddLinkForm

    if target.kind not in SHOWN:
        raise Refused("select the step, box or shot that is to wait")
    return AddLinkForm(desk, desk.file_of(target.episode), SHOWN[target.kind], id_of(target))


def new_job(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.job import AddJob

    return AddJob(desk, desk.file_of(target.episode))


def new_way(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.fallback import AddFallback

    return AddFallback(desk, desk.file_of(target.episode))


def new_recipe(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.recipe import RecipeForm

    return RecipeForm(desk, desk.file_of(target.episode))


def new_room(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.room import RoomForm

    return RoomForm(desk, idea=False)


def new_idea(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.room import RoomForm

    return RoomForm(desk, idea=True)


def edit_job(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.job import EditJob

    job = _its_job(desk, target)
    return EditJob(desk, desk.file_of(target.episode), job)


def edit_head(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.head import EditHead

    return EditHead(desk, desk.file_of(target.episode))


def remove(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.remove import RemoveForm

    if target.kind not in SHOWN:
        raise Refused("only a step, a box or a shot can be removed with X; i has jobs and more")
    return RemoveForm(desk, desk.file_of(target.episode), SHOWN[target.kind], id_of(target))


def remove_job(desk: Desk, target: Target) -> Form:
    from episodes.screens.forms.remove import RemoveForm

    job = _its_job(desk, target)
    return RemoveForm(desk, desk.file_of(target.episode), "job", job)


def edit_way(desk: Desk, target: Target, id: str) -> Form:
    from episodes.screens.forms.fallback import EditFallback

    return EditFallback(desk, desk.file_of(target.episode), id)


def remove_way(desk: Desk, target: Target, id: str) -> Form:
    from episodes.screens.forms.remove import RemoveForm

    return RemoveForm(desk, desk.file_of(target.episode), "fallback", id)
