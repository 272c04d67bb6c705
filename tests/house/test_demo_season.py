"""The demo season shows every key of the plan files once, and tells its story honestly."""

import tomllib
from collections.abc import Iterator
from datetime import UTC, datetime
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

import pytest
from episodes.answers.check import check
from episodes.files.reading import read_season

from episodes.answers.rows import CheckAnswer
from episodes.model.season import Season

DEMO = files("episodes") / "demo"
CLOCK = 30_900_000
"""Some minute of 2028: nothing in the demo may depend on it."""
MAY, DESK = "2027-05-home-office", "desk-boards"
# Not in the demo, with the reason.
LEFT_OUT = {
    "busy": "would make every first look pay for a calendar reader",
    "released": "nothing is out yet when the season is read",
    "celsius": "the demo's studio reads fahrenheit",
}


def local(year: int, month: int, day: int, hour: int, minute: int = 0, *, offset: int = -5) -> int:
    """A UTC minute from the studio's local time; the offset is that of summer time."""
    moment = datetime(year, month, day, hour, minute, tzinfo=UTC)
    return int(moment.timestamp()) // 60 - offset * 60


def texts(folder: Traversable, under: str = "") -> Iterator[tuple[str, str]]:
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if entry.is_dir():
            yield from texts(entry, f"{under}{entry.name}/")
        elif entry.name.endswith(".toml"):
            yield f"{under}{entry.name}", entry.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("demo")
    for name, text in texts(DEMO):
        (place / name).parent.mkdir(exist_ok=True)
        (place / name).write_text(text, encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def season(folder: Path) -> Season:
    return read_season(folder, clock=CLOCK)


@pytest.fixture(scope="module")
def answer(season: Season) -> CheckAnswer:
    return check(season)


def keys(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield key
            if key != "x":
                yield from keys(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from keys(inner)


def test_the_demo_is_a_studio_three_episodes_and_two_ideas() -> None:
    assert [name for name, _ in texts(DEMO)] == [
        "2027-04-entry-hall.toml",
        "2027-05-home-office.toml",
        "2027-06-porch.toml",
        "ideas/guest-room.toml",
        "ideas/laundry.toml",
        "studio.toml",
    ]


def test_every_key_of_the_plan_files_is_shown_once() -> None:
    from episodes.files import schema_episode, schema_studio
    from episodes.files.schema import AirTable, Table

    tables = {
        value
        for module in (schema_studio, schema_episode)
        for value in vars(module).values()
        if isinstance(value, type) and issubclass(value, Table)
    } | {AirTable}
    known = {
        field.alias or name for table in tables for name, field in table.model_fields.items()
    }  # fmt: skip
    shown = {key for _, text in texts(DEMO) for key in keys(tomllib.loads(text))}
    assert sorted(known - shown - LEFT_OUT.keys()) == []
