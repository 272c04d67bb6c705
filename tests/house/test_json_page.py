"""`docs/json.md` names every key that the commands print with `--json`, in its own section."""

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

PAGE = Path(__file__).parents[2] / "docs" / "json.md"


BY_NAME = {"criticality", "hands_min", "parcel", "coat", "air", "where", "who"}
"""Objects whose keys are names of the plan."""


def ask(*words: str, cwd: Path) -> Any:
    ran = subprocess.run(
        [sys.executable, "-m", "episodes", *words],
        cwd=cwd, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert ran.returncode in (0, 1), ran.stderr
    return json.loads(ran.stdout)


def keys(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield key
            if key not in BY_NAME:
                yield from keys(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from keys(inner)


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("pages")
    subprocess.run(
        [sys.executable, "-m", "episodes", "demo", str(place / "friday")],
        capture_output=True, timeout=60, check=True,
    )  # fmt: skip
    subprocess.run(
        [sys.executable, "-m", "episodes", "go", "entry"],
        cwd=place / "friday", capture_output=True, timeout=60, check=True,
    )  # fmt: skip
    return place / "friday"


@pytest.mark.parametrize(
    "words",
    [
        ("check",),
        ("late", "desk-boards", "--arrives", "2027-04-30"),
        ("odds", "--samples", "200"),
        ("compare", "--no-odds"),
        ("rescue",),
        ("lookback",),
        ("drift",),
        ("today",),
        ("why", "desk.fit"),
        ("materials", "aerosol-enamel", "--at", "porch"),
        ("recipes",),
        ("new", "attic", "--recipe", "rug-layout"),
    ],
    ids=lambda words: words[0],
)
def test_every_key_printed_is_on_the_page(words: tuple[str, ...], season: Path) -> None:
    page = PAGE.read_text(encoding="utf-8")
    section = re.search(rf"^## {words[0]}\n(.*?)(?=^## |\Z)", page, re.DOTALL | re.MULTILINE)
    assert section is not None
    named = set(re.findall(r"`([a-z0-9_]+)`", section.group(1)))
    printed = set(keys(ask(*words, "--json", cwd=season)))
    assert len(printed) > 5
    assert sorted(printed - named) == []
