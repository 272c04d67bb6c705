"""A write is whole or not at all, and never over somebody else's change."""

import os
import stat
from pathlib import Path

import pytest

from episodes.files import saving
from episodes.files.saving import LockedError, StaleFileError, locked, read_text, save
from episodes.problems import EpisodesError


def test_a_saved_text_is_there_byte_for_byte(tmp_path: Path) -> None:
    file = tmp_path / "studio.toml"
    file.write_bytes(b"name = 'a'\r\n")
    save(file, "name = 'ü'\r\n", read=read_text(file))
    assert file.read_bytes() == "name = 'ü'\r\n".encode()
    assert [path.name for path in tmp_path.iterdir()] == ["studio.toml"]


def test_a_byte_order_mark_is_left_out(tmp_path: Path) -> None:
    file = tmp_path / "studio.toml"
    file.write_bytes(b"\xef\xbb\xbfname = 'a'\n")
    text = read_text(file)
    assert text == "name = 'a'\n"
    save(file, text, read=text)
    assert file.read_bytes() == b"name = 'a'\n"


def test_a_file_that_is_not_utf8_is_said_to_be_so(tmp_path: Path) -> None:
    file = tmp_path / "studio.toml"
    file.write_bytes(b"name = '\xff'\n")
    with pytest.raises(EpisodesError, match=r"studio\.toml is not UTF-8 text \(byte 8\)"):
        read_text(file)


def test_a_file_that_changed_since_it_was_read_is_not_written(tmp_path: Path) -> None:
    file = tmp_path / "studio.toml"
    file.write_text("name = 'mine'\n")
    read = read_text(file)
    file.write_text("name = 'theirs'\n")
    with pytest.raises(StaleFileError, match="changed while it was being edited"):
        save(file, "name = 'new'\n", read=read)
    assert file.read_text() == "name = 'theirs'\n"
    file.unlink()
    with pytest.raises(StaleFileError):
        save(file, "name = 'new'\n", read=read)


def test_a_new_file_is_not_written_over_one_that_is_there(tmp_path: Path) -> None:
    file = tmp_path / "new.toml"
    save(file, "a = 1\n", read=None)
    with pytest.raises(StaleFileError, match="is there already"):
        save(file, "a = 2\n", read=None)
    assert file.read_text() == "a = 1\n"


def test_permissions_are_kept(tmp_path: Path) -> None:
    file = tmp_path / "studio.toml"
    file.write_text("a = 1\n")
    file.chmod(0o640)
    save(file, "a = 2\n", read="a = 1\n")
    assert stat.S_IMODE(file.stat().st_mode) == 0o640


def test_a_new_file_has_the_permissions_any_new_file_has(tmp_path: Path) -> None:
    save(tmp_path / "by-us.toml", "", read=None)
    (tmp_path / "by-anyone.toml").touch()
    modes = {stat.S_IMODE(path.stat().st_mode) for path in tmp_path.iterdir()}
    assert len(modes) == 1


def test_a_symbolic_link_stays_one_and_its_target_is_written(tmp_path: Path) -> None:
    target = tmp_path / "elsewhere" / "real.toml"
    target.parent.mkdir()
    target.write_text("a = 1\n")
    link = tmp_path / "studio.toml"
    link.symlink_to(target)
    save(link, "a = 2\n", read="a = 1\n")
    assert link.is_symlink()
    assert target.read_text() == "a = 2\n"


def test_a_write_that_fails_leaves_the_old_text_and_no_debris(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "studio.toml"
    file.write_text("a = 1\n")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        save(file, "a = 2\n", read="a = 1\n")
    assert file.read_text() == "a = 1\n"
    assert [path.name for path in tmp_path.iterdir()] == ["studio.toml"]


def test_a_season_that_another_program_writes_in_is_waited_for_and_then_said_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(saving, "LOCK_SECONDS", 0.01)
    with locked(tmp_path), pytest.raises(LockedError, match="another program"), locked(tmp_path):
        pytest.fail("two held the lock")
    with locked(tmp_path):
        assert (tmp_path / ".episodes").is_dir()
