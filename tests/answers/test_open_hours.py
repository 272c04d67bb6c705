"""The hours that somebody has, from now to the last release, as the plan counts with them."""

from pathlib import Path

from episodes.answers.open_hours import open_hours
from episodes.calendars.local_time import zone
from episodes.files.reading import read_season

STUDIO = """
name = "Second Coat"
timezone = "America/Chicago"
[[person]]
id = "host"
hours = { mon-fri = ["18:00-21:00"] }
off = ["2027-04-14"]
extra = ["2027-04-17 09:00-12:00"]
"""
EPISODE = """
release = 2027-04-19
[[job]]
id = "clear"
step = [{ id = "box", hands = "1h" }]
"""


def season(folder: Path, now: str):
    (folder / "studio.toml").write_text(f"as_of = {now}\n{STUDIO}")
    (folder / "2027-04-room.toml").write_text(EPISODE)
    return read_season(folder, clock=0)


def test_hours_run_from_now_to_the_last_release_without_days_off_and_with_extras(tmp_path):
    found = open_hours(season(tmp_path, "2027-04-13T19:00:00"))
    local = zone("America/Chicago").local
    assert [
        (f"{local(start):%a %H:%M}", f"{local(end):%a %H:%M}") for start, end in found["host"]
    ] == [
        ("Tue 19:00", "Tue 21:00"),
        ("Thu 18:00", "Thu 21:00"),
        ("Fri 18:00", "Fri 21:00"),
        ("Sat 09:00", "Sat 12:00"),
    ]


def test_nobody_has_hours_after_the_last_release(tmp_path):
    assert open_hours(season(tmp_path, "2027-06-01T08:00:00")) == {"host": ()}
