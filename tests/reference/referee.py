"""The referee: every fault of an answer of `check --json` about a season folder."""

import tomllib
from pathlib import Path

from tests.reference.answer import Fault, Table, form, minute, rows
from tests.reference.dates import dates
from tests.reference.expand import expand
from tests.reference.feasible import Plan
from tests.reference.judge import Judge
from tests.reference.judge_parcels import ParcelJudge
from tests.reference.retime import critical_faults
from tests.reference.season import load


def products(path: Path) -> dict[str, Table]:
    """The materials table as plain tables by id."""
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    return {product["id"]: product for product in table["product"]}


def faults(folder: Path, answer: Table, materials: dict[str, Table]) -> list[Fault]:
    """All that the contract does not allow, and doubts where its words leave room."""
    season = load(folder)
    now = minute(answer["now"])
    assert now is not None
    net = expand(season, now, materials)
    without = frozenset(e["id"] for e in answer["episodes"] if e["ready_by"] is None)
    plan = Plan(net, rows(answer), without)
    judge = Judge(season, net, plan, answer)
    releases = {e["id"]: e["release"] for e in season["episodes"] if not e["released"]}
    found = form(answer, season["clock"].zone)
    found += judge.row_faults()
    found += plan.faults()
    bounds = dates(net, releases)
    if bounds is not None and season["studio"].get("place") is None:
        found += judge.date_faults(bounds)
    found += judge.verdict_faults(bounds)
    found += ParcelJudge(judge).faults(bounds)
    ready = {id: minute(judge.episodes[id]["ready_by"]) for id in releases}
    found += critical_faults(plan, ready)
    return found
