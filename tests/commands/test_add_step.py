"""`add` for steps, jobs and links: one line typed, the file keeps every line it has."""

import tomllib
from typing import Any

import pytest

from tests.commands.seasons import EPISODE, Desk
from tests.commands.test_add import kept


def steps(desk: Desk, job: int = 0) -> list[dict[str, Any]]:
    return tomllib.loads(desk.text)["job"][job]["step"]


def test_a_forgotten_step_is_one_line(desk: Desk) -> None:
    answer = desk("add", "shelf.hang", "Fill and sand", "45min")
    assert answer.code == 0, answer.err
    assert answer.out.startswith("Fill and sand: added as shelf.fill-and-sand. Planned ")
    assert steps(desk)[-1] == {"id": "fill-and-sand", "title": "Fill and sand", "hands": "45min"}
    assert kept(EPISODE, desk.text)
    assert desk("undo").code == 0
    assert desk.text == EPISODE
    assert desk("redo").code == 0
    assert steps(desk)[-1]["id"] == "fill-and-sand"


def test_after_a_step_of_its_job_it_stands_behind_it_and_after_another_thing_it_waits(desk: Desk):
    answer = desk("add", "shelf", "Wipe", "10min..20min", "--after", "glue", "--after", "screws")
    assert answer.code == 0, answer.err
    assert [step["id"] for step in steps(desk)] == ["cut", "glue", "wipe", "set", "hang"]
    assert steps(desk)[2]["also_after"] == ["screws"]
    assert kept(EPISODE, desk.text)


def test_a_name_may_be_shortened_as_elsewhere(desk: Desk) -> None:
    assert desk("add", "glue", "Wipe", "10min").code == 0
    assert [step["id"] for step in steps(desk)][1:3] == ["glue", "wipe"]


def test_what_else_a_step_has_is_an_option(desk: Desk) -> None:
    answer = desk(
        "add", "shelf", "Oil", "30min", "--who", "host,builder", "--where", "study",
        "--gear", "clamps=2", "--coat", "waterborne-polyurethane", "--cost", "12", "--note", "thin",
        "--light", "day", "--optional",
    )  # fmt: skip
    assert answer.code == 0, answer.err
    assert steps(desk)[-1] == {
        "id": "oil", "title": "Oil", "hands": "30min", "who": ["host", "builder"],
        "where": "study", "gear": {"clamps": 2}, "cost": 12, "note": "thin", "optional": True,
        "coat": "waterborne-polyurethane", "light": "day",
    }  # fmt: skip
    assert desk("add", "shelf.glue", "Rest", "--wait", "2h", "--for", "hang").code == 0
    assert steps(desk)[2] == {"id": "rest", "title": "Rest", "wait": "2h", "before": ["hang"]}


def test_a_step_without_a_length_gets_a_guess_that_is_told(desk: Desk) -> None:
    answer = desk("add", "shelf", "Tidy up")
    assert answer.code == 0, answer.err
    assert "30min..1h..2h as a guess" in answer.out
    assert steps(desk)[-1]["hands"] == "30min..1h..2h"


def test_a_second_of_the_same_title_has_an_id_of_its_own(desk: Desk) -> None:
    assert desk("add", "shelf", "Glue", "10min").code == 0
    assert steps(desk)[-1]["id"] == "glue-2"


def test_a_job_comes_with_its_steps_as_lines(desk: Desk) -> None:
    answer = desk(
        "add", "job", "rack", "Shoe rack", "--after", "shelf", "--who", "builder",
        "--step", "Cut, 1h", "--step", "Hang on the wall",
    )  # fmt: skip
    assert answer.code == 0, answer.err
    assert answer.out.startswith(
        "Shoe rack: added as rack, 2 steps; guessed how long: hang-on-the-wall."
    )
    assert tomllib.loads(desk.text)["job"][1] == {
        "id": "rack", "title": "Shoe rack", "who": ["builder"], "after": ["shelf"],
        "step": [
            {"id": "cut", "title": "Cut", "hands": "1h"},
            {"id": "hang-on-the-wall", "title": "Hang on the wall", "hands": "30min..1h..2h"},
        ],
    }  # fmt: skip


def test_a_link_is_added_where_the_thing_keeps_its_order(desk: Desk) -> None:
    assert desk("add", "link", "hang", "--after", "screws", "--gap", "2h").code == 0
    assert steps(desk)[3]["also_after"] == [{"step": "screws", "gap": "2h"}]
    assert desk("add", "parcel", "stain", "--lead", "1d").code == 0
    answer = desk("add", "link", "shelf.cut", "--after", "stain")
    assert answer.code == 0, answer.err
    assert answer.out.startswith("Cut parts: waits for stain.")
    assert steps(desk)[0]["after"] == ["board", "screws", "stain"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (("shelf",), 'say what is done there: episodes add shelf "Title" LENGTH'),
        (("shelf", "Oil", "30min", "x"), "the title in quotes is one word"),
        (("shelf", "Oil", "30min", "--of", "x"), "--of is not for a step"),
        (("shelf", "Oil", "30min", "--wait", "2h"), "the length or --wait, not both"),
        (("nothing", "Oil", "30min"), 'is called "nothing"'),
        (("shelf", "Oil", "30 minutes"), "is not a length of time"),
        (("shelf", "Oil", "1h", "--after", "nothing"), "which is not in this episode"),
        (("job", "rack"), "a job has a step at least"),
        (("link", "hang"), "who waits, for what"),
        (("link", "hang", "--after", "hang"), "waits for itself"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_written(desk: Desk, typed, says) -> None:
    answer = desk("add", *typed)
    assert answer.code == 2, answer.out
    assert says in answer.err
    assert desk.text == EPISODE


def test_the_answer_is_one_json_object_for_programs(desk: Desk) -> None:
    import json

    answer = desk("add", "shelf", "Oil", "30min", "--json")
    assert json.loads(answer.out)["said"] == "Oil: added as shelf.oil"


def test_a_title_of_any_letters_is_kept(desk: Desk) -> None:
    title = 'A "b" \\ [c] # \u202e \x1b[31m'
    assert desk("add", "shelf", title, "30min").code == 0
    assert steps(desk)[-1]["title"] == title
    assert "\x1b" not in desk.text
