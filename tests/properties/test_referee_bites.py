"""The referee itself: an answer that is changed by hand is caught.

A check that cannot fail proves nothing, so every rule it looks at is broken here once.
"""

import copy
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.asking import MATERIALS, answer, season
from tests.reference import referee
from tests.reference.answer import form
from tests.reference.season import load

PRODUCTS = referee.products(MATERIALS)
Record = dict[str, Any]

STUDIO = """
name = "Small"
timezone = "Europe/Berlin"
as_of = 2027-04-05T08:00:00
[[person]]
id = "host"
hours = { daily = ["09:00-17:00"] }
[[person]]
id = "builder"
hours = { daily = ["08:00-12:00"] }
[[space]]
id = "shop"
holds = 1
lingers = { dust = "1h" }
[[space]]
id = "room"
[[gear]]
id = "camera"
[[carrier]]
id = "post"
days = "mon-sat"
"""

MAY = """
room = "room"
budget = 500
[[parcel]]
id = "board"
carrier = "post"
lead = "3 workdays"
settle = "1d"
cost = 40
return_within = "14d"
[[parcel]]
id = "screws"
carrier = "post"
lead = "1 workdays"
ordered = 2027-04-03
arrived = 2027-04-04T09:00:00
[[shot]]
id = "look"
of = "shelf.cut"
once = true
hands = "20min"
gear = ["camera"]
light = "day"
[[shot]]
id = "reveal"
of = "hang"
hands = "30min"
gear = ["camera"]
[[job]]
id = "shelf"
where = "shop"
who = ["builder"]
cost = 10
step = [
  { id = "cut", hands = "5h", after = ["board"], makes = ["dust"] },
  { id = "coat-1", hands = "40min", coat = "waterborne-polyurethane" },
  { id = "coat-2", hands = "40min", coat = "waterborne-polyurethane" },
]
[[job]]
id = "hang"
where = "room"
after = ["shelf"]
step = [{ id = "up", hands = "2h", who = ["host", "builder"] }, { id = "set", wait = "1d" }]
[[job]]
id = "other"
where = "room"
step = [{ id = "tidy", hands = "3h" }]
"""


@pytest.fixture(scope="module")
def right(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Record]:
    folder = season(tmp_path_factory.mktemp("bite"), STUDIO, may_2027=MAY)
    return folder, answer(folder)


def _rules(folder: Path, record: Record) -> set[str]:
    return {fault.rule for fault in referee.faults(folder, record, PRODUCTS) if not fault.doubt}


def _step(record: Record, id: str) -> Record:
    return next(step for step in record["episodes"][0]["steps"] if step["id"] == id)


def _parcel(record: Record, id: str) -> Record:
    return next(parcel for parcel in record["episodes"][0]["parcels"] if parcel["id"] == id)


def _later(text: str, minutes: int) -> str:
    return (datetime.fromisoformat(text) + timedelta(minutes=minutes)).isoformat()


def _move(record: Record, id: str, minutes: int) -> None:
    """A row's whole plan, moved."""
    row = _step(record, id)
    for key in ("start", "finish"):
        row[key] = _later(row[key], minutes)
    row["sessions"] = [[_later(one, minutes), _later(two, minutes)] for one, two in row["sessions"]]


def _set(id: str, **values: Any) -> Callable[[Record], object]:
    return lambda record: _step(record, id).update(values)


def _shift(id: str, key: str, minutes: int) -> Callable[[Record], object]:
    def change(record: Record) -> None:
        row = _step(record, id)
        row[key] = _later(row[key], minutes)

    return change


def _episode(**values: Any) -> Callable[[Record], object]:
    return lambda record: record["episodes"][0].update(values)


CHANGES: dict[str, tuple[Callable[[Record], object], str]] = {
    "a coat laid before the recoat time": (
        lambda r: _move(r, "shelf.coat-2", -21 * 60),
        "link-coat",
    ),
    "a wet coat in lingering dust": (lambda r: _move(r, "shelf.coat-1", -30), "air"),
    "two in a space that holds one": (lambda r: _move(r, "shelf.coat-1", -50), "place"),
    "one camera at two shots": (lambda r: _move(r, "reveal", -3 * 1440 - 120), "gear"),
    "a step before its parcel": (lambda r: _move(r, "shelf.cut", -24 * 60), "link-after"),
    "a later step before a shot that can be taken once": (
        lambda r: _move(r, "shelf.coat-1", -24 * 60),
        "link-once shot",
    ),
    "a step in closed hours": (lambda r: _move(r, "hang.up", -12 * 60), "hours"),
    "a session too short": (
        lambda r: _step(r, "other.tidy").update(
            sessions=[[_step(r, "other.tidy")["start"], _later(_step(r, "other.tidy")["start"], 9)]]
        ),
        "length",
    ),
    "two things of one person at once": (
        lambda r: [
            _step(r, "other.tidy").update(
                {key: _step(r, "hang.up")["start"] for key in ("start",)},
                finish=_later(_step(r, "hang.up")["start"], 180),
                sessions=[
                    [_step(r, "hang.up")["start"], _later(_step(r, "hang.up")["start"], 180)]
                ],
            )
        ],
        "person",
    ),
    "somebody else at work": (_set("shelf.cut", who=["host"]), "who"),
    "another place": (_set("shelf.cut", where="room"), "where"),
    "a parcel quicker than its carrier": (_shift("board", "finish", -60), "parcel"),
    "a wait cut short": (_shift("hang.set", "finish", -1), "length"),
    "an early start one minute off": (_shift("shelf.cut", "early_start", 1), "early"),
    "an early finish one minute off": (_shift("hang.up", "early_finish", -1), "early"),
    "a late start one minute off": (_shift("shelf.coat-1", "late_start", 1), "late"),
    "a late finish one minute off": (_shift("reveal", "late_finish", -1), "late"),
    "slack one minute off": (lambda r: _step(r, "hang.up").update(slack_min=1), "slack"),
    "working slack one minute off": (
        lambda r: _step(r, "hang.up").update(
            slack_work_min=_step(r, "hang.up")["slack_work_min"] + 1
        ),
        "slack-work",
    ),
    "a critical step called slack": (_set("hang.up", critical=False), "critical"),
    "a slack step called critical": (_set("other.tidy", critical=True), "critical"),
    "drying that ends too soon": (_shift("shelf.coat-2.dry", "finish", -1), "dry"),
    "ready a minute too soon": (
        lambda r: _episode(ready_by=_later(r["episodes"][0]["ready_by"], -1))(r),
        "ready-by",
    ),
    "spare time off": (_episode(spare_min=1), "spare"),
    "a verdict turned round": (_episode(verdict="slips"), "verdict"),
    "an unproved `meets`": (_episode(proved=False), "proved"),
    "a floor above the plan": (
        lambda r: _episode(ready_floor=_later(r["episodes"][0]["ready_by"], 1))(r),
        "floor",
    ),
    "a row left out": (lambda r: r["episodes"][0]["steps"].pop(0), "row-missing"),
    "rows out of order": (lambda r: r["episodes"][0]["steps"].reverse(), "row-order"),
    "a key left out": (lambda r: _step(r, "hang.up").pop("sessions"), "keys"),
    "an instant in another offset": (
        lambda r: _step(r, "hang.up").update(late_start="2027-05-01T09:00:00+00:00"),
        "offset",
    ),
    "a done parcel with dates": (
        _set("screws", early_start="2027-04-04T09:00:00+02:00"),
        "done",
    ),
    "the release row moved": (_shift("release", "late_finish", 60), "release-row"),
    "money miscounted": (lambda r: r["episodes"][0]["money"].update(planned=41), "money"),
    "order-by a minute late": (
        lambda r: _parcel(r, "board").update(order_by=_later(_parcel(r, "board")["order_by"], 1)),
        "order-by",
    ),
    "a latest arrival past every late date": (
        lambda r: _parcel(r, "board").update(latest_arrival="2027-05-07T08:00:00+02:00"),
        "latest-arrival",
    ),
    "an arrival that is not the row's": (
        lambda r: _parcel(r, "board").update(arrives=_later(_parcel(r, "board")["arrives"], 1)),
        "arrives",
    ),
}


def test_the_answer_as_given_has_no_fault(right: tuple[Path, Record]) -> None:
    """The referee is silent about the answer that the program gives."""
    assert _rules(*right) == set()


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_by_hand_is_caught(name: str, right: tuple[Path, Record]) -> None:
    """Each broken rule is reported by its name."""
    folder, record = right
    change, rule = CHANGES[name]
    wrong = copy.deepcopy(record)
    change(wrong)
    if name == "a key left out":
        faults = form(wrong, load(folder)["clock"].zone)
        assert rule in {fault.rule for fault in faults}
        return
    assert rule in _rules(folder, wrong)
