"""Whole processes: `check` on the demo season and on 24 rooms, against importing pydantic.

Run by hand: `python -m tests.bench.whole_command`. Prints a table and, as its last line, JSON.
Ratios, not seconds: both sides are timed in the same run, the best of several each.
"""

import json
import re
import resource
import subprocess
import sys
import time
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory

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


def main() -> None:
    episodes = [sys.executable, "-m", "episodes"]
    with TemporaryDirectory() as temporary:
        demo = Path(temporary) / "demo"
        subprocess.run([*episodes, "demo", str(demo)], stdout=subprocess.DEVNULL, check=True)
        peer = best([sys.executable, "-c", PEER])
        small = best([*episodes, "check", str(demo), "--json"])
        rooms = many_rooms(Path(temporary) / "rooms")
        large = best([*episodes, "check", str(rooms), "--json"], 2)
        memory = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    rows = [
        ("check of the demo / pydantic with one model", small / peer, 5.0),
        ("check of 24 rooms, seconds", large, 5.0),
        ("memory of the largest, MiB", memory, 150.0),
    ]
    for name, found, bar in rows:
        print(f"{name:46} {found:8.2f}   bar {bar:g}   {'met' if found <= bar else 'NOT MET'}")
    print(json.dumps({name: round(found, 3) for name, found, _ in rows}))


if __name__ == "__main__":
    main()
