"""A season made by hand for the screens: answers as the engine gives them.

Invented: three rooms of a household, Chicago time, read on Tuesday 13 April 2027 at 17:30. Times
and slack are written down, not computed, so what the screens show can be checked against them.
"""

from datetime import date
from typing import Any

from episodes.answers.rows import (
    Because,
    CheckAnswer,
    EpisodeAnswer,
    Money,
    ParcelRow,
    StepRow,
)
from episodes.calendars.local_time import zone
from episodes.problems import Place, Problem

ZONE = "America/Chicago"
HERE = zone(ZONE)
DAY = 1440


def at(day: str, clock: str = "00:00") -> int:
    """UTC minute of a local day (`04-15` of 2027) and time."""
    month, number = day.split("-")
    hour, minute = clock.split(":")
    return HERE.utc(date(2027, int(month), int(number)), int(hour) * 60 + int(minute))


NOW = at("04-13", "17:30")
LAUNDRY, PORCH, BOX_ROOM = "2027-05-laundry", "2027-06-porch", "2027-07-box-room"
PEOPLE = {"host": "Host", "builder": "Builder"}


def evenings(first: int, last: int) -> tuple[tuple[int, int], ...]:
    """Weekday evenings and weekend days, as hours that somebody has."""
    found = []
    for day in HERE.days(first, last):
        start, end = (1080, 1290) if day.weekday() < 5 else (540, 1020)
        stretch = (max(HERE.utc(day, start), first), HERE.utc(day, end))
        if stretch[0] < stretch[1]:
            found.append(stretch)
    return tuple(found)


def step(
    episode: str,
    id: str,
    title: str,
    start: int,
    minutes: int,
    *,
    kind: str = "hands",
    slack: int | None = 4 * DAY,
    **more: Any,
) -> StepRow:
    """A row with the dates that the screens look at; slack 0 is critical."""
    hands = kind in ("hands", "shot")
    known: dict[str, Any] = {
        "id": id,
        "episode": episode,
        "job": id.split(".")[0] if "." in id else "",
        "title": title,
        "kind": kind,
        "state": "open",
        "critical": slack == 0,
        "early_start": start,
        "early_finish": start + minutes,
        "late_start": None if slack is None else start + slack,
        "late_finish": None if slack is None else start + minutes + slack,
        "slack_min": slack,
        "slack_work_min": None if slack is None else slack // 8,
        "start": start,
        "finish": start + minutes,
        "sessions": ((start, start + minutes),),
        "who": ("host",) if hands else (),
        "where": "laundry" if hands else None,
        "because": Because("hours", "host") if hands else None,
        "work_min": minutes,
    }
    return StepRow(**{**known, **more})


def parcel(
    episode: str,
    id: str,
    title: str,
    ordered: int,
    arrives: int,
    latest: int | None,
    *,
    settle: int = 0,
    critical: bool = False,
    **more: Any,
) -> tuple[ParcelRow, StepRow]:
    """A box as the door shows it and as the band does."""
    known: dict[str, Any] = {
        "id": id,
        "episode": episode,
        "title": title,
        "kind": "delivery",
        "state": "open" if ordered >= NOW else "started",
        "order_by": None if ordered < NOW or latest is None else latest - (arrives - ordered),
        "arrives": arrives,
        "latest_arrival": latest,
        "latest_exact": True,
        "cost": 40.0,
        "carrier": "parcel",
        "ordered": ordered if ordered < NOW else None,
    }
    box = ParcelRow(**{**known, **more})
    row = step(
        episode,
        id,
        title,
        ordered,
        arrives - ordered + settle,
        kind="parcel",
        slack=0 if critical else None if latest is None else latest - arrives,
        state="done" if box.arrived is not None else box.state,
        who=(),
        where=None,
        because=Because("now") if ordered >= NOW else None,
    )
    return box, row


def laundry() -> EpisodeAnswer:
    """The nearest room: meets, four days and twenty hours to spare."""
    e = LAUNDRY
    boxes = [
        parcel(e, "lumber", "Birch boards", at("04-01", "12:00"), at("04-14", "18:00"),
               at("04-16", "18:00"), settle=2 * DAY),
        parcel(e, "paint-can", "Wall paint", at("04-02", "12:00"), at("04-08", "18:00"), None,
               arrived=at("04-08", "18:00"), return_by=at("05-08", "23:59")),
        parcel(e, "tiles", "Tiles", NOW, at("04-20", "18:00"), at("04-25", "18:00"),
               critical=True, latest_exact=False),
        parcel(e, "lamp", "Lamp over the bench", NOW, at("04-19", "18:00"), at("04-30", "18:00")),
        parcel(e, "cloth", "Curtain cloth", at("04-07", "12:00"), at("04-22", "18:00"),
               at("04-22", "19:00"), promised=at("04-22", "18:00")),
    ]  # fmt: skip
    rows = [
        step(e, "clear.box", "Box everything up", at("04-10", "09:00"), 180, state="done",
             sessions=(), slack=None, finish=at("04-10", "12:00")),
        step(e, "clear.cover", "Cover the floor", at("04-13", "18:00"), 45, slack=0,
             because=Because("hours", "host")),
        step(e, "walls.sand", "Sand the walls", at("04-13", "18:45"), 80, slack=0,
             because=Because("step", "clear.cover"),
             cautions=("Fine dust: wear a mask that fits, keep the door shut.",)),
        step(e, "walls.coat-1", "Coat 1", at("04-14", "18:00"), 60, slack=0,
             because=Because("hours", "host")),
        step(e, "walls.coat-1.dry", "Coat 1 dries", at("04-14", "19:00"), 240, kind="dry",
             slack=0, because=Because("step", "walls.coat-1")),
        step(e, "walls.coat-2", "Coat 2", at("04-15", "18:00"), 60, slack=0,
             because=Because("step", "walls.coat-1.dry")),
        step(e, "bench.cut", "Cut parts", at("04-17", "09:00"), 180, who=("builder",),
             where="workshop", because=Because("parcel", "lumber"), slack=2 * DAY),
        step(e, "bench.glue", "Glue up", at("04-17", "12:00"), 60, who=("builder", "host"),
             because=Because("step", "bench.cut"), slack=2 * DAY, gear=(("clamps", 4),)),
        step(e, "bench.set", "Glue sets", at("04-17", "13:00"), DAY, kind="wait",
             because=Because("step", "bench.glue"), slack=2 * DAY),
        step(e, "bench.fit", "Fit", at("04-19", "18:00"), 120, who=("builder",),
             because=Because("person", "builder"), slack=2 * DAY),
        step(e, "splash.tile", "Set the tiles", at("04-21", "18:00"), 200, slack=0,
             because=Because("parcel", "tiles")),
        step(e, "splash.grout-sets", "Grout sets", at("04-21", "21:20"), 2 * DAY, kind="wait",
             slack=0, because=Because("step", "splash.tile")),
        step(e, "style.style", "Style the room", at("05-01", "09:00"), 180, slack=0,
             because=Because("hours", "host")),
        step(e, "raw-joints", "Raw joints, close", at("04-19", "20:00"), 15, kind="shot",
             once=True, of="bench.fit", gear=(("camera", 1),), slack=DAY,
             because=Because("step", "bench.fit"), late_finish=at("04-24", "10:40")),
        step(e, "reveal", "Reveal: wide, from the door", at("05-01", "12:00"), 60, kind="shot",
             light="day", slack=0, because=Because("step", "style.style")),
        *(row for _, row in boxes),
    ]  # fmt: skip
    release = at("05-07", "09:00")
    rows.append(
        StepRow(id="release", episode=e, job="", title="Release", kind="release", state="open",
                start=release, finish=release, slack_min=0)
    )  # fmt: skip
    return EpisodeAnswer(
        id=e,
        title="Laundry room",
        release=release,
        verdict="meets",
        proved=True,
        ready_by=at("05-02", "13:00"),
        ready_floor=at("05-02", "13:00"),
        spare_min=4 * DAY + 20 * 60,
        room_by=at("05-06", "12:00"),
        steps=_sorted(rows),
        parcels=tuple(box for box, _ in boxes),
        money=Money(budget=900.0, planned=840.0, paid=215.4, left=60.0),
        problems=(
            Problem(
                level="warning",
                code="overdue",
                where=Place("2027-05-laundry.toml", 12),
                text="Birch boards were promised for Mon 12 Apr and are not here.",
                mend="Ask the carrier, or write when they came.",
                subject="lumber",
            ),
        ),
        room="laundry",
        jobs=(
            ("clear", "Clear the room"),
            ("walls", "Walls"),
            ("bench", "Folding bench"),
            ("splash", "Tiled splash"),
            ("style", "Styling"),
        ),
    )


def porch(title: str = "Porch") -> EpisodeAnswer:
    """The next one: meets with nine days to spare."""
    e = PORCH
    box, row = parcel(e, "lanterns", "Lanterns", at("04-05", "12:00"), at("05-10", "18:00"),
                      at("05-20", "18:00"))  # fmt: skip
    release = at("06-04", "09:00")
    rows = [
        row,
        step(e, "floor.scrub", "Scrub the boards", at("04-18", "09:00"), 240, who=("builder",),
             where="porch"),
        step(e, "floor.stain", "Stain", at("05-08", "09:00"), 200, slack=0, where="porch",
             because=Because("light")),
        StepRow(id="release", episode=e, job="", title="Release", kind="release", state="open",
                start=release, finish=release, slack_min=0),
    ]  # fmt: skip
    return EpisodeAnswer(
        id=e,
        title=title,
        release=release,
        verdict="meets",
        proved=True,
        ready_by=at("05-26", "09:00"),
        ready_floor=None,
        spare_min=9 * DAY,
        room_by=None,
        steps=_sorted(rows),
        parcels=(box,),
        money=Money(budget=None, planned=310.0, paid=0.0, left=None),
        problems=(),
        room="porch",
        jobs=(("floor", "Porch floor"),),
    )


def box_room() -> EpisodeAnswer:
    """The farthest one: slips, and nothing proves that it must."""
    e = BOX_ROOM
    release = at("07-02", "09:00")
    rows = [
        step(e, "shelves.build", "Build the shelves", at("06-26", "09:00"), 400,
             slack=-26 * 60, critical=True, who=("builder",), where="workshop"),
        StepRow(id="release", episode=e, job="", title="Release", kind="release", state="open",
                start=release, finish=release, slack_min=0),
    ]  # fmt: skip
    return EpisodeAnswer(
        id=e,
        title="Box room",
        release=release,
        verdict="slips",
        proved=False,
        ready_by=release + 26 * 60,
        ready_floor=None,
        spare_min=-26 * 60,
        room_by=None,
        steps=_sorted(rows),
        parcels=(),
        money=Money(budget=None, planned=0.0, paid=0.0, left=None),
        problems=(),
        jobs=(("shelves", "Shelves"),),
    )


def _sorted(rows: list[StepRow]) -> tuple[StepRow, ...]:
    return tuple(sorted(rows, key=lambda row: (row.start is None, row.start or 0, row.id)))


def season(*episodes: EpisodeAnswer, **more: Any) -> CheckAnswer:
    """The season's answer; without episodes the three of this module."""
    known: dict[str, Any] = {
        "now": NOW,
        "zone": ZONE,
        "read_as_of": True,
        "season": "Second Coat",
        "episodes": episodes or (laundry(), porch(), box_room()),
        "people": PEOPLE,
        "spaces": {"laundry": "Laundry", "workshop": "Garage workshop", "porch": "Front porch"},
        "gear_titles": {"clamps": "Bar clamps", "camera": "Camera"},
        "currency": "USD",
        "hours": {person: evenings(NOW, at("07-02")) for person in PEOPLE},
    }
    return CheckAnswer(**{**known, **more})
