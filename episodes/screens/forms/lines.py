"""Lines as steps: each line typed or pasted is a step, with what was understood right below it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from episodes.files import writing_words as words
from episodes.files.writing_lines import MOST_LINES, USUAL, LineStep, step_of
from episodes.screens.forms.desk import Desk
from episodes.screens.forms.fields import Field, Typed
from episodes.screens.forms.form import Form, Outcome
from episodes.screens.forms.offers import known_in

if TYPE_CHECKING:
    from episodes.files.writing import Op
    from episodes.problems import Problem

HINT = "Cut parts, 2h..3h..6h, builder, @workshop, after lumber. Down: another line."


class AddLines(Form):
    """Several new steps of a job, a line each."""

    enters = "add all"

    def __init__(self, desk: Desk, file: str, job: str, after: str | None, text: str = "") -> None:
        """
        Args:
            after: own id of the step that they go behind; "" before all, None at the end.
            text: lines to begin with.
        """
        episode = desk.episode(file)
        found = next((each for each in (episode.jobs if episode else ()) if each.id == job), None)
        self.job = job
        self.after = after
        self._title = found.title if found else job
        self._borne = {step.id.partition(".")[2] for step in (found.steps if found else ())}
        self._known = known_in(desk.season)
        self._steps: list[LineStep | None] = []
        lines = [line for line in text.splitlines() if line.strip()][:MOST_LINES]
        super().__init__(desk, file, f"Steps of {self._title}, a line each", [])
        self.fields = [_line(number, line) for number, line in enumerate(lines or [""])]
        self.typed()

    @property
    def touched(self) -> bool:
        return any(each.text.strip() for each in self.fields)

    @property
    def steps(self) -> list[LineStep]:
        """The steps that the lines say."""
        return [step for step in self._steps if step is not None]

    def typed(self) -> None:
        super().typed()
        borne = set(self._borne)
        self._steps = []
        for each in self.fields:
            step = step_of(each.text, self._known, borne)
            if step is not None:
                borne.add(step.id)
            self._steps.append(step)
            each.echo = "" if step is None else in_words(step)

    def press(self, key: str) -> bool:
        if key == "down" and self.fields[-1].text.strip() and len(self.fields) < MOST_LINES:
            self.fields.append(_line(len(self.fields), ""))
        return False

    def paste(self, number: int, text: str) -> bool:
        """Lines pasted into one: it takes the first, the others follow."""
        lines = [line for line in text.splitlines() if line.strip()]
        if len(lines) < 2:
            return False
        here = self.fields[number]
        here.editor.insert(lines[0])
        room = MOST_LINES - len(self.fields)
        more = [_line(0, line) for line in lines[1 : room + 1]]
        self.fields[number + 1 : number + 1] = more
        for at, each in enumerate(self.fields):
            each.rename(str(at + 1))
        return True

    def subjects(self) -> frozenset[str]:
        return frozenset(f"{self.job}.{step.id}" for step in self.steps)

    def field_of(self, problem: "Problem") -> str:
        for number, step in enumerate(self._steps):
            if step is not None and problem.subject == f"{self.job}.{step.id}":
                return str(number + 1)
        return ""

    def ops(self) -> "list[Op]":
        from episodes.files.writing import AddStep

        found: list[Op] = []
        after = self.after
        for step in self.steps:
            found.append(AddStep(job=self.job, entries=step.entries, after=after))
            after = None if after is None else step.id
        return found

    def nothing(self) -> Outcome | None:
        self.said = "No line says anything yet; Esc leaves."
        return None

    def in_words(self) -> str:
        count = len(self.steps)
        return f"{self._title}: {count} new {'step' if count == 1 else 'steps'}"

    def outcome(self) -> Outcome:
        from episodes.files.writing_names import episode_of

        id = f"{self.job}.{self.steps[0].id}"
        return Outcome(said=self.in_words(), episode=episode_of(self.file), kind="step", id=id)


def _line(number: int, text: str) -> Typed:
    return Typed(Field(key=str(number + 1), form=words.TEXT, hint=HINT), None, start=text)


def in_words(step: LineStep) -> str:
    """What was understood of a line."""
    entries = step.entries
    length = entries.get("hands") or f"wait {entries.get('wait')}"
    parts = [f"{length}, a guess: no length is given" if step.guessed else str(length)]
    for key, form in (("who", words.WHO), ("gear", words.COUNTS), ("after", words.LINKS)):
        if key in entries:
            parts.append(f"{key} {form.text(entries[key])}")
    parts += [f"{key} {entries[key]}" for key in ("where", "coat") if key in entries]
    said = f"{step.id}: {'; '.join(parts)}"
    if step.unread:
        said += f"; not understood, kept as its note: {', '.join(step.unread)}"
    return said


def echo(steps: Sequence[LineStep]) -> list[str]:
    """What was understood of several lines."""
    return [in_words(step) for step in steps]


__all__ = ["USUAL", "AddLines", "echo", "in_words"]
