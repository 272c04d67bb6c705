"""`studio.toml`: from the tables of the schema to the model, and the ground episodes stand on."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from episodes.calendars.local_time import Zone, zone
from episodes.calendars.week import WeekHours, parse_week_hours, parse_weekdays
from episodes.files import moments
from episodes.files.air import air_of_year
from episodes.files.context import Context, Ground, Layer, Layers
from episodes.files.faults import Faults
from episodes.files.names import Names
from episodes.files.schema_studio import (
    CarrierTable,
    GearTable,
    LingersTable,
    PersonTable,
    ReleaseTable,
    SpaceTable,
    StudioTable,
)
from episodes.files.source import Source
from episodes.files.toml_spans import Path
from episodes.files.values import in_two, quoted
from episodes.model.studio import (
    AirBorne,
    Carrier,
    Gear,
    OddsSettings,
    Person,
    ReleaseRule,
    Space,
    Studio,
)
from episodes.problems import Place

_NTH = {"first": 1, "second": 2, "third": 3, "fourth": 4, "last": -1}
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_NINE = 9 * 60
_EVENING = 18 * 60
_MOST = 500
"""Things of one kind in a studio."""


class StudioReader:
    """Reads one studio.toml; `studio` has everything but busy time, which needs the releases."""

    def __init__(self, source: Source, table: StudioTable, names: Names, faults: Faults) -> None:
        self.source = source
        self.table = table
        self.names = names
        self.faults = faults
        self.zone = self._zone()
        self.rule = self._rule(table.release)

    # ---------------------------------------------------------------- heads

    def _zone(self) -> Zone:
        name = self.table.timezone
        if name is None:
            if ("timezone",) not in self.source.broken:
                self._fault(
                    "missing-key", (), "no `timezone`.", 'Write timezone = "America/Chicago".'
                )
            return zone("UTC")
        try:
            return zone(name)
        except ValueError as fault:
            self._bad_value(("timezone",), "`timezone`", fault)
            return zone("UTC")

    def _rule(self, table: ReleaseTable | None) -> ReleaseRule:
        if table is None:
            return ReleaseRule(1, _WEEKDAYS.index("friday"))
        nth, weekday = 1, _WEEKDAYS.index("friday")
        if table.on is not None:
            words = table.on.lower().split()
            if len(words) == 2 and words[0] in _NTH and _weekday(words[1]) is not None:
                nth, weekday = _NTH[words[0]], _weekday(words[1]) or 0
            else:
                text = f"`on`: {quoted(table.on)} is no rule for a release day."
                mend = 'Write "first friday": first, second, third, fourth or last, and a weekday.'
                self._fault("bad-value", ("release", "on"), text, mend)
        at = _NINE if table.at is None else moments.minute_of_day(table.at)
        return ReleaseRule(nth, weekday, at, frozenset(table.skip or ()))

    def as_of(self) -> int | None:
        """The moment the season is read from, where it names one."""
        value = self.table.as_of
        if value is None:
            return None
        if isinstance(value, datetime):
            return moments.instant(self.zone, value, up=True)
        return self.zone.utc(value, 0)

    # ---------------------------------------------------------------- whole

    def studio(self) -> Studio:
        table = self.table
        if not table.name and ("name",) not in self.source.broken:
            self._fault(
                "missing-key", (), "no `name`.", 'Write name = "..", the name of the studio.'
            )
        people = self._each("person", table.person or (), self._person)
        if not table.person and ("person",) not in self.source.broken:
            mend = "Write a [[person]] with id and hours: whoever does the work."
            self._fault("missing-key", (), "no `person`.", mend)
        place = table.place
        if place is not None:
            for key in ("latitude", "longitude"):
                if getattr(place, key) is None and ("place", key) not in self.source.broken:
                    mend = "Write place = { latitude = 41.9, longitude = -87.6 }."
                    self._fault("missing-key", ("place",), f"`place` has no `{key}`.", mend)
        odds = table.odds
        spaces = self._each("space", table.space or (), self._space)
        self._check_keeps_holidays()
        return Studio(
            name=table.name or "",
            zone=self.zone.name,
            release_rule=self.rule,
            latitude=place.latitude if place else None,
            longitude=place.longitude if place else None,
            holidays=table.holidays,
            currency=table.currency or "",
            units="us" if table.units == "us" else "metric",
            cushion=table.cushion,
            calendar_id=table.calendar_id or table.name or "",
            as_of=self.as_of(),
            people=people,
            spaces=self._symmetric(spaces),
            gear=self._each("gear", table.gear or (), self._gear),
            carriers=self._each("carrier", table.carrier or (), self._carrier),
            odds=OddsSettings(odds.samples, odds.seed, odds.correlation)
            if odds
            else OddsSettings(),
            file=self.source.name,
        )

    def _each(
        self, kind: str, tables: Sequence[Any], read: Callable[[Any, Path, str], Any]
    ) -> tuple[Any, ...]:
        """The people, spaces, .. that have an id of their own."""
        first: dict[str, int] = {}
        result = []
        if len(tables) > _MOST:
            text = f"{len(tables):,} of `{kind}`; at most {_MOST} are read."
            self._fault("too-many", (kind,), text, "Leave some out.")
        for index, table in enumerate(tables[:_MOST]):
            path: Path = (kind, index)
            if path in self.source.broken:
                continue
            place = self.source.place((*path, "id"))
            if table.id is None:
                if (*path, "id") not in self.source.broken:
                    text = f"{kind} {index + 1} has no `id`."
                    self._fault("missing-key", path, text, 'Write id = "..".')
            elif table.id in first:
                text = f"the id {quoted(table.id)} is taken on line {first[table.id]} already."
                self.faults.add(
                    "duplicate-id", place, text, f"Give this {kind} another.", subject=table.id
                )
            else:
                first[table.id] = place.line
                result.append(read(table, path, f"{kind} {quoted(table.id)}"))
        return tuple(result)

    # ---------------------------------------------------------------- things

    def _person(self, table: PersonTable, path: Path, saying: str) -> Person:
        hours = self._week(table.hours, (*path, "hours"), saying)
        if hours is None and (*path, "hours") not in self.source.broken:
            mend = 'Write hours = { mon-fri = ["18:00-21:30"], sat = ["09:00-17:00"] }.'
            self._fault("missing-key", path, f"{saying} has no `hours`.", mend, table.id or "")
        return Person(
            id=table.id or "",
            title=table.title or table.id or "",
            hours=hours or WeekHours(((),) * 7),
            keeps_holidays=table.keeps_holidays,
            off=tuple(table.off or ()),
            extra=tuple(table.extra or ()),
            could=tuple(table.could or ()),
            place=self.source.place(path),
        )

    def _space(self, table: SpaceTable, path: Path, saying: str) -> Space:
        by_month = table.air_by_month or {}
        air = air_of_year(table.air, by_month, self.source, path, saying, self.faults)
        return Space(
            id=table.id or "",
            title=table.title or table.id or "",
            hours=self._week(table.hours, (*path, "hours"), saying),
            noise_hours=self._week(table.noise_hours, (*path, "noise_hours"), saying),
            off=tuple(table.off or ()),
            holds=table.holds,
            air_by_month=air,
            shares_air_with=frozenset(table.shares_air_with or ()),
            hears=frozenset(table.hears or ()),
            lingers=_lingers(table.lingers),
            forbids=table.forbids or (),
            place=self.source.place(path),
        )

    def _gear(self, table: GearTable, path: Path, saying: str) -> Gear:
        id = table.id or ""
        return Gear(
            id=id, title=table.title or id, count=table.count, place=self.source.place(path)
        )

    def _carrier(self, table: CarrierTable, path: Path, saying: str) -> Carrier:
        days = frozenset(range(5))
        if table.days is not None:
            try:
                days = frozenset(
                    day for part in table.days.split(",") for day in parse_weekdays(part.strip())
                )
            except ValueError as fault:
                self._bad_value((*path, "days"), f"{saying}: `days`", fault)
        return Carrier(
            id=table.id or "",
            title=table.title or table.id or "",
            weekdays=days,
            keeps_holidays=table.keeps_holidays,
            off=tuple(table.off or ()),
            cutoff=None if table.cutoff is None else moments.minute_of_day(table.cutoff),
            arrives_at=(
                _EVENING
                if table.arrives_at is None
                else moments.minute_of_day(table.arrives_at, up=True)
            ),
            place=self.source.place(path),
        )

    def _week(
        self, table: dict[str, list[str]] | None, path: Path, saying: str
    ) -> WeekHours | None:
        """Hours of a week; every key at fault is reported on its own line."""
        if table is None:
            return None
        good: dict[str, list[str]] = {}
        for key, windows in table.items():
            try:
                parse_week_hours({key: windows})
                good[key] = windows
            except ValueError as fault:
                self._bad_value((*path, key), f"{saying}: `{path[-1]}`", fault)
        try:
            return parse_week_hours(good)
        except ValueError as fault:
            self._bad_value(path, f"{saying}: `{path[-1]}`", fault)
            return WeekHours(((),) * 7)

    def _symmetric(self, spaces: tuple[Space, ...]) -> tuple[Space, ...]:
        """Spaces whose air and walls are named from one side only know of it on both."""
        ids = [space.id for space in spaces]
        shares: dict[str, set[str]] = {id: set() for id in ids}
        hears: dict[str, set[str]] = {id: set() for id in ids}
        for space in spaces:
            for key, named, both in (
                ("shares_air_with", space.shares_air_with, shares),
                ("hears", space.hears, hears),
            ):
                for other in sorted(named - {space.id}):
                    if other in both:
                        both[space.id].add(other)
                        both[other].add(space.id)
                    else:
                        self._unknown_space(space, key, other, ids)
        return tuple(
            replace(
                space,
                shares_air_with=frozenset(shares[space.id]),
                hears=frozenset(hears[space.id]),
            )
            for space in spaces
        )

    def _unknown_space(self, space: Space, key: str, other: str, ids: list[str]) -> None:
        raw = self.source.data.get("space") or []
        if any(isinstance(table, dict) and table.get("id") == other for table in raw):
            return
        index = next(at for at, table in enumerate(self.table.space or ()) if table.id == space.id)
        near = self.names.nearest(other, ids)
        text = f"space {quoted(space.id)}: `{key}` names {quoted(other)}, which is no space"
        text += f"; did you mean {quoted(near)}?" if near else "."
        self._fault("unknown-name", ("space", index, key), text, "", space.id)

    def _check_keeps_holidays(self) -> None:
        if self.table.holidays is not None or ("holidays",) in self.source.broken:
            return
        for index, person in enumerate(self.table.person or ()):
            if person.keeps_holidays:
                text = (
                    f"person {quoted(person.id or '')} keeps holidays, and the studio names none."
                )
                place = self.source.place(("person", index, "keeps_holidays"))
                mend = 'Write holidays = "US", the country or "US-TX" for a part of it.'
                self.faults.add(
                    "no-holidays", place, text, mend, subject=person.id or "", level="warning"
                )

    def _bad_value(self, path: Path, saying: str, fault: ValueError) -> None:
        text, mend = in_two(fault)
        self._fault("bad-value", path, f"{saying}: {text}", mend)

    def busy_place(self, person: str, index: int) -> Place:
        """Where the nth calendar file of a person is named."""
        tables = self.table.person or ()
        at = next(at for at, table in enumerate(tables) if table.id == person)
        return self.source.place(("person", at, "busy", index))

    def _fault(self, code: str, path: Path, text: str, mend: str = "", subject: str = "") -> None:
        self.faults.add(code, self.source.place(path), text, mend, subject=subject)


def _weekday(word: str) -> int | None:
    return next((day for day, name in enumerate(_WEEKDAYS) if word in (name, name[:3])), None)


def _lingers(table: LingersTable | None) -> dict[AirBorne, int]:
    read: dict[AirBorne, int] = {}
    if table is not None and table.dust is not None:
        read["dust"] = table.dust
    if table is not None and table.fumes is not None:
        read["fumes"] = table.fumes
    return read


def ground_of(reader: StudioReader, studio: Studio, now: int) -> Ground:
    """What the episodes need of the studio; things whose table is at fault keep their name."""
    source, table = reader.source, reader.table

    def ids(kind: str) -> list[str]:
        listed = source.data.get(kind)
        tables = listed if isinstance(listed, list) else []
        return [
            each["id"]
            for each in tables
            if isinstance(each, dict) and isinstance(each.get("id"), str)
        ]

    spaces: dict[str, tuple[str, ...]] = dict.fromkeys(ids("space"), ())
    spaces |= {space.id: space.forbids for space in studio.spaces}
    counts: dict[str, int] = dict.fromkeys(ids("gear"), 10_000)
    counts |= {gear.id: gear.count for gear in studio.gear}
    carriers: dict[str, Carrier | None] = dict.fromkeys(ids("carrier"))
    carriers |= {carrier.id: carrier for carrier in studio.carriers}
    defaults = {}
    if table.defaults is not None:
        for kind in ("step", "shot", "parcel"):
            given = getattr(table.defaults, kind)
            if given is not None:
                defaults[kind] = Layer(given, source, ("defaults", kind))
    return Ground(
        zone=reader.zone,
        now=now,
        unread=frozenset(str(path[0]) for path in source.broken if len(path) == 1),
        rule=reader.rule,
        people=frozenset(ids("person")),
        spaces=spaces,
        gear=counts,
        carriers=carriers,
        first_person=studio.people[0].id if studio.people else "",
        defaults=defaults,
    )


def check_defaults(context: Context) -> None:
    """Names of the studio in `[defaults]`, also where no episode comes to use them."""
    for kind, layer in context.ground.defaults.items():
        saying = f"[defaults.{kind}]"
        if getattr(layer.table, "id", None) is not None:
            text = f"{saying} gives an `id`, which no two things may share."
            context.fault("unknown-key", layer.place("id"), text, "Leave it out.")
        layers = Layers((layer,))
        if kind == "parcel":
            name, at = layers.find("carrier")
            if at is not None:
                known = context.ground.carriers
                words = f"{saying}: `carrier` names"
                context.known("carrier", name, known, at.place("carrier"), words, "")
        else:
            context.who(layers, saying, "", may_be_empty=kind == "shot")
            context.space(layers, saying, "", None)
            context.gear(layers, saying, "")
