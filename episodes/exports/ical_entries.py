"""What stands in the calendar file: each row of an answer as entries with a time and a text.

    release                    a quarter of an hour from the release, nobody's time
    hands-on work, shot        one entry a session, somebody's time
    parcel not yet ordered     the quarter of an hour that ends at its `order_by`, or a task
    parcel on its way          a quarter of an hour at its arrival
    parcel that can go back    the quarter of an hour that ends with the last moment for it
    wait, drying               only where asked for

A deadline ends at the deadline: an entry that began there would promise time that is not left.
Work that pauses over several evenings is several entries: one over the night would mark the night
as taken. Nothing that changes by the day alone (spare time, odds, "now") is in a text, since each
change of it would send every entry to every subscriber again.

What is over is left as it stands in the earlier file; `Earlier` is what is known of it.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal
from uuid import UUID, uuid5

from episodes.answers.rows import CheckAnswer, EpisodeAnswer, ParcelRow, StepRow
from episodes.calendars.local_time import Zone, zone
from episodes.calendars.openings import Stretch
from episodes.exports.ical_words import Words
from episodes.model.season import Season

Kind = Literal["release", "hands", "shot", "order", "task", "arrival", "return", "wait", "dry"]
WORK_KINDS: tuple[Kind, ...] = ("hands", "shot")
Key = tuple[str, str]
"""(episode, id) of a row."""

NAMESPACE = UUID("d1033f6b-feae-4139-965b-2173d322a8a3")
"""Fixed for ever: a new one would double every entry in every subscriber's calendar."""

QUARTER_HOUR = 15
DAY = 1440
LONGEST_SITTING = 12 * 60
"""Work known only by its first and last minute marks no one as busy for longer than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """What to put in.

    Attributes:
        person: only what this person does; orders and arrivals are the first person's.
        private: the times alone, every title `Busy`.
        tasks: orders as tasks with a due date instead of entries.
        waits: waits and drying too.
        alarms: an alarm before each session of work and each shot.
    """

    person: str | None = None
    private: bool = False
    tasks: bool = False
    waits: bool = False
    alarms: bool = False


@dataclass(frozen=True, slots=True)
class Bell:
    """An alarm this many minutes before the entry's start, or before its end."""

    before: int
    text: str
    from_end: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One event, or one task (`kind` task: `end` is when it is due). Times are UTC minutes.

    `of` is the row it stands for, `number` which of its sessions.
    """

    uid: str
    kind: Kind
    of: Key
    number: int = 1
    start: int
    end: int
    summary: str
    location: str = ""
    description: str = ""
    categories: tuple[str, ...] = ()
    busy: bool = False
    tentative: bool = False
    bells: tuple[Bell, ...] = ()
    completed: int | None = None


@dataclass(frozen=True, slots=True)
class Earlier:
    """When an entry of the earlier file is, UTC minutes, and whether it still stands."""

    start: int
    end: int
    live: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A session of the earlier file that is over and stays as it is; names as in `Entry`."""

    uid: str
    kind: Kind
    of: Key
    number: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Wanted:
    """The entries to write, and the earlier ones that stay as they are."""

    entries: tuple[Entry, ...]
    kept: tuple[Kept, ...]


def entry_uid(calendar_id: str, episode: str, kind: Kind, id: str, session: int = 1) -> str:
    """The UID of an entry: of what it is, never of when it is, what it is called or its order."""
    name = "\x1f".join((calendar_id, episode, kind, id, str(session)))
    # A name read from a file may hold half a surrogate pair, which has no bytes of its own.
    return str(uuid5(NAMESPACE, name.encode("utf-8", "replace").decode()))


def entries(
    answer: CheckAnswer, season: Season, earlier: Mapping[str, Earlier], options: Options
) -> Wanted:
    """All entries of an answer.

    Args:
        earlier: the entries of the earlier file by UID.
        options: `person` must be one of the answer's.
    """
    found: list[Entry] = []
    kept: dict[str, Kept] = {}
    for episode in answer.episodes:
        builder = _Episode(answer, season, episode, earlier, options, kept)
        found += builder.entries()
    return Wanted(tuple(found), tuple(kept.values()))


class _Episode:
    """The entries of one episode."""

    def __init__(
        self,
        answer: CheckAnswer,
        season: Season,
        episode: EpisodeAnswer,
        earlier: Mapping[str, Earlier],
        options: Options,
        kept: dict[str, Kept],
    ) -> None:
        self.now = answer.now
        self.episode = episode
        self.earlier = earlier
        self.options = options
        self.kept = kept
        self.calendar_id = season.studio.calendar_id
        self.here: Zone = zone(answer.zone)
        self.words = Words(answer, season, episode)
        self.tentative = episode.verdict == "slips"
        # No parcel names a person: they are for whom the studio lists first.
        self.parcels_wanted = options.person in (None, season.studio.people[0].id)

    def entries(self) -> Iterator[Entry]:
        yield self._release()
        for row in self.episode.steps:
            if row.state == "dropped":
                continue
            if row.kind in ("hands", "shot"):
                if self.options.person is None or self.options.person in row.who:
                    yield from self._work(row)
            elif row.kind in ("wait", "dry") and self.options.waits:
                yield from self._wait(row)
        if self.parcels_wanted:
            for parcel in self.episode.parcels:
                yield from self._parcel(parcel)

    def _release(self) -> Entry:
        at = self.episode.release
        bells = (Bell(DAY, self.words.release_bell()),)
        return Entry(
            uid=self._uid("release", "release"),
            kind="release",
            of=(self.episode.id, "release"),
            start=at,
            end=at + QUARTER_HOUR,
            summary=self.words.release_title(),
            description=self.words.release_text(),
            categories=self.words.categories("release"),
            tentative=self.tentative,
            bells=() if self.episode.verdict == "released" else bells,
        )

    def _work(self, row: StepRow) -> Iterator[Entry]:
        kind: Kind = "shot" if row.kind == "shot" else "hands"
        sessions = list(self._sessions(row, kind))
        count = max((number for number, _, _ in sessions), default=0)
        done = row.state == "done"
        for number, start, end in sessions:
            yield Entry(
                uid=self._uid(kind, row.id, number),
                kind=kind,
                of=(self.episode.id, row.id),
                number=number,
                start=start,
                end=end,
                summary=self.words.work_title(row, number, count),
                location=self.words.location(row),
                description=self.words.work_text(row, number, count),
                categories=self.words.categories(kind, row.who),
                busy=end - start <= LONGEST_SITTING or not done,
                tentative=self.tentative and not done,
                bells=() if done else self._work_bells(row, number, count),
            )

    def _work_bells(self, row: StepRow, number: int, count: int) -> tuple[Bell, ...]:
        bells: list[Bell] = []
        if row.kind == "shot" and row.once and number == 1:
            bells.append(Bell(DAY, self.words.last_chance(row)))
        if self.options.alarms:
            bells.append(Bell(QUARTER_HOUR, self.words.work_title(row, number, count)))
        return tuple(bells)

    def _sessions(self, row: StepRow, kind: Kind) -> Iterator[tuple[int, int, int]]:
        """Numbered sessions (number, start, end) that are to be written.

        The answer has those from now on. Those behind us were worked as the earlier file has them:
        they keep their number, and what is left goes on counting from there.
        """
        if row.state == "done":
            behind = self._behind(row, kind, lambda old: old.start < self.now)
            if not behind:
                for start, end in _span(row):
                    yield 1, start, end
            return
        pieces = [piece for piece in row.sessions if piece[0] < piece[1]] or _span(row)
        behind = 0
        if row.state == "started" and pieces:
            begun = row.start if row.start is not None else self.now
            behind = self._behind(row, kind, lambda old: begun < old.end <= self.now)
            pieces[0] = (self._under_way(row, kind, behind, pieces[0][0]), pieces[0][1])
        for index, (start, end) in enumerate(pieces, start=behind + 1):
            yield index, start, end

    def _behind(self, row: StepRow, kind: Kind, over: Callable[[Earlier], bool]) -> int:
        """How many first sessions of the earlier file are over; they are kept as they are."""
        count = 0
        while True:
            uid = self._uid(kind, row.id, count + 1)
            old = self.earlier.get(uid)
            if old is None or not old.live or not over(old):
                return count
            count += 1
            of = (self.episode.id, row.id)
            self.kept[uid] = Kept(
                uid=uid, kind=kind, of=of, number=count, start=old.start, end=old.end
            )

    def _under_way(self, row: StepRow, kind: Kind, behind: int, start: int) -> int:
        """When the session that goes on right now began: it must not creep along with now."""
        if start > self.now:
            return start
        old = self.earlier.get(self._uid(kind, row.id, behind + 1))
        if old is not None and old.live and old.start <= self.now < old.end:
            return min(old.start, start)
        begun = row.start
        if begun is not None and not behind and self.here.day(begun) == self.here.day(start):
            return min(begun, start)
        return start

    def _wait(self, row: StepRow) -> Iterator[Entry]:
        kind: Kind = "dry" if row.kind == "dry" else "wait"
        for start, end in _span(row):
            yield Entry(
                uid=self._uid(kind, row.id),
                kind=kind,
                of=(self.episode.id, row.id),
                start=start,
                end=end,
                summary=self.words.wait_title(row),
                location=self.words.location(row),
                description=self.words.wait_text(row),
                categories=self.words.categories(kind),
                tentative=self.tentative and row.state != "done",
            )

    def _parcel(self, row: ParcelRow) -> Iterator[Entry]:
        if row.state == "dropped":
            return
        if row.return_by is not None:
            yield self._return(row, row.return_by)
        if row.order_by is not None:
            yield self._order(row, row.order_by)
            return
        if self.options.tasks and row.ordered is not None:
            yield from self._ordered_task(row, row.ordered)
        on_its_way = row.ordered is not None or row.promised is not None
        arrives = row.arrived if row.arrived is not None else row.arrives if on_its_way else None
        if arrives is not None:
            yield Entry(
                uid=self._uid("arrival", row.id),
                kind="arrival",
                of=(self.episode.id, row.id),
                start=arrives,
                end=arrives + QUARTER_HOUR,
                summary=self.words.arrival_title(row),
                description=self.words.arrival_text(row),
                categories=self.words.categories("arrival"),
                tentative=self.tentative and row.arrived is None,
            )

    def _return(self, row: ParcelRow, by: int) -> Entry:
        bells = [Bell(3 * DAY, self.words.return_title(row), from_end=True)]
        if row.failed is not None:
            bells.append(Bell(DAY, self.words.last_day_to_return(row), from_end=True))
        return Entry(
            uid=self._uid("return", row.id),
            kind="return",
            of=(self.episode.id, row.id),
            start=by - QUARTER_HOUR,
            end=by,
            summary=self.words.return_title(row),
            description=self.words.return_text(row),
            categories=self.words.categories("return"),
            bells=tuple(bells),
        )

    def _order(self, row: ParcelRow, by: int) -> Entry:
        kind: Kind = "task" if self.options.tasks else "order"
        return Entry(
            uid=self._uid(kind, row.id),
            kind=kind,
            of=(self.episode.id, row.id),
            start=by - QUARTER_HOUR,
            end=by,
            summary=self.words.order_title(row),
            description=self.words.order_text(row),
            categories=self.words.categories("order"),
            tentative=self.tentative,
            bells=(
                Bell(3 * DAY, self.words.order_title(row), from_end=True),
                Bell(DAY, self.words.last_day_to_order(row), from_end=True),
            ),
        )

    def _ordered_task(self, row: ParcelRow, ordered: int) -> Iterator[Entry]:
        """A task that was written when there was still something to do is ticked off."""
        uid = self._uid("task", row.id)
        old = self.earlier.get(uid)
        if old is not None:
            yield Entry(
                uid=uid,
                kind="task",
                of=(self.episode.id, row.id),
                start=old.start,
                end=old.end,
                summary=self.words.order_title(row),
                description=self.words.order_text(row),
                categories=self.words.categories("order"),
                completed=ordered,
            )

    def _uid(self, kind: Kind, id: str, session: int = 1) -> str:
        return entry_uid(self.calendar_id, self.episode.id, kind, id, session)


def _span(row: StepRow) -> list[Stretch]:
    """A row's time from start to finish; nothing for one that has no length."""
    if row.start is None or row.finish is None or row.start >= row.finish:
        return []
    return [(row.start, row.finish)]
