"""`episodes busy`: what it shows of a calendar file, and what it says of what it left out."""

import json
from pathlib import Path

import pytest

from episodes.cli import run
from tests.commands.test_calendar import STUDIO

NOW = "2027-04-05T08:00"
HEAD = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//EN\r\n"
CHOIR = """BEGIN:VEVENT
UID:choir
SUMMARY:Choir\x1b[2J
DTSTART;TZID=America/Chicago:20270406T193000
DTEND;TZID=America/Chicago:20270406T210000
RRULE:FREQ=WEEKLY;COUNT=3
END:VEVENT
"""
AWAY = """BEGIN:VEVENT
UID:away
DTSTART;VALUE=DATE:20270410
DTEND;VALUE=DATE:20270412
END:VEVENT
"""
LUNCH = """BEGIN:VEVENT
UID:lunch
SUMMARY:Lunch
DTSTART:20270407T170000Z
DTEND:20270407T180000Z
END:VEVENT
"""
BOMB = """BEGIN:VEVENT
UID:bomb
SUMMARY:Pulse
DTSTART:20270407T170000Z
DTEND:20270407T170100Z
RRULE:FREQ=SECONDLY
END:VEVENT
"""
FREE = LUNCH.replace("lunch", "free").replace("END:V", "TRANSP:TRANSPARENT\nEND:V")


@pytest.fixture
def season(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "studio.toml").write_text(STUDIO)
    events = "".join((CHOIR, AWAY, LUNCH, BOMB, FREE)).replace("\n", "\r\n")
    (tmp_path / "builder.ics").write_text(f"{HEAD}{events}END:VCALENDAR\r\n", newline="")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def ask(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = run(["busy", *words, "--now", NOW])
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def test_it_shows_each_busy_time_and_what_it_takes_of_the_person_s_hours(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = ask(capsys, "builder.ics", "--person", "builder", "--to", "2027-04-18")
    assert (code, err) == (0, "")
    assert out.splitlines() == [
        (
            "builder.ics, Mon 5 Apr 08:00 to Sun 18 Apr 24:00: 4 busy times, 52 h; "
            "5 h of Builder's 28 h."
        ),
        "  Tue 6 Apr 19:30-21:00             Choir␛[2J   takes 30 min",
        "  Wed 7 Apr 12:00-13:00             Lunch       outside hours",
        "  Sat 10 Apr - Sun 11 Apr, all day  (no title)  takes 4 h",
        "  Tue 13 Apr 19:30-21:00            Choir␛[2J   takes 30 min",
        "1 event is cancelled or marked as free.",
        "Left out, so that its time looks free:",
        (
            '  builder.ics:22: warning busy-left-out: "Pulse" is left out: it repeats secondly. '
            "Its time counts as free. Change the event in the calendar program, or write the time "
            "as `off`."
        ),
        (
            'The plan does not read it yet: write busy = ["builder.ics"] under Builder in '
            "studio.toml, and lay the file beside it."
        ),
    ]


def test_a_file_that_the_plan_reads_is_shown_without_a_hint(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    studio = season / "studio.toml"
    text = STUDIO.replace('id = "builder"', 'id = "builder"\nbusy = ["builder.ics"]')
    studio.write_text(text)
    _, out, _ = ask(capsys, "builder.ics", "--person", "builder")
    assert "does not read it yet" not in out
    # Its own busy time does not lessen the hours that it is measured against.
    assert "5 h 30 of Builder's 56 h." in out


def test_without_a_person_the_times_stand_alone(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = ask(capsys, "builder.ics", "--from", "2027-04-07", "--to", "2027-04-07")
    assert code == 0
    assert out.splitlines()[:2] == [
        "builder.ics, Wed 7 Apr 00:00 to Wed 7 Apr 24:00: 1 busy time, 1 h.",
        "  Wed 7 Apr 12:00-13:00  Lunch",
    ]


def test_json_has_the_same(season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = ask(capsys, "builder.ics", "--person", "builder", "--to", "2027-04-11", "--json")
    assert code == 0
    found = json.loads(out)
    assert found["from"] == "2027-04-05T08:00:00-05:00"
    assert found["to"] == "2027-04-12T00:00:00-05:00"
    assert (found["busy_min"], found["takes_min"], found["hours_min"]) == (3030, 270, 840)
    assert [(line["title"], line["all_day"], line["takes_min"]) for line in found["busy"]] == [
        ("Choir\x1b[2J", False, 30),
        ("Lunch", False, 0),
        ("", True, 240),
    ]
    assert (found["person"], found["named"], found["free"], found["own"]) == (
        "builder",
        False,
        1,
        0,
    )
    assert [problem["code"] for problem in found["problems"]] == ["busy-left-out"]


def test_the_page_of_answers_names_every_key(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = (Path(__file__).parents[2] / "docs" / "json.md").read_text(encoding="utf-8")
    section = page.split("## busy\n")[1].split("\n## ")[0]
    _, out, _ = ask(capsys, "builder.ics", "--person", "builder", "--json")
    found = json.loads(out)
    keys = {*found, *found["busy"][0], *found["problems"][0]}
    assert sorted(key for key in keys if f"`{key}`" not in section) == []


def test_a_window_without_anything_says_so(
    season: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out, _ = ask(capsys, "builder.ics", "--from", "2027-09-01", "--to", "2027-09-02")
    assert out.splitlines()[0].endswith("Thu 2 Sep 24:00: no busy time.")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("none.ics",), "there is no such file"),
        (("studio.toml",), "there is no calendar in it"),
        (("builder.ics", "--from", "2027-04-08", "--to", "2027-04-07"), "--to comes before --from"),
        (("builder.ics", "--from", "soon"), '"soon" is not a moment'),
        (("builder.ics", "--person", "nobody"), "there is: host, builder"),
        ((), "Missing argument"),
    ],
)
def test_a_wrong_word_is_one_line_and_exit_code_2(
    season: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], said: str
) -> None:
    code, out, err = ask(capsys, *words)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err
