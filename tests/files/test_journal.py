"""What was written can be taken back, as long as nobody else has touched it since."""

import json
from pathlib import Path

import pytest

from episodes.files import journal
from episodes.files.journal import FileChange, NothingToUndoError, redo, undo
from episodes.files.saving import StaleFileError
from episodes.problems import EpisodesError


def write(folder: Path, text: str, said: str, *, file: str = "a.toml") -> None:
    """A change as the editing makes it: the file, then its line in the journal."""
    path = folder / file
    before = path.read_text() if path.exists() else None
    path.write_text(text)
    (folder / ".episodes").mkdir(exist_ok=True)
    journal.record(folder, said, [FileChange(file, before, text)])


def test_the_last_change_is_undone_then_the_one_before(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("a = 0\n")
    write(tmp_path, "a = 1\n", "one")
    write(tmp_path, "a = 2\n", "two")
    assert undo(tmp_path) == "two"
    assert (tmp_path / "a.toml").read_text() == "a = 1\n"
    assert undo(tmp_path) == "one"
    assert (tmp_path / "a.toml").read_text() == "a = 0\n"
    with pytest.raises(NothingToUndoError):
        undo(tmp_path)


def test_what_was_undone_can_be_done_again_until_something_else_is_written(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("a = 0\n")
    write(tmp_path, "a = 1\n", "one")
    write(tmp_path, "a = 2\n", "two")
    undo(tmp_path)
    undo(tmp_path)
    assert redo(tmp_path) == "one"
    assert redo(tmp_path) == "two"
    assert (tmp_path / "a.toml").read_text() == "a = 2\n"
    undo(tmp_path)
    write(tmp_path, "a = 3\n", "three")
    with pytest.raises(NothingToUndoError):
        redo(tmp_path)
    assert undo(tmp_path) == "three"
    assert undo(tmp_path) == "one"


def test_a_file_edited_since_is_left_alone_and_that_is_said(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("a = 0\n")
    write(tmp_path, "a = 1\n", "one")
    (tmp_path / "a.toml").write_text("a = 1 # by hand\n")
    with pytest.raises(StaleFileError, match=r'a\.toml was edited since: "one" cannot be undone'):
        undo(tmp_path)
    assert (tmp_path / "a.toml").read_text() == "a = 1 # by hand\n"
    (tmp_path / "a.toml").write_text("a = 1\n")
    assert undo(tmp_path) == "one"


def test_a_file_that_a_change_made_goes_with_it(tmp_path: Path) -> None:
    write(tmp_path, "a = 1\n", "made", file="new.toml")
    assert undo(tmp_path) == "made"
    assert not (tmp_path / "new.toml").exists()
    assert redo(tmp_path) == "made"
    assert (tmp_path / "new.toml").read_text() == "a = 1\n"


def test_the_journal_is_plain_text_an_object_a_line(tmp_path: Path) -> None:
    write(tmp_path, "a = 'ü\u2028'\n", "one")
    undo(tmp_path)
    lines = (tmp_path / ".episodes" / "journal").read_text().splitlines()
    assert json.loads(lines[0])["files"][0]["after"] == "a = 'ü\u2028'\n"
    assert json.loads(lines[1]) == {"undone": 1}


def test_a_line_cut_off_by_a_crash_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("a = 0\n")
    write(tmp_path, "a = 1\n", "one")
    path = tmp_path / ".episodes" / "journal"
    path.write_text(path.read_text() + '{"change": 2, "sa')
    write(tmp_path, "a = 2\n", "two")
    assert undo(tmp_path) == "two"
    assert undo(tmp_path) == "one"


def test_the_oldest_changes_are_forgotten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal, "MOST_CHANGES", 10)
    for number in range(30):
        write(tmp_path, f"a = {number}\n", str(number))
        assert len(journal.changes(tmp_path)) <= 10
    assert [change.said for change in journal.changes(tmp_path)][-3:] == ["27", "28", "29"]
    assert undo(tmp_path) == "29"


def test_the_journal_stays_small(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal, "MOST_BYTES", 20_000)
    for number in range(40):
        write(tmp_path, f"# {'x' * 1_000}\na = {number}\n", str(number))
        assert (tmp_path / ".episodes" / "journal").stat().st_size <= 20_000
    assert undo(tmp_path) == "39"


@pytest.mark.parametrize("file", ["../other.toml", "/etc/x.toml", "notes.txt", 7])
def test_a_journal_that_points_outside_the_season_is_not_followed(
    tmp_path: Path, file: object
) -> None:
    folder = tmp_path / "season"
    (folder / ".episodes").mkdir(parents=True)
    (tmp_path / "other.toml").write_text("after")
    line = {"change": 1, "said": "x", "files": [{"file": file, "before": "b", "after": "after"}]}
    (folder / ".episodes" / "journal").write_text(json.dumps(line) + "\n")
    with pytest.raises(NothingToUndoError):
        undo(folder)
    assert (tmp_path / "other.toml").read_text() == "after"


def test_a_journal_that_is_a_link_is_not_written_through(tmp_path: Path) -> None:
    (tmp_path / ".episodes").mkdir()
    (tmp_path / "elsewhere").write_text("mine\n")
    (tmp_path / ".episodes" / "journal").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(EpisodesError, match="is a link"):
        write(tmp_path, "a = 1\n", "one")
    assert (tmp_path / "elsewhere").read_text() == "mine\n"
