"""Five readers of calendar files have every instant, through both changes of the clocks.

icalendar, vobject and khal (Python), ical.js (node) and libical (through GObject; the library of a
widespread desktop calendar). Zones of five continents whose clocks change twice a year, one of
them by half an hour, and two whose clocks do not.

A zone whose rule has changed in late releases of the zone data would tell nothing here: khal goes
by its own data, the file by this machine's.
"""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from episodes.answers.precedence import Precedence
from episodes.exports.ical import calendar_file
from tests.exports.calendar_answers import answer, at, episode, hands, parcel, season
from tests.peers.programs import gi_python, node_modules, program

ROOM = "2027-05-laundry"
ZONES = {
    "America/Chicago": 2,
    "Europe/Dublin": 2,
    "Africa/Cairo": 2,
    "Asia/Jerusalem": 2,
    "Australia/Lord_Howe": 2,
    "Asia/Kolkata": 0,
    "America/Sao_Paulo": 0,
}
"""How often their clocks change in 2027."""
Times = dict[str, tuple[int, int]]
"""Title to start and end, UTC minutes."""


def changes(zone: str) -> list[int]:
    """UTC minutes of 2027 at which the clocks of a zone change."""
    here = ZoneInfo(zone)
    found = []
    moment = datetime(2027, 1, 1, tzinfo=UTC)
    while moment.year == 2027:
        after = moment + timedelta(minutes=30)
        if moment.astimezone(here).utcoffset() != after.astimezone(here).utcoffset():
            found.append(int(after.timestamp()) // 60)
        moment = after
    return found


def written(zone: str) -> tuple[bytes, Times]:
    """A file with work every half hour around each change, and in each quarter; and its times."""
    first = at("2027-01-05 08:00", zone)
    moments = [at(f"2027-{month:02}-10 18:30", zone) for month in (1, 4, 7, 10)]
    for change in changes(zone):
        moments += [change + 30 * step for step in range(-8, 9)]
    rows = [
        replace(hands(f"s{number}", (start, start + 25)), title=f"S{number}")
        for number, start in enumerate(sorted(set(moments)))
        if start > first
    ]
    links = [
        Precedence(earlier=(ROOM, one.id), later=(ROOM, two.id), gap_min=5)
        for one, two in pairwise(rows)
    ]
    boards = parcel("boards", order_by=at("2027-04-20 14:00", zone))
    judged = answer(episode(rows, [boards]), zone=zone, now=first)
    made = calendar_file(judged, season(zone=zone), now=first, links=links)
    times = {f"Folding bench: {row.title}": row.sessions[0] for row in rows}
    times["Order by: The boards"] = (boards.order_by - 15, boards.order_by)  # type: ignore[operator,assignment]
    release = judged.episodes[0].release
    times["Release: Laundry room"] = (release, release + 15)
    return made.data, times


def _minutes(start: datetime, end: datetime) -> tuple[int, int]:
    return int(start.timestamp()) // 60, int(end.timestamp()) // 60


def icalendar_reads(data: bytes, folder: Path, zone: str) -> Times:
    from icalendar import Calendar

    events = Calendar.from_ical(data).walk("VEVENT")
    return {str(e["SUMMARY"]): _minutes(e["DTSTART"].dt, e["DTEND"].dt) for e in events}


def vobject_reads(data: bytes, folder: Path, zone: str) -> Times:
    import vobject

    calendar = vobject.readOne(data.decode())
    assert calendar.validate(raiseException=True)
    return {
        event.summary.value: _minutes(event.dtstart.value, event.dtend.value)
        for event in calendar.vevent_list
    }


KHAL = """[calendars]
[[plan]]
path = {folder}/plan
type = calendar
[locale]
timeformat = %H:%M
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
local_timezone = UTC
default_timezone = UTC
[default]
default_calendar = plan
[sqlite]
path = {folder}/khal.db
"""


def khal_reads(data: bytes, folder: Path, zone: str) -> Times:
    (folder / "plan").mkdir()
    (folder / "config").write_text(KHAL.format(folder=folder))
    (folder / "plan.ics").write_bytes(data)

    def khal(*words: str) -> str:
        command = [sys.executable, "-m", "khal", "-c", str(folder / "config"), *words]
        return subprocess.run(
            command, capture_output=True, text=True, timeout=120, check=True
        ).stdout

    khal("import", "--batch", "-a", "plan", str(folder / "plan.ics"))
    form = "{start-long}|{end-long}|{title}"
    lines = khal("list", "--day-format", "", "--format", form, "2027-01-01", "366d").splitlines()
    found = {}
    for line in lines:
        start, end, title = line.split("|")
        moments = [datetime.fromisoformat(text).replace(tzinfo=UTC) for text in (start, end)]
        found[title] = _minutes(*moments)
    return found


ICAL_JS = """
const ICAL = require(process.argv[1]).default || require(process.argv[1]);
const text = require('fs').readFileSync(0, 'utf-8');
const calendar = new ICAL.Component(ICAL.parse(text));
calendar.getAllSubcomponents('vtimezone').forEach(zone => ICAL.TimezoneService.register(zone));
const found = calendar.getAllSubcomponents('vevent').map(part => {
  const event = new ICAL.Event(part);
  return [event.summary, event.startDate.toUnixTime() / 60, event.endDate.toUnixTime() / 60,
          part.getAllProperties('related-to').map(p => p.getParameter('gap') || '')];
});
process.stdout.write(JSON.stringify(found));
"""


def ical_js_reads(data: bytes, folder: Path, zone: str) -> Times:
    library = next((node_modules() / "ical.js" / "dist").glob("*.cjs"))
    ran = subprocess.run(
        [program("node"), "-e", ICAL_JS, str(library)],
        input=data, capture_output=True, timeout=60, check=True,
    )  # fmt: skip
    rows = json.loads(ran.stdout)
    gaps = [gap for row in rows for gap in row[3] if gap]
    assert set(gaps) == {"PT5M"}, "the gaps between linked steps are lost"
    return {title: (start, end) for title, start, end, _ in rows}


LIBICAL = """
import json, sys
import gi
gi.require_version("ICalGLib", "3.0")
from gi.repository import ICalGLib as ical
calendar = ical.Component.new_from_string(sys.stdin.read())
assert calendar is not None and calendar.count_errors() == 0
assert calendar.check_restrictions()
utc = ical.Timezone.get_utc_timezone()
found = []
part = calendar.get_first_component(ical.ComponentKind.VEVENT_COMPONENT)
while part is not None:
    ends = []
    for time in (part.get_dtstart(), part.get_dtend()):
        ends.append(time.as_timet_with_zone(time.get_timezone() or utc) // 60)
    found.append([part.get_summary(), *ends])
    part = calendar.get_next_component(ical.ComponentKind.VEVENT_COMPONENT)
print(json.dumps(found))
"""


def libical_reads(data: bytes, folder: Path, zone: str) -> Times:
    ran = subprocess.run(
        [gi_python(), "-c", LIBICAL],
        input=data.decode(), capture_output=True, text=True, timeout=60, check=False,
        env={"PATH": os.environ["PATH"]},
    )  # fmt: skip
    assert ran.returncode == 0, f"{ran.stderr}\napt-get install gir1.2-ical-3.0 python3-gi"
    return {title: (start, end) for title, start, end in json.loads(ran.stdout)}


Reader = Callable[[bytes, Path, str], Times]


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize(
    "reads", [icalendar_reads, vobject_reads, khal_reads, ical_js_reads, libical_reads]
)
def test_a_reader_has_every_instant(reads: Reader, zone: str, tmp_path: Path) -> None:
    data, times = written(zone)
    assert reads(data, tmp_path, zone) == times


@pytest.mark.parametrize("zone", ZONES)
def test_the_clocks_change_as_often_as_is_meant(zone: str) -> None:
    assert len(changes(zone)) == ZONES[zone]
