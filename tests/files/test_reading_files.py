"""Files that cannot be read as they are: a clear fault with its place, and the others read on."""

import os
from pathlib import Path
from typing import IO, Any

import pytest

from episodes.files.reading import read_season, season_folder
from episodes.files.source import LARGEST_FILE
from episodes.problems import PlanError
from tests.files.seasons import CLOCK, LAUNDRY, STUDIO, faults, faults_of, read, write


def _only(folder: Path, content: bytes) -> str:
    write(folder, {})
    (folder / f"{LAUNDRY}.toml").write_bytes(content)
    with pytest.raises(PlanError) as caught:
        read_season(folder, clock=CLOCK)
    (problem,) = caught.value.problems
    return str(problem)


def test_text_that_is_not_utf8_is_named_with_its_line(tmp_path: Path) -> None:
    fault = _only(tmp_path, b'title = "ok"\nroom = "caf\xe9"\n')
    assert fault.startswith(f"{LAUNDRY}.toml:2: error not-text: the byte 0xe9 is no UTF-8 text.")


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf16_is_no_plan(tmp_path: Path, encoding: str) -> None:
    assert "error not-text" in _only(tmp_path, 'title = "a"\n'.encode(encoding))


def test_a_nul_byte_is_named_with_its_line(tmp_path: Path) -> None:
    assert _only(tmp_path, b'title = "a"\n\nroom = "\0"\n').startswith(f"{LAUNDRY}.toml:3: error")


def test_a_byte_order_mark_and_crlf_are_read_as_if_not_there(tmp_path: Path) -> None:
    write(tmp_path, {})
    text = '﻿title = "A"\r\n\r\n[[job]]\r\nid = "a"\r\n[[job.step]]\r\nid = "b"\r\nhands = "1h"\r\n'
    (tmp_path / f"{LAUNDRY}.toml").write_bytes(text.encode())
    episode = read_season(tmp_path, clock=CLOCK).episode(LAUNDRY)
    assert (episode.title, episode.jobs[0].steps[0].place.line) == ("A", 5)


def test_a_file_larger_than_any_plan_is_not_even_parsed(tmp_path: Path) -> None:
    assert "error too-large" in _only(tmp_path, b"#" * (LARGEST_FILE + 1))


def test_an_empty_file_is_an_episode_with_nothing_to_do(tmp_path: Path) -> None:
    season = read(tmp_path, {LAUNDRY: ""})
    assert season.episode(LAUNDRY).jobs == ()
    assert season.episode(LAUNDRY).title == LAUNDRY


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 5_000,
        "a = " + "{a=" * 5_000,
        "a" + ".a" * 200_000 + " = 1",
        "a = {" + "b." * 200_000 + "c = 1}",
        '"a b"' + '."a b"' * 100_000 + " = 1",
        "x = " + "[" * 200 + "]" * 200,
        "[" + "a." * 50_000 + "b]",
        "a = 1" + "0" * 5_000,
        "a = 0x" + "f" * 5_000,
        'a = """' + "x\n" * 100_000,
        "a = 1979-05-27T07:32:00.9999999999999999999999Z",
        "\r" * 100,
        "[[job]]\n" * 20_000,
    ],
    ids=lambda text: text[:12],
)
def test_files_made_to_hurt_are_refused_in_a_sentence(tmp_path: Path, text: str) -> None:
    found = faults_of(tmp_path, text)
    assert all(len(str(problem)) < 1_500 and "\n" not in str(problem) for problem in found)


def test_a_plan_of_more_steps_than_any_has_is_refused_by_their_number(tmp_path: Path) -> None:
    text = '[[job]]\nid = "a"\n' + '[[job.step]]\nid = "b"\nhands = "1h"\n' * 5_001
    (fault,) = faults_of(tmp_path, text)
    assert (fault.code, fault.where and fault.where.line) == ("too-many", 1)
    assert "5,001" in fault.text


def test_control_characters_of_a_file_never_reach_a_message(tmp_path: Path) -> None:
    evil = '"\\u001b[31mred\\u0007\\n"'
    text = (
        f'{evil} = 1\ntitle = {evil}\nroom = {evil}\n[[job]]\nid = {evil}\n[[job.step]]\nid = "a"\n'
    )
    text += (
        f"hands = {evil}\nwho = [{evil}]\ncoat = {evil}\nafter = [{evil}, {{ step = {evil} }}]\n"
    )
    found = faults_of(tmp_path, text)
    assert len(found) >= 5
    assert all(str(problem).isprintable() for problem in found)


# -------------------------------------------------------------------- all of them at once


def test_every_fault_of_every_file_comes_in_one_run_by_file_and_line(tmp_path: Path) -> None:
    laundry = """title = 5
room = "landry"
colour = "green"
[[job]]
id = "bench"
[[job.step]]
id = "cut"
hands = "2 hours"
onego = true
after = ["cutt", 7]
who = ["bilder"]
[[job.step]]
id = "sand"
hands = "1h"
after = ["sawn"]
"""
    porch = '[[shot]]\nid = "wide"\nof = "bench"\nhands = "1h"\n'
    studio = STUDIO.replace('currency = "USD"', "currency = 5")
    found = faults(
        tmp_path,
        {"studio": studio, LAUNDRY: laundry, "2027-06-porch": porch, "2027-07-den": "title ="},
    )
    assert [f"{problem.where} {problem.code}" for problem in found] == [
        "2027-05-laundry.toml:1 bad-value",
        "2027-05-laundry.toml:2 unknown-name",
        "2027-05-laundry.toml:3 unknown-key",
        "2027-05-laundry.toml:8 bad-value",
        "2027-05-laundry.toml:9 unknown-key",
        "2027-05-laundry.toml:10 wrong-type",
        "2027-05-laundry.toml:10 unknown-name",
        "2027-05-laundry.toml:11 unknown-name",
        "2027-05-laundry.toml:15 unknown-name",
        "2027-06-porch.toml:3 unknown-name",
        "2027-07-den.toml:1 toml-syntax",
        "studio.toml:6 bad-value",
    ]


def test_one_fault_does_not_make_what_leans_on_it_look_wrong(tmp_path: Path) -> None:
    studio = STUDIO.replace('id = "workshop"\n', 'id = "workshop"\nholds = "two"\n')
    laundry = """
    [[job]]
    id = "Bench"
    where = "workshop"
    [[job.step]]
    id = "cut"
    hands = "soon"
    [[job.step]]
    id = "oil"
    hands = "1h"
    coat = "danish-oyl"
    [[job]]
    id = "style"
    [[job.step]]
    id = "use"
    hands = "1h"
    after = ["Bench.cut", { step = "Bench.oil", stage = "cure" }, "2027-06-porch:deck"]
    """
    found = faults(tmp_path, {"studio": studio, LAUNDRY: laundry, "2027-06-porch": "["})
    assert [f"{problem.where} {problem.code}" for problem in found] == [
        "2027-05-laundry.toml:3 bad-value",
        "2027-05-laundry.toml:7 bad-value",
        "2027-05-laundry.toml:11 unknown-name",
        "2027-06-porch.toml:1 toml-syntax",
        "studio.toml:19 bad-value",
    ]


def test_a_broken_studio_still_lets_the_episodes_be_looked_at(tmp_path: Path) -> None:
    laundry = '[[job]]\nid = "a"\n[[job.step]]\nid = "b"\nhands = "soon"\nwho = ["host"]\n'
    found = faults(tmp_path, {"studio": "name =", LAUNDRY: laundry})
    assert [str(problem.where) for problem in found] == ["2027-05-laundry.toml:5", "studio.toml:1"]


# -------------------------------------------------------------------- folders


def test_a_folder_without_a_studio_says_where_to_go(tmp_path: Path) -> None:
    with pytest.raises(PlanError) as caught:
        read_season(tmp_path, clock=CLOCK)
    (problem,) = caught.value.problems
    assert problem.code == "no-season"
    assert "episodes demo DIR" in problem.mend
    write(tmp_path / "mine", {})
    with pytest.raises(PlanError) as caught:
        read_season(tmp_path, clock=CLOCK)
    assert str(tmp_path / "mine") in str(caught.value)


def test_a_path_that_is_no_plan_says_what_would_be(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("hello")
    for path in (tmp_path / "nowhere", tmp_path / "notes.txt", Path("a" * 5_000), Path("a\0b")):
        with pytest.raises(PlanError) as caught:
            season_folder(path)
        assert caught.value.problems[0].code == "no-season"
        assert str(caught.value).isprintable()


def test_an_episodes_file_stands_for_its_season(tmp_path: Path) -> None:
    write(tmp_path, {LAUNDRY: "", "2027-06-porch": "", "ideas/den": ""})
    assert season_folder(tmp_path) == (tmp_path, None)
    assert season_folder(tmp_path / "studio.toml") == (tmp_path, None)
    assert season_folder(tmp_path / f"{LAUNDRY}.toml") == (tmp_path, LAUNDRY)
    assert season_folder(tmp_path / "ideas" / "den.toml") == (tmp_path, "den")
    season = read_season(tmp_path / f"{LAUNDRY}.toml", clock=CLOCK)
    assert len(season.episodes) == 2


def test_files_that_are_not_named_like_episodes_are_pointed_out(tmp_path: Path) -> None:
    season = read(tmp_path, {LAUNDRY: "", "shopping": "milk = 2", ".hidden": "", "ideas/A B": ""})
    assert [str(problem.where) for problem in season.problems] == [
        "ideas/A B.toml",
        "shopping.toml",
    ]
    assert {problem.level for problem in season.problems} == {"warning"}
    (fault,) = faults(tmp_path, {"2027-5-porch": ""})
    assert (fault.code, str(fault.where)) == ("file-name", "2027-5-porch.toml")


def test_a_file_that_may_not_be_read_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path, {LAUNDRY: "", "2027-06-porch": ""})
    opened = Path.open

    def refuse(self: Path, *args: Any, **more: Any) -> IO[Any]:
        if self.stem == LAUNDRY:
            raise PermissionError(13, "Permission denied")
        return opened(self, *args, **more)

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(PlanError) as caught:
        read_season(tmp_path, clock=CLOCK)
    (problem,) = caught.value.problems
    assert (problem.code, str(problem.where)) == ("unreadable", f"{LAUNDRY}.toml")
    assert "permission denied" in problem.text


def test_a_folder_or_a_pipe_in_the_place_of_a_file_is_named(tmp_path: Path) -> None:
    write(tmp_path, {})
    (tmp_path / f"{LAUNDRY}.toml").mkdir()
    os.mkfifo(tmp_path / "2027-06-porch.toml")
    (tmp_path / "2027-07-den.toml").symlink_to(tmp_path / "gone.toml")
    with pytest.raises(PlanError) as caught:
        read_season(tmp_path, clock=CLOCK)
    assert [problem.code for problem in caught.value.problems] == ["unreadable"] * 3


def test_texts_given_beside_the_disk_are_read_instead_of_it(tmp_path: Path) -> None:
    folder = write(tmp_path, {LAUNDRY: 'title = "disk"'})
    overrides = {
        folder / f"{LAUNDRY}.toml": 'title = "given"',
        folder / "2027-06-porch.toml": 'title = "new"',
    }
    season = read_season(folder, clock=CLOCK, overrides=overrides)
    assert [episode.title for episode in season.episodes] == ["given", "new"]
    assert not (folder / "2027-06-porch.toml").exists()
    with pytest.raises(PlanError) as caught:
        read_season(folder, clock=CLOCK, overrides={folder / "studio.toml": "name = 1"})
    assert {problem.where.file for problem in caught.value.problems if problem.where} == {
        "studio.toml"
    }
