"""A season's answer written down by hand, for the tests of JSON and text.

Invented; Chicago, read on Wednesday 14 April 2027 at 18:00. One room that meets, one that slips.
"""

from dataclasses import replace
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
LAUNDRY, PORCH = "2027-05-laundry", "2027-06-porch"


def at(day: str, clock: str = "00:00") -> int:
    """UTC minute of a local day of 2027 (`04-15`) and time."""
    month, number = day.split("-")
    hour, minute = clock.split(":")
    return zone(ZONE).utc(date(2027, int(month), int(number)), int(hour) * 60 + int(minute))


NOW = at("04-14", "18:00")
RELEASE = at("05-07", "09:00")


def row(id: str, title: str, start: int, minutes: int, **more: Any) -> StepRow:
    """A hands-on step of the laundry room with a day of slack, unless told otherwise."""
    known: dict[str, Any] = {
        "id": id,
        "episode": LAUNDRY,
        "job": id.split(".")[0] if "." in id else "",
        "title": title,
        "kind": "hands",
        "state": "open",
        "early_start": start,
        "early_finish": start + minutes,
        "late_start": start + 1440,
        "late_finish": start + minutes + 1440,
        "slack_min": 1440,
        "slack_work_min": 210,
        "start": start,
        "finish": start + minutes,
        "sessions": ((start, start + minutes),),
        "who": ("builder",),
        "where": "workshop",
        "because": Because("hours"),
        "work_min": minutes,
    }
    return StepRow(**{**known, **more})


def laundry() -> EpisodeAnswer:
    glued = at("04-14", "19:00")
    rows = (
        row("lumber", "Birch boards", at("04-01", "12:00"), 20_000, kind="parcel", job="",
            state="done", finish=at("04-12", "18:00"), sessions=(), who=(), where=None,
            early_start=None, early_finish=None, late_start=None, late_finish=None,
            slack_min=None, slack_work_min=None, because=None),
        row("bench.glue", "Glue up", at("04-14", "18:00"), 60, who=("host", "builder"),
            gear=(("clamps", 4),), critical=True, slack_min=0, slack_work_min=0,
            because=Because("parcel", "lumber")),
        row("bench.set", "Glue sets", glued, 720, kind="wait", who=(), where=None,
            gear=(("clamps", 4),), critical=True, slack_min=0, slack_work_min=0,
            because=Because("step", "bench.glue")),
        row("tiles", "Tiles", at("04-14", "18:00"), 8_640, kind="parcel", job="", who=(),
            where=None, because=Because("now")),
        row("bench.flatten", "Flatten", at("04-15", "18:00"), 120, critical=True, slack_min=0,
            slack_work_min=0, because=Because("hours", None),
            cautions=("Wear eye protection and a mask that fits.",)),
        row("raw-wood", "Raw wood, close", at("04-15", "20:00"), 20, kind="shot", job="",
            who=("host",), once=True, because=Because("step", "bench.flatten")),
        StepRow(id="release", episode=LAUNDRY, job="", title="Release", kind="release",
                state="open", early_start=RELEASE, early_finish=RELEASE, late_start=RELEASE,
                late_finish=RELEASE, slack_min=0, slack_work_min=0, start=RELEASE,
                finish=RELEASE, sessions=((RELEASE, RELEASE),)),
    )  # fmt: skip
    return EpisodeAnswer(
        id=LAUNDRY,
        title="Laundry room",
        release=RELEASE,
        verdict="meets",
        proved=True,
        ready_by=at("05-04", "05:00"),
        ready_floor=at("05-04", "05:00"),
        spare_min=3 * 1440 + 4 * 60,
        room_by=at("05-02", "13:00"),
        steps=rows,
        parcels=(
            ParcelRow(id="lumber", episode=LAUNDRY, title="Birch boards", kind="delivery",
                      state="done", arrives=at("04-12", "18:00"), arrived=at("04-12", "18:00"),
                      ordered=at("04-01", "12:00"), return_by=at("05-13"), cost=210.0),
            ParcelRow(id="tiles", episode=LAUNDRY, title="Tiles", kind="delivery", state="open",
                      order_by=at("04-17"), arrives=at("04-20", "18:00"),
                      latest_arrival=at("04-23", "18:00"), latest_exact=False, cost=None,
                      carrier="post"),
        ),
        money=Money(budget=900.0, planned=840.0, paid=215.4, left=60.0, unpriced=1),
        problems=(
            Problem(level="note", code="loose-end", where=None, text="Nothing waits for it."),
            Problem(level="warning", code="overdue", where=Place(f"{LAUNDRY}.toml", 12),
                    text="Tiles were expected.", mend="Ask the carrier.", subject="tiles"),
            Problem(level="error", code="shot-lost", where=Place(f"{LAUNDRY}.toml", 40),
                    text="The before shot is gone."),
            Problem(level="warning", code="cushion", where=None, text="Less than the cushion."),
        ),
        room="laundry",
        jobs=(("bench", "Folding bench"),),
    )  # fmt: skip


def porch() -> EpisodeAnswer:
    release = at("06-04", "09:00")
    return EpisodeAnswer(
        id=PORCH,
        title="Porch",
        release=release,
        verdict="slips",
        proved=False,
        ready_by=release + 8 * 1440,
        ready_floor=release + 1440,
        spare_min=-8 * 1440,
        room_by=None,
        steps=(
            row("floor.stain", "Stain", at("06-11", "09:00"), 240, episode=PORCH),
            StepRow(id="release", episode=PORCH, job="", title="Release", kind="release",
                    state="open", start=release, finish=release, slack_min=0, slack_work_min=0),
        ),
        parcels=(),
        money=Money(budget=None, planned=0.0, paid=0.0, left=None),
        problems=(),
        jobs=(("floor", "Porch floor"),),
    )  # fmt: skip


def season(*episodes: EpisodeAnswer, **more: Any) -> CheckAnswer:
    """Both rooms, or those given."""
    known: dict[str, Any] = {
        "now": NOW,
        "zone": ZONE,
        "read_as_of": False,
        "season": "Second Coat",
        "episodes": episodes or (laundry(), porch()),
        "people": {"host": "Host", "builder": "Builder"},
        "spaces": {"workshop": "Garage workshop", "laundry": "Laundry"},
        "gear_titles": {"clamps": "Clamps"},
        "currency": "USD",
    }
    return CheckAnswer(**{**known, **more})


def with_step(episode: EpisodeAnswer, id: str, **change: Any) -> EpisodeAnswer:
    """The episode with one row changed."""
    return replace(
        episode,
        steps=tuple(replace(row, **change) if row.id == id else row for row in episode.steps),
    )
