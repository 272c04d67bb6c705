"""A shell completes the commands: what it is given asks the command itself."""

import os
import subprocess
import sys

import pytest

from episodes.cli import run


def completed(words: str, at: int) -> list[str]:
    env = {
        **os.environ,
        "_EPISODES_COMPLETE": "bash_complete",
        "COMP_WORDS": words,
        "COMP_CWORD": str(at),
    }
    ran = subprocess.run(
        [sys.executable, "-m", "episodes"], env=env, capture_output=True, text=True, check=True
    )
    return [line.partition(",")[2] for line in ran.stdout.splitlines()]


def test_commands_and_options_are_completed() -> None:
    assert completed("episodes che", 1) == ["check"]
    assert "--json" in completed("episodes check --j", 2)


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_lines_for_a_shell_name_the_command(
    shell: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["completion", shell]) == 0
    assert "_EPISODES_COMPLETE" in capsys.readouterr().out


def test_an_unknown_shell_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["completion", "csh"]) == 2
