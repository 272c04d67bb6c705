"""The command line itself: help, exit codes, the last resort; nothing of the engine."""

import subprocess
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import click
import pytest

from episodes.cli import COMMANDS, ExitCode, run
from episodes.files.saving import StaleFileError
from episodes.problems import Place, PlanError, Problem


def test_every_name_in_the_table_is_a_command_that_calls_itself_so() -> None:
    for name, row in COMMANDS.items():
        command = getattr(import_module(f"episodes.commands.{row.module}"), row.attribute)
        assert isinstance(command, click.Command)
        assert command.name == name
        assert row.help.endswith("."), name


def test_every_module_with_a_command_is_in_the_table() -> None:
    folder = Path(import_module("episodes.commands").__file__ or "").parent
    with_commands = {
        path.stem
        for path in folder.glob("*.py")
        if any(
            isinstance(value, click.Command)
            for value in vars(import_module(f"episodes.commands.{path.stem}")).values()
        )
    }
    assert with_commands == {row.module for row in COMMANDS.values()}


def test_help_lists_every_command_by_its_use(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    text = capsys.readouterr().out
    for name, row in COMMANDS.items():
        assert f"\n  {name} " in text
        assert row.group in text
    uses = ("release:", "late delivery matters:", "into a calendar")
    assert [text.index(use) for use in uses] == sorted(text.index(use) for use in uses)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([name, "--help"]) == 0
    assert f"Usage: episodes {name}" in capsys.readouterr().out


def test_a_slip_of_the_pen_names_the_nearest_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chekc"]) == ExitCode.WRONG_INPUT
    assert 'no command "chekc"; did you mean "check"?' in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "--nonsense"],
        ["check", "a", "b"],
        ["left", "glue"],
        ["late", "x", "--days", "soon"],
        ["failed", "x", "lost"],
        ["check", "--prove=no"],
    ],
)
def test_a_usage_error_is_two_lines_and_exit_2(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == ExitCode.WRONG_INPUT
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == 2
    assert err.startswith(f"episodes {arguments[0]}: ")


def test_version_names_what_a_report_needs(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("episodes ")
    assert "Python 3." in out


Failing = Callable[[BaseException], None]


@pytest.fixture
def failing(monkeypatch: pytest.MonkeyPatch) -> Failing:
    """`episodes check` raises what it is given."""

    def arrange(error: BaseException) -> None:
        def broken(*_: object) -> None:
            raise error

        monkeypatch.setattr("episodes.commands.check.open_season", broken)

    return arrange


def test_faults_of_the_plan_are_listed_one_a_line(
    failing: Failing, capsys: pytest.CaptureFixture[str]
) -> None:
    problems = [
        Problem(level="error", code="unknown-name", where=Place("a.toml", 3), text="No x.\n",
                mend="Write y."),
        Problem(level="warning", code="overdue", where=None, text="Late."),
        Problem(level="error", code="bad-time", where=Place("b.toml", 9), text="\x1b[2J no time."),
    ]  # fmt: skip
    failing(PlanError(problems))
    assert run(["check", "--json"]) == ExitCode.WRONG_INPUT
    out, err = capsys.readouterr()
    assert out == ""
    assert err.splitlines() == [
        "a.toml:3: error unknown-name: No x.  Write y.",
        "b.toml:9: error bad-time: ␛[2J no time.",
    ]


@pytest.mark.parametrize(
    ("error", "line"),
    [
        (StaleFileError("a.toml changed"), "episodes: a.toml changed"),
        (PermissionError(13, "Permission denied", "a.toml"), "episodes: a.toml: Permission denied"),
        (
            KeyError("x\x1b"),
            (
                "episodes: a fault of the program, not of the plan: KeyError: 'x\\x1b'. "
                "With `episodes --log FILE ...` the details are kept for a report."
            ),
        ),
        (
            RecursionError(),
            (
                "episodes: a fault of the program, not of the plan: RecursionError. "
                "With `episodes --log FILE ...` the details are kept for a report."
            ),
        ),
    ],
)
def test_any_other_failure_is_one_line_and_exit_3(
    error: Exception, line: str, failing: Failing, capsys: pytest.CaptureFixture[str]
) -> None:
    failing(error)
    assert run(["check"]) == ExitCode.FAILED
    out, err = capsys.readouterr()
    assert out == ""
    assert err.splitlines() == [line]


def test_the_details_of_a_failure_go_to_the_log(
    failing: Failing, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import logging

    failing(KeyError("x"))
    log = tmp_path / "log"
    try:
        assert run(["--log", str(log), "check"]) == ExitCode.FAILED
    finally:
        root = logging.getLogger("episodes")
        for handler in list(root.handlers):
            root.removeHandler(handler)
            handler.close()
    assert "Traceback" in log.read_text()
    assert "Traceback" not in capsys.readouterr().err


def test_stopping_from_the_keyboard_is_quiet(
    failing: Failing, capsys: pytest.CaptureFixture[str]
) -> None:
    failing(KeyboardInterrupt())
    assert run(["check"]) == ExitCode.INTERRUPTED
    out, err = capsys.readouterr()
    assert (out, err.strip()) == ("", "")


def test_a_reader_that_goes_away_is_no_failure() -> None:
    with subprocess.Popen(
        [sys.executable, "-c", ("import time; from episodes.commands.printing import say\n"
         "for _ in range(5000): say('x' * 100)")],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.read(10)
        process.stdout.close()
        assert process.wait(timeout=30) == 0
        assert process.stderr.read() == b""


def test_a_terminal_without_the_character_gets_another(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", ("from episodes.cli import run; run(['rescue']); "
         "from episodes.commands.printing import say; say('Küche ✓')")],
        env={"PYTHONIOENCODING": "ascii", "PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True, text=True, timeout=30, check=True,
    )  # fmt: skip
    assert ran.stdout == "K?che ?\n"


def test_the_help_loads_nothing_heavy() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", ("import sys; from episodes.cli import run; run(['--help']); "
         "print(*sys.modules, file=sys.stderr)")],
        capture_output=True, text=True, timeout=30, check=True,
    )  # fmt: skip
    loaded = set(ran.stderr.split())
    assert "click" in loaded
    heavy = {"pydantic", "textual", "rich", "tomlkit", "icalendar", "numpy", "filelock", "logging"}
    assert loaded & heavy == set()
