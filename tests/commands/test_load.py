"""`load` at the command line: who is overbooked, each week, exit code 0 in any case."""

from tests.commands.seasons import EPISODE, STUDY, Desk


def test_load_says_first_whether_anybody_is_overbooked(desk: Desk) -> None:
    answer = desk("load")
    assert answer.code == 0
    first, second, *_ = answer.out.splitlines()
    assert first == "Read as of Wed 14 Apr 2027 18:00."
    assert second == (
        "Nobody is overbooked. Fullest: Builder in the week from Mon 19 Apr, 4 h of 33 h 30."
    )
    assert "Clamps  week from Mon 19 Apr  4 of 6 at once" in answer.out


def test_load_names_who_is_overbooked_by_when_and_for_which_room(desk: Desk) -> None:
    desk.edit('hands = "1h..2h..3h"', 'hands = "120h"')
    desk.edit('lead = "3 workdays"', 'lead = "1 workdays"')
    answer = desk("load")
    assert answer.code == 0
    said = answer.out.splitlines()[1]
    assert said.startswith("Builder is overbooked: 122 h of work must be done by Fri 7 May 09:00 ")
    assert "(Study)" in said
    assert "OVERBOOKED" in answer.out


def test_load_speaks_of_one_person_and_so_many_weeks(desk: Desk) -> None:
    answer = desk("load", "--person", "build", "--weeks", "1", "--json")
    assert [person["id"] for person in answer.json["people"]] == ["builder"]
    assert answer.json["occupied"] == []
    (week,) = answer.json["people"][0]["weeks"]
    assert week["from"] == "2027-04-14T18:00:00-05:00"
    assert week["to"] == "2027-04-19T00:00:00-05:00"
    assert "Host" not in desk("load", "--person", "build").out
    assert desk("load", "--person", "nobody").code == 2
    assert desk("load", "--weeks", "0").code == 2


def test_with_an_episodes_file_no_week_past_its_release_is_looked_at(desk: Desk) -> None:
    other = EPISODE.replace('title = "Study"', 'title = "Porch"').replace("2027-05", "2027-06")
    (desk.folder / "2027-06-porch.toml").write_text(other, encoding="utf-8")
    assert desk("load", "--json").json["until"] == "2027-06-04T09:00:00-05:00"
    alone = desk("load", "--json", str(desk.file), season=False)
    assert alone.json["until"] == "2027-05-07T09:00:00-05:00"
    rooms = {room["id"] for week in alone.json["people"][1]["weeks"] for room in week["rooms"]}
    assert rooms == {STUDY, "2027-06-porch"}


def test_hostile_titles_stay_text(desk: Desk) -> None:
    desk.edit('title = "Builder"', 'title = "\\u001b[2JBuild\\u202eer"', "studio.toml")
    out = desk("load").out
    assert "\x1b" not in out
    assert "\u202e" not in out
    assert "␛[2JBuilder" in out


def test_load_of_a_season_that_is_over_says_that_nothing_is_planned(desk: Desk) -> None:
    desk.edit('title = "Study"\n', 'title = "Study"\nreleased = 2027-04-12T09:00:00\n')
    answer = desk("load")
    assert answer.code == 0
    assert answer.out.splitlines()[1] == "No work is planned."
    assert desk("load", "--json").json["people"][0]["weeks"] == []
