"""What was guessed against what it took, and the ranges that this suggests for what is to come.

Suggestions are only made from three records on, and nothing is changed here: taking one is an edit
of the plan file.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from math import exp

from episodes.amounts import Estimate
from episodes.answers.took import Took, kind_of_work, records_of
from episodes.model.episode import Episode, Parcel, Shot, Step
from episodes.model.season import Season
from episodes.risk.learning import clipped, learn, spread_of

FEWEST = 3
"""Records from which on a range is suggested."""

WORTH_SAYING = 0.1
"""A suggestion moves the likely length or one end by at least this share."""

ALL_WORK = "all work"


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Records of one person and kind of work, or of one carrier.

    Attributes:
        guessed, took: sums of the likely lengths and of what it took.
        ratio: the usual took / guessed (geometric mean, outliers drawn in).
        clipped: records drawn in to what is believed.
    """

    who: str
    kind: str
    workdays: bool
    n: int
    guessed: int
    took: int
    ratio: float
    clipped: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """A new range for something still to come; lengths in minutes or workdays."""

    episode: str
    id: str
    title: str
    key: str
    """`hands` or `lead`."""
    who: str
    kind: str
    written: Estimate
    first_guess: Estimate
    proposed: Estimate
    workdays: bool
    n: int
    clipped: int

    @property
    def name(self) -> str:
        return f"{self.episode}:{self.id}"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomBehind:
    """One room looked back on. `late` in minutes after its release, None while it is not out."""

    episode: str
    title: str
    release: int
    late: int | None
    records: int
    guessed: int
    took: int
    budget: float | None
    paid: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LookbackAnswer:
    now: int
    zone: str
    read_as_of: bool
    currency: str
    rooms: tuple[RoomBehind, ...]
    records: tuple[Took, ...]
    groups: tuple[Group, ...]
    suggestions: tuple[Suggestion, ...]
    people: dict[str, str]
    carriers: dict[str, str]


def lookback(season: Season, *, only: str | None = None) -> LookbackAnswer:
    """What the season's episodes teach, those that are out and those under way.

    Args:
        only: list the records of one episode; suggestions still learn from all.
    """
    records = records_of(season)
    shown = [took for took in records if only is None or took.episode == only]
    counted = [took for took in records if not took.passed_over]
    studio = season.studio
    return LookbackAnswer(
        now=season.now,
        zone=studio.zone,
        read_as_of=season.read_as_of,
        currency=studio.currency,
        rooms=tuple(
            _room(episode, shown)
            for episode in season.episodes
            if any(took.episode == episode.id for took in shown)
        ),
        records=tuple(shown),
        groups=tuple(_groups([took for took in shown if not took.passed_over])),
        suggestions=tuple(_suggestions(season, counted)),
        people={person.id: person.title for person in studio.people},
        carriers={carrier.id: carrier.title for carrier in studio.carriers},
    )


# -- groups ------------------------------------------------------------------------------------


def _groups(counted: list[Took]) -> Iterator[Group]:
    by_group: dict[tuple[bool, str, str, bool], list[Took]] = defaultdict(list)
    for took in counted:
        for who in took.who:
            by_group[took.kind == "delivery", who, took.kind, took.workdays].append(took)
    for (_, who, kind, workdays), records in sorted(by_group.items()):
        drawn = [clipped(took.x, took.spread) for took in records]
        yield Group(
            who=who,
            kind=kind,
            workdays=workdays,
            n=len(records),
            guessed=sum(took.guessed.likely for took in records),
            took=sum(took.took for took in records),
            ratio=round(exp(sum(drawn) / len(drawn)), 2),
            clipped=sum(1 for took, x in zip(records, drawn, strict=True) if x != took.x),
        )


def _room(episode: Episode, shown: list[Took]) -> RoomBehind:
    records = [
        took
        for took in shown
        if took.episode == episode.id and took.kind != "delivery" and not took.passed_over
    ]
    return RoomBehind(
        episode=episode.id,
        title=episode.title,
        release=episode.release,
        late=None if episode.released is None else episode.released - episode.release,
        records=sum(1 for took in shown if took.episode == episode.id),
        guessed=sum(took.guessed.likely for took in records),
        took=sum(took.took for took in records),
        budget=episode.budget,
        paid=round(sum((p.paid or 0.0) - (p.refunded or 0.0) for p in episode.parcels), 2),
    )


# -- suggestions -------------------------------------------------------------------------------


def _suggestions(season: Season, counted: list[Took]) -> Iterator[Suggestion]:
    for episode in season.episodes:
        if episode.released is not None:
            continue
        for written in _to_come(episode):
            if isinstance(written, Parcel):
                yield from _for_parcel(episode, written, counted)
            else:
                yield from _for_hands(episode, written, counted)


def _to_come(episode: Episode) -> Iterator[Step | Shot | Parcel]:
    """What has not begun and is not given up."""
    for job in episode.jobs:
        for step in job.steps:
            if step.hands is not None and step.done is None and step.started is None:
                if step.dropped is None:
                    yield step
    for shot in episode.shots:
        if shot.hands is not None and shot.taken is None and shot.started is None:
            if shot.dropped is None and shot.lost is None:
                yield shot
    for parcel in episode.parcels:
        if parcel.lead is not None and parcel.ordered is None and parcel.arrived is None:
            if parcel.promised is None and parcel.dropped is None:
                yield parcel


def _for_hands(episode: Episode, written: Step | Shot, counted: list[Took]) -> Iterator[Suggestion]:
    hands = written.hands
    assert hands is not None
    if written.who.any_of or not written.who.people:
        return
    who = written.who.people[0]
    kind = kind_of_work(written)
    work = [took for took in counted if took.kind != "delivery"]
    mine = [took for took in work if who in took.who]
    alike = [took for took in mine if took.kind == kind]
    if len(alike) >= FEWEST:
        levels = [_but(work, mine), _but(mine, alike), alike]
    elif len(mine) >= FEWEST:
        levels, kind = [_but(work, mine), mine], ALL_WORK
    else:
        return
    first = written.guessed or hands
    learned = learn(
        [[(took.x, took.spread) for took in level] for level in levels],
        spread_of(first.low, first.high),
    )
    proposed = Estimate(
        _rounded(first.likely * learned.low),
        _rounded(first.likely * learned.likely),
        _rounded(first.likely * learned.high),
    )
    if _worth_saying(hands, proposed):
        yield Suggestion(
            episode=episode.id, id=written.id, title=written.title, key="hands", who=who,
            kind=kind, written=hands, first_guess=first, proposed=proposed, workdays=False,
            n=learned.n, clipped=learned.clipped,
        )  # fmt: skip


def _for_parcel(episode: Episode, parcel: Parcel, counted: list[Took]) -> Iterator[Suggestion]:
    lead, first = parcel.lead, parcel.guessed or parcel.lead
    assert lead is not None
    assert first is not None
    if first.workdays != lead.workdays:
        return
    came = [t for t in counted if t.kind == "delivery" and t.workdays == first.workdays]
    alike = [took for took in came if took.who == (parcel.carrier or "",)]
    if len(alike) < FEWEST or (not first.workdays and first.amount.likely == 0):
        return
    more = 0.5 if first.workdays else 0.0
    amount = first.amount
    learned = learn(
        [[(took.x, took.spread) for took in level] for level in (_but(came, alike), alike)],
        spread_of(amount.low + more, amount.high + more),
    )
    low, likely, high = (
        max(0, round((amount.likely + more) * factor - more))
        for factor in (learned.low, learned.likely, learned.high)
    )
    if not first.workdays:
        low, likely, high = (_rounded(value) for value in (low, likely, high))
    proposed = Estimate(low, likely, high)
    if _worth_saying(lead.amount, proposed):
        yield Suggestion(
            episode=episode.id, id=parcel.id, title=parcel.title, key="lead",
            who=parcel.carrier or "", kind="delivery", written=lead.amount, first_guess=amount,
            proposed=proposed, workdays=first.workdays, n=learned.n, clipped=learned.clipped,
        )  # fmt: skip


def _but(records: list[Took], inner: list[Took]) -> list[Took]:
    """The records of a wider group that are not in the narrower one."""
    return [took for took in records if took not in inner]


def _rounded(minutes: float) -> int:
    """Whole minutes; from half an hour on whole fives, as people write lengths."""
    return max(1, round(minutes) if minutes < 30 else 5 * round(minutes / 5))


def _worth_saying(written: Estimate, proposed: Estimate) -> bool:
    pairs = (
        (written.low, proposed.low),
        (written.likely, proposed.likely),
        (written.high, proposed.high),
    )
    return any(abs(new - old) >= max(1, WORTH_SAYING * old) for old, new in pairs)
