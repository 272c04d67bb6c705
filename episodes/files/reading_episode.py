"""One episode: its head and release, and its parts put together."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from episodes.calendars.release_day import release_of_month
from episodes.files import moments
from episodes.files.context import Context, Ground, Layer, Layers
from episodes.files.folder import EPISODE_NAME, PlanFile
from episodes.files.names import Names
from episodes.files.reading_fallbacks import Things, read_fallbacks
from episodes.files.reading_parcels import read_parcels
from episodes.files.reading_shots import read_shots
from episodes.files.reading_steps import read_jobs
from episodes.files.values import FIRST_YEAR, LAST_YEAR, quoted
from episodes.model.episode import Episode

_MONTHS_AHEAD = 120


def releases_of(files: Sequence[PlanFile], ground: Ground) -> Mapping[str, int]:
    """UTC minute of each release: as written, by the file's month, an idea's the next free one."""
    releases = {file.id: _release(file, ground) for file in files if not file.idea}
    taken = {f"{ground.zone.day(release):%Y-%m}" for release in releases.values()}
    free = _next_free(ground, taken)
    for file in files:
        if file.idea:
            given = file.table.release is not None
            releases[file.id] = _release(file, ground) if given else free
    return releases


def _release(file: PlanFile, ground: Ground) -> int:
    written, place = file.table.release, file.source.place(("release",))
    if isinstance(written, datetime):
        return moments.instant(ground.zone, written, up=False)
    if written is not None and not isinstance(written, str):
        return ground.zone.utc(written, ground.rule.at)
    match = EPISODE_NAME.fullmatch(file.id)
    month = written or (match[1] if match else "2027-01")
    if not FIRST_YEAR <= int(month[:4]) <= LAST_YEAR:
        text = f"the month {month} of the file's name lies outside {FIRST_YEAR} to {LAST_YEAR}."
        file.faults.add("bad-value", place, text, "Rename the file.")
        month = "2027-01"
    if month in ground.rule.skip:
        text = f"{month} is a month that the release rule skips."
        mend = "Write another `release`, or take the month out of `skip` in studio.toml."
        file.faults.add("skipped-month", place, text, mend, level="warning")
    return release_of_month(ground.zone, ground.rule, month)


def _next_free(ground: Ground, taken: set[str]) -> int:
    """The rule's first release after now whose month is neither skipped nor taken."""
    today = ground.zone.day(ground.now)
    number = today.year * 12 + today.month - 1
    release = ground.now
    for ahead in range(_MONTHS_AHEAD):
        year, month = divmod(number + ahead, 12)
        name = f"{year}-{month + 1:02}"
        release = release_of_month(ground.zone, ground.rule, name)
        if release > ground.now and name not in taken and name not in ground.rule.skip:
            break
    return release


def read_episode(
    file: PlanFile, ground: Ground, names: Names, release: int, coated: set[str]
) -> Episode:
    """The model of an episode; what is wrong goes to the file's faults.

    Args:
        coated: gets the qualified name of every step that has a `coat`.
    """
    table, source = file.table, file.source
    context = Context(ground, names, file.faults, source, file.id, release, table.room)
    if table.room is not None:
        place = source.place(("room",))
        context.known("space", table.room, ground.spaces, place, "`room` names", "")
    jobs = read_jobs(context, table.job or [])
    shots = read_shots(context, table.shot or [], jobs)
    parcels = read_parcels(context, table.parcel or [])
    things = Things([read.job for read in jobs], parcels, shots)
    fallbacks = read_fallbacks(context, table.fallback or [], things)
    coated |= {f"{file.id}:{step}" for step in context.coated}
    head = Layers((Layer(table, source, ()),))
    return Episode(
        id=file.id,
        title=table.title or file.id,
        release=release,
        room=table.room,
        budget=table.budget,
        may_start=context.lower(table.may_start),
        released=context.fact(
            head, "released", f"episode {quoted(file.id)}", "", minute=ground.rule.at
        ),
        parcels=tuple(parcels),
        jobs=tuple(read.job for read in jobs),
        shots=tuple(shots),
        fallbacks=tuple(fallbacks),
        file=source.name,
        note=table.note or "",
        place=source.place(),
    )
