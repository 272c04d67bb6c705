"""Whole processes: `check` on the demo season and on 24 rooms, against importing pydantic.

    python -m tests.bench whole_command

Ratios, not seconds: both sides are timed in the same run, the best of several each.
"""

import os
import re
import subprocess
import sys
import time
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from tests.reliability.judged import run

TIMES = 7
PEER = "import pydantic\nclass A(pydantic.BaseModel):\n    x: int\n"


def best(command: list[str], times: int = TIMES) -> float:
    """Shortest wall time of a command in seconds."""
    spans = []
    for _ in range(times):
        begin = time.perf_counter()
        subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
        spans.append(time.perf_counter() - begin)
    return min(spans)


def many_rooms(folder: Path, count: int = 24) -> Path:
    """The demo's porch once a month, without facts and fixed dates."""
    demo = files("episodes") / "demo"
    folder.mkdir()
    (folder / "studio.toml").write_text((demo / "studio.toml").read_text(encoding="utf-8"))
    text = (demo / "2027-06-porch.toml").read_text(encoding="utf-8")
    dated = r",?\s*(ordered|promised|arrived|done|taken|started|not_before|not_after|may_start|at)"
    text = re.sub(dated + r" = [0-9T:\-]+", "", text)
    text = re.sub(r',?\s*"2027-0[45]-[a-z-]+:[a-z.-]+"', "", text)
    for number in range(count):
        year, month = 2027 + (5 + number) // 12, (5 + number) % 12 + 1
        name = f"{year}-{month:02d}-porch"
        room = text.replace('release = "2027-06"', f'release = "{year}-{month:02d}"')
        (folder / f"{name}.toml").write_text(room.replace("2027-06-porch", name))
    return folder


def measure() -> list[dict[str, Any]]:
    """Whole processes: a small season against importing pydantic, a large one, and memory."""
    episodes = [sys.executable, "-m", "episodes"]
    with TemporaryDirectory() as temporary:
        demo = Path(temporary) / "demo"
        subprocess.run([*episodes, "demo", str(demo)], stdout=subprocess.DEVNULL, check=True)
        peer = best([sys.executable, "-c", PEER])
        small = best([*episodes, "check", str(demo), "--json"])
        cold = best_cold([*episodes, "check", str(demo), "--json"], Path(temporary))
        rooms = many_rooms(Path(temporary) / "rooms")
        large = best([*episodes, "check", str(rooms), "--json"], 2)
        memory = run(["check", str(rooms), "--json"], Path(temporary)).megabytes
    pydantic = "importing pydantic with a model"
    return [
        {"what": "check of the demo season, whole process", "seconds": small, "peer": pydantic,
         "ratio": small / peer, "bar": "<= 5"},
        {"what": "the same with no holidays cached", "seconds": cold, "peer": pydantic,
         "ratio": cold / peer, "bar": "<= 7"},
        {"what": "check of 24 rooms, 1,600 activities, seconds", "value": large, "bar": "<= 5"},
        {"what": "memory of the largest of these, MiB", "value": memory, "bar": "<= 150"},
    ]  # fmt: skip


def best_cold(command: list[str], place: Path, times: int = 3) -> float:
    """As `best`, each time with an empty cache folder."""
    spans = []
    for number in range(times):
        env = {**os.environ, "XDG_CACHE_HOME": str(place / f"cache-{number}")}
        begin = time.perf_counter()
        subprocess.run(command, stdout=subprocess.DEVNULL, check=False, env=env)
        spans.append(time.perf_counter() - begin)
    return min(spans)
