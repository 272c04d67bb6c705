"""Moments, lengths, names and verdicts as a person reads them.

Weekday, date and hour, never a bare ISO date; English names of days and months whatever the
locale, so that the same answer has the same bytes everywhere. Text of the user's passes `clean`.
"""

from collections.abc import Iterable

from episodes.amounts import MINUTES_A_DAY, length_in_words
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, StepRow
from episodes.calendars.local_time import zone
from episodes.exports.safe_text import cells, clean

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_YEARLESS_MINUTES = 300 * MINUTES_A_DAY
"""Nearer than this a day and month can't be mistaken for another year's."""

_MOST_OF_A_ROOM = 32
"""Cells of a room's name beside what is in it."""


class Words:
    """How moments read in one zone at one moment."""

    def __init__(self, zone_name: str, now: int) -> None:
        self._zone = zone(zone_name)
        self._now = now

    def day(self, minute: int) -> str:
        """`Fri 7 May`, with the year where it could be mistaken."""
        local = self._zone.local(minute)
        year = f" {local.year}" if abs(minute - self._now) > _YEARLESS_MINUTES else ""
        return f"{_DAYS[local.weekday()]} {local.day} {_MONTHS[local.month - 1]}{year}"

    def clock(self, minute: int) -> str:
        """`09:00`."""
        local = self._zone.local(minute)
        return f"{local.hour:02d}:{local.minute:02d}"

    def moment(self, minute: int | None, none: str = "no date") -> str:
        """`Fri 7 May 09:00`; `none` where there is no such moment."""
        return none if minute is None else f"{self.day(minute)} {self.clock(minute)}"

    def dated(self, minute: int) -> str:
        """`Sat 20 Mar 2027 08:00`: with the year, always."""
        return f"{_plain_day(self, minute)} {self._zone.local(minute).year} {self.clock(minute)}"

    def deadline(self, minute: int | None, none: str = "no date") -> str:
        """As `moment`; a midnight is the 24:00 of the day that ends with it."""
        if minute is None:
            return none
        if self.clock(minute) == "00:00":
            return f"{self.day(minute - 1)} 24:00"
        return self.moment(minute)

    def soon(self, minute: int) -> str:
        """`19:00` for today, else as `moment`."""
        if self._zone.day(minute) == self._zone.day(self._now):
            return self.clock(minute)
        return self.moment(minute)

    def stretch(self, start: int, finish: int) -> str:
        """`Thu 15 Apr 19:00-19:25`, both days where they differ."""
        if start == finish:
            return self.moment(start)
        if self._zone.day(start) == self._zone.day(finish):
            return f"{self.moment(start)}-{self.clock(finish)}"
        return f"{self.moment(start)} - {self.moment(finish)}"


def _plain_day(words: Words, minute: int) -> str:
    return " ".join(words.day(minute).split(" ")[:3])


def words_for(answer: CheckAnswer) -> Words:
    """The words of an answer's zone and moment."""
    return Words(answer.zone, answer.now)


def read_as_of(answer: CheckAnswer) -> str:
    """The first line of an answer that is not read from the clock; "" for one that is."""
    return f"Read as of {words_for(answer).dated(answer.now)}." if answer.read_as_of else ""


def length(minutes: int) -> str:
    """`1 h 30`, `23 d 15 h`: no minutes once days are spoken of, cut towards nothing."""
    if abs(minutes) >= MINUTES_A_DAY:
        return length_in_words(int(minutes / 60) * 60)
    return length_in_words(minutes)


def verdict_sentence(episode: EpisodeAnswer, words: Words) -> str:
    """One sentence, and a second one where a slip is not proved or has no plan at all."""
    title, release = clean(episode.title), words.moment(episode.release)
    spare = episode.spare_min
    if episode.verdict == "released":
        if not spare:
            return f"{title} was released {release}."
        extra = f"{length(spare)} to spare" if spare > 0 else f"{length(-spare)} late"
        return f"{title} was released {release}, {extra}."
    if episode.verdict == "meets":
        extra = f"{length(spare)} to spare" if spare else "nothing to spare"
        return f"{title} meets {release} with {extra}."
    proof = (
        "No plan of this season meets it."
        if episode.proved
        else "It is not proved that no other plan would meet it."
    )
    if spare is None or episode.ready_by is None:
        return f"{title} slips {release}: no plan was found for it at all. {proof}"
    ready = words.moment(episode.ready_by)
    return f"{title} slips {release} by {length(-spare)}: ready {ready}. {proof}"


def name_of(episode: EpisodeAnswer, row: StepRow) -> str:
    """`Folding bench: Coat 1` for a step, the bare title for a parcel or a shot."""
    job = dict(episode.jobs).get(row.job, row.job)
    return clean(f"{job}: {row.title}" if job and row.kind != "dry" else row.title)


def room_of(answer: CheckAnswer, episode: str) -> str:
    """` (Laundry room)`, where more than one room is spoken of; else nothing.

    A title's second half, behind a colon, is left out where the first is nobody else's.
    """
    if len(answer.episodes) < 2:
        return ""
    title = answer.episode(episode).title
    short = title.partition(":")[0]
    if sum(other.title.partition(":")[0] == short for other in answer.episodes) > 1:
        short = title
    return f" ({clean(short, limit=_MOST_OF_A_ROOM)})"


def people(answer: CheckAnswer, who: Iterable[str]) -> str:
    """`Host, Builder`."""
    return ", ".join(clean(answer.people.get(person, person)) for person in who)


def listed(names: Iterable[str], most: int) -> str:
    """`a, b, c and 4 more`."""
    every = list(names)
    shown = ", ".join(every[:most])
    return f"{shown} and {len(every) - most} more" if len(every) > most else shown


def price(value: float, currency: str) -> str:
    """`215.40 USD`, `840 USD`."""
    number = f"{value:.2f}"
    return f"{number.removesuffix('.00')} {clean(currency)}".rstrip()


def worked(minutes: int) -> str:
    """Hands-on time, in hours however many: `30 h 30`, a day's work being no 24 hours."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"


def counted(number: int, one: str, many: str = "") -> str:
    """`1 step`, `3 steps`."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def columns(rows: Iterable[Iterable[str]], indent: str = "  ", gap: str = "  ") -> list[str]:
    """Rows as lines with their cells under one another; the last cell of a row may run on."""
    table = [list(row) for row in rows]
    if not table:
        return []
    wide = max(map(len, table))
    widths = [
        max((cells(row[at]) for row in table if at < len(row) - 1), default=0)
        for at in range(wide - 1)
    ]
    lines = []
    for row in table:
        parts = [
            text + " " * (widths[at] - cells(text)) if at < len(row) - 1 else text
            for at, text in enumerate(row)
        ]
        lines.append((indent + gap.join(parts)).rstrip())
    return lines
