"""`docs/json.md` names every key that the commands about hours, money and lists print."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.test_json_page import PAGE, ask, keys


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("pages") / "friday"
    subprocess.run(
        [sys.executable, "-m", "episodes", "demo", str(place)],
        capture_output=True, timeout=60, check=True,
    )  # fmt: skip
    return place


@pytest.mark.parametrize("words", [("load",), ("costs",), ("links",), ("table", "money")])
def test_every_key_printed_is_on_the_page(words: tuple[str, ...], season: Path) -> None:
    page = PAGE.read_text(encoding="utf-8")
    section = re.search(rf"^## {words[0]}\n(.*?)(?=^## |\Z)", page, re.DOTALL | re.MULTILINE)
    assert section is not None
    named = set(re.findall(r"`([a-z0-9_]+)`", section.group(1)))
    printed = set(keys(ask(*words, "--json", cwd=season)))
    assert len(printed) >= 3
    assert sorted(printed - named) == []
