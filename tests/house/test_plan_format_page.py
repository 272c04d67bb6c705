"""`docs/plan-format.md` names every key of the schema, and its example is a season that reads."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from episodes.files import schema_episode, schema_studio
from episodes.files.reading import read_season
from episodes.files.schema import AirTable, Table

PAGE = Path(__file__).parents[2] / "docs" / "plan-format.md"
EVERYWHERE = {"title", "note", "link", "tags", "x"}


def heading(text: str, start: str) -> str:
    """The page from a heading or bold line on, up to the next of the same rank or higher."""
    text = re.sub(r"^```.*?^```", "", text, flags=re.DOTALL | re.MULTILINE)
    at = text.index(start)
    rest = text[at + len(start) :]
    if start.startswith("**"):
        stop = re.search(r"^(?:#+ |\*\*)", rest, flags=re.MULTILINE)
    else:
        level = start.index(" ")
        stop = re.search(rf"^#{{1,{level}}} ", rest, flags=re.MULTILINE)
    return rest[: stop.start()] if stop else rest


def keys(table: type[Table]) -> set[str]:
    return {field.alias or name for name, field in table.model_fields.items()} - EVERYWHERE


TABLES: list[tuple[type[Table], str]] = [
    (schema_studio.StudioTable, "## studio.toml"),
    (schema_studio.ReleaseTable, "## studio.toml"),
    (schema_studio.PlaceTable, "## studio.toml"),
    (schema_studio.OddsTable, "## studio.toml"),
    (schema_studio.DefaultsTable, "## studio.toml"),
    (schema_studio.PersonTable, "**People**"),
    (schema_studio.SpaceTable, "**Places**"),
    (schema_studio.LingersTable, "**Places**"),
    (AirTable, "**Places**"),
    (schema_studio.GearTable, "**Gear**"),
    (schema_studio.CarrierTable, "**Carriers**"),
    (schema_episode.EpisodeTable, "## An episode"),
    (schema_episode.ParcelTable, "### Parcels"),
    (schema_episode.JobTable, "### Jobs and steps"),
    (schema_episode.StepTable, "### Jobs and steps"),
    (schema_episode.AfterTable, "### What comes after what"),
    (schema_episode.DriesTable, "### Coats"),
    (schema_episode.ShotTable, "### Shots"),
    (schema_episode.FallbackTable, "### Fallbacks"),
    (schema_episode.NewLeadTable, "### Fallbacks"),
    (schema_episode.MoreHoursTable, "### Fallbacks"),
]


@pytest.mark.parametrize(
    ("table", "section"), TABLES, ids=lambda value: getattr(value, "__name__", "")
)
def test_every_key_of_a_table_is_explained_in_its_section(table: type[Table], section: str) -> None:
    text = heading(PAGE.read_text(encoding="utf-8"), section)
    spans = re.findall(r"`([^`]+)`", text)
    named = {word for span in spans for word in re.findall(r"[a-z_]+", span)}
    assert sorted(keys(table) - named) == []


def test_no_table_of_the_schema_is_forgotten_here() -> None:
    known = {table for table, _ in TABLES} | {schema_episode.Activity}
    shown = {
        value
        for module in (schema_studio, schema_episode)
        for value in vars(module).values()
        if isinstance(value, type) and issubclass(value, Table) and value is not Table
    }
    assert shown == known


def examples(page: Path) -> dict[str, str]:
    """The `toml` blocks that begin with the name of a file."""
    blocks = re.findall(
        r"^```toml\n(.*?)^```", page.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE
    )
    named = [re.match(r"# (\S+\.toml)\n", block) for block in blocks]
    assert all(named), "a toml block that does not say which file it is"
    return {name.group(1): block for name, block in zip(named, blocks, strict=True) if name}


def test_the_page_s_example_is_a_season_without_faults(tmp_path: Path) -> None:
    for name, block in examples(PAGE).items():
        (tmp_path / name).write_text(block, encoding="utf-8")
    tenth_of_april = int(datetime(2027, 4, 10, 12, tzinfo=UTC).timestamp()) // 60
    season = read_season(tmp_path, clock=tenth_of_april)
    assert [episode.id for episode in season.episodes] == ["2027-05-laundry"]
    assert season.problems == ()
