"""The project speaks of itself alone, and nothing in it is left half done."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
TEXT = {".py", ".md", ".toml", ".tcss", ".yaml", ".yml", ".txt", ".ini", ".cfg", ".svg", ".ics", ""}
PLACES = ("episodes", "tests", "fixtures", "docs", ".ci")
TOP = ("README.md", "DEVELOPERS.md", "pyproject.toml", ".gitignore", ".pre-commit-config.yaml")

# Written in pieces, so that this file is not its own find.
NOT_HERE = {
    "a path of some machine": re.compile("/" + r"(?:work|farm|root|home/\w+)/"),
    "a temporary folder": re.compile("/" + r"tmp/\w+"),
    "a folder beside the project": re.compile(r"\.\./" + "shared"),
    "a number of some list": re.compile(r"\bissue " + r"#?\d+"),
}
NOT_IN_CODE = {
    "something left for later": re.compile(r"\b(?:TO" + r"DO|FIX" + r"ME|XX" + r"X)\b"),
    "something unfinished": re.compile("raise Not" + "ImplementedError"),
    "a test switched off": re.compile(r"pytest\.mark\." + r"(?:skip|xfail)\b|pytest\." + r"skip\("),
    "a test that cannot fail": re.compile("assert " + r"True\b"),
}


def files() -> list[Path]:
    found = [PROJECT / name for name in TOP if (PROJECT / name).is_file()]
    for place in PLACES:
        found += [
            path
            for path in sorted((PROJECT / place).rglob("*"))
            if path.is_file() and path.suffix in TEXT and "__pycache__" not in path.parts
        ]
    return found


def finds(patterns: dict[str, re.Pattern[str]], texts: dict[str, str]) -> list[str]:
    return [
        f"{name}:{number}: {why}: {line.strip()[:80]}"
        for name, text in texts.items()
        for number, line in enumerate(text.splitlines(), 1)
        for why, pattern in patterns.items()
        if pattern.search(line)
    ]


def texts(suffixes: set[str] | None = None) -> dict[str, str]:
    return {
        path.relative_to(PROJECT).as_posix(): path.read_text(encoding="utf-8", errors="replace")
        for path in files()
        if suffixes is None or path.suffix in suffixes
    }


def test_no_file_speaks_of_a_machine_or_of_how_it_was_made() -> None:
    assert finds(NOT_HERE, texts()) == []


def test_nothing_is_left_half_done_or_switched_off() -> None:
    assert finds(NOT_IN_CODE, texts({".py"})) == []


@pytest.mark.parametrize(
    "line",
    ["see /" + "work/plan.toml", "FIX" + "ME: later", "@pytest.mark." + "skip", "/tmp/" + "x"],
)
def test_the_rule_bites(line: str) -> None:
    assert finds(NOT_HERE | NOT_IN_CODE, {"some.py": line})


def test_nothing_stands_at_the_top_that_has_no_place_there() -> None:
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "episodes",
        "tests",
        "fixtures",
        "docs",
    }
    git = shutil.which("git")
    if git is None or not (PROJECT / ".git").exists():
        listed = [path.name for path in PROJECT.iterdir()]
    else:
        ran = subprocess.run(
            [git, "ls-files", "--cached", "--others", "--exclude-standard"],
            cwd=PROJECT, capture_output=True, text=True, check=True, timeout=30,
        )  # fmt: skip
        listed = [line.split("/")[0] for line in ran.stdout.splitlines()]
    assert {name for name in listed if not name.startswith(".")} <= allowed | {
        "snapshot_report.html"
    }
