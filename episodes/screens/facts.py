"""The season's files as the screens use them: facts written, taken back, and looked at for change.

Everything is written by `files.editing` and taken back by `files.journal`; what can go wrong on
the way comes back as one sentence (`NotWritten`), and then nothing has been written.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from episodes.calendars.local_time import zone
from episodes.problems import EpisodesError, PlanError

if TYPE_CHECKING:
    from episodes.model.episode import Fallback

CALENDAR = "plan.ics"
LARGEST_CALENDAR = 32 * 1024 * 1024
"""Bytes; no file of ours comes near, so a larger one is somebody else's."""


class NotWritten(EpisodesError):
    """Nothing was written; the text says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that has happened, or is now known: `key` of a step, parcel or shot."""

    episode: str
    kind: str
    id: str
    key: str
    value: object


class Files(Protocol):
    """Where facts go; tests have one of their own."""

    def moment(self) -> int:
        """The UTC minute it is: the clock's, or the one the season is held at."""

    def write(self, facts: Sequence[Fact], said: str) -> None:
        """Writes facts as one change an episode. Raises NotWritten."""

    def adopt(self, episode: str, changes: "Sequence[Fallback]", said: str) -> None:
        """Writes ways out of an episode's slip into its plan, as one change. Raises NotWritten."""

    def promote(self, idea: str, month: str, said: str) -> None:
        """Gives an idea a month (`2027-08`): its file moves. Raises NotWritten."""

    def undo(self) -> str:
        """Takes the last change back; what it was. Raises NotWritten."""

    def redo(self) -> str:
        """Does again what was taken back last; what it was. Raises NotWritten."""

    def calendar_there(self) -> bytes | None:
        """The calendar file as it stands, None where there is none. Raises NotWritten."""

    def put_calendar(self, data: bytes) -> str:
        """Writes the calendar file; where it is. Raises NotWritten."""

    def changed(self) -> bool:
        """Whether a file of the season has changed since the last call of `seen`."""

    def seen(self) -> None:
        """Takes the files as they are now for the ones that are on the screen."""


class SeasonFiles:
    """The files of a season's folder.

    Args:
        clock: gives the clock's UTC minute, rounded up.
        now: the moment the season is held at, if not the clock's.
        held: the season names that moment itself (`as_of`), so `now` is not passed on.
    """

    def __init__(
        self,
        folder: Path,
        clock: Callable[[], int],
        *,
        now: int | None = None,
        held: int | None = None,
    ) -> None:
        self.folder = folder
        self._clock = clock
        self._now = now
        self._held = held
        self._stamps: Mapping[str, tuple[int, int]] = {}
        self._texts: Mapping[str, str] = {}
        self.seen()

    def moment(self) -> int:
        if self._now is not None:
            return self._now
        return self._held if self._held is not None else self._clock()

    def write(self, facts: Sequence[Fact], said: str) -> None:
        from episodes.files.editing import Edit, change

        try:
            for episode in dict.fromkeys(fact.episode for fact in facts):
                edits = [
                    Edit(kind=fact.kind, id=fact.id, key=fact.key, value=fact.value)  # type: ignore[arg-type]
                    for fact in facts
                    if fact.episode == episode
                ]
                change(
                    self.folder,
                    episode,
                    edits,
                    clock=self._clock(),
                    now=self._now,
                    said=said,
                    seen=self._texts,
                )
        except (EpisodesError, OSError) as error:
            raise NotWritten(_sentence(error)) from error

    def adopt(self, episode: str, changes: "Sequence[Fallback]", said: str) -> None:
        from episodes.files.adopting import adopt
        from episodes.files.reading import read_season

        clock = self._clock()
        try:
            season = read_season(self.folder, clock=clock, now=self._now)
            adopt(
                self.folder,
                season,
                episode,
                changes,
                said,
                clock=clock,
                now=self._now,
                seen=self._texts,
            )
        except (EpisodesError, OSError) as error:
            raise NotWritten(_sentence(error)) from error

    def promote(self, idea: str, month: str, said: str) -> None:
        from episodes.files.ideas import promote

        try:
            promote(self.folder, idea, month, said, clock=self._clock(), now=self._now)
        except (EpisodesError, OSError) as error:
            raise NotWritten(_sentence(error)) from error

    def undo(self) -> str:
        from episodes.files import journal

        return self._journal(journal.undo)

    def redo(self) -> str:
        from episodes.files import journal

        return self._journal(journal.redo)

    def _journal(self, act: Callable[[Path], str]) -> str:
        try:
            return act(self.folder)
        except (EpisodesError, OSError) as error:
            raise NotWritten(_sentence(error)) from error

    def calendar_there(self) -> bytes | None:
        path = self.folder / CALENDAR
        try:
            if path.stat().st_size > LARGEST_CALENDAR:
                raise NotWritten(f"{path} is not a calendar file of this program")
            return path.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise NotWritten(_sentence(error)) from error

    def put_calendar(self, data: bytes) -> str:
        from episodes.files.saving import write_whole

        path = (self.folder / CALENDAR).resolve()
        try:
            write_whole(path, data.decode())
        except (EpisodesError, OSError) as error:
            raise NotWritten(_sentence(error)) from error
        self.seen()
        return str(path)

    def changed(self) -> bool:
        return self._look() != self._stamps

    def seen(self) -> None:
        from episodes.files.saving import texts_of

        self._stamps = self._look()
        self._texts = texts_of(self.folder)

    def _look(self) -> dict[str, tuple[int, int]]:
        """Name to time of change and size, for the files a season is read from."""
        stamps = {}
        for pattern in ("*.toml", "*.ics", "ideas/*.toml"):
            for path in self.folder.glob(pattern):
                try:
                    stat = path.stat()
                except OSError:
                    continue
                stamps[str(path)] = (stat.st_mtime_ns, stat.st_size)
        return stamps


def wall_time(minute: int, zone_name: str) -> datetime:
    """A moment as plan files write it: local, with an offset only where the wall shows it twice."""
    here = zone(zone_name)
    local = here.local(minute)
    plain = local.replace(tzinfo=None, fold=0)
    if here.utc(plain.date(), plain.hour * 60 + plain.minute) == minute:
        return plain
    return datetime.fromisoformat(local.isoformat())


def _sentence(error: Exception) -> str:
    """What went wrong in one line; of many faults the first, and how many more there are."""
    if isinstance(error, PlanError):
        first, *rest = error.problems
        return f"{first}" + (f" (and {len(rest)} more)" if rest else "")
    return str(error)
