"""Records of what things took: the steps, shots and parcels that say so.

A record is a step or shot that says how long it took (`took`, or begun and ended on one day), or a
parcel with its order and its arrival. What was dropped, failed, or ended without an hour tells
nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import log

from episodes.amounts import Estimate
from episodes.calendars.local_time import Zone, zone
from episodes.calendars.working_time import NEVER
from episodes.model.episode import Episode, Parcel, Shot, Step
from episodes.model.season import Season
from episodes.network.hours import Hours
from episodes.risk.learning import spread_of

SHORTEST = 5
"""Minutes below which a record says more about the clock than about the work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Took:
    """One record. `guessed` and `took` in minutes, for a parcel with `workdays` in workdays.

    Attributes:
        who: the people, or the carrier ("" where none was named).
        kind: kind of work; for parcels "delivery".
        passed_over: why nothing is learned from it, "" where something is.
    """

    episode: str
    id: str
    title: str
    who: tuple[str, ...]
    kind: str
    guessed: Estimate
    took: int
    workdays: bool = False
    passed_over: str = ""

    @property
    def x(self) -> float:
        """ln(took / guessed); workdays count half a day on, so that none is a number too."""
        more = 0.5 if self.workdays else 0.0
        return log((self.took + more) / (self.guessed.likely + more))

    @property
    def spread(self) -> float:
        more = 0.5 if self.workdays else 0.0
        return spread_of(self.guessed.low + more, self.guessed.high + more)


def records_of(season: Season) -> tuple[Took, ...]:
    """All records of a season, episode by episode in the files' order."""
    here = zone(season.studio.zone)
    hours = Hours(season, season.now, season.now + 1)
    return tuple(took for episode in season.episodes for took in _records(episode, here, hours))


def kind_of_work(written: Step | Shot) -> str:
    """The kind of work that a step is counted with: its first tag, else what it does."""
    if written.tags:
        return written.tags[0]
    if isinstance(written, Shot):
        return "filming"
    if written.coating is not None:
        return "coats"
    if "dust" in written.makes:
        return "cutting and sanding"
    if "holes" in written.does:
        return "fixing and hanging"
    if "quiet" in written.needs_air:
        return "speaking"
    if "noise" in written.makes:
        return "loud work"
    return "other work"


def _records(episode: Episode, here: Zone, hours: Hours) -> Iterator[Took]:
    for job in episode.jobs:
        for step in job.steps:
            if step.hands is not None and step.done is not None:
                yield from _hands(episode, step, step.done, here)
    for shot in episode.shots:
        if shot.hands is not None and shot.taken is not None:
            yield from _hands(episode, shot, shot.taken, here)
    for parcel in episode.parcels:
        yield from _parcel(episode, parcel, here, hours)


def _hands(episode: Episode, written: Step | Shot, done: int, here: Zone) -> Iterator[Took]:
    """The record of a step or shot that is over, where it says how long it took."""
    took = written.took if isinstance(written, Step) else None
    if took is None:
        began = written.started
        ended_at_midnight = done == here.utc(here.day(done), 0)
        if began is None or ended_at_midnight or here.day(began) != here.day(done):
            return
        took = done - began
    guessed = written.guessed or written.hands
    assert guessed is not None
    passed_over = ""
    if took < SHORTEST:
        passed_over = f"under {SHORTEST} minutes"
    elif written.dropped is not None or (
        isinstance(written, Step) and written.failed is not None and written.failed >= done
    ):
        passed_over = "given up or to be done again"
    elif written.optional:
        passed_over = "optional: done only when it went well"
    yield Took(
        episode=episode.id,
        id=written.id,
        title=written.title,
        who=written.who.people if not written.who.any_of else (),
        kind=kind_of_work(written),
        guessed=guessed,
        took=took,
        passed_over=passed_over,
    )


def _parcel(episode: Episode, parcel: Parcel, here: Zone, hours: Hours) -> Iterator[Took]:
    lead = parcel.guessed or parcel.lead
    if lead is None or parcel.ordered is None or parcel.arrived is None:
        return
    took = parcel.arrived - parcel.ordered
    if lead.workdays:
        days = hours.carrier(parcel.carrier)
        took = 0
        day = here.day(parcel.arrived)
        while (at := days.arrival(parcel.ordered, took)) < NEVER and here.day(at) < day:
            took += 1
    elif took < SHORTEST or lead.amount.likely == 0:
        return
    yield Took(
        episode=episode.id,
        id=parcel.id,
        title=parcel.title,
        who=(parcel.carrier or "",),
        kind="delivery",
        guessed=lead.amount,
        took=took,
        workdays=lead.workdays,
        passed_over="given up" if parcel.dropped is not None else "",
    )
