"""The plan files as a form sees them: read as they are now, tried with a change, written.

Nothing is kept between two looks but the season as last read: somebody else may write these files
too, and a change is always made on what they hold at that moment.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING, Any

from episodes.problems import EpisodesError, PlanError, Problem

if TYPE_CHECKING:
    from episodes.answers.rows import CheckAnswer
    from episodes.files.drafts import Place
    from episodes.files.growing import NewText
    from episodes.files.writing import Op
    from episodes.model.episode import Episode
    from episodes.model.season import Season


class Refused(EpisodesError):
    """Nothing was written; `problems` says why where the reader of the files does.

    Attributes:
        problems: what is wrong with the season as it would be; empty for other reasons.
    """

    def __init__(self, said: str, problems: Sequence[Problem] = ()) -> None:
        super().__init__(said)
        self.problems = tuple(problems)


class Desk:
    """A season's folder that plans are written in.

    Args:
        clock: gives the clock's UTC minute, rounded up.
        now: the moment the season is held at, if not the clock's.
    """

    def __init__(self, folder: Path, clock: Callable[[], int], *, now: int | None = None) -> None:
        self.folder = folder
        self._clock = clock
        self._now = now
        self._season: Season | None = None
        self._of: dict[str, str] = {}

    # -- reading

    def texts(self) -> dict[str, str]:
        """Every plan file by its name, as it is now."""
        from episodes.files.saving import texts_of

        return texts_of(self.folder)

    def file_of(self, episode: str) -> str:
        """The file of an episode or idea, from the season's folder on."""
        name = f"{episode}.toml"
        return name if (self.folder / name).is_file() else f"ideas/{name}"

    def table(self, file: str, kind: str, id: str) -> dict[str, Any]:
        """What a file says of a thing now. Raises Refused where it is not there."""
        from episodes.files.writing import table_of

        try:
            return table_of(self.texts().get(file, ""), kind, id)
        except EpisodesError as error:
            raise Refused(str(error)) from error

    @property
    def season(self) -> "Season":
        """The season as it is now, or as it was last readable. Raises Refused without one."""
        from episodes.files.reading import read_season

        texts = self.texts()
        if self._season is None or texts != self._of:
            try:
                self._season = read_season(self.folder, clock=self._clock(), now=self._now)
                self._of = texts
            except (EpisodesError, OSError) as error:
                if self._season is None:
                    raise Refused(one_line(error)) from error
        return self._season

    def episode(self, file: str) -> "Episode | None":
        """The episode or idea in a file; None where it could not be read."""
        plans = (*self.season.episodes, *self.season.ideas)
        return next((each for each in plans if each.file == file), None)

    # -- trying

    def tried(self, file: str, ops: "Sequence[Op]") -> tuple[tuple[Problem, ...], float]:
        """What would be wrong with the season after a change, and how long it took to see, s.

        Faults that it has without the change are among them.

        Raises:
            Refused: the change cannot be made at all.
        """
        from episodes.files.writing import changed

        began = perf_counter()
        try:
            after = changed(self.texts(), file, ops)
        except PlanError as error:
            return error.problems, perf_counter() - began
        except EpisodesError as error:
            raise Refused(str(error)) from error
        return self._faults_of(after), perf_counter() - began

    def _faults_of(self, texts: dict[str, str]) -> tuple[Problem, ...]:
        from episodes.files.reading import read_season

        overrides = {self.folder / name: text for name, text in texts.items()}
        try:
            read_season(self.folder, clock=self._clock(), now=self._now, overrides=overrides)
        except PlanError as error:
            return tuple(each for each in error.problems if each.level == "error")
        return ()

    # -- drafting

    @property
    def place(self) -> "Place":
        """Where drafts are made for."""
        from episodes.files.drafts import Place

        return Place(folder=self.folder, clock=self._clock(), now=self._now)

    def answered(self, season: "Season") -> "CheckAnswer":
        """Plans a season; raises PlanError where it cannot be."""
        from episodes.answers.check import check

        return check(season)

    @contextmanager
    def refusing(self) -> Iterator[None]:
        """What cannot be made is Refused, in one line."""
        try:
            yield
        except Refused:
            raise
        except PlanError as error:
            faults = [each for each in error.problems if each.level == "error"]
            raise Refused(one_line(error), faults) from error
        except EpisodesError as error:
            raise Refused(str(error)) from error
        except OSError as error:
            raise Refused(f"{error.filename or self.folder}: {error.strerror or error}") from error

    # -- writing

    def save(self, file: str, ops: "Sequence[Op]", said: str) -> None:
        """Makes a change as one entry of the journal.

        Raises:
            Refused: nothing was written, and why.
        """
        from episodes.files.writing import new_texts

        with self.refusing():
            texts = new_texts(self.texts(), file, ops)
        self.write(texts, said)

    def write(self, texts: "Sequence[NewText]", said: str) -> None:
        """Writes files as one entry of the journal; raises Refused, and then nothing is written."""
        from episodes.files.growing import write

        if not texts:
            return
        with self.refusing():
            self._require_answer(texts)
            write(self.folder, texts, said, clock=self._clock(), now=self._now)

    def _require_answer(self, texts: "Sequence[NewText]") -> None:
        """Refuses what could be read but never planned: a circle, a step that fits no opening.

        Raises:
            PlanError: there is no answer with these texts.
        """
        from episodes.files.growing import trial

        self.answered(trial(self.folder, texts, clock=self._clock(), now=self._now))


def one_line(error: Exception) -> str:
    """What went wrong in one line; of many faults the first, and how many more there are."""
    if isinstance(error, PlanError):
        faults = [each for each in error.problems if each.level == "error"] or error.problems
        more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
        return f"{faults[0]}{more}"
    return str(error).splitlines()[0] if str(error) else type(error).__name__


def sentence(problem: Problem, file: str, whose: str = "") -> str:
    """A fault as a form shows it: the reader's own sentence, the line only of another file.

    Args:
        whose: what the form is about, as faults begin: `step "cut"`; it is not said again.
    """
    said = f"{problem.text} {problem.mend}".strip()
    if problem.where is not None and problem.where.file != file:
        return f"{problem.where}: {said}"
    if whose and said.startswith(f"{whose}: "):
        said = said.removeprefix(f"{whose}: ")
    return said
