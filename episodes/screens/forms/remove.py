"""Removing a thing: at once where nothing hangs on it, else after saying what does."""

from typing import TYPE_CHECKING

from episodes.problems import EpisodesError
from episodes.screens.forms.desk import Desk, Refused
from episodes.screens.forms.form import Form, Outcome

if TYPE_CHECKING:
    from episodes.files.writing import Op
    from episodes.files.writing_removal import Removal

_NAMES = {"step": "step", "parcel": "box", "shot": "shot", "job": "job", "fallback": "way out"}
_FACTS = ("ordered", "arrived", "paid", "started", "done", "took", "taken")


class RemoveForm(Form):
    """What goes with it and what waits for it, to be said yes to; nothing of that, no question."""

    enters = "remove"

    def __init__(self, desk: Desk, file: str, kind: str, id: str) -> None:
        """Raises Refused where there is no such thing, or it cannot be taken out."""
        from episodes.files.writing_removal import removal

        table = desk.table(file, kind, id)
        self.kind = kind
        self.id = id
        self.name = str(table.get("title", id))
        try:
            self.does: Removal = removal(desk.texts(), file, kind, id)
        except EpisodesError as error:
            raise Refused(str(error)) from error
        self._steps = len(table.get("step", ())) if kind == "job" else 0
        tables = [table, *table.get("step", ())]
        self._facts = [key for key in _FACTS if any(key in each for each in tables)]
        does = self.does
        self.asks = bool(does.waiting or does.along or does.named or self._steps or self._facts)
        super().__init__(desk, file, f"Remove {self.name}?", [])

    @property
    def touched(self) -> bool:
        return False

    def lines(self) -> list[str]:
        does = self.does
        said = []
        if self._steps:
            count = f"{self._steps} steps" if self._steps > 1 else "one step"
            said.append(f"Its {count} with it.")
        if self._facts:
            said.append(
                f"What has happened goes too ({', '.join(self._facts)}): the look back will not "
                "know of it. `dropped` in its form gives it up and keeps that."
            )
        if does.along:
            goes = ", ".join(f"{_NAMES.get(kind, kind)} {id}" for kind, id in does.along)
            said.append(f"These go too, having nothing left to show or change: {goes}.")
        if does.waiting:
            said.append(
                "These wait for it, and will wait for what it waited for: "
                f"{', '.join(does.waiting)}."
            )
        if does.named:
            said.append(f"These ways out name it no more: {', '.join(does.named)}.")
        said.append("One `u` takes all of it back.")
        return [line for text in said for line in (text, "")][:-1]

    def ops(self) -> "list[Op]":
        from episodes.files.writing import Remove

        return [Remove(kind=self.kind, id=self.id)]  # type: ignore[arg-type]

    def in_words(self) -> str:
        along = f" and {len(self.does.along)} more" if self.does.along else ""
        return f"{self.name}: removed{along}"

    def outcome(self) -> Outcome:
        from episodes.files.writing_names import episode_of

        return Outcome(said=self.in_words(), episode=episode_of(self.file))
