"""The studio: people, places, gear, carriers and the release rule, as the plan files give them."""

from dataclasses import dataclass, field
from typing import Literal

from episodes.calendars.openings import Stretch
from episodes.calendars.week import DayOff, ExtraHours, WeekHours
from episodes.problems import Place

AirBorne = Literal["dust", "fumes", "noise"]
AirNeed = Literal["still", "fresh", "quiet"]
BEARS_NOT: dict[AirNeed, AirBorne] = {"still": "dust", "fresh": "fumes", "quiet": "noise"}
"""What each need cannot bear."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    id: str
    title: str
    hours: WeekHours
    keeps_holidays: bool = False
    off: tuple[DayOff, ...] = ()
    extra: tuple[ExtraHours, ...] = ()
    could: tuple[ExtraHours, ...] = ()
    """Hours the person could work if need be: in no plan, offered as a way out of a slip."""
    busy: tuple[Stretch, ...] = ()
    """Busy time read from the person's calendar files, UTC minutes; beats `extra`."""
    place: Place


@dataclass(frozen=True, slots=True)
class Air:
    """Temperature in degC and relative humidity in percent."""

    celsius: float = 21.0
    humidity: float = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """A room or workshop. `air_by_month` has twelve entries, January first."""

    id: str
    title: str
    hours: WeekHours | None = None
    noise_hours: WeekHours | None = None
    off: tuple[DayOff, ...] = ()
    holds: int | None = None
    air_by_month: tuple[Air, ...] = (Air(),) * 12
    shares_air_with: frozenset[str] = frozenset()
    """Made symmetric by the reader; never contains the space itself."""
    hears: frozenset[str] = frozenset()
    lingers: dict[AirBorne, int] = field(default_factory=dict)
    forbids: tuple[str, ...] = ()
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear:
    id: str
    title: str
    count: int = 1
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrier:
    """Who brings parcels. `weekdays` has Monday as 0; times of day are minutes after midnight.

    `cutoff` None: the whole day counts.
    """

    id: str
    title: str
    weekdays: frozenset[int]
    keeps_holidays: bool = True
    off: tuple[DayOff, ...] = ()
    cutoff: int | None = None
    arrives_at: int = 18 * 60
    place: Place


@dataclass(frozen=True, slots=True)
class ReleaseRule:
    """The nth (1..4, -1 for the last) weekday (Monday 0) of a month, `at` minutes after midnight.

    `skip` holds months as `YYYY-MM`.
    """

    nth: int
    weekday: int
    at: int = 9 * 60
    skip: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class OddsSettings:
    samples: int = 10_000
    seed: int = 1
    correlation: float = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Studio:
    """What seldom changes. `zone` is an IANA name, `as_of` a UTC minute, `cushion` minutes."""

    name: str
    zone: str
    release_rule: ReleaseRule
    latitude: float | None = None
    longitude: float | None = None
    holidays: str | None = None
    currency: str = ""
    units: Literal["metric", "us"] = "metric"
    cushion: int | None = None
    calendar_id: str
    as_of: int | None = None
    people: tuple[Person, ...]
    spaces: tuple[Space, ...] = ()
    gear: tuple[Gear, ...] = ()
    carriers: tuple[Carrier, ...] = ()
    odds: OddsSettings = OddsSettings()
    file: str = "studio.toml"

    def person(self, id: str) -> Person:
        return next(person for person in self.people if person.id == id)

    def space(self, id: str) -> Space:
        return next(space for space in self.spaces if space.id == id)

    def carrier(self, id: str) -> Carrier:
        return next(carrier for carrier in self.carriers if carrier.id == id)

    def gear_named(self, id: str) -> Gear:
        return next(gear for gear in self.gear if gear.id == id)
