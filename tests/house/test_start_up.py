"""What a command loads: nobody waits for a library that the answer does not need.

Seen from outside, in a process of its own, after the command has run.
"""

import json
import subprocess
import sys
from pathlib import Path

import pytest

RUN = """
import json, sys
sys.argv = ["episodes", *json.loads(sys.argv[1])]
try:
    from episodes.cli import main
    main()
except SystemExit as ended:
    code = ended.code
else:
    code = 0
sys.stderr.write("\\n#" + json.dumps({"code": code, "modules": sorted(sys.modules)}))
"""


def modules_after(*words: str, cwd: Path | None = None) -> set[str]:
    """The modules loaded once `episodes WORDS` has ended."""
    ran = subprocess.run(
        [sys.executable, "-c", RUN, json.dumps(words)],
        cwd=cwd, capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    told = json.loads(ran.stderr.rpartition("#")[2])
    assert told["code"] in (0, 1, None), ran.stderr
    return set(told["modules"])


def loaded(modules: set[str], *names: str) -> set[str]:
    return {name for name in names if name in modules}


HEAVY = (
    "textual", "rich", "pydantic", "icalendar", "recurring_ical_events", "numpy", "holidays",
    "astral", "jinja2", "tomlkit", "filelock", "dateutil", "asyncio", "ortools",
)  # fmt: skip


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("season") / "friday"
    modules_after("demo", str(folder))
    return folder


def test_the_command_line_alone_loads_nothing_heavy() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", "import episodes.cli, sys, json; print(json.dumps([*sys.modules]))"],
        capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    assert loaded(set(json.loads(ran.stdout)), *HEAVY) == set()


@pytest.mark.parametrize("words", [("--help",), ("--version",), ("check", "--help")])
def test_help_loads_nothing_heavy(words: tuple[str, ...]) -> None:
    assert loaded(modules_after(*words), *HEAVY) == set()


def test_check_loads_no_screen_no_calendar_file_and_no_editor(season: Path) -> None:
    modules = modules_after("check", "--season", str(season))
    unwanted = ("textual", "rich", "icalendar", "recurring_ical_events", "tomlkit", "numpy",
                "jinja2", "ortools", "asyncio")  # fmt: skip
    assert loaded(modules, *unwanted) == set()
    assert "pydantic" in modules, "the test looks at the wrong process"


def test_holidays_are_worked_out_once_and_read_back_the_next_time(season: Path) -> None:
    modules_after("check", "--season", str(season))
    assert "holidays" not in modules_after("check", "--season", str(season))


def test_the_calendar_file_loads_no_screen(season: Path, tmp_path: Path) -> None:
    modules = modules_after(
        "calendar", "--season", str(season), "-o", str(tmp_path / "season.ics")
    )  # fmt: skip
    assert "icalendar" in modules
    assert loaded(modules, "textual", "rich") == set()
