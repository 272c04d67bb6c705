"""Published worked networks, written as seasons of waits, give their published dates and slacks.

One time unit of a source is an hour here; the release is at the project's end, so late dates and
slacks are those of the source. Each network names where its table was read, or that it stands
here from memory.
"""

from dataclasses import dataclass

import pytest

from episodes.answers.check import check
from tests.small_season import season

HOUR = 60


@dataclass(frozen=True)
class Worked:
    """Durations, predecessors and the published (ES, EF, LS, LF) by activity."""

    source: str
    length: int
    work: dict[str, tuple[int, str]]
    dates: dict[str, tuple[int, int, int, int]]


NETWORKS = {
    "prototype": Worked(
        source='read: course handout "Example 1: Draw the network for the events in Table 1", '
        "tables 1 and 2 (activity F follows C, E follows D and F)",
        length=16,
        work={
            "a": (6, ""), "b": (2, "a"), "c": (2, "a"), "d": (3, "b"), "f": (2, "c"),
            "e": (4, "d f"), "g": (1, "e"),
        },
        dates={
            "a": (0, 6, 0, 6), "b": (6, 8, 6, 8), "d": (8, 11, 8, 11), "e": (11, 15, 11, 15),
            "g": (15, 16, 15, 16), "c": (6, 8, 7, 9), "f": (8, 10, 9, 11),
        },
    ),
    "nine activities": Worked(
        source='read: course assignment "MCPTC week 17", example 3 (CPM), table of ES, EF, LS, '
        "LF and total float",
        length=33,
        work={
            "a": (3, ""), "b": (5, "a"), "c": (8, "a"), "d": (10, "b"), "e": (5, "b"),
            "f": (7, "c"), "g": (12, "d"), "h": (8, "e f"), "i": (3, "g h"),
        },
        dates={
            "a": (0, 3, 0, 3), "b": (3, 8, 3, 8), "c": (3, 11, 7, 15), "d": (8, 18, 8, 18),
            "e": (8, 13, 17, 22), "f": (11, 18, 15, 22), "g": (18, 30, 18, 30),
            "h": (18, 26, 22, 30), "i": (30, 33, 30, 33),
        },
    ),
    "eleven activities": Worked(
        source='read: lecture slides "Calculate Early Starts & Finishes", "Calculate Late Starts & '
        'Finishes", first network',
        length=41,
        work={
            "a": (4, ""), "b": (6, "a"), "c": (3, "a"), "d": (6, "b"), "e": (14, "d"),
            "f": (5, "c"), "g": (2, "e f"), "h": (2, "g"), "i": (3, "g"), "j": (4, "h i"),
            "k": (2, "j"),
        },
        dates={
            "a": (0, 4, 0, 4), "b": (4, 10, 4, 10), "c": (4, 7, 22, 25), "d": (10, 16, 10, 16),
            "e": (16, 30, 16, 30), "f": (7, 12, 25, 30), "g": (30, 32, 30, 32),
            "h": (32, 34, 33, 35), "i": (32, 35, 32, 35), "j": (35, 39, 35, 39),
            "k": (39, 41, 39, 41),
        },
    ),
    "eight activities, quiz": Worked(
        source="read: the same slides, second network with its solution",
        length=22,
        work={
            "a": (4, ""), "b": (3, "a"), "c": (5, "a"), "d": (2, "a"), "e": (5, "b c"),
            "f": (6, "c d"), "g": (4, "e f"), "h": (3, "g"),
        },
        dates={
            "a": (0, 4, 0, 4), "b": (4, 7, 7, 10), "c": (4, 9, 4, 9), "d": (4, 6, 7, 9),
            "e": (9, 14, 10, 15), "f": (9, 15, 9, 15), "g": (15, 19, 15, 19),
            "h": (19, 22, 19, 22),
        },
    ),
    "air pollution controls": Worked(
        source="from memory: the eight-activity example of Heizer and Render, Operations "
        "Management, chapter on project management (15 weeks, critical A-C-E-G-H)",
        length=15,
        work={
            "a": (2, ""), "b": (3, ""), "c": (2, "a"), "d": (4, "a b"), "e": (4, "c"),
            "f": (3, "c"), "g": (5, "d e"), "h": (2, "f g"),
        },
        dates={
            "a": (0, 2, 0, 2), "b": (0, 3, 1, 4), "c": (2, 4, 2, 4), "d": (3, 7, 4, 8),
            "e": (4, 8, 4, 8), "f": (4, 7, 10, 13), "g": (8, 13, 8, 13), "h": (13, 15, 13, 15),
        },
    ),
    "construction company": Worked(
        source="from memory: the fourteen-activity construction project of Hillier and "
        "Lieberman, Introduction to Operations Research (44 weeks, critical A-B-C-E-F-J-L-N)",
        length=44,
        work={
            "a": (2, ""), "b": (4, "a"), "c": (10, "b"), "d": (6, "c"), "e": (4, "c"),
            "f": (5, "e"), "g": (7, "d"), "h": (9, "e g"), "i": (7, "c"), "j": (8, "f i"),
            "k": (4, "j"), "l": (5, "j"), "m": (2, "h"), "n": (6, "k l"),
        },
        dates={
            "a": (0, 2, 0, 2), "b": (2, 6, 2, 6), "c": (6, 16, 6, 16), "d": (16, 22, 20, 26),
            "e": (16, 20, 16, 20), "f": (20, 25, 20, 25), "g": (22, 29, 26, 33),
            "h": (29, 38, 33, 42), "i": (16, 23, 18, 25), "j": (25, 33, 25, 33),
            "k": (33, 37, 34, 38), "l": (33, 38, 33, 38), "m": (38, 40, 42, 44),
            "n": (38, 44, 38, 44),
        },
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", NETWORKS)
def test_a_published_network_has_its_published_dates_and_slacks(name: str) -> None:
    worked = NETWORKS[name]
    jobs = "".join(
        f'[[job]]\nid = "{id}"\nstep = [{{ id = "w", wait = "{hours}h", after = ['
        + ", ".join(f'"{pred}"' for pred in preds.split())
        + "] }]\n"
        for id, (hours, preds) in worked.work.items()
    )
    days, hours = divmod(worked.length, 24)
    release = f"release = 2027-04-{1 + days:02d}T{hours:02d}:00:00\n"
    read = season(release + jobs, as_of="2027-04-01T00:00:00")
    answer = check(read).episodes[0]
    zero = read.now
    assert answer.ready_by == zero + worked.length * HOUR
    for id, published in worked.dates.items():
        row = answer.step(f"{id}.w")
        found = (row.early_start, row.early_finish, row.late_start, row.late_finish)
        assert found == tuple(zero + at * HOUR for at in published), id
        slack = published[3] - published[1]
        assert row.slack_min == slack * HOUR
        assert row.critical == (slack == 0)
        assert row.start == row.early_start
