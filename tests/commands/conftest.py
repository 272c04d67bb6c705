"""The season that the commands are tried on."""

from pathlib import Path

import pytest

from tests.commands.seasons import EPISODE, STUDIO, STUDY, Desk


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    """A fresh small season and a way to type commands at it."""
    folder = tmp_path / "season"
    folder.mkdir()
    (folder / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (folder / f"{STUDY}.toml").write_text(EPISODE, encoding="utf-8")
    return Desk(folder, capsys)
