"""A way out written into the plan: what it changes becomes what is planned, as one change.

A way out is a promise ("with this it is ready by then"), so what is written is exactly what was
planned with it: a parcel's new lead and carrier with the old order's facts gone, what is left out
as `dropped`, hours as `extra` of the person, air as that of the months up to the release. Its price
goes to what carries the change, so that the money planned rises by it. The way out itself is taken
out of the file: it has happened. One undo puts all of it back.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from episodes.amounts import estimate_as_written
from episodes.calendars.local_time import zone
from episodes.calendars.openings import Stretch
from episodes.calendars.week import parse_extra
from episodes.files.editing import STUDIO_FILE, ChangedMeanwhileError, Edit, EditError, edited
from episodes.files.growing import NewText, write
from episodes.files.journal import Change
from episodes.files.saving import texts_of
from episodes.files.writing import Kind, Op, Put, Remove, changed, table_of
from episodes.model.episode import Episode, Fallback, Job, Parcel, Ref, Shot, Step
from episodes.model.season import Season

_ORDER = ("ordered", "promised", "arrived", "failed", "guessed")
"""What is known of an order that a new one takes the place of."""

Thing = Parcel | Job | Step | Shot


def adopt(
    folder: Path,
    season: Season,
    episode: str,
    ways: Sequence[Fallback],
    said: str,
    *,
    clock: int,
    now: int | None = None,
    seen: Mapping[str, str] | None = None,
) -> Change:
    """Write ways out of one episode into its plan, and into the studio's file where they ask it.

    Args:
        season: as read when the ways out were worked out.
        said: the change in words, for the journal.
        clock, now: as for reading the season.
        seen: by name, the texts that `season` was read from.

    Raises:
        ChangedMeanwhileError: a file that is to be written is no longer as it was `seen`.
        EditError: something is written in a way that cannot be edited; nothing was written.
        PlanError: the season could not be read with it; nothing was written.
        StaleFileError, LockedError: in words why nothing was written.
        OSError: a file cannot be written.
    """
    before = texts_of(folder)
    after = adopted(before, season, episode, ways)
    names = [name for name, text in after.items() if text != before[name]]
    for name in names if seen is not None else ():
        assert seen is not None
        if seen.get(name) != before[name]:
            raise ChangedMeanwhileError(
                f"{name} was changed meanwhile; nothing was written. Look at the ways out again"
            )
    if not names:
        return Change(said=said, files=())
    texts = [NewText(name, before[name], after[name]) for name in names]
    return write(folder, texts, said, clock=clock, now=now)


def adopted(
    texts: Mapping[str, str], season: Season, episode: str, ways: Sequence[Fallback]
) -> dict[str, str]:
    """The season's files with the ways out taken; arguments and errors as `adopt`."""
    written = season.episode(episode)
    file = written.file
    ops: list[Op] = []
    for way in ways:
        ops += _orders(way)
        ops += _dropped(way, season)
        ops += _steps(way, written, texts[file])
        ops += _used(way, written)
    ops += _price(written, ways)
    ids = {way.id for way in ways}
    ops += _other_ways(written, ways)
    ops += [Remove(kind="fallback", id=each.id) for each in written.fallbacks if each.id in ids]
    after = changed(texts, file, ops)
    edits = [edit for way in ways for edit in (*_hours(way, season), *_air(way, season, written))]
    if edits:
        after[STUDIO_FILE] = _studio(after[STUDIO_FILE], edits)
    return after


# ---------------------------------------------------------------------------- the episode's file


def _orders(way: Fallback) -> Iterator[Op]:
    """A new order: its lead and carrier, nothing of the old one's."""
    for id, new in way.parcel.items():
        lead = estimate_as_written(new.lead.amount, workdays=new.lead.workdays)
        yield Put(kind="parcel", id=id, key="lead", value=lead)
        if new.carrier is not None:
            yield Put(kind="parcel", id=id, key="carrier", value=new.carrier)
        for key in _ORDER:
            yield Put(kind="parcel", id=id, key=key, value=None)


def _dropped(way: Fallback, season: Season) -> Iterator[Op]:
    when = _wall(season)
    for ref in way.drop:
        yield Put(kind=_kind(ref), id=ref.id, key="dropped", value=when)


def _steps(way: Fallback, episode: Episode, text: str) -> Iterator[Op]:
    """Hands-on time, coat, place and people of single steps and shots."""
    shots = {shot.id for shot in episode.shots}

    def kind(id: str) -> Kind:
        return "shot" if id in shots else "step"

    for id, hands in way.hands.items():
        yield Put(kind=kind(id), id=id, key="hands", value=estimate_as_written(hands))
        yield Put(kind=kind(id), id=id, key="guessed", value=None)
    for id, coat in way.coat.items():
        yield Put(kind="step", id=id, key="coat", value=coat.product)
        if "dries" in table_of(text, "step", id):
            # The times on the step were the old product's.
            yield Put(kind="step", id=id, key="dries", value=None)
    for id, space in way.where.items():
        yield Put(kind=kind(id), id=id, key="where", value=space)
    for id, who in way.who.items():
        people = list(who.people)
        value = {"any_of": people} if who.any_of else people
        yield Put(kind=kind(id), id=id, key="who", value=value)


def _used(way: Fallback, episode: Episode) -> Iterator[Op]:
    """What waited for this way takes part from now on."""
    for ref in way.use:
        thing = _thing(episode, ref)
        if isinstance(thing, Job):
            for step in thing.steps:
                if step.fallback_only and not thing.fallback_only:
                    yield Put(kind="step", id=step.id, key="fallback_only", value=None)
        if thing.fallback_only:
            yield Put(kind=_kind(ref), id=ref.id, key="fallback_only", value=None)


def _other_ways(episode: Episode, ways: Sequence[Fallback]) -> Iterator[Op]:
    """Other ways out no longer bring in what takes part now; one that did nothing else goes."""
    taken = {ref for way in ways for ref in way.use}
    ids = {way.id for way in ways}
    for other in episode.fallbacks:
        if other.id in ids or not taken & set(other.use):
            continue
        left = [ref.id for ref in other.use if ref not in taken]
        if left or _changes_more(other):
            value = left or None
            yield Put(kind="fallback", id=other.id, key="use", value=value)
        else:
            yield Remove(kind="fallback", id=other.id)


def _changes_more(way: Fallback) -> bool:
    """Whether it does anything beside bringing things in."""
    changes = (way.parcel, way.drop, way.hands, way.coat, way.extra, way.air, way.where, way.who)
    return any(changes)


# ---------------------------------------------------------------------------- the price


def _price(episode: Episode, ways: Sequence[Fallback]) -> Iterator[Op]:
    """The price of the ways, on what they change: the money planned rises by just that.

    A way's cost is the whole difference, while what goes and what comes have costs of their own;
    what is put down is the rest.
    """
    rest = round(sum(way.cost for way in ways) - _own_costs(episode, ways), 2)
    if not rest:
        return
    for ref in _bearers(episode, ways):
        thing = _thing(episode, ref)
        if isinstance(thing, Parcel) and thing.paid is not None:
            # What is paid counts instead of the cost.
            continue
        cost = round((thing.cost or 0) + rest, 2)
        value = int(cost) if cost == int(cost) else cost
        yield Put(kind=_kind(ref), id=ref.id, key="cost", value=value)
        return


def _own_costs(episode: Episode, ways: Sequence[Fallback]) -> float:
    """By how much the costs of what comes in exceed those of what goes."""
    gone = {ref for way in ways for ref in way.drop}
    come = {ref for way in ways for ref in way.use}
    total = 0.0
    for parcel in episode.parcels:
        ref = Ref("parcel", episode.id, parcel.id)
        price = parcel.cost or 0.0
        if ref in come and parcel.dropped is None:
            total += price
        elif ref in gone and _takes_part(parcel) and parcel.paid is None and not parcel.refunded:
            total -= price
    for shot in episode.shots:
        ref = Ref("shot", episode.id, shot.id)
        if ref in come:
            total += shot.cost or 0.0
        elif ref in gone and _takes_part(shot):
            total -= shot.cost or 0.0
    for job in episode.jobs:
        total += _cost_of_job(episode, job, gone, come)
    return total


def _cost_of_job(episode: Episode, job: Job, gone: set[Ref], come: set[Ref]) -> float:
    def there(step: Step, *, after: bool) -> bool:
        refs = {Ref("job", episode.id, job.id), Ref("step", episode.id, step.id)}
        if step.dropped is not None or job.dropped is not None or (after and refs & gone):
            return False
        only = step.fallback_only or job.fallback_only
        return not only or (after and bool(refs & come))

    total = 0.0
    for after in (False, True):
        steps = [step for step in job.steps if there(step, after=after)]
        cost = sum(step.cost or 0.0 for step in steps) + ((job.cost or 0.0) if steps else 0.0)
        total += cost if after else -cost
    return total


def _takes_part(thing: Parcel | Shot) -> bool:
    return thing.dropped is None and not thing.fallback_only


def _bearers(episode: Episode, ways: Sequence[Fallback]) -> Iterator[Ref]:
    """What may bear the price, the most telling first: what comes in, what is ordered anew, what
    is done otherwise, else the first job with work left, else any parcel."""
    used = [ref for way in ways for ref in way.use]
    yield from sorted(used, key=lambda ref: ref.kind != "parcel")
    gone = {ref for way in ways for ref in way.drop}
    for way in ways:
        yield from (Ref("parcel", episode.id, id) for id in way.parcel)
    shots = {shot.id for shot in episode.shots}
    for way in ways:
        for id in (*way.coat, *way.hands, *way.where, *way.who):
            yield Ref("shot" if id in shots else "step", episode.id, id)
    for job in episode.jobs:
        ref = Ref("job", episode.id, job.id)
        left = [
            step
            for step in job.steps
            if step.dropped is None
            and step.done is None
            and not step.fallback_only
            and Ref("step", episode.id, step.id) not in gone
        ]
        if left and job.dropped is None and not job.fallback_only and ref not in gone:
            yield ref
    kept = [*((Ref("parcel", episode.id, each.id), each) for each in episode.parcels)]
    yield from (ref for ref, each in kept if _takes_part(each) and ref not in gone)


# ---------------------------------------------------------------------------- the studio's file


def _hours(way: Fallback, season: Season) -> Iterator[Edit]:
    for person, stretch in way.extra:
        value = _as_extra(stretch, season)
        yield Edit(kind="person", id=person, key="extra", value=value, add=True)


def _as_extra(stretch: Stretch, season: Season) -> str:
    """`2027-05-03 09:00-17:00`, past midnight too."""
    here = zone(season.studio.zone)
    start, end = (here.local(minute) for minute in stretch)
    close = "24:00" if end.hour == end.minute == 0 else f"{end:%H:%M}"
    text = f"{start:%Y-%m-%d} {start:%H:%M}-{close}"
    read = parse_extra(text)
    if (here.utc(read.day, read.window[0]), here.utc(read.day, read.window[1])) != stretch:
        raise EditError(f"the hours from {start:%Y-%m-%d %H:%M} can't be written as extra hours")
    return text


def _air(way: Fallback, season: Season, episode: Episode) -> Iterator[Edit]:
    """The air by hand, in each month from now to the release."""
    months = _months(season, episode.release)
    for id, (celsius, humidity) in way.air.items():
        space = next(each for each in season.studio.spaces if each.id == id)
        by_month: dict[str, dict[str, float]] = {}
        for month in months:
            usual = space.air_by_month[month - 1]
            by_month[f"{month:02}"] = {
                "celsius": _plain(usual.celsius if celsius is None else celsius),
                "humidity": _plain(usual.humidity if humidity is None else humidity),
            }
        yield Edit(kind="space", id=id, key="air_by_month", value=by_month)


def _months(season: Season, release: int) -> list[int]:
    here = zone(season.studio.zone)
    first, last = here.day(season.now), here.day(release)
    count = (last.year - first.year) * 12 + last.month - first.month + 1
    return [(first.month - 1 + step) % 12 + 1 for step in range(min(max(count, 1), 12))]


def _studio(text: str, edits: Iterable[Edit]) -> str:
    """The studio's text with hours added and months of air put in among those that are there."""
    for edit in edits:
        table = table_of(text, edit.kind, edit.id)
        value = edit.value
        if edit.add and value in table.get(edit.key, ()):
            continue
        if isinstance(value, Mapping):
            value = {**_as_read(table.get(edit.key, {})), **value}
        edit = Edit(kind=edit.kind, id=edit.id, key=edit.key, value=value, add=edit.add)
        text = edited(text, [edit], file=STUDIO_FILE)
    return text


def _as_read(table: Mapping[str, Any]) -> dict[str, Any]:
    return {
        key: dict(value) if isinstance(value, Mapping) else value for key, value in table.items()
    }


# ---------------------------------------------------------------------------- names


def _kind(ref: Ref) -> Kind:
    kinds: dict[str, Kind] = {"parcel": "parcel", "job": "job", "step": "step", "shot": "shot"}
    return kinds[ref.kind]


def _thing(episode: Episode, ref: Ref) -> Thing:
    things: Iterable[Thing]
    match ref.kind:
        case "parcel":
            things = episode.parcels
        case "job":
            things = episode.jobs
        case "shot":
            things = episode.shots
        case _:
            things = [step for job in episode.jobs for step in job.steps]
    return next(thing for thing in things if thing.id == ref.id)


def _wall(season: Season) -> object:
    """Now, as plan files write it."""
    here = zone(season.studio.zone)
    local = here.local(season.now)
    plain = local.replace(tzinfo=None, fold=0)
    same = here.utc(plain.date(), plain.hour * 60 + plain.minute) == season.now
    return plain if same else local


def _plain(value: float) -> float:
    """20.0 as 20: what is written has no more places than it needs."""
    return int(value) if value == int(value) else round(value, 2)
