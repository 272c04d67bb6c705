"""Generated seasons judged by a referee that reads the plan format alone.

The referee (`tests/reference`) shares no code with the engine: it reads the TOML itself, walks the
minutes, and checks dates, plan, floors, verdicts and critical flags of the JSON answer. Codes that
begin with `?` are doubts, where the format's words leave room; they are not held against anyone.
"""

import json
import tomllib
from pathlib import Path

import pytest

from episodes.answers.check import check
from episodes.exports.records import check_record, to_json
from episodes.files.reading import read_season
from episodes.trade import __path__ as trade
from tests.reference.generate import write
from tests.reference.referee import faults

MATERIALS = {
    product["id"]: product
    for product in tomllib.loads((Path(trade[0]) / "products.toml").read_text(encoding="utf-8"))[
        "product"
    ]
}
SEEDS = (500, 502, 503, 505, 506, 509)
"""Seeds whose seasons the referee is done with in a second or two; some take it minutes."""

STRICTER = {"not-early"}
"""Starts that the referee would have earlier: the engine keeps air clean for the longer of two
spaces' lingering times, the referee for that of the space where it was made."""


@pytest.mark.parametrize("steps", [8, 20, 40])
@pytest.mark.parametrize("seed", SEEDS)
def test_the_referee_finds_no_fault(seed: int, steps: int, tmp_path: Path) -> None:
    write(seed, steps, tmp_path, MATERIALS)
    answer = check(read_season(tmp_path, clock=30_000_000))
    found = faults(tmp_path, json.loads(to_json(check_record(answer))), MATERIALS)
    assert [str(f) for f in found if not f.doubt and f.rule not in STRICTER] == []


def test_the_referee_does_find_a_fault_that_was_put_there(tmp_path: Path) -> None:
    """A start moved by an hour, a flag turned and a spare time made up are all seen."""
    write(500, 20, tmp_path, MATERIALS)
    record = json.loads(to_json(check_record(check(read_season(tmp_path, clock=30_000_000)))))
    clean = faults(tmp_path, record, MATERIALS)
    episode = record["episodes"][0]
    episode["spare_min"] += 60
    row = next(r for r in episode["steps"] if r["kind"] == "hands" and r["state"] == "open")
    row["start"], row["finish"] = row["finish"], row["start"]
    assert len(faults(tmp_path, record, MATERIALS)) > len(clean)
