"""What an episode is composed with: who and what there is, what had to be given up, what came out.

A `Fitting` says where a studio's hours ask for less than the recipe would like: a coat that is
longer than any evening comes in parts, a shot whose people are never free by day loses its light.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from episodes.files.plan_text import Block
from episodes.trade.recipes import Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Who and what there is.

    Attributes:
        people: who does the builds; the first two do what takes a pair.
        pair: two of them are ever free together.
        places: the space of each spot.
        gear: how many of each gear.
        carriers: the studio's id for each usual carrier.
        shot_defaults: keys of every shot that the studio's defaults give already.
    """

    host: str
    people: tuple[str, ...]
    pair: bool
    places: Mapping[Spot, str]
    gear: Mapping[str, int]
    carriers: Mapping[str, str]
    shot_defaults: Mapping[str, Any]


@dataclass(slots=True)
class Fitting:
    """What was given up so that everything finds an hour, by id of step (JOB.STEP) or shot."""

    parts: dict[str, int] = field(default_factory=dict)
    any_light: set[str] = field(default_factory=set)
    not_in_one_go: set[str] = field(default_factory=set)
    in_the_room: set[str] = field(default_factory=set)

    @property
    def size(self) -> int:
        each = (self.any_light, self.not_in_one_go, self.in_the_room)
        return sum(self.parts.values()) + sum(map(len, each))


@dataclass(frozen=True, slots=True, kw_only=True)
class Composed:
    """The tables of an episode, or of what is added to one."""

    parcels: tuple[Block, ...]
    shots: tuple[Block, ...]
    jobs: tuple[Block, ...]

    @property
    def blocks(self) -> tuple[Block, ...]:
        return (*self.parcels, *self.shots, *self.jobs)

    @property
    def steps(self) -> int:
        return sum(len(job.entries["step"]) for job in self.jobs)
