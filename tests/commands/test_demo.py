"""The demo season, and `episodes` alone; the installed command as a user runs it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from episodes.cli import run


def command(*words: str, cwd: Path, stdin: str | None = None) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, without a terminal."""
    root = str(Path(__file__).parents[2])
    return subprocess.run(
        [sys.executable, "-m", "episodes", *words],
        cwd=cwd, input=stdin, capture_output=True, text=True, timeout=60, check=False,
        env={**os.environ, "PYTHONPATH": root},
    )  # fmt: skip


def test_the_demo_writes_a_season_that_tells_its_story_from_its_own_day(tmp_path: Path) -> None:
    place = tmp_path / "friday"
    ran = command("demo", str(place), cwd=tmp_path)
    assert (ran.returncode, ran.stderr) == (0, "")
    assert (place / "studio.toml").is_file()
    assert len(list(place.glob("20*.toml"))) == 3
    assert list((place / "ideas").glob("*.toml"))
    ran = command("check", cwd=place)
    assert ran.returncode == 1
    lines = ran.stdout.splitlines()
    assert lines[0] == "Read as of Sat 20 Mar 2027 08:00."
    verdicts = [line.partition(" Fri ")[0].rpartition(" ")[2] for line in lines[1:4]]
    assert verdicts == ["meets", "slips", "meets"]


def test_the_demo_writes_over_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "studio.toml").write_text("mine\n")
    assert run(["demo", str(tmp_path)]) == 2
    assert "is not written over" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["studio.toml"]
    assert (tmp_path / "studio.toml").read_text() == "mine\n"
    assert run(["demo", str(tmp_path / "studio.toml")]) == 2


def test_the_demo_alone_without_a_terminal_prints_its_verdicts(tmp_path: Path) -> None:
    ran = command("demo", cwd=tmp_path, stdin="")
    assert (ran.returncode, ran.stderr) == (0, "")
    assert ran.stdout.startswith("Read as of Sat 20 Mar 2027 08:00.\n")
    assert " slips " in ran.stdout
    assert list(tmp_path.iterdir()) == []


def test_episodes_alone_without_a_terminal_answers_as_check_does(tmp_path: Path) -> None:
    place = tmp_path / "friday"
    command("demo", str(place), cwd=tmp_path)
    alone, checked = command(cwd=place, stdin=""), command("check", cwd=place)
    assert (alone.returncode, alone.stdout) == (checked.returncode, checked.stdout)
    elsewhere = command("--season", str(place), cwd=tmp_path, stdin="")
    assert elsewhere.stdout == checked.stdout


def test_episodes_alone_where_nothing_is_planned_says_what_to_type(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run([]) == 2
    assert "studio.toml" in capsys.readouterr().err
    monkeypatch.setattr("episodes.commands.screen.at_a_terminal", lambda: True)
    monkeypatch.setattr("click.prompt", lambda *_, **__: "leave")
    assert run([]) == 0
    assert "episodes demo" in capsys.readouterr().out


def test_a_terminal_gets_the_screen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "studio.toml").write_text("")
    opened = []

    def show(path: Path, **how: object) -> int:
        opened.append((path, how["now"], how["ascii"]))
        return 3

    monkeypatch.setattr("episodes.commands.screen.at_a_terminal", lambda: True)
    monkeypatch.setattr("episodes.screens.launch.run", show)
    assert run(["--season", str(tmp_path), "--now", "2027-04-14T18:00Z", "--ascii"]) == 3
    # 2027-04-14 18:00 UTC is 20,922 days and 18 hours after 1970-01-01.
    assert opened == [(tmp_path, 20_922 * 1440 + 18 * 60, True)]


def test_a_first_evening_from_the_shell(tmp_path: Path) -> None:
    command("demo", "friday", cwd=tmp_path)
    place = tmp_path / "friday"
    file = place / "2027-04-entry-hall.toml"
    before = file.read_bytes()
    done = command("done", "sand-fill", cwd=place)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Sand the filler, wipe down: done 08:00.")
    assert file.read_bytes() != before
    undone = command("undo", cwd=place)
    assert undone.returncode == 0
    assert file.read_bytes() == before
    assert "Traceback" not in done.stderr + undone.stderr
