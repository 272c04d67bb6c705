"""`materials`: lists, one product in full, and the air of a space on a day."""

from pathlib import Path
from typing import Any

import pytest

from episodes.cli import run
from tests.commands.seasons import Answer, Desk


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: Any) -> Any:
    """The command in an empty folder: no season there."""
    monkeypatch.chdir(tmp_path)

    def run_it(*words: str) -> Answer:
        code = run(["materials", *words])
        out, err = capsys.readouterr()
        return Answer(code, out, err)

    return run_it


def ids(answer: Answer) -> list[str]:
    return [product["id"] for product in answer.json["products"]]


def test_without_a_season_all_products_are_listed_by_kind(ask: Any) -> None:
    answer = ask()
    assert answer.code == 0
    lines = answer.out.splitlines()
    assert lines[0] == "64 products, likely times in air of 21 °C and 50 %."
    assert [line for line in lines if line and not line.startswith(" ")][1:-1] == [
        "Coats", "Glues", "Fillers", "Sealants", "Mortars", "Tapes and films",
    ]  # fmt: skip
    assert "  wall-paint" in answer.out
    assert "the tin is right" in lines[-1]
    assert "licensed practice" in lines[-1]


@pytest.mark.parametrize(
    ("word", "wanted"),
    [
        ("sealant", {"latex-caulk", "silicone-sealant", "polyurethane-sealant"}),
        ("THINSET", {"rapid-thinset"}),
        ("danish", {"danish-oil"}),
        ("stain-blocking", {"shellac-primer"}),
    ],
)
def test_a_word_finds_products_by_id_title_kind_or_other_name(
    ask: Any, word: str, wanted: set[str]
) -> None:
    assert wanted <= set(ids(ask(word, "--json")))


def test_the_whole_name_of_one_product_finds_that_one_alone(ask: Any) -> None:
    assert ids(ask("shellac", "--json")) == ["shellac"]
    assert ids(ask("acrylic-caulk", "--json")) == ["latex-caulk"]
    assert len(ids(ask("shella", "--json"))) == 2


def test_one_product_is_shown_with_its_times_limits_care_and_sources(ask: Any) -> None:
    out = ask("hardwax-oil").out
    for part in (
        "Hardwax oil (hardwax-oil), coat",
        "recoat  8 h .. 16 h .. 1 d",
        "from 12 °C, to 30 °C, at most 75 % humidity",
        "caution: Oily rags can catch fire by themselves",
        "National Fire Protection Association",
        "note: Too thick a coat stays soft",
        "times   published: German trade guides",
        "limits  published:",
        "use     from memory",
    ):
        assert part in out, part


def test_a_two_sided_window_and_a_longest_recoat_time_are_told(ask: Any) -> None:
    assert "next coat within 1 h, or after 2 d" in ask("aerosol-enamel").out
    assert "1 d, or sand first" in ask("oil-polyurethane").out


def test_a_word_that_finds_nothing_says_what_is_near(ask: Any) -> None:
    answer = ask("hardwaxoil")
    assert answer.code == 2
    assert 'no product has "hardwaxoil" in its name or kind; did you mean "hardwax-oil"?' in (
        answer.err
    )
    assert answer.out == ""


def test_a_day_without_a_space_is_refused(ask: Any) -> None:
    answer = ask("--on", "2027-03-01")
    assert answer.code == 2
    assert "--at SPACE" in answer.err


def test_a_space_needs_a_season(ask: Any) -> None:
    assert ask("--at", "study").code == 2


AIR = """\
title = "Study"
air_by_month = { "03" = { celsius = 14, humidity = 60 }, "04" = { celsius = 5 } }"""


@pytest.fixture
def cold_desk(desk: Desk) -> Desk:
    desk.edit('title = "Study"', AIR, "studio.toml")
    return desk


def test_the_air_of_a_space_on_a_day_makes_the_times(cold_desk: Desk) -> None:
    out = cold_desk("materials", "wall-paint", "--at", "study", "--on", "2027-03-13").out
    # The law for water at 14 °C and 60 % is a factor of 1.9447: 4 h become 7 h 47.
    assert "Study, Sat 13 Mar 2027: 14 °C, 60 %" in out
    assert "recoat  3 h 54 .. 7 h 47 .. 11 h 41" in out
    assert "no surface colder than 9.4 °C" in out
    assert "boards come to rest at 11.2 % moisture" in out
    assert (
        "closed Thu 1 Apr 2027 to Fri 30 Apr 2027: too cold, 5 °C there and it needs 10 °C" in out
    )


def test_without_a_day_it_is_the_day_of_the_season(cold_desk: Desk) -> None:
    answer = cold_desk("materials", "wall-paint", "--at", "stud", "--json")
    (product,) = answer.json["products"]
    assert product["air"]["day"] == "2027-04-14"
    assert product["air"]["open"] is False
    assert product["air"]["closed"][0] == {
        "why": "too-cold", "first": "2027-04-14", "last": "2027-04-30", "is": 5.0, "limit": 10,
    }  # fmt: skip


def test_a_list_in_the_air_of_a_space_marks_what_is_closed(cold_desk: Desk) -> None:
    out = cold_desk("materials", "primer", "--at", "study", "--on", "2027-04-14").out
    by_id = {line.split()[0]: line for line in out.splitlines() if line.startswith("  ")}
    assert by_id["waterborne-primer"].endswith("too cold")
    assert not by_id["oil-primer"].endswith("too cold")


def test_fahrenheit_is_read_where_the_studio_reads_it(cold_desk: Desk) -> None:
    cold_desk.edit('currency = "USD"', 'currency = "USD"\nunits = "us"', "studio.toml")
    out = cold_desk("materials", "wall-paint", "--at", "study", "--on", "2027-03-13").out
    assert "Study, Sat 13 Mar 2027: 57.2 °F, 60 %" in out
    assert "°C" not in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--at", "attic"), 'no space is called "attic"; studio.toml has study'),
        (("--at", "study", "--on", "tomorrow-ish"), "write 2027-03-15"),
        (("--at", "study", "--on", "3027-03-15"), "lies outside 1990 to 2199"),
    ],
)
def test_what_is_not_there_is_named(desk: Desk, words: tuple[str, ...], said: str) -> None:
    answer = desk("materials", *words)
    assert answer.code == 2
    assert said in answer.err


def test_a_title_from_the_plan_never_drives_the_terminal(desk: Desk) -> None:
    desk.edit('title = "Study"', 'title = "Stu\\u001b[2Jdy"', "studio.toml")
    answer = desk("materials", "wall-paint", "--at", "study")
    assert answer.code == 0
    assert "\x1b" not in answer.out
