"""The engine has no clock, no disk, no terminal and no dice: what the import graph cannot see.

`lint-imports` keeps modules out of the engine's rooms; calls that need no import of their own
(`open`, `print`, `datetime.now()`) are found here in the syntax tree.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import episodes

PACKAGE = Path(episodes.__file__).parent
ROOMS = ("calendars", "trade", "model", "network", "schedule", "risk", "answers")
MODULES = [PACKAGE / "amounts.py", PACKAGE / "problems.py"] + [
    module for room in ROOMS for module in sorted((PACKAGE / room).glob("**/*.py"))
]
FORBIDDEN = {
    "now", "today", "utcnow", "localtime", "gmtime", "monotonic", "perf_counter",
    "open", "read_text", "write_text", "read_bytes", "write_bytes", "print", "input", "default_rng",
    "getenv", "exit", "__import__", "eval", "exec",
}  # fmt: skip
# Chance is allowed once, with a seed, where the samples are drawn.
ALLOWED = {("risk/simulation.py", "default_rng")}


def forbidden_calls(source: str) -> Iterator[tuple[int, str]]:
    """Line and name of each call that a pure module may not make."""
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        called = node.func
        if isinstance(called, ast.Attribute):
            name = called.attr
            # `season.now` is a value; only a call of it reads a clock.
        elif isinstance(called, ast.Name):
            name = called.id
        else:
            continue
        if name in FORBIDDEN:
            yield node.lineno, name


@pytest.mark.parametrize("module", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_an_engine_module_reads_no_clock_and_no_disk_and_says_nothing(module: Path) -> None:
    name = module.relative_to(PACKAGE).as_posix()
    found = [
        f"episodes/{name}:{line}: {call}()"
        for line, call in forbidden_calls(module.read_text(encoding="utf-8"))
        if (name, call) not in ALLOWED
    ]
    assert found == []


@pytest.mark.parametrize(
    ("source", "name"),
    [
        ("from datetime import datetime\nx = datetime.now()", "now"),
        ("import datetime\nx = datetime.date.today()", "today"),
        ("def f():\n    with open('plan.toml') as file:\n        return file", "open"),
        ("import numpy as np\nr = np.random.default_rng()", "default_rng"),
        ("print('busy')", "print"),
    ],
)
def test_the_rule_bites(source: str, name: str) -> None:
    assert [call for _, call in forbidden_calls(source)] == [name]


def test_the_rule_lets_a_moment_be_handed_over_as_a_value() -> None:
    assert list(forbidden_calls("def check(season):\n    return season.now + 1")) == []


def test_every_room_of_the_engine_is_looked_at() -> None:
    looked_at = {module.relative_to(PACKAGE).parts[0] for module in MODULES}
    assert {"calendars", "trade", "model", "network", "schedule", "answers"} <= looked_at
