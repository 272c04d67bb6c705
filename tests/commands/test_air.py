"""Coats and the air of their space, through the installed command: waits, refusals, words."""

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

STUDIO = """\
name = "Air"
timezone = "America/Chicago"
release = { on = "first friday", at = 09:00:00 }
as_of = 2027-02-20T08:00:00
{studio}
[[person]]
id = "host"
hours = { daily = ["09:00-18:00"] }

[[space]]
id = "shed"
title = "Shed"
{shed}
"""
EPISODE = """\
title = "Shed"
room = "shed"

[[job]]
id = "floor"
[[job.step]]
id = "paint"
hands = "2h"
coat = "{coat}"
{more}
"""


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str


@pytest.fixture
def ask(tmp_path: Path) -> Any:
    def run(
        *words: str,
        shed: str = "",
        coat: str = "floor-paint",
        studio: str = "",
        more: str = "",
        release: str = "2027-06",
    ) -> Ran:
        text = STUDIO.replace("{studio}", studio).replace("{shed}", shed)
        (tmp_path / "studio.toml").write_text(text, encoding="utf-8")
        (tmp_path / f"{release}-shed.toml").write_text(
            EPISODE.replace("{coat}", coat).replace("{more}", more), encoding="utf-8"
        )
        ran = subprocess.run(
            [sys.executable, "-m", "episodes", *words, "--season", str(tmp_path)],
            capture_output=True, text=True, timeout=60, check=False,
        )  # fmt: skip
        return Ran(ran.returncode, ran.stdout, ran.stderr)

    return run


def problem(ran: Ran) -> dict[str, Any]:
    assert ran.code in (0, 1), ran.err
    (found,) = json.loads(ran.out)["episodes"][0]["problems"]
    assert isinstance(found, dict)
    return found


WINTER = 'air_by_month = { "11-03" = { celsius = 7, humidity = 60 } }'
MENDS = ("(air, air_by_month)", "(where)", "(coat)")


def test_cold_air_keeps_a_coat_waiting_and_says_until_when_and_by_how_much(ask: Any) -> None:
    found = problem(ask("check", "--json", shed=WINTER))
    assert (found["level"], found["code"]) == ("warning", "too-cold")
    assert found["subject"] == "floor.paint"
    assert found["text"] == (
        '"floor.paint" waits until 2027-04-01: shed is at 7 °C, 3 degrees too cold for '
        "floor-paint, which needs 10 °C."
    )
    assert all(mend in found["mend"] for mend in MENDS)
    assert found["mend"].startswith("Heat shed")


def test_hot_air_keeps_a_coat_waiting(ask: Any) -> None:
    hot = 'air_by_month = { "02" = { celsius = 33 } }'
    found = problem(ask("check", "--json", shed=hot))
    assert found["code"] == "too-hot"
    assert found["text"] == (
        '"floor.paint" waits until 2027-03-01: shed is at 33 °C, 1 degree too hot for '
        "floor-paint, which bears 32 °C."
    )
    assert found["mend"].startswith("Cool shed")


def test_damp_air_keeps_a_coat_waiting(ask: Any) -> None:
    damp = 'air_by_month = { "02-04" = { humidity = 87.5 } }'
    found = problem(ask("check", "--json", shed=damp))
    assert found["code"] == "too-damp"
    assert found["text"] == (
        '"floor.paint" waits until 2027-05-01: shed is at 87.5 % humidity, 7.5 points too damp '
        "for floor-paint, which bears 80 %."
    )
    assert found["mend"].startswith("Dry shed")


def test_a_studio_that_reads_fahrenheit_is_answered_in_it(ask: Any) -> None:
    cold = 'air_by_month = { "11-03" = { fahrenheit = 45 } }'
    found = problem(ask("check", "--json", shed=cold, studio='units = "us"'))
    assert (
        "shed is at 45 °F, 5 degrees too cold for floor-paint, which needs 50 °F" in found["text"]
    )


def test_air_that_turns_before_the_coat_is_touch_dry_keeps_it_waiting_too(ask: Any) -> None:
    # Oil stain is touch dry after 8 h; on the last day of February no start leaves as much.
    turning = 'air_by_month = { "03" = { celsius = 2 } }'
    ran = ask(
        "check", "--json", shed=turning, coat="exterior-oil-stain",
        more="not_before = 2027-02-28T15:00:00",
    )  # fmt: skip
    found = problem(ran)
    assert found["code"] == "too-cold"
    assert found["text"] == (
        '"floor.paint" waits until 2027-04-01: begun before, it would not be touch dry by '
        "2027-03-01, when shed goes to 2 °C, 5 degrees too cold for exterior-oil-stain, which "
        "needs 7 °C."
    )


def test_what_waits_for_air_starts_on_its_first_day(ask: Any) -> None:
    ran = ask("check", "--json", shed=WINTER)
    steps = {row["id"]: row for row in json.loads(ran.out)["episodes"][0]["steps"]}
    assert steps["floor.paint"]["start"] == "2027-04-01T09:00:00-05:00"
    assert steps["floor.paint"]["because"] == {"kind": "air", "id": "shed"}


@pytest.mark.parametrize(
    ("shed", "coat", "studio"),
    [
        ("", "floor-paint", ""),
        ("air = { celsius = 10, humidity = 80 }", "floor-paint", ""),
        (WINTER, "shellac-primer", ""),
    ],
)
def test_air_within_its_limits_says_nothing(ask: Any, shed: str, coat: str, studio: str) -> None:
    ran = ask("check", "--json", shed=shed, coat=coat, studio=studio)
    assert json.loads(ran.out)["episodes"][0]["problems"] == []


# ------------------------------------------------------------------------ no day at all


@pytest.mark.parametrize(
    ("shed", "coat", "said", "verb"),
    [
        (
            "air = { celsius = 7.2, humidity = 60 }",
            "floor-paint",
            "at best shed is at 7.2 °C, 2.8 degrees too cold for floor-paint, which needs 10 °C",
            "Heat",
        ),
        (
            'air = { celsius = 8 }\nair_by_month = { "12-02" = { celsius = 2 } }',
            "floor-paint",
            "at best shed is at 8 °C, 2 degrees too cold for floor-paint, which needs 10 °C.",
            "Heat",
        ),
        (
            "air = { humidity = 83 }",
            "floor-paint",
            "at best shed is at 83 % humidity, 3 points too damp for floor-paint, which bears 80 %",
            "Dry",
        ),
        (
            "air = { celsius = 35 }",
            "wallpaper-paste",
            "at best shed is at 35 °C, 7 degrees too hot for wallpaper-paste, which bears 28 °C",
            "Cool",
        ),
        (
            'air = { celsius = 5 }\nair_by_month = { "06-08" = { celsius = 20, humidity = 90 } }',
            "floor-paint",
            "too cold for floor-paint, which needs 10 °C, or at 90 % humidity, 10 points too damp",
            "Heat or dry",
        ),
    ],
    ids=["cold", "colder in winter", "damp", "hot", "cold or damp"],
)
def test_air_that_never_allows_a_coat_is_a_fault_with_its_line(
    ask: Any, shed: str, coat: str, said: str, verb: str
) -> None:
    ran = ask("check", shed=shed, coat=coat)
    assert ran.code == 2
    assert ran.out == ""
    (line,) = ran.err.splitlines()
    assert line.startswith('2027-06-shed.toml:6: error no-open-day: "floor.paint" finds no day')
    assert said in line
    assert f"{verb} shed" in line
    assert all(mend in line for mend in MENDS)


def test_days_that_would_do_but_are_nobody_s_are_told_apart(ask: Any) -> None:
    short = 'air = { celsius = 5 }\nair_by_month = { "03" = { celsius = 20 } }'
    ran = ask("check", shed=short, more="not_before = 2027-03-31T17:00:00")
    assert ran.code == 2
    assert "no-open-day" in ran.err
    assert "on the days on which shed would do for floor-paint" in ran.err
    assert "longer hours on those days" in ran.err


def test_times_written_out_ask_for_no_air(ask: Any) -> None:
    ran = ask(
        "check", "--json", shed="air = { celsius = 2, humidity = 95 }",
        more='dries = { touch = "1h", recoat = "4h", handle = "1d" }',
    )  # fmt: skip
    assert ran.code == 0
    assert json.loads(ran.out)["episodes"][0]["problems"] == []
