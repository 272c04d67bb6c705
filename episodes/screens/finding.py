"""Finding anything by typing: rows of the season, and every key by the name of what it does."""

from typing import TYPE_CHECKING

from episodes.screens import wording
from episodes.screens.page import Target, target_of
from episodes.screens.picker import Choice, Picker

if TYPE_CHECKING:
    from collections.abc import Callable

    from episodes.screens.app import EpisodesApp


class Finding:
    """Opens the lists of `/` and of the palette."""

    def __init__(self, app: "EpisodesApp") -> None:
        self._app = app

    # -- anything in the season

    def find(self) -> None:
        """Asks for a row by what it is called, and goes to the page that shows it best."""
        picker = Picker(
            "Find a step, box, shot or room",
            self._rows(),
            self._app.marks,
            hint="type a part of it",
        )
        self._app.push_screen(picker, self._go)

    def _rows(self) -> list[Choice]:
        sitting = self._app.sitting
        rows = []
        for episode in sitting.answer.episodes:
            rows.append(Choice(episode.title, Target(episode.id, "episode"), "room"))
            for row in episode.steps:
                if row.kind in ("release", "dry") or row.state == "dropped":
                    continue
                when = "done" if row.state == "done" else sitting.words.moment(row.start)
                rows.append(
                    Choice(
                        wording.name_of(episode, row), target_of(row), f"{when}, {episode.title}"
                    )
                )
        return rows

    def _go(self, target: object) -> None:
        app = self._app
        if isinstance(target, Target):
            page = {"parcel": "door", "shot": "camera"}.get(target.kind, "runup")
            app.sitting.room = target.episode
            if page == "door":
                app.go("door", target)
            elif page == "camera":
                app.go("camera", target)
                if app.page.target() != target:
                    # A shot that is folded away there still stands on the run-up.
                    app.go("runup", target)
            else:
                app.go("runup", target)
        app.paint()

    # -- commands

    def palette(self) -> None:
        """Asks for a command by name."""
        app = self._app
        choices = [
            Choice(f"Page: {page.title}", lambda page=page: app.open(page), str(number))
            for number, page in enumerate(app.pages.values(), 1)
        ]
        for each in (*app.page.own_keys(), *app.all_keys()):
            if each.text:
                name = f"{each.text[:1].upper()}{each.text[1:]}"
                choices.append(Choice(name, lambda key=each: key.run(key.keys[-1]), each.shown))
        choices += [Choice(name, run) for name, run in app.writing.entries()]
        choices += [Choice(name, run) for name, run in app.looks()]
        picker = Picker("Commands", choices, app.marks, hint="type a part of its name")
        app.push_screen(picker, self._run)

    def _run(self, chosen: "object") -> None:
        app = self._app
        if callable(chosen):
            run: Callable[[], None] = chosen
            app.do(run)
        app.paint()
