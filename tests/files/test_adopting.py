"""A way out written into the plan gives the season that was planned with it, and can be undone."""

from pathlib import Path
from shutil import copytree

import pytest

from episodes.answers.changes import taking
from episodes.answers.check import answer, check
from episodes.answers.planning import plan_season
from episodes.answers.rescue import rescue
from episodes.answers.rows import EpisodeAnswer
from episodes.files import journal
from episodes.files.adopting import adopt
from episodes.files.editing import ChangedMeanwhileError
from episodes.files.reading import read_season
from episodes.files.saving import texts_of
from episodes.model.season import Season

EPISODE = "2027-05-den"
STUDIO = """\
name = "Rooms"
timezone = "America/Chicago"
release = { on = "first friday" }
as_of = 2027-04-01T08:00:00

[[person]]
id = "host"
hours = { mon-fri = ["18:00-21:00"] }
off = ["2027-04-24"]

[[person]]
id = "builder"          # weekends only
hours = { sat = ["09:00-17:00"] }
extra = ["2027-04-09 09:00-12:00"]

[[space]]
id = "garage"
air = { celsius = 21, humidity = 50 }
air_by_month = { "11-04" = { celsius = 8, humidity = 70 }, "05" = { celsius = 15 } }

[[space]]
id = "den"

[[carrier]]
id = "post"
days = "mon-sat"
"""
PLAN = """\
# my plan
title = "Den"
room = "den"
parcel = [
  { id = "boards", carrier = "post", lead = "20d", promised = 2027-05-03, cost = 200 },  # late
  { id = "ready", lead = "3d", fallback_only = true },
  { id = "lamp", lead = "2d", cost = 30, paid = 35, ordered = 2027-03-31 },
]

[[job]]
id = "shelf"
who = ["builder"]
where = "garage"
cost = 12
  [[job.step]]
  id = "cut"
  hands = "5h"
  after = ["boards", "ready"]
  [[job.step]]
  id = "seal"
  hands = "1h"
  who = ["host"]
  coat = "waterborne-polyurethane"
  dries = { touch = "1d", recoat = "2d", handle = "8d" }
  [[job.step]]
  id = "fit"
  hands = "2h"
  cost = 40

[[job]]
id = "trim"
fallback_only = true
step = [{ id = "nail", hands = "1h", cost = 5 }]

[[shot]]
id = "reveal"
of = "shelf"
hands = "30min"
cost = 3
"""
WAYS = {
    "order": 'cost = 45.5\nparcel = { boards = { lead = "2..3..6 workdays" } }',
    "elapsed": 'cost = 4\nparcel = { boards = { lead = "4d", carrier = "post" }, lamp = "1d" }',
    "leave-out": 'cost = -10\ndrop = ["shelf.seal", "reveal"]',
    "leave-out-a-job": 'drop = ["shelf"]',
    "shorter": 'cost = 7\nhands = { "shelf.cut" = "2h..3h..4h", reveal = "10min" }',
    "other-coat": 'cost = 3\ncoat = { "shelf.seal" = "waterborne-polyurethane" }',
    "more-hours": """cost = 300
extra = [
  { person = "builder", at = "2027-05-04 09:00-17:00" },
  { person = "host", at = "2027-04-24 22:00-24:00" },
]""",
    "warm": "cost = 20\nair = { garage = { celsius = 20 } }",
    "elsewhere": 'cost = 1\nwhere = { "shelf.seal" = "den", reveal = "den" }',
    "others": """cost = 2
who = { "shelf.cut" = ["host"], reveal = { any_of = ["host", "builder"] } }""",
    "bought": 'cost = 95\nuse = ["ready", "trim"]\ndrop = ["boards", "shelf.seal"]',
}
OTHERS = """
[[fallback]]
id = "also-bought"      # nothing else
use = ["ready"]
[[fallback]]
id = "bought-and-more"
use = ["ready"]
drop = ["shelf.fit"]
"""  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    ways = "".join(f'\n[[fallback]]\nid = "{id}"\n{text}\n' for id, text in WAYS.items())
    (tmp_path / "studio.toml").write_text(STUDIO, encoding="utf-8")
    (tmp_path / f"{EPISODE}.toml").write_text(PLAN + ways + OTHERS, encoding="utf-8")
    return tmp_path


def read(folder: Path) -> Season:
    return read_season(folder, clock=0)


def taken(folder: Path, *ids: str) -> tuple[EpisodeAnswer, EpisodeAnswer, EpisodeAnswer]:
    """The episode as it was, as planned with the ways, and as read after they were written."""
    season = read(folder)
    ways = [way for way in season.episode(EPISODE).fallbacks if way.id in ids]
    changed = taking(season, EPISODE, ways)
    promised = answer(plan_season(changed.season, extra=changed.extra, air=changed.air))
    before = check(season).episode(EPISODE)
    adopt(folder, season, EPISODE, ways, "taken", clock=0, seen=texts_of(folder))
    return before, promised.episode(EPISODE), check(read(folder)).episode(EPISODE)


@pytest.mark.parametrize("id", WAYS)
def test_the_plan_is_then_the_one_that_was_promised_at_the_price_that_was_named(folder, id):
    season = read(folder)
    cost = next(way.cost for way in season.episode(EPISODE).fallbacks if way.id == id)
    before, promised, after = taken(folder, id)
    assert after.ready_by == promised.ready_by
    assert after.verdict == promised.verdict
    starts = {row.id: row.start for row in promised.steps if row.state != "dropped"}
    assert {row.id: row.start for row in after.steps if row.state != "dropped"} == starts
    assert after.money.planned == pytest.approx(before.money.planned + cost)
    assert id not in {way.id for way in read(folder).episode(EPISODE).fallbacks}


def test_two_ways_are_taken_as_one_change_in_two_files(folder):
    before, promised, after = taken(folder, "more-hours", "order")
    assert after.ready_by == promised.ready_by
    assert after.money.planned == pytest.approx(before.money.planned + 345.5)
    assert len(journal.changes(folder)) == 1
    assert len(journal.changes(folder)[0].files) == 2


@pytest.mark.parametrize("id", WAYS)
def test_one_undo_puts_every_file_back_byte_for_byte(folder, id):
    before = {path.name: path.read_bytes() for path in folder.glob("*.toml")}
    taken(folder, id)
    assert {path.name: path.read_bytes() for path in folder.glob("*.toml")} != before
    assert journal.undo(folder) == "taken"
    assert {path.name: path.read_bytes() for path in folder.glob("*.toml")} == before


def test_the_user_s_comments_and_what_is_not_changed_stay(folder):
    taken(folder, "order")
    text = (folder / f"{EPISODE}.toml").read_text(encoding="utf-8")
    assert text.startswith("# my plan\n")
    line = next(line for line in text.splitlines() if '"boards"' in line)
    assert line == (
        '  { id = "boards", carrier = "post", lead = "2..3..6 workdays", cost = 245.5 },  # late'
    )


def test_other_ways_name_no_more_what_has_come_in_and_go_where_that_was_all(folder):
    taken(folder, "bought")
    left = {way.id: way for way in read(folder).episode(EPISODE).fallbacks}
    assert "also-bought" not in left
    assert left["bought-and-more"].use == ()
    assert left["bought-and-more"].drop


def test_warm_air_is_that_of_the_months_up_to_the_release_alone(folder):
    taken(folder, "warm")
    (garage,) = [space for space in read(folder).studio.spaces if space.id == "garage"]
    assert [(air.celsius, air.humidity) for air in garage.air_by_month[2:6]] == [
        (8, 70), (20, 70), (20, 50), (21, 50),
    ]  # fmt: skip
    assert "# weekends only" in (folder / "studio.toml").read_text(encoding="utf-8")


def test_nothing_is_written_where_the_file_was_changed_meanwhile(folder):
    season, seen = read(folder), texts_of(folder)
    way = season.episode(EPISODE).fallbacks[0]
    file = folder / f"{EPISODE}.toml"
    file.write_text(file.read_text(encoding="utf-8") + "\n# more\n", encoding="utf-8")
    there = file.read_bytes()
    with pytest.raises(ChangedMeanwhileError, match="was changed meanwhile"):
        adopt(folder, season, EPISODE, [way], "taken", clock=0, seen=seen)
    assert file.read_bytes() == there
    assert journal.changes(folder) == ()


def test_each_way_out_that_rescue_finds_keeps_its_promise(folder, tmp_path_factory):
    text = "".join(
        f'\n[[fallback]]\nid = "{id}"\n{WAYS[id]}\n' for id in ("order", "bought", "warm")
    )
    (folder / f"{EPISODE}.toml").write_text(PLAN + text, encoding="utf-8")
    found = rescue(read(folder), EPISODE).ways
    assert found
    for way in found:
        copy = tmp_path_factory.mktemp("copy") / "season"
        copytree(folder, copy)
        season = read(copy)
        before = check(season).episode(EPISODE)
        chosen = [each for each in season.episode(EPISODE).fallbacks if each.id in way.fallbacks]
        adopt(copy, season, EPISODE, chosen, "taken", clock=0)
        after = check(read(copy)).episode(EPISODE)
        assert (before.verdict, after.verdict) == ("slips", "meets")
        assert after.ready_by is not None
        assert after.ready_by <= way.ready_by
        assert after.money.planned == pytest.approx(before.money.planned + way.cost)
