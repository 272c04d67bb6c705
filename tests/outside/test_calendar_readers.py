"""The calendar file as other programs read it.

Readers: icalendar and vobject (libraries), khal (a calendar program, run offline on a
configuration of its own). The standard: RFC 5545 and RFC 7986, by a reader of our own that shares
no code with the writer (tests/reference/rfc5545.py); that it finds faults is shown here as well.
"""

import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from episodes.answers.rows import CheckAnswer
from episodes.exports.ical import calendar_file
from episodes.exports.ical_entries import Options
from tests.exports.calendar_answers import (
    NOW,
    ZONES,
    answer,
    at,
    episode,
    hands,
    parcel,
    season,
)
from tests.reference.rfc5545 import read

HOSTILE = 'Oak; "ash", \\ or\r\nEND:VEVENT\r\n木 \x1b[2Jend'


def full_answer(zone: str) -> CheckAnswer:
    """Work on both sides of both changes of the clocks, an order, an arrival, a hostile title."""
    rows = []
    for month in (2, 4, 7, 10, 12):
        start = at(f"2027-{month:02d}-10 18:30", zone)
        rows.append(hands(f"m{month:02d}", (start, start + 90)))
    rows.append(
        hands("odd", (at("2027-04-14 18:30", zone), at("2027-04-14 19:00", zone)), title=HOSTILE)
    )
    parcels = [
        parcel("boards", order_by=at("2027-04-20 14:00", zone), title=HOSTILE),
        parcel("oil", state="started", ordered=NOW, arrives=at("2027-04-09 18:00", zone)),
    ]
    return answer(episode(rows, parcels), zone=zone, now=at("2027-01-05 08:00", zone))


def written(zone: str, options: Options | None = None) -> bytes:
    a = full_answer(zone)
    return calendar_file(a, season(zone=zone), now=a.now, options=options).data


def instants(data: bytes) -> dict[str, tuple[datetime, datetime]]:
    """Start and end by UID, as our reader has them."""
    found = read(data)
    assert found.faults == []
    times = {}
    for entry in found.entries:
        assert entry.start is not None
        assert entry.end is not None
        times[entry.text("UID")] = (entry.start, entry.end)
    return times


@pytest.mark.parametrize("zone", ZONES)
def test_icalendar_reads_the_same_instants_and_writes_the_same_bytes_back(zone: str) -> None:
    from icalendar import Calendar

    data = written(zone)
    calendar = Calendar.from_ical(data)
    times = {
        str(event["UID"]): (
            event["DTSTART"].dt.astimezone(UTC),
            event["DTEND"].dt.astimezone(UTC),
        )
        for event in calendar.walk("VEVENT")
    }
    assert times == instants(data)
    assert all(not part.errors for part in calendar.walk())
    assert calendar.to_ical() == data


@pytest.mark.parametrize("zone", ZONES)
def test_vobject_reads_the_same_instants_and_finds_the_file_valid(zone: str) -> None:
    import vobject

    data = written(zone)
    calendar = vobject.readOne(data.decode())
    assert calendar.validate(raiseException=True)
    times = {
        event.uid.value: (
            event.dtstart.value.astimezone(UTC),
            event.dtend.value.astimezone(UTC),
        )
        for event in calendar.vevent_list
    }
    assert times == instants(data)
    alarms = sum(len(event.contents.get("valarm", [])) for event in calendar.vevent_list)
    assert alarms == 3  # two of the order, one of the release


def test_vobject_reads_tasks_with_their_due_date() -> None:
    import vobject

    data = written("America/Chicago", Options(tasks=True))
    calendar = vobject.readOne(data.decode())
    assert calendar.validate(raiseException=True)
    (task,) = calendar.vtodo_list
    due = datetime.fromtimestamp(at("2027-04-20 14:00") * 60, UTC)
    assert task.due.value.astimezone(UTC) == due


@pytest.mark.slow
@pytest.mark.parametrize("zone", ["America/Chicago", "Australia/Lord_Howe"])
def test_khal_lists_each_event_at_its_time_and_follows_a_move(tmp_path: Path, zone: str) -> None:
    config = tmp_path / "config"
    config.write_text(
        f"""[calendars]
[[plan]]
path = {tmp_path / "plan"}
type = calendar
[locale]
timeformat = %H:%M
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
local_timezone = {zone}
default_timezone = {zone}
[default]
default_calendar = plan
[sqlite]
path = {tmp_path / "khal.db"}
"""
    )
    (tmp_path / "plan").mkdir()

    def khal(*arguments: str) -> str:
        done = subprocess.run(
            [sys.executable, "-m", "khal", "-c", str(config), *arguments],
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def listed() -> list[str]:
        form = "{start-long}|{end-long}|{title}{cancelled}"
        lines = khal("list", "--day-format", "", "--format", form, "2027-01-01", "365d")
        return sorted({line for line in lines.splitlines() if "|" in line})

    data = written(zone)
    (tmp_path / "plan.ics").write_bytes(data)
    khal("import", "--batch", "-a", "plan", str(tmp_path / "plan.ics"))
    found = listed()
    assert len(found) == 9
    for month in ("02", "04", "07", "10", "12"):
        assert f"2027-{month}-10 18:30|2027-{month}-10 20:00|Folding bench: M{month}" in found
    assert sum(line.startswith("2027-04-20 13:45|2027-04-20 14:00|Order by") for line in found) == 1

    a = full_answer(zone)
    start = at("2027-07-12 18:30", zone)
    rows = [row for row in a.episodes[0].steps if row.id not in ("bench.m07", "release")]
    moved = episode([*rows, hands("m07", (start, start + 90))], a.episodes[0].parcels)
    again = calendar_file(
        answer(moved, zone=zone, now=a.now + 60),
        season(zone=zone),
        now=a.now + 60,
        earlier=data,
    )
    (tmp_path / "plan.ics").write_bytes(again.data)
    khal("import", "--batch", "-a", "plan", str(tmp_path / "plan.ics"))
    after = listed()
    assert len(after) == 9
    assert "2027-07-12 18:30|2027-07-12 20:00|Folding bench: M07" in after
    assert not any(line.startswith("2027-07-10") for line in after)


# ------------------------------------------------------------------ the strict reader is strict


@pytest.mark.parametrize(
    ("found", "put", "section"),
    [
        (b"\r\n", b"\n", "(3.1)"),
        (b"SUMMARY:Release", b"SUMMARY:\x07Release", "a control character"),
        (b"DESCRIPTION:Laundry", b"DESCRIPTION:" + b"x" * 80, "octets on a line (3.1)"),
        (b"VERSION:2.0\r\n", b"", "VERSION 0 times in VCALENDAR (3.7.4)"),
        (b"PRODID:", b"X-ID:", "PRODID 0 times in VCALENDAR (3.7.3)"),
        (b"VERSION:2.0\r\n", b"VERSION:2.0\r\nMETHOD:PUBLISH\r\n", "METHOD"),
        (b";VALUE=DURATION:PT6H", b":PT6H", "REFRESH-INTERVAL without VALUE=DURATION"),
        (b"VALUE=DURATION:PT6H", b"VALUE=DURATION:6:00:00", "is not a duration (3.3.6)"),
        (b"DTSTAMP:20270105T140000Z", b"DTSTAMP:20270105T140000", "DTSTAMP is not in UTC"),
        (b"SEQUENCE:0\r\n", b"", "SEQUENCE 0 times"),
        (b"SEQUENCE:0\r\n", b"SEQUENCE:0\r\nSEQUENCE:0\r\n", "SEQUENCE 2 times"),
        (b"STATUS:CONFIRMED", b"STATUS:DONE", "STATUS DONE (3.8.1.11)"),
        (b"DTEND;", b"DTSTART;", "DTEND 0 times in VEVENT (3.6.1)"),
        (b"T190000\r\n", b"T183000\r\n", "DTEND is not later than DTSTART (3.8.2.2)"),
        (b"DTSTART;TZID=America/Chicago:", b"DTSTART:", "DTSTART floats (project)"),
        (b"DTSTART;TZID=America/Chicago:", b"DTSTART;TZID=Europe/Oslo:", "no VTIMEZONE"),
        (b"TZID:America/Chicago", b"TZID:Chicago", "Chicago is not an IANA name"),
        (b"DTSTART:20270314T020000", b"DTSTART:20270420T020000", "is not the zone data's"),
        (b"TZOFFSETTO:-0500", b"TZOFFSETTO:-0430", "offsets of its changes do not meet"),
        (b"TZOFFSETTO:-0500", b"TZOFFSETTO:-5", "offset -5 (3.3.14)"),
        (b"TRIGGER:-P1D\r\n", b"", "TRIGGER 0 times in VALARM (3.6.6)"),
        (b"TRIGGER;RELATED=END:-P3D", b"TRIGGER;RELATED=MIDDLE:-P3D", "(3.8.6.3)"),
        (b"ACTION:DISPLAY", b"ACTION:SHOUT", "ACTION SHOUT"),
        (b"TRANSP:OPAQUE", b"TRANSP:MAYBE", "TRANSP MAYBE (3.8.2.7)"),
        (b"Oak\\;", b"Oak;", "is not escaped (3.3.11)"),
        (b"SUMMARY:Release: Laundry room", b"SUMMARY:", "SUMMARY is empty"),
        (b"END:VCALENDAR\r\n", b"", "VCALENDAR has no end"),
        (b"BEGIN:VALARM", b"BEGIN:VNOISE", "VNOISE inside VEVENT (3.6)"),
        (b"TRANSP:OPAQUE\r\n", b"TRANSP:OPAQUE\r\nRELATED-TO:nobody\r\n", "related to nobody"),
    ],
)
def test_a_planted_fault_is_found(found: bytes, put: bytes, section: str) -> None:
    data = written("America/Chicago")
    planted = data.replace(found, put)
    assert planted != data
    assert read(data).faults == []
    assert any(section in fault for fault in read(planted).faults), read(planted).faults


def test_a_uid_that_stands_twice_is_found() -> None:
    data = written("America/Chicago")
    first = data.index(b"BEGIN:VEVENT")
    twice = data[:first] + data[first : data.index(b"END:VEVENT") + 12] + data[first:]
    assert any("twice (3.8.4.7)" in fault for fault in read(twice).faults)


def test_the_onset_an_hour_late_that_a_library_writes_is_found() -> None:
    # icalendar 7.3.2 lets Chicago's summer time begin at 03:00 instead of 02:00.
    start = at("2027-03-14 03:10")
    row = hands("early", (start, start + 30))
    data = calendar_file(answer(episode([row])), season(), now=NOW).data
    assert read(data).faults == []
    late = data.replace(b"DTSTART:20270314T020000", b"DTSTART:20270314T030000")
    assert late != data
    # 03:10 is then 03:10 of winter time still, or of no clock at all.
    assert read(late).faults


def test_the_reader_and_the_writer_agree_on_lengths_of_time() -> None:
    data = written("America/Chicago")
    for start, end in instants(data).values():
        assert timedelta(minutes=15) <= end - start <= timedelta(minutes=90)
