"""Every module says what it is, stays readable in one sitting and lives in a room of the map."""

import ast
import re
from pathlib import Path

import pytest

import episodes

PACKAGE = Path(episodes.__file__).parent
PROJECT = PACKAGE.parent
MODULES = sorted(PACKAGE.rglob("*.py"))
ROOMS = sorted(path.parent for path in PACKAGE.glob("*/__init__.py"))
LONGEST = 400
# Longer ones, each with its reason: one concept that reads worse when cut.
MAY_BE_LONGER: dict[str, str] = {}


def named(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


@pytest.mark.parametrize("module", MODULES, ids=named)
def test_a_module_begins_by_saying_what_it_is(module: Path) -> None:
    said = ast.get_docstring(ast.parse(module.read_text(encoding="utf-8")))
    assert said, "no docstring at the top"
    assert len(said.splitlines()[0]) <= 100


@pytest.mark.parametrize("module", MODULES, ids=named)
def test_a_module_is_no_longer_than_one_sitting(module: Path) -> None:
    lines = len(module.read_text(encoding="utf-8").splitlines())
    if named(module) in MAY_BE_LONGER:
        assert lines > LONGEST, "fits again: take it off the list"
    else:
        assert lines <= LONGEST


def test_a_longer_module_exists_and_has_its_reason() -> None:
    for name, reason in MAY_BE_LONGER.items():
        assert (PACKAGE / name).is_file(), name
        assert len(reason.split()) >= 4, name


def test_no_module_is_named_for_what_nobody_could_place() -> None:
    vague = {"utils", "util", "helpers", "helper", "common", "misc", "tools"}
    assert [named(module) for module in MODULES if module.stem in vague] == []


@pytest.mark.parametrize("room", ROOMS, ids=lambda path: path.name)
def test_a_room_is_in_the_contributors_map(room: Path) -> None:
    guide = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([a-z]+)/` \|", guide, flags=re.MULTILINE)
    assert room.name in rows


def test_the_contributors_map_names_no_room_that_is_not_there() -> None:
    guide = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([a-z]+)/` \|", guide, flags=re.MULTILINE)
    assert sorted(rows) == [room.name for room in ROOMS]


def test_a_folder_with_modules_is_a_package() -> None:
    folders = {module.parent for module in MODULES}
    assert [named(folder) for folder in folders if not (folder / "__init__.py").is_file()] == []
