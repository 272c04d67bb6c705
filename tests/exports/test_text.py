"""What `check` says to a person: the verdicts first, then what decides them; all text safe."""

from dataclasses import replace

import pytest

from episodes.answers.rows import Metric
from episodes.exports.text import check_text
from tests.exports.answers_by_hand import NOW, RELEASE, at, laundry, porch, season, with_step


def test_every_verdict_comes_before_anything_else() -> None:
    assert check_text(season()).splitlines()[:3] == [
        "Laundry room meets Fri 7 May 09:00 with 3 d 4 h to spare.",
        (
            "Porch slips Fri 4 Jun 09:00 by 8 d: ready Sat 12 Jun 09:00. "
            "It is not proved that no other plan would meet it."
        ),
        "",
    ]


def test_a_season_read_as_of_a_moment_says_so_in_its_first_line() -> None:
    text = check_text(season(read_as_of=True, now=at("03-20", "08:00")))
    assert text.splitlines()[0] == "Read as of Sat 20 Mar 2027 08:00."
    assert "Read as of" not in check_text(season())


def test_the_whole_answer_for_a_room() -> None:
    assert check_text(season(laundry())).splitlines()[2:] == [
        "Laundry room",
        "  ready by          Tue 4 May 05:00; no plan is ready sooner",
        "  room finished by  Sun 2 May 13:00",
        (
            "  critical          Folding bench: Glue up, Folding bench: Glue sets, "
            "Folding bench: Flatten"
        ),
        "  order             Tiles by Fri 16 Apr 24:00",
        "  next              Wed 14 Apr 18:00 Host, Builder: Folding bench: Glue up",
        (
            "                    Thu 15 Apr 18:00 Builder: Folding bench: Flatten "
            "(caution: see `episodes today`)"
        ),
        "                    Thu 15 Apr 20:00 Host: Raw wood, close",
        (
            "  money             840 USD planned of 900 USD, 60 USD left; 215.40 USD paid; "
            "1 parcel without a price"
        ),
        "  error: The before shot is gone. (2027-05-laundry.toml:40)",
        "  warning: Tiles were expected. Ask the carrier. (2027-05-laundry.toml:12)",
        "  warning: Less than the cushion.",
        "  1 note: `episodes check --notes`",
    ]


def test_notes_are_counted_and_shown_when_asked_for() -> None:
    lines = check_text(season(laundry()), with_notes=True).splitlines()
    assert "  note: Nothing waits for it." in lines
    assert not any(line.endswith("`episodes check --notes`") for line in lines)


def test_how_sound_a_schedule_is_stands_below_its_notes_with_each_limit() -> None:
    room = replace(
        laundry(),
        health=(
            Metric(code="open-start", value=3, of=40, limit=0.05, ok=False, subjects=("a",)),
            Metric(code="long-steps", value=0, of=9, limit=0),
            Metric(code="critical-path-test", value=27, of=28, subjects=("tiles\x1b[2J",)),
            Metric(code="critical-path-index", value=0.85, limit=0.95, ok=False),
        ),
    )
    lines = check_text(season(room), with_notes=True).splitlines()
    assert [" ".join(line.split()) for line in lines[-5:]] == [
        "how sound the schedule is",
        "steps that wait for nothing 3 of 40 at most 5% look here",
        "steps of more than a full day's work 0 of 9 none ok",
        "critical path test 28 d more on tiles␛[2J: 27 d later ok",
        "critical path length index 0.85 at least 0.95 look here",
    ]
    assert "how sound" not in check_text(season(room))


def test_all_problems_are_listed_when_asked_for() -> None:
    text = check_text(season(laundry()), all_problems=True)
    assert "  note: Nothing waits for it." in text.splitlines()
    assert "more problem" not in text


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"spare_min": 0}, "Laundry room meets Fri 7 May 09:00 with nothing to spare."),
        ({"spare_min": 90}, "Laundry room meets Fri 7 May 09:00 with 1 h 30 to spare."),
        (
            {"verdict": "slips", "proved": True, "spare_min": -30, "ready_by": RELEASE + 30},
            (
                "Laundry room slips Fri 7 May 09:00 by 30 min: ready Fri 7 May 09:30. "
                "No plan of this season meets it."
            ),
        ),
        (
            {"verdict": "slips", "proved": True, "spare_min": None, "ready_by": None},
            (
                "Laundry room slips Fri 7 May 09:00: no plan was found for it at all. "
                "No plan of this season meets it."
            ),
        ),
        (
            {"verdict": "released", "spare_min": -120},
            "Laundry room was released Fri 7 May 09:00, 2 h late.",
        ),
        (
            {"verdict": "released", "spare_min": None},
            "Laundry room was released Fri 7 May 09:00.",
        ),
    ],
)
def test_each_verdict_has_its_sentence(change: dict[str, object], sentence: str) -> None:
    assert check_text(season(replace(laundry(), **change))).splitlines()[0] == sentence  # type: ignore[arg-type]


def test_a_moment_in_another_year_says_its_year() -> None:
    far = replace(porch(), release=NOW + 400 * 1440)
    assert "slips Thu 18 May 2028 17:00" not in check_text(season(far))
    assert "Porch slips Thu 18 May 2028 18:00" in check_text(season(far))


def test_a_parcel_without_a_last_moment_is_to_be_ordered_at_once_and_named_first() -> None:
    room = laundry()
    tap = replace(room.parcels[1], id="tap", title="Tap", order_by=None)
    text = check_text(season(replace(room, parcels=(*room.parcels, tap))))
    assert "order             Tap at once\n" in text
    assert "                    Tiles by Fri 16 Apr 24:00\n" in text


def test_a_season_without_episodes_says_so() -> None:
    empty = replace(season(), episodes=())
    assert check_text(empty) == "No episode is planned here."


def test_no_text_of_the_users_reaches_the_terminal_as_an_escape() -> None:
    hostile = "\x1b[2Jroom\r\n\x9b"
    room = with_step(laundry(), "bench.glue", title=hostile)
    room = replace(room, title=hostile, jobs=(("bench", hostile),))
    text = check_text(season(room, people={"host": hostile}, currency=hostile))
    assert "\x1b" not in text
    assert "\x9b" not in text
    assert "\r" not in text
