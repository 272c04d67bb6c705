"""`episodes calendar`: what it writes, what it says, what it refuses."""

import json
import os
import subprocess
import sys
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

import pytest

from episodes.cli import run
from tests.reference.rfc5545 import File, read

STUDIO = """
name = "Second Coat"
timezone = "America/Chicago"

[[person]]
id = "host"
title = "Host"
hours = { daily = ["18:00-21:00"] }

[[person]]
id = "builder"
title = "Builder"
hours = { daily = ["18:00-20:00"] }

[[space]]
id = "laundry"
title = "Laundry room"
"""

EPISODE = """
title = "Laundry\\u001b[2J room"

[[parcel]]
id = "boards"
title = "Birch boards"
lead = "3d"

[[job]]
id = "bench"
title = "Folding bench"
who = ["builder"]

  [[job.step]]
  id = "cut"
  hands = "3h"
  after = ["boards"]

[[shot]]
id = "reveal"
title = "The reveal"
of = "bench"
hands = "30min"
"""

NOW = "2027-04-05T08:00"


@pytest.fixture
def season(tmp_path: Path) -> Path:
    folder = tmp_path / "season"
    folder.mkdir()
    (folder / "studio.toml").write_text(STUDIO)
    (folder / "2027-05-laundry.toml").write_text(EPISODE)
    return folder


def calendar(season: Path, *more: str, now: str = NOW) -> int:
    return run(["calendar", str(season), "-o", str(season / "plan.ics"), "--now", now, *more])


def file_of(season: Path) -> File:
    found = read((season / "plan.ics").read_bytes())
    assert found.faults == []
    return found


def titles(found: File) -> set[str]:
    return {entry.text("SUMMARY") for entry in found.live}


def test_it_writes_the_plan_and_says_how_to_subscribe(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert calendar(season) == 0
    assert titles(file_of(season)) == {
        "Release: Laundry␛[2J room",
        "Order by: Birch boards",
        "Folding bench: cut (1 of 2)",
        "Folding bench: cut (2 of 2)",
        "Film: The reveal",
    }
    printed = capsys.readouterr()
    assert printed.err == ""
    assert printed.out.splitlines() == [
        "plan.ics: 5 new.",
        "Subscribe to this address, don't import the file (an import does not follow changes):",
        f"  {(season / 'plan.ics').as_uri()}",
    ]


def test_every_start_finish_and_deadline_of_check_stands_in_the_file(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert calendar(season) == 0
    capsys.readouterr()
    assert run(["check", str(season), "--json", "--now", NOW]) == 0
    answer = json.loads(capsys.readouterr().out)
    found = file_of(season)
    starts = Counter(entry.start for entry in found.live)
    ends = Counter(entry.end for entry in found.live)

    def instant(text: str) -> datetime:
        return datetime.fromisoformat(text).astimezone(UTC)

    rows = [row for row in answer["episodes"][0]["steps"] if row["kind"] in ("hands", "shot")]
    assert len(rows) == 2
    assert Counter(instant(row["start"]) for row in rows) - starts == Counter()
    assert Counter(instant(row["finish"]) for row in rows) - ends == Counter()
    assert instant(answer["episodes"][0]["parcels"][0]["order_by"]) in ends
    assert instant(answer["episodes"][0]["release"]) in starts


def test_the_same_plan_again_leaves_the_file_untouched(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    calendar(season)
    before = (season / "plan.ics").read_bytes()
    os.utime(season / "plan.ics", (1, 1))
    capsys.readouterr()
    assert calendar(season) == 0
    assert (season / "plan.ics").read_bytes() == before
    assert (season / "plan.ics").stat().st_mtime == 1
    assert capsys.readouterr().out.startswith("plan.ics: 5 unchanged.\n")


def test_an_order_that_was_placed_is_cancelled_and_its_arrival_new(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    calendar(season)
    plan = season / "2027-05-laundry.toml"
    plan.write_text(plan.read_text().replace('lead = "3d"', 'lead = "3d"\nordered = 2027-04-05'))
    capsys.readouterr()
    assert calendar(season, now="2027-04-06T08:00") == 0
    assert "1 new" in capsys.readouterr().out
    by_title = {entry.text("SUMMARY"): entry for entry in file_of(season).entries}
    assert by_title["Order by: Birch boards"].text("STATUS") == "CANCELLED"
    assert by_title["Arrives: Birch boards"].text("STATUS") == "CONFIRMED"


def test_the_options_reach_the_file(season: Path) -> None:
    assert calendar(season, "--person", "builder") == 0
    assert titles(file_of(season)) == {
        "Release: Laundry␛[2J room",
        "Folding bench: cut (1 of 2)",
        "Folding bench: cut (2 of 2)",
    }
    assert calendar(season, "--tasks", "--alarms", "--waits") == 0
    kinds = {entry.text("SUMMARY"): entry for entry in file_of(season).live}
    assert kinds["Order by: Birch boards"].name == "VTODO"
    assert len(kinds["Film: The reveal"].parts) == 1
    assert calendar(season, "--private") == 0
    assert titles(file_of(season)) == {"Busy"}


def test_all_writes_everybodys_file_and_one_beside_it_for_each_person(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert calendar(season, "--person", "all") == 0
    files = [season / name for name in ("plan.ics", "plan.host.ics", "plan.builder.ics")]
    found = [read(file.read_bytes()) for file in files]
    assert [each.faults for each in found] == [[], [], []]
    everybody, host, builder = (
        {entry.text("UID"): entry.text("SUMMARY") for entry in each.live} for each in found
    )
    # The same UIDs in everybody's file and in each person's.
    assert host.items() <= everybody.items()
    assert builder.items() <= everybody.items()
    assert "Order by: Birch boards" in host.values()
    assert "Order by: Birch boards" not in builder.values()
    printed = capsys.readouterr().out.splitlines()
    assert printed[:3] == ["plan.ics: 5 new.", "plan.host.ics: 3 new.", "plan.builder.ics: 3 new."]
    assert printed[-3:] == [f"  {file.as_uri()}" for file in files]


def test_of_several_files_none_is_written_where_one_is_somebody_elses(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (season / "plan.builder.ics").write_bytes(b"mine")
    assert calendar(season, "--person", "all") == 2
    assert not (season / "plan.ics").exists()
    assert (season / "plan.builder.ics").read_bytes() == b"mine"
    assert "plan.builder.ics: not written over" in capsys.readouterr().err


def test_the_plans_links_stand_in_the_file(season: Path) -> None:
    assert calendar(season) == 0
    found = file_of(season)
    by_title = {entry.text("SUMMARY"): entry for entry in found.live}
    related = by_title["Folding bench: cut (2 of 2)"].all("RELATED-TO")
    assert {(one.parameters["RELTYPE"], one.text) for one in related} == {
        ("PARENT", by_title["Release: Laundry␛[2J room"].text("UID")),
        ("FINISHTOSTART", by_title["Film: The reveal"].text("UID")),
    }


def test_an_episode_file_gives_that_episode_alone(season: Path) -> None:
    (season / "2027-06-porch.toml").write_text(EPISODE.replace("Birch", "Pine"))
    out = season / "one.ics"
    only = season / "2027-05-laundry.toml"
    assert run(["calendar", "--season", str(only), "-o", str(out), "--now", NOW]) == 0
    assert "Order by: Pine boards" not in titles(read(out.read_bytes()))
    assert "Order by: Birch boards" in titles(read(out.read_bytes()))


def test_a_season_that_slips_is_written_as_tentative_and_is_no_failure(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = season / "2027-05-laundry.toml"
    plan.write_text(plan.read_text().replace('"3d"', '"50d"'))
    assert calendar(season) == 0
    assert "Laundry␛[2J room slips: its dates are tentative." in capsys.readouterr().out
    assert {entry.text("STATUS") for entry in file_of(season).live} == {"TENTATIVE"}


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "not a calendar file"),
        (b"title = 'a plan'\n", "not a calendar file"),
        (
            b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//other//EN\r\nEND:VCALENDAR\r\n",
            "another program wrote it",
        ),
    ],
)
def test_what_another_program_wrote_is_not_written_over(
    season: Path, capsys: pytest.CaptureFixture[str], content: bytes, why: str
) -> None:
    (season / "plan.ics").write_bytes(content)
    assert calendar(season) == 2
    assert (season / "plan.ics").read_bytes() == content
    printed = capsys.readouterr()
    assert printed.out == ""
    assert why in printed.err
    assert len(printed.err.splitlines()) == 1


def test_a_place_that_cannot_be_written_is_said_in_a_line(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for place in (season, season / "none" / "plan.ics"):
        assert run(["calendar", str(season), "-o", str(place), "--now", NOW]) == 2
        assert str(place if place.is_dir() else place.parent) in capsys.readouterr().err
    assert run(["calendar", str(season), "--now", NOW]) == 2
    assert "--output" in capsys.readouterr().err
    assert calendar(season, "--person", "nobody") == 2
    assert "there is: host, builder" in capsys.readouterr().err


def test_nothing_is_left_beside_the_file(season: Path) -> None:
    before = set(season.iterdir())
    calendar(season)
    assert set(season.iterdir()) - before == {season / "plan.ics"}


def test_a_link_to_the_file_stays_a_link(season: Path) -> None:
    (season / "shared").mkdir()
    (season / "plan.ics").symlink_to(season / "shared" / "plan.ics")
    assert calendar(season) == 0
    assert (season / "plan.ics").is_symlink()
    assert read((season / "shared" / "plan.ics").read_bytes()).faults == []


@pytest.mark.slow
def test_the_bytes_do_not_hang_on_the_run(season: Path) -> None:
    written = set()
    for seed in ("1", "2"):
        out = season / f"seed{seed}.ics"
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "episodes",
                "calendar",
                str(season),
                "-o",
                str(out),
                "--now",
                NOW,
            ],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            timeout=120,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        written.add(out.read_bytes())
    assert len(written) == 1
