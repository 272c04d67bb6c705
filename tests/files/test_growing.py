"""A new table in a file that is there: every character stays, and one undo takes it all back."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.files import journal
from episodes.files.editing import EditError
from episodes.files.growing import NewText, current, grown, ids_of, write
from episodes.files.plan_text import Block, section
from episodes.files.saving import StaleFileError
from episodes.problems import PlanError

SHOT = Block(kind="shot", entries={"id": "wide", "hands": "15min"})
SPACE = Block(kind="space", entries={"id": "attic"})
STUDIO = """\
name = "Rooms"
timezone = "UTC"
release = { on = "first friday" }

[[person]]
id = "host"
hours = { daily = ["09:00-17:00"] }
"""
EPISODE = 'title = "Den"\n\n[[job]]\nid = "desk"\nstep = [{ id = "cut", hands = "1h" }]\n'


TABLE = '[[shot]]\nid = "wide"\nhands = "15min"\n'
LINE = '{ id = "wide", hands = "15min" },'
REST = "# the rest\n[odds]\nseed = 2\n"


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("", section("what is filmed") + TABLE),
        ("title = 'Den'", f"title = 'Den'\n\n{section('what is filmed')}{TABLE}"),
        (f'[[shot]]\nid = "a"   # b\n\n{REST}', f'[[shot]]\nid = "a"   # b\n\n{TABLE}\n{REST}'),
        ("shot = []\n", f"shot = [\n  {LINE}\n]\n"),
        ('shot = [{ id = "a" }]  # one\n', f'shot = [{{ id = "a" }}, {LINE[:-1]}]  # one\n'),
        (
            'shot = [\n    { id = "a" },  # first\n    # more to come\n]\n',
            f'shot = [\n    {{ id = "a" }},  # first\n    {LINE}\n    # more to come\n]\n',
        ),
        ('shot = [\n  { id = "a" } ]\n', f'shot = [\n  {{ id = "a" }},\n  {LINE}\n]\n'),
    ],
)
def test_a_table_goes_behind_the_last_of_its_kind_in_the_form_of_the_file(
    before: str, after: str
) -> None:
    assert grown(before, [SHOT], file="den.toml") == after


def test_steps_of_the_last_job_are_not_torn_from_it() -> None:
    text = '[[job]]\nid = "a"\n  [[job.step]]\n  id = "cut"\n  hands = "1h"\n\n[[shot]]\nid = "s"\n'
    found = grown(text, [Block(kind="job", entries={"id": "b"})], file="den.toml")
    assert [job["id"] for job in tomllib.loads(found)["job"]] == ["a", "b"]
    assert tomllib.loads(found)["job"][0]["step"][0]["id"] == "cut"


lines = st.lists(
    st.sampled_from(
        ['[[shot]]\nid = "s"', '[[job]]\nid = "j"', "# a comment", "", "[odds]\nseed = 1",
         '[[parcel]]\nid = "p"  # note']
    ),
    max_size=8,
    unique_by=lambda line: line if line == "[odds]\nseed = 1" else object(),
)  # fmt: skip


@given(lines, st.sampled_from(["\n", "\r\n"]))
def test_whatever_stands_there_every_line_is_kept(parts: list[str], newline: str) -> None:
    before = "\n".join(parts).replace("\n", newline)
    after = grown(before, [SHOT, SPACE], file="den.toml")
    kept = iter(after.splitlines())
    assert all(line in kept for line in before.splitlines())
    data, old = tomllib.loads(after), tomllib.loads(before)
    assert data == {
        **old, "shot": [*old.get("shot", []), SHOT.entries], "space": [SPACE.entries],
    }  # fmt: skip


@pytest.mark.parametrize("text", ["not toml", "shot = 3\n", "[shot]\nid = 'a'\n"])
def test_a_file_that_takes_no_more_is_refused(text: str) -> None:
    with pytest.raises(EditError, match=r"den\.toml"):
        grown(text, [SHOT], file="den.toml")


def test_ids_are_those_of_the_kinds_asked_for() -> None:
    text = '[[shot]]\nid = "a"\n[[job]]\nid = "b"\nstep = [{ id = "c" }]\n[[space]]\nid = "d"\n'
    assert ids_of(text, ("shot", "job")) == {"a", "b"}
    assert ids_of("no toml", ("shot",)) == set()


def test_files_are_written_together_and_undone_together(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").write_text(STUDIO)
    grown_studio = grown(STUDIO, [SPACE], file="studio.toml")
    texts = [
        NewText("studio.toml", STUDIO, grown_studio),
        NewText("ideas/den.toml", None, EPISODE),
    ]
    write(tmp_path, texts, "a room more", clock=0)
    assert current(tmp_path, "studio.toml") == grown_studio
    assert current(tmp_path, "ideas/den.toml") == EPISODE
    assert journal.undo(tmp_path) == "a room more"
    assert current(tmp_path, "studio.toml") == STUDIO
    assert current(tmp_path, "ideas/den.toml") is None


def test_a_new_studio_stays_when_its_first_episode_is_undone(tmp_path: Path) -> None:
    folder = tmp_path / "rooms" / "mine"
    texts = [NewText("studio.toml", None, STUDIO), NewText("2027-05-den.toml", None, EPISODE)]
    write(folder, texts, "first", clock=0)
    journal.undo(folder)
    assert [path.name for path in folder.glob("*.toml")] == ["studio.toml"]


def test_what_cannot_be_read_is_not_written_and_leaves_no_folder(tmp_path: Path) -> None:
    texts = [NewText("studio.toml", None, "name = 1\n")]
    with pytest.raises(PlanError):
        write(tmp_path / "rooms", texts, "bad", clock=0)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_came_meanwhile_takes_the_others_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "studio.toml").write_text(STUDIO)
    texts = [
        NewText("studio.toml", STUDIO, grown(STUDIO, [SPACE], file="studio.toml")),
        NewText("2027-05-den.toml", None, EPISODE),
    ]
    monkeypatch.setattr(
        "episodes.files.growing.trial",
        lambda *_, **__: (tmp_path / "2027-05-den.toml").write_text("theirs"),
    )
    with pytest.raises(StaleFileError):
        write(tmp_path, texts, "late", clock=0)
    assert current(tmp_path, "studio.toml") == STUDIO
    assert current(tmp_path, "2027-05-den.toml") == "theirs"
