"""`episodes sheet`: what it writes, what it says, what it leaves alone."""

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from episodes.cli import run
from tests.commands.test_calendar import EPISODE, STUDIO
from tests.reference.html_page import Page

NOW = "2027-04-05T08:00"


@pytest.fixture
def season(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "studio.toml").write_text(STUDIO)
    (tmp_path / "2027-05-laundry.toml").write_text(EPISODE)
    (tmp_path / "2027-06-porch.toml").write_text(EPISODE.replace("Laundry", "Porch"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def ask(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = run(["sheet", *words, "--now", NOW])
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def test_it_writes_the_nearest_rooms_sheet_and_says_the_sentence(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = ask(capsys, "-o", "wall.html")
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].startswith("Laundry␛[2J room meets Fri 7 May 09:00 with ")
    assert lines[1:] == ["Written: wall.html"]
    page = Page((season / "wall.html").read_text())
    assert page.faults == []
    assert page.all("h1")[0].words == "Laundry␛[2J room"


def test_a_room_can_be_named_by_a_part_or_by_its_file(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("porch", "2027-06-porch.toml"):
        assert ask(capsys, name, "-o", "wall.html")[0] == 0
        assert Page((season / "wall.html").read_text()).all("h1")[0].words == "Porch␛[2J room"
    assert run(["sheet", "--season", "2027-06-porch.toml", "-o", "wall.html", "--now", NOW]) == 0
    assert "Porch" in (season / "wall.html").read_text()


def test_the_band_alone_is_a_picture(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = ask(capsys, "--band", "wall.svg")
    assert code == 0
    assert out.splitlines()[1:] == ["Written: wall.svg"]
    root = ET.fromstring((season / "wall.svg").read_bytes())
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert not (season / "wall.html").exists()


def test_days_reach_the_week(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ask(capsys, "-o", "wall.html", "--days", "2")
    assert "Mon 5 Apr to Tue 6 Apr" in (season / "wall.html").read_text()


def test_its_own_files_are_written_over_and_nobody_elses(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for _ in range(2):
        assert ask(capsys, "-o", "wall.html", "--band", "wall.svg")[0] == 0
    (season / "mine.html").write_text("<p>mine")
    (season / "mine.svg").write_text("<svg/>")
    for words in (
        ("-o", "mine.html"),
        ("--band", "mine.svg"),
        ("-o", "n.html", "--band", "mine.svg"),
    ):
        code, out, err = ask(capsys, *words)
        assert (code, out) == (2, "")
        assert "did not write it" in err
    assert (season / "mine.html").read_text() == "<p>mine"
    assert (season / "mine.svg").read_text() == "<svg/>"
    assert not (season / "n.html").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "say where to write"),
        (("-o", "none/wall.html"), "there is no folder none"),
        (("-o", "."), "is not a file"),
        (("attic", "-o", "wall.html"), 'no episode is called "attic"'),
        (("-o", "wall.html", "--days", "0"), "--days"),
    ],
)
def test_a_wrong_word_is_said_in_a_line_and_writes_nothing(
    season: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], said: str
) -> None:
    before = sorted(season.iterdir())
    code, out, err = ask(capsys, *words)
    assert (code, out) == (2, "")
    assert said in err
    assert sorted(season.iterdir()) == before
