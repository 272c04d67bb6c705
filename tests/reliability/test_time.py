"""Clocks that go back, moments before everything, zones without data: an answer or a sentence."""

from pathlib import Path

import pytest

from tests.commands.seasons import Desk
from tests.reliability.bombs import EPISODE, STUDIO, season
from tests.reliability.judged import run


def test_a_now_before_a_fact_is_a_fault_with_its_line(desk: Desk) -> None:
    desk.edit('hands = "1h..2h..3h"', 'hands = "1h..2h..3h"\n  done = 2027-04-13')
    answer = desk("check", "--now", "2027-04-01T08:00")
    assert answer.code == 2
    assert f"{desk.file.name}:" in answer.err
    assert "Traceback" not in answer.err


def test_a_clock_that_goes_back_changes_no_component_of_an_earlier_export(
    desk: Desk, tmp_path: Path
) -> None:
    path = tmp_path / "plan.ics"
    assert desk("calendar", "-o", str(path), "--now", "2027-04-14T18:00").code == 0
    first = path.read_bytes()
    # An hour back: what is planned moves, and no sequence number falls.
    assert desk("calendar", "-o", str(path), "--now", "2027-04-14T17:00").code == 0
    assert desk("calendar", "-o", str(path), "--now", "2027-04-14T18:00").code == 0
    again = path.read_bytes()
    numbers = [
        [int(line[9:]) for line in text.split(b"\r\n") if line.startswith(b"SEQUENCE:")]
        for text in (first, again)
    ]
    assert len(numbers[0]) == len(numbers[1])
    assert all(new >= old for old, new in zip(*numbers, strict=True))


def test_the_wall_clock_of_the_machine_may_be_anything(desk: Desk) -> None:
    answers = {
        run(["check", "--json"], desk.folder, env={"TZ": zone}).out
        for zone in ("UTC", "Pacific/Kiritimati", "Etc/GMT+12", "Nowhere/At_All")
    }
    assert len(answers) == 1


def test_without_zone_data_of_the_system_the_package_s_own_are_used(tmp_path: Path) -> None:
    season(tmp_path / "season")
    judged = run(["check"], tmp_path / "season", env={"PYTHONTZPATH": ""})
    assert judged.code == 0
    assert judged.faults() == []


@pytest.mark.parametrize(
    ("release", "instant"),
    [
        ("2028-03-12T02:30:00", "2028-03-12T03:00:00-05:00"),  # does not exist: the change
        ("2027-11-07T01:30:00", "2027-11-07T01:30:00-05:00"),  # exists twice: the first
        ("2028-02-29T09:00:00", "2028-02-29T09:00:00-06:00"),
    ],
)
def test_a_release_in_an_odd_hour_has_the_instant_of_the_plan_format(
    release: str, instant: str, tmp_path: Path
) -> None:
    season(tmp_path / "season", f"release = {release}\n{EPISODE}")
    judged = run(["check", "--json"], tmp_path / "season")
    assert judged.code == 0
    assert f'"release": "{instant}"' in judged.out


def test_a_night_over_each_clock_change_is_worked_as_long_as_it_lasts(tmp_path: Path) -> None:
    """From 01:00 to 04:00 on the wall: two hours in spring, four in autumn."""
    hours = STUDIO.replace('sat-sun = ["09:00-17:00"]', 'sat-sun = ["01:00-04:00"]')
    hours = hours.replace('mon-fri = ["18:00-21:30"], ', "")
    nights = (("2027-03-14", "2h", "04:00:00-05:00"), ("2027-11-07", "4h", "04:00:00-06:00"))
    for day, work, ends in nights:
        studio = hours.replace("2027-04-14T18:00:00", f"{day}T00:30:00")
        text = f"release = 2027-12-03\n{EPISODE}".replace('"2h"', f'"{work}"')
        season(tmp_path / day, text, studio)
        judged = run(["check", "--json"], tmp_path / day)
        assert f'"finish": "{day}T{ends}"' in judged.out, judged.out + judged.err
