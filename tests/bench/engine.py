"""Dates, plans and reading inside the process, against networkx and against their own size.

python -m tests.bench engine
"""

from collections.abc import Callable
from math import log
from pathlib import Path
from random import Random
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

import networkx

from episodes.answers.late import Desk
from episodes.files.reading import read_season
from episodes.model.season import Season
from episodes.network.activity import Network
from episodes.network.dates import compute_dates
from episodes.network.expand import expand
from episodes.schedule.search import make_plan
from tests.bench.whole_command import many_rooms
from tests.small_season import season

BUILDER = """
[[person]]
id = "builder"
hours = { mon-fri = ["17:00-22:00"], sat-sun = ["08:00-18:00"] }
[[carrier]]
id = "post"
days = "mon-sat"
"""
HOST = 'mon-fri = ["18:00-21:30"], sat-sun = ["09:00-17:00"]'


def timed(work: Callable[[], object], rounds: int = 9) -> float:
    """Median seconds of a call."""
    spans = []
    for _ in range(rounds):
        begin = perf_counter()
        work()
        spans.append(perf_counter() - begin)
    return median(spans)


def room(steps: int, parcels: int = 0, seed: int = 7) -> str:
    """An episode's text: jobs of fifteen steps of two people, links across, parcels first."""
    random = Random(seed)
    lines: list[str] = []
    for number in range(parcels):
        lines += ["[[parcel]]", f'id = "p{number}"', 'carrier = "post"']
        lines.append(f'lead = "{2 + number % 6} workdays"')
    jobs = max(1, steps // 15)
    for job in range(jobs):
        who = ("host", "builder")[job % 2]
        lines += ["[[job]]", f'id = "job-{job}"', f'who = ["{who}"]']
        for step in range(steps // jobs):
            minutes = random.choice((30, 45, 60, 90, 120))
            lines += ["[[job.step]]", f'id = "s{step}"', f'hands = "{minutes}min"']
            after = []
            if step == 0 and parcels:
                after = [f'"p{(job * 3 + k) % parcels}"' for k in range(min(3, parcels))]
            if job and step and random.random() < 0.4:
                after.append(f'"job-{job - 1}.s{step - 1}"')
            if after:
                lines.append(f"also_after = [{', '.join(after)}]")
    return "\n".join(lines)


def one_room(steps: int) -> Network:
    year = 2028 + steps // 400
    return expand(
        season(
            f"release = {year}-06-02\n{room(steps)}",
            zone="America/Chicago", hours=HOST, people=BUILDER,
        ),
        ahead=60 * 24 * 1200 * (1 + steps // 1000),
    )  # fmt: skip


def three_rooms(folder: Path) -> Season:
    """Three episodes, 150 steps, 40 parcels."""
    studio = (
        'name = "Bench"\ntimezone = "America/Chicago"\nrelease = { on = "first friday" }\n'
        f'as_of = 2027-01-04T08:00:00\n[[person]]\nid = "host"\nhours = {{ {HOST} }}\n{BUILDER}'
    )
    (folder / "studio.toml").write_text(studio, encoding="utf-8")
    for month, parcels, seed in (("03", 14, 1), ("04", 13, 2), ("05", 13, 3)):
        text = room(50, parcels, seed)
        (folder / f"2027-{month}-room.toml").write_text(text, encoding="utf-8")
    return read_season(folder, clock=0)


def longest_paths(network: Network) -> Callable[[], object]:
    """networkx's own loop over the same links: earliest finishes, no calendars."""
    graph = networkx.DiGraph()
    for activity in network.activities:
        graph.add_node(activity.index)
    for link in network.links:
        graph.add_edge(link.pred, link.succ, weight=network.activities[link.pred].work)
    return lambda: networkx.dag_longest_path_length(graph, weight="weight")


def measure() -> list[dict[str, Any]]:
    small, large = one_room(150), one_room(5_000)
    dates = timed(lambda: compute_dates(small))
    dates_large = timed(lambda: compute_dates(large), 3)
    exponent = log(dates_large / dates) / log(len(large.activities) / len(small.activities))
    peer = timed(longest_paths(small))
    with TemporaryDirectory() as place:
        joint = three_rooms(Path(place))
        network = expand(joint)
        at = compute_dates(network)
        plan = timed(lambda: make_plan(network, at), 5)
        desk = Desk(joint)
        keys = [
            timed(lambda key=key: desk.try_arrivals({key: joint.now + 20 * 1440}), 1)
            for key in [(e.id, p.id) for e in joint.episodes for p in e.parcels]
        ]
        rooms = many_rooms(Path(place) / "rooms")
        reading = timed(lambda: read_season(rooms, clock=30_000_000), 3)
    return [
        {"what": "dates of 150 activities with calendars, ms", "value": dates * 1000,
         "bar": "<= 3"},
        {"what": "growth of the dates from 150 to 5,000, exponent", "value": exponent,
         "bar": "<= 1.2"},
        {"what": "networkx's longest path on the same links, without calendars",
         "seconds": peer, "peer": "dates of ours", "ratio": peer / dates, "bar": ">= 5"},
        {"what": "joint plan, 3 episodes, 150 steps, 40 parcels, ms", "value": plan * 1000,
         "bar": "<= 80"},
        {"what": "an arrival moved by a key, to the verdict, p95, ms",
         "value": sorted(keys)[int(len(keys) * 0.95)] * 1000, "bar": "<= 100"},
        {"what": "reading 24 episodes, 1,500 steps, seconds", "value": reading, "bar": "<= 1"},
    ]  # fmt: skip
