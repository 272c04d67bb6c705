"""The commands that ask, on a small season: first sentence, JSON, exit code."""

from pathlib import Path

import pytest
from freezegun import freeze_time

from tests.commands.seasons import EPISODE, STUDY, Desk


def test_check_says_first_from_when_it_is_read_and_whether_the_release_is_met(desk: Desk) -> None:
    answer = desk("check")
    assert answer.code == 0
    first, second = answer.out.splitlines()[:2]
    assert first == "Read as of Wed 14 Apr 2027 18:00."
    assert second.startswith("Study meets Fri 7 May 09:00 with ")
    assert answer.err == ""


def test_check_leaves_with_1_where_a_release_is_missed(desk: Desk) -> None:
    desk.edit('lead = "3 workdays"', 'lead = "30 workdays"')
    answer = desk("check", "--json")
    assert answer.code == 1
    assert answer.json["episodes"][0]["verdict"] == "slips"
    assert "Study slips Fri 7 May 09:00 by " in desk("check").out


def test_json_is_the_only_thing_on_standard_output(desk: Desk) -> None:
    for words in (
        ("check",), ("today",), ("orders",), ("shots",), ("why", "hang"),
        ("late", "board", "--days", "2"), ("done", "before"), ("undo",),
    ):  # fmt: skip
        answer = desk(*words, "--json")
        assert answer.code == 0, answer.err
        assert answer.out.count("\n") == 1
        assert isinstance(answer.json, dict)


def test_the_same_question_has_the_same_bytes(desk: Desk) -> None:
    assert desk("check", "--json").out == desk("check", "--json").out


def test_now_beats_the_moment_that_the_season_names(desk: Desk) -> None:
    answer = desk("check", "--json", "--now", "2027-04-20T09:30:10")
    assert answer.json["now"] == "2027-04-20T09:31:00-05:00"
    assert answer.json["read_as_of"] is False
    assert "Read as of" not in desk("check", "--now", "2027-04-20T09:30").out


@pytest.mark.parametrize("offset", ["+00:00", "Z"])
def test_now_may_carry_an_offset(desk: Desk, offset: str) -> None:
    answer = desk("check", "--json", "--now", f"2027-04-20T14:31:00{offset}")
    assert answer.json["now"] == "2027-04-20T09:31:00-05:00"


def test_a_season_that_names_no_moment_is_read_by_the_clock_rounded_up(desk: Desk) -> None:
    desk.edit("as_of = 2027-04-14T18:00:00   # a Wednesday\n", "", "studio.toml")
    with freeze_time("2027-04-14 23:00:00.5"):
        assert desk("check", "--json").json["now"] == "2027-04-14T18:01:00-05:00"
    with freeze_time("2027-04-14 23:00:00"):
        assert desk("check", "--json").json["now"] == "2027-04-14T18:00:00-05:00"


def test_the_season_may_stand_as_the_argument_or_before_the_command(desk: Desk) -> None:
    wanted = desk("check", "--json").out
    assert desk("check", "--json", str(desk.folder), season=False).out == wanted
    assert desk("--season", str(desk.folder), "check", "--json", season=False).out == wanted
    assert desk("check", str(desk.folder)).code == 2


def test_the_current_folder_is_the_season(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    wanted = desk("check", "--json").out
    monkeypatch.chdir(desk.folder)
    assert desk("check", "--json", season=False).out == wanted


def test_an_episodes_file_asks_for_that_episode_alone(desk: Desk) -> None:
    other = EPISODE.replace('title = "Study"', 'title = "Porch"').replace("2027-05", "2027-06")
    slow = other.replace('lead = "3 workdays"', 'lead = "90 workdays"')
    (desk.folder / "2027-06-porch.toml").write_text(slow, encoding="utf-8")
    assert desk("check").code == 1
    alone = desk("check", "--json", str(desk.file), season=False)
    assert alone.code == 0
    assert [episode["id"] for episode in alone.json["episodes"]] == [STUDY]


def test_a_name_in_several_episodes_is_asked_for_with_its_episode(desk: Desk) -> None:
    other = EPISODE.replace("2027-05", "2027-06")
    (desk.folder / "2027-06-porch.toml").write_text(other, encoding="utf-8")
    refused = desk("late", "board", "--days", "1")
    assert refused.code == 2
    assert f"{STUDY}:board, 2027-06-porch:board" in refused.err
    assert desk("late", "2027-06-porch:board", "--days", "1", "--json").json["episode"] == (
        "2027-06-porch"
    )
    named = desk("late", "board", "--days", "1", "--json", "--season", str(desk.file), season=False)
    assert named.json["episode"] == STUDY


def test_an_idea_without_a_month_cannot_be_judged(desk: Desk) -> None:
    (desk.folder / "ideas").mkdir()
    idea = desk.folder / "ideas" / "attic.toml"
    idea.write_text(EPISODE.replace('release = "2027-05"\n', ""), encoding="utf-8")
    answer = desk("check", str(idea), season=False)
    assert answer.code == 2
    assert "YYYY-MM-attic.toml" in answer.err


def test_every_fault_of_every_file_is_a_line_and_there_is_no_json(desk: Desk) -> None:
    desk.edit('after = ["board", "screws"]', 'after = ["bord", "screws"]')
    desk.edit('hands = "20min"', 'hands = "20 minutes"')
    desk.edit('currency = "USD"', 'curency = "USD"', "studio.toml")
    answer = desk("check", "--json")
    assert (answer.code, answer.out) == (2, "")
    lines = answer.err.splitlines()
    assert len(lines) == 3
    assert any(line.startswith("studio.toml:4: ") and "currency" in line for line in lines)
    assert any(line.startswith(f"{STUDY}.toml:") and "board" in line for line in lines)


def test_a_file_that_is_passed_over_is_pointed_out_beside_the_verdicts(desk: Desk) -> None:
    (desk.folder / "notes.toml").write_text("", encoding="utf-8")
    assert desk("check").out.splitlines()[2].startswith('  warning: "notes.toml" is not named')
    assert [each["code"] for each in desk("check", "--json").json["problems"]] == ["file-name"]
    alone = desk("check", "--json", str(desk.file), season=False)
    assert alone.json["problems"] == []


def test_a_folder_that_is_no_season_is_said_to_be_none(desk: Desk, tmp_path: Path) -> None:
    for place in (tmp_path, tmp_path / "nowhere"):
        answer = desk("check", str(place), season=False)
        assert answer.code == 2
        assert len(answer.err.splitlines()) == 1


@pytest.mark.parametrize("prove", ["--prove", "--prove=5"])
def test_a_proof_asked_for_leaves_nothing_of_the_verdict_open(desk: Desk, prove: str) -> None:
    answer = desk("check", "--json", prove, str(desk.folder), season=False)
    assert answer.code == 0
    assert answer.err == ""
    for room, plain in zip(
        answer.json["episodes"], desk("check", "--json").json["episodes"], strict=True
    ):
        assert room["proved"] is True
        assert room["verdict"] == plain["verdict"]
        # The floor is the ready moment once it is proved that no plan is ready sooner.
        assert room["ready_floor"] == room["ready_by"]


def test_today_shows_the_work_and_its_caution_beside_it(desk: Desk) -> None:
    desk("arrived", "board")
    desk("taken", "before")
    answer = desk("today")
    assert answer.code == 0
    lines = answer.out.splitlines()
    assert lines[1].startswith("Wed 14 Apr: 2 steps, 3 h of work.")
    work = next(at for at, line in enumerate(lines) if "Cut parts" in line)
    assert lines[work].startswith("  18:00-20:00  Builder  ")
    assert lines[work + 1].strip() == "caution: Wear eye protection."


def test_today_can_be_one_persons_and_as_long_as_there_are_hours(desk: Desk) -> None:
    desk("arrived", "board")
    desk("taken", "before")
    assert [do["id"] for do in desk("today", "--json").json["do"]] == ["shelf.cut", "shelf.glue"]
    assert desk("today", "--person", "host", "--json").json["do"] == []
    assert "nothing to do" in desk("today", "--person", "Host").out
    short = desk("today", "--hours", "2h", "--json").json["do"]
    assert [do["id"] for do in short] == ["shelf.cut"]


@pytest.mark.parametrize(
    "words", [("--person", "nobody"), ("--hours", "soon"), ("--hours", "2d"), ("--now", "later")]
)
def test_today_says_what_it_does_not_understand(desk: Desk, words: tuple[str, ...]) -> None:
    answer = desk("today", *words)
    assert answer.code == 2
    assert words[1] in answer.err


def test_orders_names_the_next_thing_to_order(desk: Desk) -> None:
    answer = desk("orders")
    assert answer.out.splitlines()[1].startswith("Next to order: Oak board by ")
    order = desk("orders", "--json").json["orders"][0]
    assert (order["id"], order["state"], order["too_late"]) == ("board", "open", False)


def test_shots_says_what_ends_the_chance_of_a_shot(desk: Desk) -> None:
    answer = desk("shots")
    assert "gone when Cut parts starts" in answer.out
    shot = desk("shots", "--json").json["shots"][0]
    assert (shot["id"], shot["once"], shot["ended_by"]) == ("before", True, "shelf.cut")
    desk("taken", "before")
    assert "Taken, no copy yet" in desk("shots").out


def test_why_tells_the_chain_up_to_the_thing_itself(desk: Desk) -> None:
    answer = desk("why", "hang", "--json").json
    assert answer["id"] == "shelf.hang"
    assert [link["id"] for link in answer["chain"]][-2:] == ["shelf.set", "shelf.hang"]
    text = desk("why", "hang").out
    assert text.splitlines()[1].startswith("Hang it starts Tue 20 Apr 18:00.")
    assert desk("why", "cut").out.rstrip().endswith("Caution: Wear eye protection.")


def test_an_unknown_name_is_a_slip_of_the_pen_and_the_nearest_is_named(desk: Desk) -> None:
    answer = desk("why", "shlf.glu")
    assert answer.code == 2
    assert "shelf.glue" in answer.err


def test_a_late_parcel_that_does_not_matter_leaves_with_0(desk: Desk) -> None:
    answer = desk("late", "board", "--arrives", "2027-04-20")
    assert answer.code == 0
    assert answer.out.splitlines()[1].startswith("Study meets ")
    assert "Oak board in hand Tue 20 Apr 18:00, planned Mon 19 Apr 18:00." in answer.out


def test_a_late_parcel_that_matters_leaves_with_1_and_writes_nothing(desk: Desk) -> None:
    before = desk.text
    answer = desk("late", "board", "--arrives", "2027-05-06", "--json")
    assert answer.code == 1
    assert answer.json["verdict"] == "slips"
    assert answer.json["ways"] == []
    assert answer.json["latest_arrival"] < "2027-05-06"
    assert desk.text == before


def test_a_parcel_on_its_latest_arrival_meets_and_a_day_later_does_not(desk: Desk) -> None:
    latest = desk("late", "board", "--json").json["latest_arrival"]
    assert desk("late", "board", "--arrives", latest).code == 0
    assert desk("late", "board", "--arrives", "2027-05-06T18:00").code == 1


def test_days_are_the_carriers(desk: Desk) -> None:
    # Monday 19 April and six of its days, Sundays out: Monday 26 April.
    answer = desk("late", "board", "--days", "6", "--json").json
    assert answer["arrives"] == "2027-04-26T18:00:00-05:00"


@pytest.mark.parametrize(
    "words",
    [
        ("late", "screws"),
        ("late", "hang"),
        ("late", "board", "--days", "1", "--arrives", "2027-05-01"),
        ("late", "board", "--arrives", "whenever"),
    ],
)
def test_what_late_cannot_answer_is_a_usage_error(desk: Desk, words: tuple[str, ...]) -> None:
    answer = desk(*words)
    assert (answer.code, answer.out) == (2, "")


def test_a_hostile_title_reaches_no_terminal(desk: Desk) -> None:
    desk.edit('title = "Cut parts"', r'title = "\u001b]0;owned\u0007\u009b2J\u202ecut"')
    desk.edit('title = "Study"', r'title = "\u001b[31mStudy"')
    desk("taken", "before")
    for words in (
        ("check", "--all"), ("today",), ("orders",), ("shots",), ("why", "cut"),
        ("late", "board", "--days", "9"), ("done", "cut"), ("undo",),
    ):  # fmt: skip
        answer = desk(*words)
        for text in (answer.out, answer.err):
            assert not set(text) & set("\x1b\x07\x9b\u202e"), words
