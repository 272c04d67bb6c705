"""What a calendar costs: 612 components written and exported again, a calendar of years read.

    python -m tests.bench calendar

Peers: the calendar library's own way from the same bytes to the same bytes (parse and write), and
for the page, the time that the plan itself takes.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from icalendar import Calendar

from episodes.answers.precedence import Precedence
from episodes.exports.ical import calendar_file
from episodes.exports.ical_entries import Options
from episodes.files.busy import read_busy
from tests.exports.calendar_answers import CHICAGO, answer, at, episode, hands, parcel, season
from tests.reference.rfc5545 import read

ROOMS, STEPS, PARCELS = 4, 133, 19
"""With each room's release: 612 components."""

EVENTS, WEEKLY = 4_900, 100


def timed(work: Callable[[], object], rounds: int = 7) -> float:
    """Median seconds of a call."""
    spent = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        spent.append(perf_counter() - start)
    return median(spent)


def plan() -> tuple[Any, list[Precedence], int]:
    """An answer of four rooms with links from step to step."""
    now = at("2027-01-05 08:00")
    rooms, links = [], []
    for number in range(ROOMS):
        id = f"2027-{number + 2:02}-room"
        rows = []
        for step in range(STEPS):
            start = now + (number * 40 + step // 4) * 1440 + (step % 4) * 120
            row = hands(f"s{step}", (start, start + 90), note="With care.", cautions=("Mask on.",))
            rows.append(replace(row, episode=id))
            if step:
                links.append(
                    Precedence(earlier=(id, f"bench.s{step - 1}"), later=(id, f"bench.s{step}"))
                )
        parcels = [
            parcel(f"p{one}", order_by=now + (one + 5) * 1440, cost=20) for one in range(PARCELS)
        ]
        rooms.append(episode(rows, parcels, id=id, release=now + (number + 2) * 43_200))
    return answer(*rooms, now=now), links, now


def years(folder: Path) -> Path:
    """A person's calendar of years: 5,000 events, a hundred of them weekly without end."""
    random = Random(1)
    first = datetime(2024, 1, 1, 9)
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//years//EN"]
    for number in range(EVENTS + WEEKLY):
        weekly = number >= EVENTS
        start = first + timedelta(minutes=30 * random.randrange(336 if weekly else 65_000))
        lines += [
            "BEGIN:VEVENT",
            f"UID:{number}",
            f"SUMMARY:Something that has a title {number}",
            f"DTSTART;TZID={CHICAGO}:{start:%Y%m%dT%H%M%S}",
            "DURATION:PT1H",
            f"DESCRIPTION:{'and a text of some length ' * 3}",
            *(("RRULE:FREQ=WEEKLY",) if weekly else ()),
            "END:VEVENT",
        ]
    file = folder / "years.ics"
    file.write_text("\r\n".join([*lines, "END:VCALENDAR", ""]), encoding="utf-8", newline="")
    return file


def measure() -> list[dict[str, Any]]:
    """The rows of the table: what, seconds, against what, ratio, bar."""
    judged, links, now = plan()
    studio = season()
    options = Options()

    def export(earlier: bytes | None) -> bytes:
        return calendar_file(
            judged, studio, now=now, earlier=earlier, options=options, links=links
        ).data

    data = export(None)
    assert len(read(data).entries) == 612
    assert export(data) == data
    peer = timed(lambda: Calendar.from_ical(data).to_ical())
    wrote = timed(lambda: export(None))
    again = timed(lambda: export(data))
    with TemporaryDirectory() as folder:
        file, cache = years(Path(folder)), Path(folder) / "cache"
        window = (CHICAGO, now, now + 500 * 1440)
        parse = timed(lambda: Calendar.from_ical(file.read_bytes()), rounds=3)
        start = perf_counter()
        first = read_busy(file, *window, cache=cache)
        afresh = perf_counter() - start
        kept = timed(lambda: read_busy(file, *window, cache=cache))
        assert read_busy(file, *window, cache=cache) == first
    library = "icalendar: parse and write"
    return [
        {"what": "612 components written (<= 0.5 s)", "seconds": wrote, "peer": library,
         "ratio": wrote / peer, "bar": "<= 1.5"},
        {"what": "612 exported again (<= 1 s)", "seconds": again, "peer": library,
         "ratio": again / peer, "bar": "<= 3"},
        {"what": "5,000 events read afresh", "seconds": afresh, "peer": "icalendar: parse",
         "ratio": afresh / parse, "bar": "<= 3"},
        {"what": "5,000 events, unchanged (<= 0.05 s)", "seconds": kept, "peer": "read afresh",
         "ratio": kept / afresh, "bar": "<= 0.05"},
    ]  # fmt: skip
