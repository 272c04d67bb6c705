"""Ways out for a season made up by a seed: a room that slips, fallbacks for it, and the same
fallbacks written into the plan files by hand, as a host would who took them.

Works on the tables of the files alone.
"""

import tomllib
from collections.abc import Collection, Sequence
from copy import deepcopy
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

from tests.reference import toml_text

Table = dict[str, Any]
Tables = dict[str, Table]
"""The tables of a season's files by stem, `studio` among them."""

FACTS = ("ordered", "promised", "arrived", "failed")


def load(folder: Path) -> Tables:
    return {
        path.stem: tomllib.loads(path.read_text(encoding="utf-8"))
        for path in sorted(folder.glob("*.toml"))
    }


def save(folder: Path, tables: Tables) -> None:
    for name, table in tables.items():
        (folder / f"{name}.toml").write_text(toml_text.dump(table) + "\n", encoding="utf-8")


def fallbacks(
    random: Random, tables: Tables, episode: str, count: int, hot: Collection[str] = ()
) -> list[Table]:
    """So many ways out, no two of which change the same thing.

    Args:
        hot: names of steps, shots and parcels that most of them are to change.
    """
    kinds = [_parcel, _parcel, _drop, _drop, _hands, _hands, _extra, _air, _where, _who, _coat]
    found: list[Table] = []
    changed: set[tuple[str, str]] = set()
    for _ in range(count * 20):
        if len(found) == count:
            break
        wanted = hot if random.random() < 0.8 else ()
        made = random.choice(kinds)(random, tables, episode, wanted)
        if made is None:
            continue
        touched = {
            (key, name)
            for key in ("parcel", "hands", "coat", "where", "who", "air")
            for name in made.get(key, {})
        }
        if touched & changed:
            continue
        changed |= touched
        made["id"] = f"way-{len(found) + 1}"
        if random.random() < 0.8:
            made["cost"] = random.choice([0, 10, 25, 60, 120])
        if random.random() < 0.5:
            made["loses"] = random.choice([1, 2, 5])
        found.append(made)
    return found


def taken(tables: Tables, episode: str, ways: list[Table]) -> Tables:
    """The files of a season after a host has taken these ways out."""
    tables = deepcopy(tables)
    mine, studio = tables[episode], tables["studio"]
    mine.pop("fallback", None)
    today = studio["as_of"].date()
    for way in ways:
        for id, lead in way.get("parcel", {}).items():
            parcel = _named(mine["parcel"], id)
            parcel["lead"] = lead
            for fact in FACTS:
                parcel.pop(fact, None)
        for name in way.get("drop", []):
            _thing(mine, name)["dropped"] = today
        for key in ("hands", "coat", "where", "who"):
            for name, value in way.get(key, {}).items():
                _thing(mine, name)[key] = value
        for more in way.get("extra", []):
            person = _named(studio["person"], more["person"])
            person["extra"] = [*person.get("extra", []), more["at"]]
        for name, air in way.get("air", {}).items():
            space = _named(studio["space"], name)
            space.pop("air_by_month", None)
            space["air"] = air
    return tables


# -- kinds -------------------------------------------------------------------------------------


def _open_steps(tables: Tables, episode: str, key: str) -> list[tuple[Table, Table]]:
    return [
        (job, step)
        for job in tables[episode]["job"]
        for step in job["step"]
        if key in step and not {"done", "started", "failed", "dropped"} & step.keys()
    ]


def _parcel(random: Random, tables: Tables, episode: str, hot: Collection[str]) -> Table | None:
    parcels = [
        parcel
        for parcel in tables[episode].get("parcel", [])
        if not {"arrived", "at", "dropped", "fallback_only", "replaces"} & parcel.keys()
    ]
    if not parcels:
        return None
    lead = random.choice(["1 workdays", "2..3..4 workdays", "3d", "12h", "6 workdays"])
    return {"parcel": {_pick(random, [each["id"] for each in parcels], hot): lead}}


def _drop(random: Random, tables: Tables, episode: str, hot: Collection[str]) -> Table | None:
    steps = _names(_open_steps(tables, episode, "hands"))
    steps += _names(_open_steps(tables, episode, "wait"))
    shots = [
        shot["id"]
        for shot in tables[episode].get("shot", [])
        if not {"taken", "started", "lost", "covers"} & shot.keys()
    ]
    names = [*steps, *shots]
    if not names:
        return None
    return {"drop": sorted({_pick(random, names, hot) for _ in range(random.randint(1, 2))})}


def _hands(random: Random, tables: Tables, episode: str, hot: Collection[str]) -> Table | None:
    names = _names(_open_steps(tables, episode, "hands"))
    if not names:
        return None
    return {"hands": {_pick(random, names, hot): random.choice(["10min", "20min", "30min"])}}


def _extra(random: Random, tables: Tables, episode: str, hot: Collection[str]) -> Table:
    studio = tables["studio"]
    person = random.choice(studio["person"])["id"]
    first = studio["as_of"].date() + timedelta(days=random.randint(1, 14))
    windows = random.choice([["09:00-17:00"], ["07:00-12:00", "13:00-22:00"]])
    return {
        "extra": [
            {"person": person, "at": f"{first + timedelta(days=day)} {window}"}
            for day in range(random.randint(1, 3))
            for window in windows
        ]
    }


def _air(random: Random, tables: Tables, episode: str, hot: Collection[str]) -> Table | None:
    """Not where something dries already: what is done before is the usual air's."""
    wet = {
        step.get("where", job.get("where"))
        for table in tables.values()
        for job in table.get("job", [])
        for step in job["step"]
        if "coat" in step and "done" in step
    }
    spaces = [s["id"] for s in tables["studio"]["space"] if s["id"] not in wet and None not in wet]
    if not spaces:
        return None
    air = random.choice([{"celsius": 21, "humidity": 50}, {"celsius": 26, "humidity": 40}])
    return {"air": {random.choice(spaces): air}}


def _where(random: Random, tables: Tables, episode: str, hot: Collection[str]) -> Table | None:
    steps = [pair for pair in _open_steps(tables, episode, "hands") if "does" not in pair[1]]
    if not steps:
        return None
    space = random.choice(tables["studio"]["space"])["id"]
    return {"where": {_pick(random, _names(steps), hot): space}}


def _who(random: Random, tables: Tables, episode: str, hot: Collection[str]) -> Table | None:
    names = _names(_open_steps(tables, episode, "hands"))
    if not names:
        return None
    person = random.choice(tables["studio"]["person"])["id"]
    return {"who": {_pick(random, names, hot): [person]}}


def _coat(random: Random, tables: Tables, episode: str, hot: Collection[str]) -> Table | None:
    steps = [pair for pair in _open_steps(tables, episode, "coat") if "dries" not in pair[1]]
    if not steps:
        return None
    product = random.choice(["waterborne-acrylic-clear", "shellac", "oil-polyurethane"])
    return {"coat": {_pick(random, _names(steps), hot): product}}


def _names(steps: Sequence[tuple[Table, Table]]) -> list[str]:
    return [f"{job['id']}.{step['id']}" for job, step in steps]


def _pick(random: Random, names: Sequence[str], hot: Collection[str]) -> str:
    """One of some names, of the wanted ones if there is any."""
    return random.choice([name for name in names if name in hot] or list(names))


# -- tables ------------------------------------------------------------------------------------


def _named(tables: list[Table], id: str) -> Table:
    return next(table for table in tables if table["id"] == id)


def _thing(episode: Table, name: str) -> Table:
    """A step (JOB.STEP), a shot or a parcel."""
    if "." in name:
        job, step = name.split(".")
        return _named(_named(episode["job"], job)["step"], step)
    return _named([*episode.get("shot", []), *episode.get("parcel", [])], name)
