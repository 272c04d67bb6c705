"""The printed JSON Schema takes what the reader takes, and refuses what has the wrong form."""

import tomllib
from datetime import date, datetime, time
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from episodes.files import schema_episode, schema_studio
from episodes.files.key_meanings import EVERYWHERE, TABLES
from episodes.files.schema import AirTable, Table
from episodes.files.schema_json import plan_schema
from episodes.files.schema_keys import described_schema, listed_tables

PROJECT = Path(__file__).parents[2]
DEMO = Path(str(files("episodes"))) / "demo"
BAD = PROJECT / "fixtures" / "bad"


@cache
def validator(table: str) -> Draft202012Validator:
    schema = plan_schema()
    return Draft202012Validator({"$ref": f"#/$defs/{table}", "$defs": schema["$defs"]})


def as_json(value: Any) -> Any:
    """TOML's dates and times as the text that TOML writes."""
    if isinstance(value, dict):
        return {key: as_json(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [as_json(inner) for inner in value]
    return value.isoformat() if isinstance(value, date | datetime | time) else value


def faults(path: Path) -> list[str]:
    table = "StudioTable" if path.stem.startswith("studio") else "EpisodeTable"
    plan = as_json(tomllib.loads(path.read_text(encoding="utf-8")))
    return [f"{error.json_path}: {error.message}" for error in validator(table).iter_errors(plan)]


def test_it_is_a_schema_of_its_dialect() -> None:
    schema = described_schema()
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize(
    "path",
    [*sorted(DEMO.rglob("*.toml")), *sorted((PROJECT / "fixtures" / "base").glob("*.toml"))],
    ids=lambda path: path.stem,
)
def test_it_takes_every_plan_that_the_reader_takes(path: Path) -> None:
    assert faults(path) == []


WRONG_FORM = ("unknown-key-", "wrong-type-", "bad-length", "bad-estimate-four", "bad-lead",
              "bad-id", "bad-kind", "bad-light", "bad-makes", "bad-needs-air", "bad-when",
              "bad-gear-count", "bad-failed", "bad-budget", "bad-release-", "bad-number-of",
              "studio-unknown-", "studio-wrong", "studio-gear-count", "studio-holds-none",
              "studio-bad-day-off", "studio-bad-units", "studio-no-", "studio-person-one-table",
              "studio-id-with", "studio-odds", "studio-air-too", "studio-bad-latitude",
              "studio-hours-a-text", "studio-lingers-noise")  # fmt: skip
MEANING_NOT_FORM = {
    # The form is right; that there is no such thing is for the reader to find.
    "bad-length-no-minutes",
    "bad-length-too-long",
    "studio-unknown-day",
    "studio-unknown-timezone",
    "unknown-key-of-after",
}


@pytest.mark.parametrize(
    "path",
    [
        path
        for path in sorted(BAD.glob("*.toml"))
        if path.stem.startswith(WRONG_FORM) and path.stem not in MEANING_NOT_FORM
    ],
    ids=lambda path: path.stem,
)
def test_it_refuses_what_has_no_place_or_the_wrong_form(path: Path) -> None:
    assert faults(path) != []


def test_every_table_of_the_schema_is_listed_with_all_its_keys() -> None:
    classes = {
        value
        for module in (schema_studio, schema_episode)
        for value in vars(module).values()
        if isinstance(value, type) and issubclass(value, Table)
    } | {AirTable}
    classes -= {Table, schema_episode.Activity}
    assert {each.__name__ for each in classes} == set(TABLES)
    listed = dict(listed_tables())
    for each in classes:
        keys = {field.alias or name for name, field in each.model_fields.items()}
        shown = {key for key, _, _ in listed[TABLES[each.__name__][0]]}
        assert shown == keys - set(EVERYWHERE)


def test_every_key_says_what_it_means_and_how_it_is_written() -> None:
    silent = [
        f"{written}: {key}"
        for written, rows in listed_tables()
        for key, form, meaning in rows
        if not form or (not meaning and not form.startswith("[["))
    ]
    assert silent == []


def test_meanings_come_from_the_page_word_for_word() -> None:
    rows = {
        (written, key): meaning for written, keys in listed_tables() for key, _, meaning in keys
    }
    page = (PROJECT / "docs" / "plan-format.md").read_text(encoding="utf-8").replace("`", "")
    for table, key in (("[[person]]", "busy"), ("[[job.step]]", "alone"), ("[[shot]]", "covers")):
        assert rows[table, key].partition(" (if left out")[0] in page
    assert rows["[[parcel]]", "optional"] == rows["[[job.step]]", "optional"]
    assert rows["[[shot]]", "taken"] == "a fact, written down as it happens"
    assert rows["[[gear]]", "count"] == "id, and count, how many there are (1)"


def test_the_described_schema_carries_the_same_meanings() -> None:
    steps = described_schema()["$defs"]["StepTable"]["properties"]
    assert steps["alone"]["description"] == "takes all of the place (if left out: false)"
    assert steps["hands"]["examples"] == ["45min", "2h..3h..6h"]
