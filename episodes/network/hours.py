"""Openings of people, spaces and light over one horizon, each built once.

A step is worked while all of its people, its space and its light are open; what makes noise only
in the space's noise hours. The intersections are kept by what they are made of, since most steps
of a season share a handful of them.
"""

from collections.abc import Mapping, Sequence
from typing import Literal

from episodes.calendars.carrier_days import CarrierDays
from episodes.calendars.daylight import darkness, daylight
from episodes.calendars.local_time import zone
from episodes.calendars.openings import Openings, Stretch, intersection
from episodes.calendars.week import open_hours
from episodes.model.season import Season
from episodes.model.studio import Air, Studio
from episodes.trade.drying import (
    LEAST_SLOWNESS,
    DryingCurve,
    air_pieces,
    allowed_stretches,
    slowness,
)
from episodes.trade.products import Coating


class Hours:
    """Calendars of one studio over `[start, end)`, UTC minutes.

    Args:
        extra: further openings of people, by person (a way out that adds hours).
        air: (celsius, humidity) that replaces a space's air from the season's `now` on, None for
            unchanged.
    """

    def __init__(
        self,
        season: Season,
        start: int,
        end: int,
        *,
        extra: Mapping[str, tuple[Stretch, ...]] | None = None,
        air: Mapping[str, tuple[float | None, float | None]] | None = None,
    ) -> None:
        self.studio: Studio = season.studio
        self.start = start
        self.end = end
        self.zone = zone(season.studio.zone)
        self._now = min(season.now, end)
        self._holidays = season.holidays
        self._extra = extra or {}
        self._air = air or {}
        self._people: dict[str, Openings] = {}
        self._spaces: dict[tuple[str, bool], Openings | None] = {}
        self._light: dict[str, Openings] = {}
        self._combined: dict[object, Openings] = {}
        self._carriers: dict[str | None, CarrierDays] = {}
        self._pieces: dict[str, list[tuple[int, int, Air]]] = {}
        self._curves: dict[object, DryingCurve] = {}
        self._always = Openings([(start, end)])

    def person(self, id: str) -> Openings:
        if id not in self._people:
            who = self.studio.person(id)
            openings = open_hours(
                self.zone,
                who.hours,
                self.start,
                self.end,
                off=who.off,
                extra=who.extra,
                holidays=self._holidays if who.keeps_holidays else frozenset(),
                busy=who.busy,
            )
            if self._extra.get(id):
                added = Openings(self._extra[id]).clipped(self.start, self.end)
                openings = openings | (added - Openings(who.busy))
            self._people[id] = openings
        return self._people[id]

    def space(self, id: str, *, noisy: bool = False) -> Openings | None:
        """Hours of a space, with `noisy` its noise hours too; None where it is always open."""
        key = (id, noisy)
        if key not in self._spaces:
            space = self.studio.space(id)
            parts: list[Openings] = []
            if space.hours is not None or space.off:
                parts.append(
                    open_hours(self.zone, space.hours, self.start, self.end, off=space.off)
                )
            if noisy and space.noise_hours is not None:
                parts.append(open_hours(self.zone, space.noise_hours, self.start, self.end))
            self._spaces[key] = intersection(parts) if parts else None
        return self._spaces[key]

    def light(self, kind: Literal["day", "dark"]) -> Openings:
        if kind not in self._light:
            build = daylight if kind == "day" else darkness
            self._light[kind] = build(
                self.zone, self.studio.latitude, self.studio.longitude, self.start, self.end
            )
        return self._light[kind]

    def of(
        self,
        people: tuple[str, ...],
        where: str | None,
        light: Literal["day", "dark"] | None,
        *,
        noisy: bool,
    ) -> Openings:
        """When these people can work there, by that light."""
        key = (frozenset(people), where, light, noisy)
        if key not in self._combined:
            parts = [self.person(id) for id in sorted(set(people))]
            if where is not None:
                space = self.space(where, noisy=noisy)
                if space is not None:
                    parts.append(space)
            if light is not None:
                parts.append(self.light(light))
            self._combined[key] = intersection(parts) if parts else self._always
        return self._combined[key]

    def carrier(self, id: str | None) -> CarrierDays:
        """A carrier's days; with None Monday to Friday, public holidays out, no cut-off."""
        if id not in self._carriers:
            if id is None:
                self._carriers[id] = CarrierDays(
                    self.zone, frozenset(range(5)), self.start, self.end, holidays=self._holidays
                )
            else:
                carrier = self.studio.carrier(id)
                self._carriers[id] = CarrierDays(
                    self.zone,
                    carrier.weekdays,
                    self.start,
                    self.end,
                    holidays=self._holidays if carrier.keeps_holidays else frozenset(),
                    off=carrier.off,
                    cutoff=carrier.cutoff,
                    arrives_at=carrier.arrives_at,
                )
        return self._carriers[id]

    def air(self, space: str | None) -> list[tuple[int, int, Air]]:
        """Stretches (from, to, air) of constant air in a space; default air without one."""
        key = space or ""
        if key not in self._pieces:
            months = (Air(),) * 12 if space is None else self.studio.space(space).air_by_month
            if key in self._air:
                self._pieces[key] = self._air_by_hand(months, *self._air[key])
            else:
                self._pieces[key] = air_pieces(self.zone, months, self.start, self.end)
        return self._pieces[key]

    def _air_by_hand(
        self, months: Sequence[Air], celsius: float | None, humidity: float | None
    ) -> list[tuple[int, int, Air]]:
        """A space heated or dried from now on; what dried there before did so in its usual air."""
        changed = [
            Air(
                air.celsius if celsius is None else celsius,
                air.humidity if humidity is None else humidity,
            )
            for air in months
        ]
        before = air_pieces(self.zone, months, self.start, self._now)
        after = air_pieces(self.zone, changed, max(self._now, self.start), self.end)
        if before and after and before[-1][2] == after[0][2]:
            after[0] = (before.pop()[0], *after[0][1:])
        return [*before, *after]

    def curve(
        self, coating: Coating, space: str | None, *, never_faster: bool = False
    ) -> DryingCurve:
        """How this coat dries in that space's air; `never_faster`: no air shortens it."""
        key = (coating.dries_by, coating.q10, space, never_faster)
        least = 1.0 if never_faster else LEAST_SLOWNESS
        if key not in self._curves:
            self._curves[key] = DryingCurve(
                [
                    (
                        start,
                        slowness(
                            coating.dries_by, coating.q10, air.celsius, air.humidity, least=least
                        ),
                    )
                    for start, _, air in self.air(space)
                ]
            )
        return self._curves[key]

    def allowed_air(self, coating: Coating, space: str | None) -> tuple[Stretch, ...] | None:
        """Stretches in which this coat may lie open there; None where the air never forbids it."""
        limits = (coating.lowest_celsius, coating.highest_celsius, coating.highest_humidity)
        if all(limit is None for limit in limits):
            return None
        stretches = tuple(Openings(allowed_stretches(self.air(space), *limits)))
        if len(stretches) == 1 and stretches[0][0] <= self.start and stretches[0][1] >= self.end:
            return None
        return stretches
