"""What an exact search comes to."""

from dataclasses import dataclass
from typing import Literal

from episodes.calendars.working_time import LONG_AGO
from episodes.schedule.starts import Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a search found.

    Attributes:
        kind: `none`: proved that there is no such plan; `best`: `spots` is proved the best;
            `some`: `spots` is a plan; `open`: neither found nor proved.
        spots: by number, where the members stand.
        bound: no plan is ready sooner (of a parcel: none has it in hand later), UTC minutes;
            LONG_AGO where the question had no goal.
    """

    kind: Literal["none", "best", "some", "open"]
    spots: dict[int, Spot]
    bound: int = LONG_AGO
