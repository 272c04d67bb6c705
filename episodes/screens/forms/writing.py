"""Keys that write the plan: edit, add, move, remove; each opens a form over the page."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from episodes.answers.rows import EpisodeAnswer
from episodes.screens import wording
from episodes.screens.forms import acts
from episodes.screens.forms.acts import Act
from episodes.screens.forms.desk import Desk, Refused
from episodes.screens.forms.form import Form, Outcome
from episodes.screens.page import Key, Target, key
from episodes.screens.picker import Choice, Picker

if TYPE_CHECKING:
    from episodes.screens.app import EpisodesApp

_MENU: tuple[tuple[str, str, str, Act], ...] = (
    ("s", "New step", "behind the one that is selected", acts.new_step),
    ("l", "New steps, a line each", "a list typed or pasted", acts.new_lines),
    ("p", "New box", "what must come: a delivery, a yes", acts.new_parcel),
    ("t", "New shot", "what is filmed", acts.new_shot),
    ("w", "New link", "what the selected thing waits for", acts.new_link),
    ("j", "New job", "a piece of work with its steps", acts.new_job),
    ("f", "New way out", "what you would accept, its price", acts.new_way),
    ("r", "Recipe with sizes", "steps, shopping and shots at once", acts.new_recipe),
    ("N", "New room", "an episode with its month", acts.new_room),
    ("I", "New idea", "a room that has no month yet", acts.new_idea),
    ("J", "Change its job", "of what is selected", acts.edit_job),
    ("H", "Change the room's head", "title, release, room, money", acts.edit_head),
    ("K", "Remove its job", "with its steps", acts.remove_job),
)
_ALONE = (acts.new_room, acts.new_idea)
"""What needs no room to be there."""


class Writing:
    """Opens the forms, and shows what they have written.

    Args:
        desk: the season's files; None where there are none to write.
    """

    def __init__(self, app: "EpisodesApp", desk: Desk | None) -> None:
        self._app = app
        self._desk = desk

    def keys(self) -> tuple[Key, ...]:
        return (
            key(
                "E",
                "shift+e",
                shown="E",
                text="change what is selected: a step, box, shot; a release: the room's head",
                run=lambda _: self._with(acts.edit),
            ),
            key(
                "i",
                shown="i",
                text="add to the plan: steps, boxes, shots, jobs, links, ways out, recipes, "
                "rooms; change a job or a way out",
                run=lambda _: self._menu(),
            ),
            key(
                "M",
                "shift+m",
                shown="M",
                text="move this step up or down, or into another job",
                run=lambda _: self._with(acts.move),
            ),
            key(
                "X",
                "shift+x",
                shown="X",
                text="remove what is selected from the plan; what waits for it is bridged",
                run=lambda _: self._with(acts.remove),
            ),
        )

    def hints(self) -> tuple[tuple[str, str], ...]:
        """For the key line."""
        return (("E", "edit"), ("i", "add"), ("X", "remove")) if self._desk is not None else ()

    def entries(self) -> tuple[tuple[str, Callable[[], None]], ...]:
        """Everything of the menu by name, for those who look for it by name."""
        if self._desk is None:
            return ()
        return (
            *((f"{name}: {text}", lambda act=act: self._with(act)) for _, name, text, act in _MENU),
            ("Change a way out", lambda: self._way(acts.edit_way)),
            ("Remove a way out", lambda: self._way(acts.remove_way)),
        )

    # -- opening forms

    @property
    def _target(self) -> Target:
        return self._app.page.target() or Target(self._app.sitting.room, "episode")

    def _with(self, act: Act) -> None:
        """Opens the form for what is selected, or says why there is none."""
        target = self._target
        if self._desk is None:
            self._app.say("There are no plan files here to write.")
        elif not target.episode and act not in _ALONE:
            self._app.say("No room is planned here yet: i, then N, makes one.")
        else:
            try:
                self.open(act(self._desk, target))
            except Refused as error:
                self._app.say(f"Not here: {error}.")
        self._app.paint()

    def open(self, form: Form) -> None:
        """Shows a form, or writes at once what needs no asking; what was written is read again."""
        from episodes.screens.forms.sheet import FormSheet

        if form.asks:
            self._app.push_screen(FormSheet(form, self._app.marks), self._written)
            return
        outcome = form.save()
        if outcome is None:
            raise Refused(form.said or (form.faults[0] if form.faults else "it cannot be written"))
        self._written(outcome)

    def _written(self, outcome: Outcome | None) -> None:
        app = self._app
        if outcome is None:
            app.paint()
            return
        before = app.sitting.before(outcome.episode)
        if not app.read_again():
            return
        if outcome.id and app.page.name == "runup":
            app.page.open_at(Target(outcome.episode, outcome.kind, outcome.id))
        after = app.sitting.before(outcome.episode)
        app.say(f"Written: {outcome.said}.", _change(before, after) if before and after else "")
        app.paint()

    def paste(self, text: str) -> None:
        """Lines pasted on a page: steps to be, of the job that is selected."""
        from episodes.screens.forms.editor import typed

        lines = typed(text.replace("\r\n", "\n").replace("\r", "\n"))
        self._with(lambda desk, target: acts.new_lines(desk, target, lines))

    # -- the menu

    def _menu(self) -> None:
        if self._desk is None:
            self._app.say("There are no plan files here to write.")
            return
        rows = [Choice(name, act, text, letter) for letter, name, text, act in _MENU]
        rows.append(Choice("Change a way out", acts.edit_way, "one of the room's", "F"))
        rows.append(Choice("Remove a way out", acts.remove_way, "one of the room's", "Z"))
        self._app.push_screen(
            Picker("Into the plan", rows, self._app.marks, hint="a letter, or a part of a name"),
            self._chosen,
        )

    def _chosen(self, act: object) -> None:
        if act is acts.edit_way or act is acts.remove_way:
            self._way(acts.edit_way if act is acts.edit_way else acts.remove_way)
        elif callable(act):
            self._with(act)
        self._app.paint()

    def _way(self, act: Callable[[Desk, Target, str], Form]) -> None:
        """Asks which way out, and opens its form."""
        target, desk = self._target, self._desk
        if desk is None:
            return
        try:
            episode = desk.episode(desk.file_of(target.episode))
        except Refused as error:
            self._app.say(f"Not here: {error}.")
            return
        ways = episode.fallbacks if episode is not None else ()
        if not ways:
            self._app.say("This room has no way out yet: i, then f, makes one.")
            return

        def chosen(id: object) -> None:
            if isinstance(id, str):
                self._with(lambda desk, target: act(desk, target, id))
            self._app.paint()

        rows = [Choice(way.title, way.id, way.id) for way in ways]
        self._app.push_screen(Picker("Which way out?", rows, self._app.marks), chosen)


def _change(before: EpisodeAnswer, after: EpisodeAnswer) -> str:
    """What became of the release."""
    was, now = wording.verdict(before), wording.verdict(after)
    return f"Still {now}." if was == now else f"Now {now}; was {was}."
