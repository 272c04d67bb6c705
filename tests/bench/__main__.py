"""All measurements in one run, as a table and as JSON.

    python -m tests.bench [--json FILE] [NAME ...]

Each module of this folder that has `measure()` gives rows: `what`, `seconds` (or `value`), `peer`
(what it is compared with, in the same run), `ratio`, and the `bar` to reach. With names only
those modules run.
"""

import json
import platform
import sys
from importlib import import_module
from pathlib import Path
from typing import Any


def modules() -> list[str]:
    """Names of the modules here that measure."""
    here = Path(__file__).parent
    return [
        path.stem
        for path in sorted(here.glob("*.py"))
        if path.stem[0] != "_" and "\ndef measure(" in path.read_text(encoding="utf-8")
    ]


def held(row: dict[str, Any]) -> bool:
    """Whether a row keeps its bar, `<= 3` or `>= 100` (of its ratio, else of its value)."""
    sign, _, number = str(row["bar"]).partition(" ")
    value = row["ratio"] if row.get("ratio") is not None else row["value"]
    bar = float(number.split()[0])
    return bool(value <= bar if sign == "<=" else value >= bar)


def main() -> int:
    words = sys.argv[1:]
    target = None
    if "--json" in words:
        at = words.index("--json")
        target = Path(words[at + 1])
        del words[at : at + 2]
    found: list[dict[str, Any]] = []
    for name in words or modules():
        for row in import_module(f"tests.bench.{name}").measure():
            found.append({"module": name, **row, "held": held(row)})
            print(line(found[-1]), flush=True)
    machine = f"Python {platform.python_version()}, {platform.system()} {platform.machine()}"
    print(f"{sum(row['held'] for row in found)} of {len(found)} bars held; {machine}")
    if target is not None:
        target.write_text(json.dumps({"machine": machine, "rows": found}, indent=1) + "\n")
    return 0 if all(row["held"] for row in found) else 1


def line(row: dict[str, Any]) -> str:
    """One row of the table."""
    seconds = row.get("seconds")
    took = f"{seconds * 1000:.1f} ms" if seconds is not None else f"{row['value']:g}"
    ratio = f"{row['ratio']:.2f} x {row['peer']}" if row.get("ratio") is not None else ""
    mark = " " if row["held"] else "!"
    return f"{mark} {row['what']:<66} {took:>12}  {ratio:<32} bar {row['bar']}"


if __name__ == "__main__":
    sys.exit(main())
