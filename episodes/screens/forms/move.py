"""Moving a step: up and down among the steps of its job, or into another job."""

from typing import TYPE_CHECKING

from episodes.screens.forms.desk import Desk, Refused
from episodes.screens.forms.fields import Field, Typed
from episodes.screens.forms.form import Form, Outcome

if TYPE_CHECKING:
    from episodes.files.writing import Op
    from episodes.model.episode import Job


class MoveForm(Form):
    """The steps of a job as rows; the one that is moved goes up and down among them."""

    enters = "put it there"

    def __init__(self, desk: Desk, file: str, id: str) -> None:
        """Raises Refused where the file has no such step."""
        desk.table(file, "step", id)
        episode = desk.episode(file)
        self._jobs: tuple[Job, ...] = episode.jobs if episode else ()
        self.id = id
        self.own = id.partition(".")[2]
        self._home = id.partition(".")[0]
        names = {step.id: step.title for job in self._jobs for step in job.steps}
        if id not in names:
            raise Refused(f'there is no step "{id}" as last read')
        self._name = names[id]
        self._job = next(i for i, job in enumerate(self._jobs) if job.id == self._home)
        self._start = self._at = self._ids(self._home).index(self.own)
        super().__init__(desk, file, f"Where does {self._name} go?", [])
        self._lay_out()

    def _ids(self, job: str) -> list[str]:
        found = next(each for each in self._jobs if each.id == job)
        return [step.id.partition(".")[2] for step in found.steps]

    @property
    def job(self) -> str:
        return self._jobs[self._job].id

    def _others(self) -> list[tuple[str, str]]:
        """Own id and title of the job's steps without the one that is moved."""
        steps = self._jobs[self._job].steps
        return [(s.id.partition(".")[2], s.title) for s in steps if s.id != self.id]

    def _lay_out(self) -> None:
        """One row a step, the moved one at its place among them."""
        rows = [title for _, title in self._others()]
        self._at = max(0, min(self._at, len(rows)))
        rows.insert(self._at, self._name)
        hint = "Up and down: its place. Left and right: another job."
        self.fields = []
        for number, title in enumerate(rows):
            mine = number == self._at
            head = self._jobs[self._job].title if not number else ""
            field = Field(
                key=f"{number}", label="here:" if mine else " ", head=head, hint=hint, fixed=True
            )
            self.fields.append(Typed(field, title))

    def cursor(self, here: int) -> int:
        return self._at

    @property
    def touched(self) -> bool:
        return (self.job, self._at) != (self._home, self._start)

    def press(self, key: str) -> bool:
        match key:
            case "up" | "k":
                self._at -= 1
            case "down" | "j":
                self._at += 1
            case "left" | "h" | "right" | "l":
                by = -1 if key in ("left", "h") else 1
                self._job = (self._job + by) % len(self._jobs)
                self._at = self._start if self.job == self._home else len(self._others())
            case _:
                return False
        self._lay_out()
        return True

    def hints(self) -> list[tuple[str, str]]:
        return [("<- ->", "job")]

    def subjects(self) -> frozenset[str]:
        return frozenset({f"{self.job}.{self.own}"})

    def ops(self) -> "list[Op]":
        from episodes.files.writing import MoveStep

        if not self.touched:
            return []
        others = self._others()
        after = others[self._at - 1][0] if self._at else ""
        return [MoveStep(id=self.id, job=self.job, after=after)]

    def nothing(self) -> Outcome | None:
        self.said = "It stands there already; Esc leaves."
        return None

    def in_words(self) -> str:
        others = self._others()
        behind = f"after {others[self._at - 1][1]}" if self._at else "first"
        into = f" of {self._jobs[self._job].title}" if self.job != self._home else ""
        return f"{self._name}: moved, {behind}{into}"

    def outcome(self) -> Outcome:
        from episodes.files.writing_names import episode_of

        id = f"{self.job}.{self.own}"
        return Outcome(said=self.in_words(), episode=episode_of(self.file), kind="step", id=id)
