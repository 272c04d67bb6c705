"""A change that cannot be written is kept aside, offered, and written when there is room again."""

import errno
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.files import editing, journal, kept_texts, recovery
from episodes.files.editing import ChangedMeanwhileError, set_fact
from episodes.files.recovery import NotSavedError, merged_lines
from episodes.files.saving import StaleFileError, texts_of
from tests.commands.seasons import EPISODE, STUDIO, STUDY

NOW = 30_200_000
FULL = OSError(errno.ENOSPC, "No space left on device")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    place = tmp_path / "season"
    place.mkdir()
    (place / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (place / f"{STUDY}.toml").write_text(EPISODE, encoding="utf-8")
    return place


def cost(folder: Path, id: str, value: int, **more: object) -> None:
    set_fact(folder, STUDY, "step", id, "cost", value, clock=NOW, said=f"{id} costs", **more)  # type: ignore[arg-type]


def fail(*_: object, **__: object) -> None:
    raise FULL


@pytest.fixture
def full_disk(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    monkeypatch.setattr(editing, "save", fail)
    return lambda: monkeypatch.setattr(editing, "save", recovery.save)


def test_a_full_disk_keeps_the_change_aside_and_the_file_as_it_was(
    folder: Path, full_disk: Callable[[], None]
) -> None:
    with pytest.raises(NotSavedError, match=r"No space left.*kept in .*episodes recover"):
        cost(folder, "shelf.cut", 5)
    assert (folder / f"{STUDY}.toml").read_text(encoding="utf-8") == EPISODE
    assert recovery.waiting(folder) == ("shelf.cut costs",)
    assert journal.changes(folder) == ()


def test_what_was_kept_aside_is_written_in_order_and_can_be_undone(
    folder: Path, full_disk: Callable[[], None]
) -> None:
    for id in ("shelf.cut", "shelf.glue"):
        with pytest.raises(NotSavedError):
            cost(folder, id, 5)
    full_disk()
    assert recovery.recover(folder, clock=NOW) == ("shelf.cut costs", "shelf.glue costs")
    text = (folder / f"{STUDY}.toml").read_text(encoding="utf-8")
    assert text.count("cost = 5") == 2
    assert recovery.waiting(folder) == ()
    journal.undo(folder)
    journal.undo(folder)
    assert (folder / f"{STUDY}.toml").read_text(encoding="utf-8") == EPISODE


def test_a_change_in_lines_that_were_edited_since_is_not_forced(
    folder: Path, full_disk: Callable[[], None]
) -> None:
    with pytest.raises(NotSavedError):
        cost(folder, "shelf.cut", 5)
    path = folder / f"{STUDY}.toml"
    edited = EPISODE.replace('caution = "Wear eye protection."', 'caution = "Gloves."')
    path.write_text(edited, encoding="utf-8")
    full_disk()
    with pytest.raises(StaleFileError, match="in the same place"):
        recovery.recover(folder, clock=NOW)
    assert path.read_text(encoding="utf-8") == edited
    assert recovery.waiting(folder)
    recovery.forget(folder)
    assert recovery.waiting(folder) == ()


def test_a_kept_change_that_points_outside_the_season_is_not_followed(folder: Path) -> None:
    recovery.not_saved(folder, "x", [journal.FileChange("../../evil.toml", None, "x")], FULL)
    assert recovery.waiting(folder) == ()


def test_edits_of_different_things_fit_together(folder: Path) -> None:
    seen = texts_of(folder)
    cost(folder, "shelf.cut", 5, seen=seen)
    cost(folder, "shelf.glue", 6, seen=seen)
    text = (folder / f"{STUDY}.toml").read_text(encoding="utf-8")
    assert "cost = 5" in text
    assert "cost = 6" in text


def test_of_two_edits_of_the_same_thing_the_second_is_told(folder: Path) -> None:
    seen = texts_of(folder)
    cost(folder, "shelf.cut", 5, seen=seen)
    with pytest.raises(ChangedMeanwhileError, match="is 5 now; nothing was written"):
        cost(folder, "shelf.cut", 6, seen=seen)
    assert "cost = 5" in (folder / f"{STUDY}.toml").read_text(encoding="utf-8")


def test_a_spoiled_file_is_taken_back_to_what_the_journal_holds(folder: Path) -> None:
    path = folder / f"{STUDY}.toml"
    cost(folder, "shelf.cut", 5)
    good = path.read_text(encoding="utf-8")
    path.write_text("= junk", encoding="utf-8")
    found = kept_texts.kept_texts(folder, STUDY)
    assert [text.text for text in found] == [good, EPISODE]
    kept_texts.put_back(folder, STUDY, found[0], said="back", clock=NOW)
    assert path.read_text(encoding="utf-8") == good
    journal.undo(folder)
    assert path.read_text(encoding="utf-8") == "= junk"


def test_a_file_that_is_no_text_is_put_aside_before_it_is_taken_back(folder: Path) -> None:
    path = folder / f"{STUDY}.toml"
    cost(folder, "shelf.cut", 5)
    path.write_bytes(b"\xff\x00")
    kept_texts.put_back(
        folder, STUDY, kept_texts.kept_texts(folder, STUDY)[0], said="back", clock=NOW
    )
    assert "cost = 5" in path.read_text(encoding="utf-8")
    assert (folder / f"{STUDY}.toml.spoiled").read_bytes() == b"\xff\x00"


def test_only_names_inside_the_season_have_texts(folder: Path) -> None:
    with pytest.raises(ValueError, match="no plan file"):
        kept_texts.kept_texts(folder, "../other")


LINES = st.lists(st.sampled_from("abcdefgh"), max_size=12).map(lambda some: "\n".join(some) + "\n")


@given(LINES, LINES)
def test_a_change_merges_into_its_own_ground_and_into_its_own_result(old: str, new: str) -> None:
    assert merged_lines(old, new, old) == new


@given(LINES, st.integers(0, 5), st.integers(0, 5))
def test_changes_far_apart_give_both(middle: str, above: int, below: int) -> None:
    old = "top\n" * 3 + "x\n" * above + "-\n-\n" + middle + "-\n-\n" + "y\n" * below + "end\n"
    first = old.replace("end\n", "END\n")
    second = "new\n" + old
    merged = merged_lines(old, first, second)
    assert merged == "new\n" + first


def test_changes_of_one_line_do_not_merge() -> None:
    assert merged_lines("a\nb\nc\n", "a\nB\nc\n", "a\nbb\nc\n") is None
