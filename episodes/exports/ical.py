"""The calendar file of an answer: RFC 5545 with the properties of RFC 7986, for subscribers.

Pure: an answer, its season, the moment and the earlier file's bytes in; bytes and a count of what
changed out. The same input gives the same bytes, and an unchanged plan gives the earlier file's.

Times are local to the studio's zone with their own VTIMEZONE. An instant of the hour that comes
twice is written in UTC, its first pass too: RFC 5545 section 3.3.5 means the first, but readers
differ. So is one before 1970, which the VTIMEZONE does not reach.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Component, Event, Todo, vDuration, vText

from episodes.answers.precedence import Precedence
from episodes.answers.rows import CheckAnswer
from episodes.exports.ical_entries import (
    WORK_KINDS,
    Bell,
    Earlier,
    Entry,
    Kept,
    Key,
    Options,
    entries,
    entry_uid,
)
from episodes.exports.ical_relations import Relation, relations
from episodes.exports.ical_state import BUSY, PRODID, Counts, Merge, known, read_earlier
from episodes.exports.ical_words import title
from episodes.exports.timezone_component import timezone_component
from episodes.model.season import Season

COLOUR = "teal"
"""A name of CSS3, as RFC 7986 section 5.9 asks."""

LOOK_AGAIN = timedelta(hours=6)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_TIMES = ("DTSTART", "DTEND", "DUE")


@dataclass(frozen=True, slots=True)
class CalendarFile:
    """The bytes of a calendar file and what they change against the earlier one."""

    data: bytes
    counts: Counts

    @property
    def summary(self) -> str:
        """`3 new, 2 moved, 1 cancelled, 41 unchanged`."""
        return str(self.counts)


def calendar_file(
    answer: CheckAnswer,
    season: Season,
    *,
    now: int,
    earlier: bytes | None = None,
    options: Options | None = None,
    links: Sequence[Precedence] = (),
) -> CalendarFile:
    """The calendar file of an answer.

    Args:
        now: UTC minute, the stamp of what is new or changed.
        earlier: what stands at the file's place; None for nothing.
        links: what must precede what, with waits kept where `options.waits` asks for them.

    Raises:
        EarlierFileError: what stands there is not a calendar file of ours.
    """
    options = options or Options()
    before = {} if earlier is None else read_earlier(earlier)
    wanted = entries(answer, season, known(before), options)
    here = ZoneInfo(answer.zone)
    unasked = _unasked(before, answer, season)
    related: dict[str, list[vText]] = {}
    if not options.private:
        elsewhere = _elsewhere(links, known(before), unasked, season.studio.calendar_id)
        found = relations((*wanted.entries, *wanted.kept), links, elsewhere)
        related = {uid: [_relation(each) for each in several] for uid, several in found.items()}
    fresh = [
        _component(entry, here, options.private, related.get(entry.uid, ()))
        for entry in wanted.entries
        if entry.busy or not options.private
    ]
    merge = Merge(before, now, options.private)
    kept = {each.uid: related.get(each.uid, []) for each in wanted.kept}
    components = merge.merge(fresh, kept, unasked)
    calendar = _calendar(answer, season, options)
    for zone in _zones(components) or [_some_zone(here, now)]:
        calendar.add_component(zone)
    for component in components:
        calendar.add_component(component)
    return CalendarFile(calendar.to_ical(), merge.counts)


def _calendar(answer: CheckAnswer, season: Season, options: Options) -> Calendar:
    name = title(answer.season or season.studio.name, "Releases")
    if options.private:
        name = BUSY
    elif options.person is not None:
        name = title(f"{name}: {answer.people.get(options.person, options.person)}")
    calendar = Calendar()
    calendar.add("PRODID", PRODID)
    calendar.add("VERSION", "2.0")
    # The library does not know these two as texts and would write their commas bare.
    calendar.add("NAME", vText(name))
    calendar.add("X-WR-CALNAME", vText(name))
    calendar.add("COLOR", COLOUR)
    calendar.add("REFRESH-INTERVAL", LOOK_AGAIN, parameters={"VALUE": "DURATION"})
    # A string: a length of time would be written in a form of the library's own.
    calendar.add("X-PUBLISHED-TTL", "PT6H")
    return calendar


def _component(entry: Entry, here: ZoneInfo, private: bool, related: Sequence[vText]) -> Component:
    """An event or a task, without stamps."""
    component: Component = Todo() if entry.kind == "task" else Event()
    component.add("UID", entry.uid)
    component.add("SUMMARY", BUSY if private else entry.summary)
    start, end = _local(here, (entry.start, entry.end))
    if entry.kind == "task":
        component.add("DUE", end)
        if entry.completed is None:
            component.add("STATUS", "NEEDS-ACTION")
        else:
            component.add("STATUS", "COMPLETED")
            component.add("COMPLETED", _utc(entry.completed))
    else:
        component.add("DTSTART", start)
        component.add("DTEND", end)
        component.add("STATUS", "TENTATIVE" if entry.tentative else "CONFIRMED")
        component.add("TRANSP", "OPAQUE" if entry.busy else "TRANSPARENT")
    if private:
        return component
    if entry.location:
        component.add("LOCATION", entry.location)
    if entry.description:
        component.add("DESCRIPTION", entry.description)
    component.add("CATEGORIES", list(entry.categories))
    for relation in related:
        component.add("RELATED-TO", relation)
    for bell in entry.bells:
        component.add_component(_alarm(bell))
    return component


def _relation(relation: Relation) -> vText:
    parameters = {"RELTYPE": relation.type}
    if relation.gap:
        gap = vDuration(timedelta(minutes=relation.gap))
        parameters["GAP"] = gap.to_ical().decode()  # type: ignore[no-untyped-call]
    return vText(relation.uid, params=parameters)


def _elsewhere(
    links: Sequence[Precedence],
    before: Mapping[str, Earlier],
    unasked: frozenset[str],
    calendar_id: str,
) -> dict[Key, Kept]:
    """The first sessions of other episodes' work that the file holds from an earlier export."""
    found: dict[Key, Kept] = {}
    if unasked:
        for key in {link.later for link in links}:
            for kind in WORK_KINDS:
                uid = entry_uid(calendar_id, key[0], kind, key[1])
                if uid in unasked and before[uid].live:
                    start, end = before[uid].start, before[uid].end
                    found[key] = Kept(uid=uid, kind=kind, of=key, number=1, start=start, end=end)
    return found


def _alarm(bell: Bell) -> Alarm:
    alarm = Alarm()
    alarm.add("ACTION", "DISPLAY")
    alarm.add("DESCRIPTION", bell.text)
    parameters = {"RELATED": "END"} if bell.from_end else {}
    alarm.add("TRIGGER", -timedelta(minutes=bell.before), parameters=parameters)
    return alarm


def _utc(minute: int) -> datetime:
    return _EPOCH + timedelta(minutes=minute)


def _local(here: ZoneInfo, minutes: Sequence[int]) -> tuple[datetime, ...]:
    """These instants in one form: local, or in UTC where a local time would not be plain."""
    instants = [_utc(minute) for minute in minutes]
    local = [instant.astimezone(here) for instant in instants]
    if any(instant < _EPOCH for instant in instants) or any(_twice(moment) for moment in local):
        return tuple(instants)
    return tuple(local)


def _twice(moment: datetime) -> bool:
    """Whether the wall shows this local time twice."""
    return moment.replace(fold=0).utcoffset() != moment.replace(fold=1).utcoffset()


def _zones(components: Iterable[Component]) -> list[Component]:
    """The VTIMEZONEs that these components use, by name, for the years they use."""
    years: dict[str, set[int]] = {}
    for component in components:
        for name in _TIMES:
            value = component.get(name)
            if value is None:
                continue
            moment = value.dt
            if isinstance(moment.tzinfo, ZoneInfo) and moment.tzinfo.key != "UTC":
                years.setdefault(moment.tzinfo.key, set()).add(moment.astimezone(UTC).year)
    return [
        timezone_component(ZoneInfo(key), min(years[key]), max(years[key])) for key in sorted(years)
    ]


def _some_zone(here: ZoneInfo, now: int) -> Component:
    """For a calendar with nothing in it: RFC 5545 section 3.6 asks for one component."""
    year = _utc(now).year
    return timezone_component(here, year, year)


def _unasked(before: dict[str, Component], answer: CheckAnswer, season: Season) -> frozenset[str]:
    """Entries of episodes that this answer does not speak of.

    Those the season still has were not asked for and stay; those it no longer has stay only where
    they are over: a season that was tidied up does not unmake what was done.
    """
    asked = {episode.id for episode in answer.episodes}
    in_season = {episode.id for episode in season.episodes}
    left: set[str] = set()
    for uid, component in before.items():
        categories = component.get("CATEGORIES")
        names = [str(name) for name in getattr(categories, "cats", ())]
        episode = names[1] if len(names) > 1 else ""
        if episode in asked:
            continue
        if episode in in_season or known({uid: component})[uid].end <= answer.now:
            left.add(uid)
    return frozenset(left)
