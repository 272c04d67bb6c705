"""Ideas against the season: the first release that would do, found as by renaming the file."""

from pathlib import Path

import pytest

from episodes.answers.check import check
from episodes.answers.compare import compare, free_months
from episodes.files.reading import read_season

STUDIO = """\
name = "Second Coat"
timezone = "America/Chicago"
release = { on = "first friday", at = 09:00:00, skip = ["2027-06"] }
as_of = 2027-04-14T18:00:00
[[person]]
id = "host"
title = "Host"
hours = { mon-fri = ["18:00-21:30"], sat-sun = ["09:00-17:00"] }
[[person]]
id = "builder"
title = "Builder"
hours = { sat-sun = ["09:00-17:00"] }
[[carrier]]
id = "post"
days = "mon-sat"
"""
SEPTEMBER = """\
title = "Hall"
[[job]]
id = "hall"
[[job.step]]
id = "paint"
hands = "30h"
not_before = 2027-04-20
"""
PORCH = """\
title = "Porch"
{extra}
[[parcel]]
id = "tiles"
carrier = "post"
lead = "{lead} workdays"
cost = 90
[[job]]
id = "floor"
[[job.step]]
id = "lay"
hands = "10h"
after = ["tiles"]
[[job.step]]
id = "seal"
hands = "2h"
who = {{ any_of = ["builder", "host"] }}
"""


def write(folder: Path, lead: int, extra: str = "") -> Path:
    (folder / "ideas").mkdir(exist_ok=True)
    (folder / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (folder / "2027-09-hall.toml").write_text(SEPTEMBER, encoding="utf-8")
    (folder / "ideas" / "porch.toml").write_text(
        PORCH.format(lead=lead, extra=extra), encoding="utf-8"
    )
    return folder


def test_months_that_are_skipped_or_taken_are_not_tried(tmp_path: Path) -> None:
    season = read_season(write(tmp_path, 5), clock=0)
    # To 13 October, 26 weeks ahead: June is skipped, September is the hall's.
    assert [month for month, _ in free_months(season)] == [
        "2027-05", "2027-07", "2027-08", "2027-10",
    ]  # fmt: skip


@pytest.mark.parametrize(("lead", "month"), [(3, "2027-05"), (30, "2027-07"), (90, "2027-08")])
def test_the_earliest_release_is_the_first_that_the_renamed_file_meets(
    tmp_path: Path, lead: int, month: str
) -> None:
    folder = write(tmp_path, lead)
    [idea] = compare(read_season(folder, clock=0), odds=False).ideas
    assert idea.earliest is not None
    by_hand = {}
    for tried in ("2027-05", "2027-07", "2027-08"):
        place = folder / f"{tried}-porch.toml"
        place.write_text(PORCH.format(lead=lead, extra=""), encoding="utf-8")
        by_hand[tried] = check(read_season(folder, clock=0)).episode(f"{tried}-porch")
        place.unlink()
    first = next(name for name, judged in by_hand.items() if judged.verdict == "meets")
    assert first == month
    assert idea.earliest.release == by_hand[month].release
    assert idea.earliest.spare_min == by_hand[month].spare_min
    assert idea.next is not None
    assert idea.next.spare_min == by_hand["2027-05"].spare_min


def test_an_idea_that_makes_no_release_has_none_but_keeps_its_next_verdict(tmp_path: Path) -> None:
    [idea] = compare(read_season(write(tmp_path, 300), clock=0), odds=False).ideas
    assert idea.earliest is None
    assert idea.next is not None
    assert idea.next.verdict == "slips"


def test_hours_are_those_of_the_people_the_plan_chose_and_cost_is_all_that_takes_part(
    tmp_path: Path,
) -> None:
    [idea] = compare(read_season(write(tmp_path, 3), clock=0), odds=False).ideas
    assert sum(idea.hands.values()) == 12 * 60
    assert idea.hands["host"] >= 600
    assert idea.cost == 90


def test_what_it_delays_is_named_with_its_minutes(tmp_path: Path) -> None:
    season = read_season(write(tmp_path, 3), clock=0)
    [idea] = compare(season, odds=False).ideas
    [delay] = idea.delays
    assert delay.episode == "2027-09-hall"
    assert (delay.before, delay.after) == ("meets", "meets")
    assert idea.delays_others == delay.minutes > 0


def test_what_holds_it_back_is_the_parcel_its_ready_moment_goes_back_to(tmp_path: Path) -> None:
    [idea] = compare(read_season(write(tmp_path, 30), clock=0), odds=False).ideas
    assert idea.held_by == "tiles"


def test_the_odds_are_those_of_the_renamed_file(tmp_path: Path) -> None:
    from episodes.answers.odds import odds

    folder = write(tmp_path, 3)
    text = PORCH.format(lead="2..3..9", extra="")
    (folder / "ideas" / "porch.toml").write_text(text, encoding="utf-8")
    [idea] = compare(read_season(folder, clock=0)).ideas
    (folder / "2027-05-porch.toml").write_text(text, encoding="utf-8")
    (folder / "ideas" / "porch.toml").unlink()
    by_hand = odds(read_season(folder, clock=0), only="2027-05-porch").episodes[0]
    assert idea.next is not None
    assert idea.next.on_time == pytest.approx(by_hand.on_time, abs=4 * by_hand.standard_error)
