"""What is gathered while a season is expanded, before it is frozen into a network."""

from dataclasses import dataclass, field
from typing import Literal

from episodes.model.season import Season
from episodes.network.activity import Activity
from episodes.network.hours import Hours
from episodes.problems import Problem

Absent = Literal["dropped", "spare"]


@dataclass(slots=True)
class Draft:
    """What is gathered while a season is expanded; `finish_network` freezes it."""

    season: Season
    hours: Hours
    activities: list[Activity] = field(default_factory=list)
    index: dict[tuple[str, str], int] = field(default_factory=dict)
    during: dict[tuple[str, str], int] = field(default_factory=dict)
    absent: dict[tuple[str, str], Absent] = field(default_factory=dict)
    replaced: dict[tuple[str, str], str] = field(default_factory=dict)
    problems: list[tuple[str, Problem]] = field(default_factory=list)
    faults: list[Problem] = field(default_factory=list)

    def add(self, activity: Activity) -> None:
        self.index[activity.key] = activity.index
        self.activities.append(activity)
