"""`recover` and `restore`, where the season itself may not be readable any more."""

import errno

import pytest

from episodes.files import editing
from tests.commands.seasons import EPISODE, Desk


def test_a_full_disk_is_one_sentence_then_an_offer_then_written(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))

    def fail(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as full:
        full.setattr(editing, "save", fail)
        answer = desk("done", "cut")
    assert answer.code == 3
    assert len(answer.err.splitlines()) == 1
    assert "No space left on device" in answer.err
    assert desk.text == EPISODE
    assert "kept aside" in desk("taken", "before").err
    answer = desk("recover")
    assert answer.code == 0
    assert "Written: Cut parts: done" in answer.out
    assert "done = 2027-04-14T18:00:00" in desk.text
    assert desk("recover").code == 3


def test_a_spoiled_plan_is_restored_and_the_restoring_undone(desk: Desk) -> None:
    desk("done", "cut")
    good = desk.text
    desk.file.write_text(good + "\n= junk\n", encoding="utf-8")
    assert desk("check").code == 2
    listed = desk("restore", desk.file.stem)
    assert listed.code == 0
    assert listed.out.splitlines()[0].strip().startswith("1  after “Cut parts: done")
    assert desk("restore", desk.file.stem, "--to", "1").code == 0
    assert desk.text == good
    assert desk("check").code == 0


@pytest.mark.parametrize("words", [("nothing",), ("../x",), ("2027-05-study", "--to", "9")])
def test_what_cannot_be_restored_is_refused(desk: Desk, words: tuple[str, ...]) -> None:
    desk("done", "cut")
    assert desk("restore", *words).code == 2


def test_the_screen_s_start_offers_what_is_kept_aside_and_writes_it(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    from episodes.commands.screen import offer_kept
    from episodes.files import recovery
    from episodes.files.journal import FileChange

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
    change = FileChange(desk.file.name, EPISODE, EPISODE + "# more\n")
    recovery.not_saved(desk.folder, "more", [change], OSError(errno.ENOSPC, "No space"))
    asked = []
    monkeypatch.setattr("click.confirm", lambda text, **_: bool(asked.append(text)) or True)
    offer_kept(desk.folder)
    assert asked == ["Write them now?"]
    assert desk.text.endswith("# more\n")
    offer_kept(desk.folder)
    assert len(asked) == 1
