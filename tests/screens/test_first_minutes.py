"""From an empty folder to a verdict on one's own room, with Enter alone."""

from pathlib import Path

from tests.screens.terminal import Terminal

MOST_QUESTIONS = 16


def test_enter_alone_leads_from_an_empty_folder_to_a_verdict_on_the_screen(tmp_path: Path) -> None:
    with Terminal(["-m", "episodes"], cwd=tmp_path, width=100, height=40) as terminal:
        terminal.wait_for("Begin with")
        for _ in range(MOST_QUESTIONS):
            before = len(terminal.raw)
            terminal.send("\r")
            terminal.wait(lambda before=before: len(terminal.raw) > before + 2, "the next question")
            if "to spare" in terminal.text or "slips" in terminal.text:
                break
        terminal.wait_for("Open the screen on it?")
        terminal.press("\r", "RELEASES")
        terminal.send("q")
        assert terminal.end() == 0
    assert (tmp_path / "studio.toml").is_file()
    assert len(list(tmp_path.glob("2*.toml"))) == 1


def test_leaving_at_once_writes_nothing(tmp_path: Path) -> None:
    with Terminal(["-m", "episodes"], cwd=tmp_path) as terminal:
        terminal.wait_for("Begin with")
        terminal.send("leave\r")
        assert terminal.end() == 0
    assert list(tmp_path.iterdir()) == []
