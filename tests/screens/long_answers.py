"""Answers to the long questions, made by hand for the season of `season_by_hand`."""

from episodes.amounts import Estimate
from episodes.answers.compare import CompareAnswer, Delay, IdeaAnswer, Try
from episodes.answers.demand import Squeeze
from episodes.answers.load import LoadAnswer, PersonLoad, WeekLoad
from episodes.answers.lookback import Group, LookbackAnswer, Suggestion
from tests.screens.season_by_hand import BOX_ROOM, DAY, LAUNDRY, NOW, PORCH, ZONE, at


def week(start: int, open_h: int, planned_h: int, needed_h: int, **rooms: int) -> WeekLoad:
    """A week with these hours; `rooms` are hours of the laundry and the porch."""
    known = {"laundry": LAUNDRY, "porch": PORCH}
    return WeekLoad(
        start=start, end=start + 7 * DAY, open_min=60 * open_h, planned_min=60 * planned_h,
        needed_min=60 * needed_h, due_min=60 * needed_h, due_open_min=60 * open_h,
        episodes=tuple((known[name], 60 * hours) for name, hours in rooms.items()),
    )  # fmt: skip


_TIGHT = Squeeze(
    people=("builder",), start=NOW, end=at("04-26"), needed_min=22 * 60, open_min=20 * 60,
    episodes=(LAUNDRY,),
)  # fmt: skip
LOAD = LoadAnswer(
    now=NOW, zone=ZONE, read_as_of=True, until=at("07-02", "09:00"), together=(), occupied=(),
    people=(
        PersonLoad(
            id="host", title="Host", tightest=None,
            weeks=(
                week(NOW, 20, 19, 6, laundry=12, porch=7), week(at("04-19"), 30, 10, 0, porch=10),
                week(at("04-26"), 30, 0, 0),
            ),
        ),
        PersonLoad(
            id="builder", title="Builder", tightest=_TIGHT,
            weeks=(week(NOW, 20, 20, 22, laundry=20), week(at("04-19"), 0, 0, 0)),
        ),
    ),
    episodes=((LAUNDRY, "Laundry room"), (PORCH, "Porch"), (BOX_ROOM, "Box room")),
)  # fmt: skip

_JULY = Try(
    release=at("07-02", "09:00"), verdict="slips", proved=True, ready_by=at("07-06", "09:00"),
    spare_min=-4 * DAY, on_time=0.02,
)  # fmt: skip
_AUGUST = Try(
    release=at("08-06", "09:00"), verdict="meets", proved=True, ready_by=at("07-31", "09:00"),
    spare_min=6 * DAY, on_time=0.91,
)  # fmt: skip
IDEAS = CompareAnswer(
    now=NOW, zone=ZONE, read_as_of=True, currency="USD",
    people={"host": "Host", "builder": "Builder"},
    ideas=(
        IdeaAnswer(
            id="hall", title="Back hall", earliest=_AUGUST, next=_JULY,
            hands={"host": 12 * 60, "builder": 30 * 60}, cost=610.0, unpriced=1,
            delays=(Delay(episode=BOX_ROOM, title="Box room", minutes=90, before="meets",
                          after="slips"),),
            held_by="Tiles", held_from=at("07-20", "18:00"),
        ),
        IdeaAnswer(
            id="loft", title="Loft", earliest=None, next=_JULY, hands={"host": 300}, cost=90.0,
            unpriced=0, delays=(), held_by="", held_from=None,
        ),
    ),
)  # fmt: skip

SUGGESTION = Suggestion(
    episode=LAUNDRY, id="bench.fit", title="Fit", key="hands", who="builder", kind="fitting",
    written=Estimate(60, 120, 240), first_guess=Estimate(60, 120, 240),
    proposed=Estimate(90, 180, 300), workdays=False, n=5, clipped=1,
)  # fmt: skip
LOOKBACK = LookbackAnswer(
    now=NOW, zone=ZONE, read_as_of=True, currency="USD", rooms=(), records=(),
    groups=(
        Group(who="builder", kind="fitting", workdays=False, n=5, guessed=600, took=900,
              ratio=1.5, clipped=1),
        Group(who="parcel", kind="delivery", workdays=True, n=4, guessed=20, took=16, ratio=0.8,
              clipped=0),
    ),
    suggestions=(SUGGESTION,), people={"host": "Host", "builder": "Builder"},
    carriers={"parcel": "Parcel post"},
)  # fmt: skip
