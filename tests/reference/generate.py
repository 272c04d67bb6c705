"""Seasons made up by a seed: valid, of any size, with most of what the plan format offers.

`write(seed, steps, folder)` puts the files of one season there; the same seed and size give the
same files. What a step waits for always lies before it in the order in which it was made up, so
there are no circles; lengths that fit in no opening are shortened with the referee's own hours.
"""

import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

from tests.reference import generate_studio, toml_text
from tests.reference.expand import expand
from tests.reference.generate_episode import EpisodeMaker
from tests.reference.generate_spice import spice
from tests.reference.season import as_of, load
from tests.reference.timing import Timing

Table = dict[str, Any]


def write(seed: int, steps: int, folder: Path, products: dict[str, Table], **options: bool) -> Path:
    """A season of about so many steps in `folder`, which is made anew."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    random = Random(f"{seed}/{steps}")
    studio = generate_studio.studio(random)
    count = options.get("episodes") or min(4, 1 + (steps > 24) + (steps > 60) + (steps > 100))
    months = _months(studio["as_of"], count, steps // count, random)
    episodes: dict[str, Table] = {}
    for index, month in enumerate(months):
        maker = EpisodeMaker(random, studio, f"{month}-room-{index + 1}", list(episodes), episodes)
        episodes[maker.id] = maker.make(steps // count, facts=index == 0)
    if options.get("spiced", True):
        spice(random, studio, episodes, folder)
    for _ in range(200):
        _save(folder, studio, episodes)
        if not _mend(folder, episodes, products):
            return folder
    raise AssertionError(f"no valid season for seed {seed}")


def _months(now: datetime, count: int, steps: int, random: Random) -> list[str]:
    first = now + timedelta(days=28 + steps // 2 + random.randint(0, 20))
    month = first.year * 12 + first.month - 1
    return [f"{(month + n) // 12}-{(month + n) % 12 + 1:02}" for n in range(count)]


def _save(folder: Path, studio: Table, episodes: dict[str, Table]) -> None:
    tables = {"studio": studio, **episodes}
    for name, table in tables.items():
        (folder / f"{name}.toml").write_text(toml_text.dump(table) + "\n", encoding="utf-8")


def _mend(folder: Path, episodes: dict[str, Table], products: dict[str, Table]) -> bool:
    """Shorten what fits in no opening, or let it pause; whether anything was changed."""
    season = load(folder)
    now = as_of(season)
    assert now is not None
    net = expand(season, now, products)
    changed = False
    releases = {episode["id"]: episode["release"] for episode in season["episodes"]}
    for key, act in net.acts.items():
        if act.kind not in ("hands", "shot") or act.state in ("done", "dropped"):
            continue
        if key in net.during:
            continue
        limit = releases[key[0]] + 20 * 7 * 1440
        # Not in one lucky opening alone: again and again.
        spans = [
            Timing(net, replace(act, upper=None), who).first(act.lower + weeks * 7 * 1440)
            for who in act.candidates
            for weeks in (0, 3, 6, 9, 12)
        ]
        if all(
            span is not None and span[1] <= limit + (index % 5) * 3 * 7 * 1440
            for index, span in enumerate(spans)
        ):
            continue
        table = _find(episodes[key[0]], key[1])
        changed = True
        if any(shot["who"] for shot in act.companions):
            for shot in episodes[key[0]]["shot"]:
                if shot.get("when") == "during":
                    shot["who"] = []
        elif table.get("light"):
            del table["light"]
        elif table["hands"] != "30min":
            table["hands"] = "30min"
        elif table.get("who") != ["host"]:
            table["who"] = ["host"]
        elif "coat" in table and "dries" not in table:
            table["dries"] = {"touch": "45min", "recoat": "3h", "handle": "9h", "cure": "3d"}
        else:
            raise AssertionError(f"{key} fits nowhere")
    return changed


def _find(episode: Table, name: str) -> Table:
    if "." not in name:
        return next(shot for shot in episode["shot"] if shot["id"] == name)
    job, step = name.split(".")
    steps = next(entry["step"] for entry in episode["job"] if entry["id"] == job)
    return next(entry for entry in steps if entry["id"] == step)
