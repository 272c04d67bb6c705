"""Counting a carrier's days, one calendar day after another."""

from datetime import date, timedelta
from typing import Any

from tests.reference import values
from tests.reference.clock import Clock


class Carrier:
    """Days on which a carrier works, its cut-off and its hour of arrival."""

    def __init__(self, clock: Clock, table: dict[str, Any], holidays: frozenset[date]) -> None:
        self.clock = clock
        self.weekdays = set(values.week_days(table.get("days", "mon-fri")))
        self.closed = holidays if table.get("keeps_holidays", True) else frozenset()
        self.off, _ = values.days_off(table.get("off", []))
        self.cutoff = values.wall_minute(table["cutoff"]) if "cutoff" in table else 1440
        self.hour = values.wall_minute(table["arrives_at"]) if "arrives_at" in table else 18 * 60

    def works(self, day: date) -> bool:
        return day.weekday() in self.weekdays and day not in self.closed and day not in self.off

    def next_day(self, day: date) -> date:
        """The first of its days after `day`."""
        day += timedelta(days=1)
        while not self.works(day):
            day += timedelta(days=1)
        return day

    def on(self, day: date) -> int:
        """Its hour of arrival on a day."""
        return self.clock.at(day, self.hour)

    def arrival(self, order: int, workdays: int) -> int:
        """When an order of that minute is in hand, after so many of the carrier's days."""
        day = self.clock.day(order)
        if not self.works(day) or order > self.clock.at(day, self.cutoff):
            day = self.next_day(day)
        for _ in range(workdays):
            day = self.next_day(day)
        if self.on(day) < order:
            day = self.next_day(day)
        return self.on(day)

    def next_arrival(self, after: int) -> int:
        """The first of its arrival moments that is not before `after`."""
        day = self.clock.day(after) - timedelta(days=1)
        while not self.works(day) or self.on(day) < after:
            day += timedelta(days=1)
        return self.on(day)
