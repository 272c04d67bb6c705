"""What hangs on the workshop's wall: one room's week by person, its orders, shots, lists, cautions.

Everything is taken from the season's own answers; only what belongs together is put together here.
"""

import re
from dataclasses import dataclass

from episodes.amounts import MINUTES_A_DAY
from episodes.answers.check import check
from episodes.answers.orders import OrderLine, orders
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, StepRow
from episodes.answers.shots import ShotLine, shots
from episodes.calendars.daylight import daylight
from episodes.calendars.local_time import zone
from episodes.calendars.openings import Stretch
from episodes.model.episode import Episode
from episodes.model.season import Season

DAYS = 7
_CUTS = re.compile(r"(?:^|(?<=[.!?]\s))Cut\s+(\d.*?)(?:\.(?=\s|$)|$)", re.DOTALL)
"""A sentence of a parcel's note that begins with `Cut` and a number: a cut list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """One session of a step or shot within the days shown; `number` of `count` sessions left."""

    row: StepRow
    start: int
    end: int
    number: int
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonWeek:
    """What one person does in the days shown; `id` "" for what runs with nobody beside it."""

    id: str
    title: str
    sittings: tuple[Sitting, ...]

    @property
    def work_min(self) -> int:
        return sum(sitting.end - sitting.start for sitting in self.sittings)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopLine:
    """One parcel that is not in hand yet; `note` without the sentences of its cut list."""

    order: OrderLine
    carrier: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CutList:
    """How to cut what one parcel brings: `2 x 900 + 600 mm`, one piece of stock a line."""

    id: str
    title: str
    cuts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatNeed:
    """A product that is still to be put on, by which steps."""

    title: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """A caution and the steps it is for, those of the days shown first."""

    text: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetAnswer:
    """One room on paper. UTC minutes; the days shown are [start, end), whole local days.

    Attributes:
        check: the answer for this episode alone.
        people: by the studio's order, those without work too; then what runs by itself.
        resting: waits and drying that reach into the days shown, by their finish.
        orders, shots: the room's own, as `orders` and `shots` give them.
        sun: (sunrise, sunset) of the day of each open shot by daylight, by its id.
        sun_known: whether the studio's place is known; else `sun` is 09:00-16:00.
        products: product of each step's coat, by the step's id.
    """

    check: CheckAnswer
    episode: EpisodeAnswer
    start: int
    end: int
    people: tuple[PersonWeek, ...]
    resting: tuple[StepRow, ...]
    orders: tuple[OrderLine, ...]
    shots: tuple[ShotLine, ...]
    sun: dict[str, Stretch]
    sun_known: bool
    shopping: tuple[ShopLine, ...]
    cuts: tuple[CutList, ...]
    coats: tuple[CoatNeed, ...]
    advice: tuple[Advice, ...]
    products: dict[str, str]


def next_room(season: Season) -> str | None:
    """The id of the nearest episode that is not out; None where all are."""
    open_ = [
        episode
        for episode in season.episodes
        if episode.released is None and episode.release > season.now
    ]
    late = [episode for episode in season.episodes if episode.released is None]
    found = open_ or late
    return found[0].id if found else None


def sheet(season: Season, id: str, *, days: int = DAYS) -> SheetAnswer:
    """The sheet of one episode.

    Args:
        id: the episode.
        days: how many days of the week plan, today's among them.

    Raises:
        PlanError: see `check`.
    """
    answer = check(season, only=id)
    episode = answer.episode(id)
    written = season.episode(id)
    here = zone(season.studio.zone)
    today = here.day(season.now)
    start, end = here.utc(today, 0), here.utc(today, days * MINUTES_A_DAY)
    sittings = _sittings(episode, season.now, end)
    lines = orders(answer)
    return SheetAnswer(
        check=answer,
        episode=episode,
        start=start,
        end=end,
        people=_people(sittings, answer),
        resting=_resting(episode, season.now, end),
        orders=lines,
        shots=shots(answer, season),
        sun=_sun(season, episode),
        sun_known=season.studio.latitude is not None,
        shopping=_shopping(lines, written, season),
        cuts=_cuts(episode, written),
        coats=_coats(episode, written),
        advice=_advice(episode, sittings),
        products={
            step.id: step.coating.title
            for job in written.jobs
            for step in job.steps
            if step.coating is not None
        },
    )


def _sittings(episode: EpisodeAnswer, now: int, end: int) -> list[Sitting]:
    found = []
    for row in episode.steps:
        if row.kind not in ("hands", "shot") or row.state in ("done", "dropped"):
            continue
        pieces = row.sessions
        if not pieces and row.start is not None and row.finish is not None:
            pieces = ((row.start, row.finish),)
        for number, (start, finish) in enumerate(pieces, 1):
            if start < end and finish > now:
                found.append(
                    Sitting(row=row, start=start, end=finish, number=number, count=len(pieces))
                )
    found.sort(key=lambda each: (each.start, each.end, each.row.id))
    return found


def _people(sittings: list[Sitting], answer: CheckAnswer) -> tuple[PersonWeek, ...]:
    weeks = [
        PersonWeek(
            id=id,
            title=title,
            sittings=tuple(sitting for sitting in sittings if id in sitting.row.who),
        )
        for id, title in answer.people.items()
    ]
    alone = tuple(sitting for sitting in sittings if not sitting.row.who)
    if alone:
        weeks.append(PersonWeek(id="", title="", sittings=alone))
    return tuple(weeks)


def _resting(episode: EpisodeAnswer, now: int, end: int) -> tuple[StepRow, ...]:
    rows = [
        row
        for row in episode.steps
        if row.kind in ("wait", "dry")
        and row.state in ("open", "started")
        and row.start is not None
        and row.finish is not None
        and row.start < end
        and row.finish > now
        and row.start < row.finish
    ]
    rows.sort(key=lambda row: (row.finish or 0, row.id))
    return tuple(rows)


def _sun(season: Season, episode: EpisodeAnswer) -> dict[str, Stretch]:
    """The light of the day on which each open shot by daylight is planned."""
    here = zone(season.studio.zone)
    found: dict[str, Stretch] = {}
    for row in episode.steps:
        if row.kind != "shot" or row.light != "day" or row.start is None or row.state != "open":
            continue
        day = here.day(row.start)
        light = daylight(
            here,
            season.studio.latitude,
            season.studio.longitude,
            here.utc(day, 0),
            here.utc(day, MINUTES_A_DAY),
        )
        within = [stretch for stretch in light if stretch[0] <= row.start < stretch[1]]
        if within:
            found[row.id] = within[0]
    return found


def _shopping(
    lines: tuple[OrderLine, ...], written: Episode, season: Season
) -> tuple[ShopLine, ...]:
    notes = {parcel.id: parcel.note for parcel in written.parcels}
    carriers = {carrier.id: carrier.title for carrier in season.studio.carriers}
    return tuple(
        ShopLine(
            order=line,
            carrier=carriers.get(line.row.carrier or "", line.row.carrier or ""),
            note=" ".join(_CUTS.sub("", notes.get(line.row.id, "")).split()),
        )
        for line in lines
        if line.row.state == "open"
    )


def _cuts(episode: EpisodeAnswer, written: Episode) -> tuple[CutList, ...]:
    """The cut lists of all that takes part, in the file's order."""
    states = {row.id: row.state for row in episode.parcels}
    found = []
    for parcel in written.parcels:
        sentences = _CUTS.findall(parcel.note)
        cuts = tuple(
            " ".join(cut.split()) for each in sentences for cut in each.split(";") if cut.strip()
        )
        if cuts and states.get(parcel.id) in ("open", "started", "done"):
            found.append(CutList(id=parcel.id, title=parcel.title, cuts=cuts))
    return tuple(found)


def _coats(episode: EpisodeAnswer, written: Episode) -> tuple[CoatNeed, ...]:
    left = {row.id for row in episode.steps if row.state in ("open", "started")}
    found: dict[str, list[str]] = {}
    for job in written.jobs:
        for step in job.steps:
            if step.coating is not None and step.id in left:
                found.setdefault(step.coating.title, []).append(step.id)
    return tuple(
        CoatNeed(title=title, steps=tuple(steps)) for title, steps in sorted(found.items())
    )


def _advice(episode: EpisodeAnswer, sittings: list[Sitting]) -> tuple[Advice, ...]:
    """Each caution once: those of the days shown first, then by the start of their first step."""
    soon = [sitting.row for sitting in sittings]
    later = [row for row in episode.steps if row.state in ("open", "started") and row.start]
    found: dict[str, dict[str, None]] = {}
    for row in (*soon, *later):
        for text in row.cautions:
            found.setdefault(text, {})[row.id] = None
    return tuple(Advice(text=text, steps=tuple(steps)) for text, steps in found.items())
