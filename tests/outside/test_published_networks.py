"""Worked critical-path networks with published dates and slacks, written as seasons of waits.

An activity of so many days or weeks becomes a `wait`; the project's end is the release, so that
the late dates are those of the book, whose last activity has no slack. Sources are named beside
each network; where its table was not looked up again but is from memory, that is said.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.asking import answer, row, season

START = datetime.fromisoformat("2027-04-05T08:00:00+00:00")


@dataclass(frozen=True)
class Network:
    """Activities as (length, what comes before); `slack` and `early` as the source prints them."""

    source: str
    unit: str
    activities: dict[str, tuple[int, str]]
    end: int
    slack: dict[str, int]
    early: dict[str, int]


def arrows(lengths: dict[str, int]) -> dict[str, tuple[int, str]]:
    """Activities on arrows `i-j`: each waits for all arrows that end where it begins."""
    return {
        name: (
            length,
            " ".join(other for other in lengths if other.split("-")[1] == name.split("-")[0]),
        )
        for name, length in lengths.items()
    }


NETWORKS = {
    "seven activities, hours": Network(
        source="Course sheet `Example 1: Draw the network for the events in Table 1` (a design, "
        "its parts and their assembly), tables 1 and 2, read in a public archive of course notes "
        "(document 8378728)",
        unit="h",
        activities={
            "a": (6, ""),
            "b": (2, "a"),
            "c": (2, "a"),
            "d": (3, "b"),
            "f": (2, "c"),
            "e": (4, "d f"),
            "g": (1, "e"),
        },
        end=16,
        slack={"a": 0, "b": 0, "c": 1, "d": 0, "e": 0, "f": 1, "g": 0},
        early={"a": 0, "b": 6, "c": 6, "d": 8, "f": 8, "e": 11, "g": 15},
    ),
    "seven arrows, six events": Network(
        source="Taylor, Introduction to Management Science, chapter 8 (project management), "
        "printed solutions, first table (critical path 1-3-4-5-6), read as `TaylCh08`",
        unit="d",
        activities=arrows({"1-2": 7, "1-3": 10, "2-4": 6, "3-4": 5, "3-5": 4, "4-5": 3, "5-6": 2}),
        end=20,
        slack={"1-2": 2, "1-3": 0, "2-4": 2, "3-4": 0, "3-5": 4, "4-5": 0, "5-6": 0},
        early={"1-2": 0, "1-3": 0, "2-4": 7, "3-4": 10, "3-5": 10, "4-5": 15, "5-6": 18},
    ),
    "thirteen arrows with a dummy": Network(
        source="Taylor, Introduction to Management Science, chapter 8 (project management), "
        "printed solutions, second table (38 long; the dummy is 4-5), read as `TaylCh08`",
        unit="d",
        activities=arrows(
            {
                "1-2": 8,
                "1-3": 10,
                "1-4": 9,
                "2-5": 6,
                "2-6": 4,
                "3-5": 5,
                "4-5": 0,
                "4-7": 7,
                "5-7": 12,
                "5-8": 15,
                "6-9": 18,
                "7-8": 4,
                "8-9": 7,
            }
        ),
        end=38,
        slack={
            "1-2": 1,
            "1-3": 0,
            "1-4": 6,
            "2-5": 1,
            "2-6": 8,
            "3-5": 0,
            "4-5": 6,
            "4-7": 11,
            "5-7": 0,
            "5-8": 1,
            "6-9": 8,
            "7-8": 0,
            "8-9": 0,
        },
        early={
            "1-2": 0,
            "1-3": 0,
            "1-4": 0,
            "2-5": 8,
            "2-6": 8,
            "3-5": 10,
            "4-5": 9,
            "4-7": 9,
            "5-7": 15,
            "5-8": 15,
            "6-9": 12,
            "7-8": 27,
            "8-9": 31,
        },
    ),
    "nine arrows, a dummy, total floats": Network(
        source="Taha, Operations Research: An Introduction, chapter 6, the worked example of "
        "critical path computations; lengths read in a public textbook companion (FOSSEE, "
        "EX6.5.4), the total floats 5, 3, 3, 6 and 11 from memory",
        unit="d",
        activities=arrows(
            {
                "1-2": 5,
                "1-3": 6,
                "2-3": 3,
                "2-4": 8,
                "3-5": 2,
                "3-6": 11,
                "4-5": 0,
                "4-6": 1,
                "5-6": 12,
            }
        ),
        end=25,
        slack={
            "1-2": 0,
            "1-3": 5,
            "2-3": 3,
            "2-4": 0,
            "3-5": 3,
            "3-6": 6,
            "4-5": 0,
            "4-6": 11,
            "5-6": 0,
        },
        early={"1-2": 0, "1-3": 0, "2-3": 5, "2-4": 5, "3-5": 8, "3-6": 8, "4-6": 13, "5-6": 13},
    ),
    "fourteen activities, a building": Network(
        source="Hillier and Lieberman, Introduction to Operations Research, the 14-activity "
        "building project, 44 weeks: from memory",
        unit="w",
        activities={
            "a": (2, ""),
            "b": (4, "a"),
            "c": (10, "b"),
            "d": (6, "c"),
            "e": (4, "c"),
            "f": (5, "e"),
            "g": (7, "d"),
            "h": (9, "e g"),
            "i": (7, "c"),
            "j": (8, "f i"),
            "k": (4, "j"),
            "l": (5, "j"),
            "m": (2, "h"),
            "n": (6, "k l"),
        },
        end=44,
        slack=dict(zip("abcdefghijklmn", (0, 0, 0, 4, 0, 0, 4, 4, 2, 0, 1, 0, 4, 0), strict=True)),
        early=dict(
            zip(
                "abcdefghijklmn",
                (0, 2, 6, 16, 16, 20, 22, 29, 16, 25, 33, 33, 38, 38),
                strict=True,
            )
        ),
    ),
    "eight activities, a filter": Network(
        source="Heizer and Render, Operations Management, the 8-activity air-filter project, "
        "15 weeks: from memory",
        unit="w",
        activities={
            "a": (2, ""),
            "b": (3, ""),
            "c": (2, "a"),
            "d": (4, "a b"),
            "e": (4, "c"),
            "f": (3, "c"),
            "g": (5, "d e"),
            "h": (2, "f g"),
        },
        end=15,
        slack={"a": 0, "b": 1, "c": 0, "d": 1, "e": 0, "f": 6, "g": 0, "h": 0},
        early={"a": 0, "b": 0, "c": 2, "d": 3, "e": 4, "f": 4, "g": 8, "h": 13},
    ),
}
UNIT = {"h": 60, "d": 1440, "w": 10080}


def _instant(minutes: int) -> str:
    return (START + timedelta(minutes=minutes)).isoformat()


@pytest.fixture(params=NETWORKS, ids=lambda name: name.replace(" ", "-"))
def asked(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Network, dict[str, Any]]:
    network = NETWORKS[request.param]
    studio = (
        'name = "Book"\ntimezone = "UTC"\nas_of = 2027-04-05T08:00:00\n'
        '[[person]]\nid = "host"\nhours = { daily = ["09:00-17:00"] }\n'
    )
    lines = [f"release = {_instant(network.end * UNIT[network.unit])}", "[[job]]", 'id = "net"']
    for name, (length, before) in network.activities.items():
        after = ", ".join(f'"s{other}"' for other in before.split())
        wait = f"{length}{network.unit}" if length else "0min"
        lines += ["[[job.step]]", f'id = "s{name}"', f'wait = "{wait}"', f"after = [{after}]"]
    return network, answer(season(tmp_path, studio, aug_2027="\n".join(lines)))


def test_the_network_takes_as_long_as_the_source_says(
    asked: tuple[Network, dict[str, Any]],
) -> None:
    """The release at the published end is met, with nothing to spare."""
    network, record = asked
    episode = record["episodes"][0]
    assert episode["ready_by"] == _instant(network.end * UNIT[network.unit])
    assert (episode["verdict"], episode["proved"], episode["spare_min"]) == ("meets", True, 0)


def test_slacks_are_those_of_the_source(asked: tuple[Network, dict[str, Any]]) -> None:
    """Total slack, and late dates that lie as far from the early ones."""
    network, record = asked
    slack = {name: row(record, f"net.s{name}")["slack_min"] for name in network.activities}
    unit = UNIT[network.unit]
    assert slack == {name: units * unit for name, units in network.slack.items()}
    for name, (length, _) in network.activities.items():
        step = row(record, f"net.s{name}")
        if name in network.early:
            early, late = network.early[name], network.early[name] + network.slack[name]
            assert step["early_start"] == _instant(early * unit)
            assert step["early_finish"] == _instant((early + length) * unit)
            assert step["late_start"] == _instant(late * unit)
            assert step["late_finish"] == _instant((late + length) * unit)


def test_critical_are_the_activities_without_slack(
    asked: tuple[Network, dict[str, Any]],
) -> None:
    """With no calendars in the way the critical path is where slack is zero."""
    network, record = asked
    critical = {name for name in network.activities if row(record, f"net.s{name}")["critical"]}
    assert critical == {name for name, slack in network.slack.items() if slack == 0}


def test_nothing_in_the_plan_starts_later_than_it_must(
    asked: tuple[Network, dict[str, Any]],
) -> None:
    """Without people or places the plan is the early dates."""
    network, record = asked
    for name in network.activities:
        step = row(record, f"net.s{name}")
        assert (step["start"], step["finish"]) == (step["early_start"], step["early_finish"])
