"""`costs`, `links` and `table`: text, files that open in a spreadsheet, JSON."""

import csv
import io
from pathlib import Path

import pytest

from tests.commands.seasons import Desk

LINK = 'link = "https://example.org/oak?a=1&b=2"\n'


@pytest.fixture
def linked(desk: Desk) -> Desk:
    desk.edit("cost = 80   # a guess\n", f"cost = 80   # a guess\n{LINK}")
    return desk


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_costs_says_planned_left_and_paid_and_then_line_by_line(desk: Desk) -> None:
    answer = desk("costs")
    assert answer.code == 0
    assert answer.out.splitlines()[:2] == [
        "Read as of Wed 14 Apr 2027 18:00.",
        "Study: 86.50 USD planned of 300 USD, 213.50 USD left; 6.50 USD paid.",
    ]
    assert "Oak board  80 USD" in answer.out


def test_costs_counts_a_price_that_nobody_gave_as_unknown(desk: Desk) -> None:
    desk.edit("cost = 80   # a guess\n", "")
    answer = desk("costs")
    assert answer.out.splitlines()[1].endswith("; 6.50 USD paid; 1 parcel without a price.")
    assert "Oak board  no price" in answer.out
    (room,) = desk("costs", "--json").json["episodes"]
    assert (room["planned"], room["unpriced"]) == (6.5, 1)


def test_costs_as_csv_is_what_the_file_holds_but_for_its_mark(desk: Desk, tmp_path: Path) -> None:
    printed = desk("costs", "--csv").out
    assert read(printed)[0]["title"] == "Oak board"
    file = tmp_path / "costs.csv"
    said = desk("costs", "-o", str(file))
    assert (said.code, said.out) == (0, "costs.csv: 2 rows.\n")
    assert file.read_bytes() == b"\xef\xbb\xbf" + printed.encode()
    assert b"\r\n" in file.read_bytes()


def test_a_file_is_replaced_whole_and_nothing_is_left_beside_it(desk: Desk, tmp_path: Path) -> None:
    file = tmp_path / "out" / "steps.md"
    file.parent.mkdir()
    file.write_text("old", encoding="utf-8")
    assert desk("table", "steps", "-o", str(file)).code == 0
    assert file.read_text(encoding="utf-8").startswith("| episode | id |")
    assert [path.name for path in file.parent.iterdir()] == ["steps.md"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("costs", "-o", "costs.txt"), "ends in .csv or .md"),
        (("costs", "--csv", "--md"), "ask for one of them"),
        (("costs", "--json", "-o", "costs.csv"), "--json is printed"),
        (("table", "-o", "steps.md", "--csv"), "do not agree"),
        (("table", "-o", "nowhere/steps.csv"), "there is no folder nowhere"),
        (("table", "gear"), "gear"),
    ],
)
def test_what_cannot_be_written_is_refused_with_the_way_out(
    words: tuple[str, ...], said: str, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(desk.folder)
    answer = desk(*words)
    assert answer.code == 2
    assert said in answer.err
    assert not list(desk.folder.glob("*.csv"))


def test_links_prints_what_can_be_pasted_and_names_the_rest_apart(linked: Desk) -> None:
    answer = linked("links")
    assert answer.out.splitlines()[2:] == [
        "Study",
        "Oak board (80 USD): https://example.org/oak?a=1&b=2",
    ]
    assert answer.err == "note: without a link: Screws\n"
    assert "USD" not in linked("links", "--no-prices").out
    (room,) = linked("links", "--json").json["episodes"]
    assert room["links"] == [
        {"id": "board", "title": "Oak board", "link": "https://example.org/oak?a=1&b=2",
         "price": 80}
    ]  # fmt: skip
    assert room["without"] == ["Screws"]


def test_links_without_any_says_where_one_is_written(desk: Desk) -> None:
    assert 'write link = "https://..." on it' in desk("links").out


def test_a_link_in_markdown_can_be_followed_and_breaks_out_of_nothing(linked: Desk) -> None:
    linked.edit('title = "Oak board"', 'title = "Oak [board](x) <b>"')
    linked.edit("oak?a=1&b=2", "oak>) [y](z")
    text = linked("links", "--md").out
    assert text.splitlines()[-1] == (
        r"- [Oak \[board\](x) &lt;b&gt;](<https://example.org/oak%3E)%20%5By%5D(z>) (80 USD)"
    )


def test_a_link_that_is_no_web_address_is_not_made_to_be_followed(linked: Desk) -> None:
    linked.edit("https://example.org/oak?a=1&b=2", "javascript:alert(1)")
    assert (
        linked("links", "--md").out.splitlines()[-1] == "- Oak board (80 USD): javascript:alert(1)"
    )


@pytest.mark.parametrize("kind", ["steps", "parcels", "shots", "money"])
def test_every_table_has_the_rows_of_the_season_in_all_three_forms(kind: str, desk: Desk) -> None:
    rows = read(desk("table", kind).out)
    record = desk("table", kind, "--json").json
    assert record["columns"] == list(rows[0])
    assert len(record["rows"]) == len(rows)
    lines = desk("table", kind, "--md").out.splitlines()
    assert len(lines) == len(rows) + 2
    ids = {"steps": "shelf.cut", "parcels": "board", "shots": "before", "money": "screws"}
    assert ids[kind] in [row["id"] for row in rows]


def test_the_table_of_steps_says_what_check_says(desk: Desk) -> None:
    (episode,) = desk("check", "--json").json["episodes"]
    wanted = {step["id"]: step for step in episode["steps"]}
    for row in read(desk("table").out):
        step = wanted[row["id"]]
        assert row["start"] == step["start"][:16].replace("T", " ")
        assert row["late_finish"] == step["late_finish"][:16].replace("T", " ")
        assert int(row["slack_min"]) == step["slack_min"]
        assert row["critical"] == ("yes" if step["critical"] else "no")


def test_a_title_that_is_a_formula_is_text_in_every_table(desk: Desk) -> None:
    desk.edit('title = "Cut parts"', "title = \"=HYPERLINK('http://x','y')\"")
    desk.edit('title = "Oak board"', 'title = "@SUM(1)"')
    desk.edit('title = "Reveal"', 'title = "-2+3|cmd"')
    titles = {
        row["title"]
        for kind in ("steps", "parcels", "shots", "money")
        for row in read(desk("table", kind).out)
    }
    assert {"'=HYPERLINK('http://x','y')", "'@SUM(1)", "'-2+3|cmd"} <= titles
    assert not any(title.startswith(("=", "+", "-", "@")) for title in titles)


def test_money_that_comes_in_stays_a_negative_number(desk: Desk) -> None:
    desk.edit('hands = "1h"\n\n[[shot]]', 'hands = "1h"\ncost = -25.5\n\n[[shot]]')
    rows = {row["id"]: row for row in read(desk("table", "money").out)}
    assert rows["shelf.hang"]["cost"] == "-25.5"


def test_tables_answer_for_one_room_alone_where_its_file_is_named(desk: Desk) -> None:
    (desk.folder / "2027-06-porch.toml").write_text(
        desk.text.replace("2027-05", "2027-06"), encoding="utf-8"
    )
    assert {row["episode"] for row in read(desk("table").out)} == {"2027-05-study", "2027-06-porch"}
    alone = desk("table", "--season", str(desk.file), season=False)
    assert {row["episode"] for row in read(alone.out)} == {"2027-05-study"}
