"""What drying in the air of a space costs, beside the same plan with its times written out.

    python -m pytest tests/bench/bench_drying.py -s

Not collected by itself: it measures. Three seasons of 150 steps, 40 of them coats, alike but for
where the times come from: `dries` on the step; the materials table in the air of the table, which
gives the same plan; and the table in air that changes from month to month and forbids some coats
in winter, which gives another. Reading and planning are timed apart, in turns, and the medians
compared.
"""

from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import pytest

from episodes.answers.check import check
from episodes.files.reading import read_season
from episodes.model.season import Season

ROUNDS = 9
MOST = 1.5
STUDIO = """\
name = "Bench"
timezone = "America/Chicago"
release = { on = "first friday", at = 09:00:00 }
as_of = 2027-01-04T08:00:00
[[person]]
id = "host"
hours = { mon-fri = ["18:00-21:30"], sat-sun = ["09:00-17:00"] }
[[person]]
id = "builder"
hours = { mon-fri = ["17:00-22:00"], sat-sun = ["08:00-18:00"] }
[[space]]
id = "room"
{room}
[[space]]
id = "workshop"
shares_air_with = ["room"]
{workshop}
"""
ROOM = """\
[space.air_by_month]
"11-03" = { celsius = 18, humidity = 40 }
"06-08" = { celsius = 24, humidity = 60 }
"""
WORKSHOP = """\
[space.air_by_month]
"01" = { celsius = 8, humidity = 65 }
"02-03" = { celsius = 13, humidity = 60 }
"04-05" = { celsius = 16, humidity = 55 }
"""
JOBS, STEPS, COATS = 10, 15, 4
PRODUCTS = ("wall-paint", "waterborne-polyurethane", "hardwax-oil", "waterborne-enamel")
DRIES = {
    "wall-paint": ("1h", "4h", "12h", "21d"),
    "waterborne-polyurethane": ("30min", "2h30", "12h", "14d"),
    "hardwax-oil": ("8h", "16h", "48h", "10d"),
    "waterborne-enamel": ("1h30", "8h", "24h", "14d"),
}
RECOAT_BY = {"waterborne-polyurethane": "24h"}


def dries(product: str) -> str:
    """The likely times of the table, as a step would write them."""
    times = dict(zip(("touch", "recoat", "handle", "cure"), DRIES[product], strict=True))
    if product in RECOAT_BY:
        times["recoat_by"] = RECOAT_BY[product]
    return "dries = { " + ", ".join(f'{key} = "{value}"' for key, value in times.items()) + " }"


def episode(*, written: bool) -> str:
    """150 steps in ten jobs; 40 are coats, with their times written out or not."""
    lines = ['title = "Bench"', 'room = "room"']
    for job in range(JOBS):
        where = "workshop" if job % 2 else "room"
        who = "builder" if job % 3 else "host"
        lines += ["[[job]]", f'id = "job-{job}"', f'where = "{where}"', f'who = ["{who}"]']
        product = PRODUCTS[job % len(PRODUCTS)]
        for step in range(STEPS):
            lines += ["[[job.step]]", f'id = "s-{step}"', 'hands = "30min..40min..1h"']
            if step >= STEPS - 2 * COATS and step % 2:
                lines.append(f'coat = "{product}"')
                if written:
                    lines.append(dries(product))
            elif step % 5 == 0:
                lines.append('makes = ["dust"]')
    return "\n".join(lines)


@pytest.fixture
def seasons(tmp_path: Path) -> dict[str, Path]:
    folders = {}
    for name, written, room, workshop in (
        ("written out", True, "", ""),
        ("from the table", False, "", ""),
        ("in changing air", False, ROOM, WORKSHOP),
    ):
        folder = tmp_path / name.replace(" ", "-")
        folder.mkdir()
        studio = STUDIO.replace("{room}", room).replace("{workshop}", workshop)
        (folder / "studio.toml").write_text(studio, encoding="utf-8")
        (folder / "2027-06-bench.toml").write_text(episode(written=written), encoding="utf-8")
        folders[name] = folder
    return folders


def seconds(work: Callable[[], object]) -> float:
    begun = perf_counter()
    work()
    return perf_counter() - begun


@pytest.mark.bench
def test_drying_in_the_air_costs_no_half_more_than_times_written_out(
    seasons: dict[str, Path],
) -> None:
    def read(name: str) -> Season:
        return read_season(seasons[name], clock=0)

    plans = {name: read(name) for name in seasons}
    starts = {}
    for name, plan in plans.items():
        steps = [step for job in plan.episodes[0].jobs for step in job.steps]
        assert len(steps) == 150
        assert sum(step.coating is not None for step in steps) == 40
        answer = check(plan).episodes[0]
        starts[name] = [(row.id, row.start) for row in answer.steps]
        assert answer.verdict == "meets", f"{name}: a search for what is not there would be timed"
    assert starts["from the table"] == starts["written out"], "not the same plan"
    reading: dict[str, list[float]] = {name: [] for name in plans}
    checking: dict[str, list[float]] = {name: [] for name in plans}
    for _ in range(ROUNDS):
        for name, plan in plans.items():
            reading[name].append(seconds(lambda name=name: read(name)))  # type: ignore[misc]
            checking[name].append(seconds(lambda plan=plan: check(plan)))  # type: ignore[misc]
    for what, found in (("reading", reading), ("checking", checking)):
        for name in plans:
            taken, out = median(found[name]), median(found["written out"])
            print(f"\n{what} {name}: {taken * 1000:.0f} ms, {taken / out:.2f}", end="")
    whole = {name: median(reading[name]) + median(checking[name]) for name in plans}
    for name in plans:
        assert whole[name] <= MOST * whole["written out"], name
