"""The trade's cautions: each with its authority, brought on by what is done and by no title."""

import re
from pathlib import Path

import pytest

from episodes.answers.changes import taking
from episodes.answers.check import check
from episodes.answers.rows import StepRow
from episodes.files.cautions import (
    brought_on_by,
    caution_named,
    cautions_of,
    load_advice,
    load_cautions,
)
from episodes.files.products import load_products
from episodes.files.trade_tables import trade_tables
from episodes.model.season import Season
from episodes.trade.cautions import MOST, Caution
from tests.small_season import season

CAUTIONS = load_cautions()
each_caution = pytest.mark.parametrize("caution", CAUTIONS.values(), ids=CAUTIONS)
OF_RECIPES = """
anchor asbestos call-811 cement cord cords dust-mask eyes fresh-air glass hearing hidden
iron knees knife ladder lead lift mains nailer neck needle pinch rags saw silica slip spray
staples stranger strip tip-over trapped trip wet-mains gas structure
"""
LICENSED = {"gas", "structure", "mains", "asbestos", "lead", "plumbing", "hidden"}


@each_caution
def test_a_caution_is_one_line_with_its_authority_and_how_that_is_known(caution: Caution) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", caution.id)
    assert re.fullmatch(r"[A-Z][^\n]{10,150}\.", caution.text)
    assert caution.authority
    assert re.fullmatch(
        r"published: .{15,}|from memory|common practice, no published source", caution.basis
    )
    if caution.authority == "none known":
        assert caution.basis.startswith("common practice")


@each_caution
def test_what_is_for_licensed_practice_says_so_in_its_line(caution: Caution) -> None:
    assert bool(caution.licensed) == (caution.id in LICENSED)
    if caution.licensed:
        assert re.search(r"licensed|certified", caution.text), caution.text


def test_the_weightiest_come_first() -> None:
    assert [each.weight for each in CAUTIONS.values()] == list(range(len(CAUTIONS)))
    first = list(CAUTIONS)[: len(LICENSED) - 1]
    assert set(first) == LICENSED - {"hidden"}


def test_no_name_is_borne_twice() -> None:
    for id in CAUTIONS:
        found = caution_named(id)
        assert found is not None
        assert found.id == id
    assert not set(CAUTIONS) & set(load_advice())
    assert caution_named("moon-dust") is None


@pytest.mark.parametrize("name", OF_RECIPES.split())
def test_a_recipe_may_name_every_hazard_of_its_trade(name: str) -> None:
    assert caution_named(name)


def test_of_a_list_only_what_can_hurt_is_a_caution() -> None:
    found = cautions_of(["raises-grain", "oily-rags", "rags", "no-freeze", "gloves"])
    assert [each.id for each in found] == ["oily-rags", "gloves"]


@pytest.mark.parametrize(
    ("makes", "does", "wanted"),
    [
        (["dust"], [], ["dust-mask"]),
        (["fumes"], [], ["ventilate"]),
        (["noise", "dust"], [], ["dust-mask", "hearing"]),
        ([], ["wiring"], ["mains"]),
        ([], ["gas"], ["gas"]),
        ([], ["demolition"], ["structure", "asbestos"]),
        ([], ["old-paint"], ["lead"]),
        (["dust", "noise"], ["sawing"], ["saw", "dust-mask", "eyes", "hearing"]),
        ([], ["holes"], ["hidden"]),
        ([], ["holes-in-boards", "paint"], []),
    ],
)
def test_what_a_step_makes_and_does_brings_its_cautions(
    makes: list[str], does: list[str], wanted: list[str]
) -> None:
    assert [each.id for each in brought_on_by(makes, does)] == wanted


def test_every_word_that_brings_a_caution_is_on_the_page_about_safety() -> None:
    page = (Path(__file__).parents[2] / "docs" / "safety.md").read_text(encoding="utf-8")
    does = {
        word for table in trade_tables("cautions.toml", "caution") for word in table.get("does", ())
    }
    rows = re.findall(r"^\| `does` (.*?) \|", page, re.MULTILINE)
    told = [word for row in rows for word in re.findall(r"`([a-z-]+)`", row)]
    assert sorted(told) == sorted(does)


def row(plan: Season, id: str) -> StepRow:
    return check(plan).episodes[0].step(id)


def texts(*ids: str) -> tuple[str, ...]:
    return tuple(CAUTIONS[id].text for id in ids)


STEP = '[[job]]\nid = "a"\n[[job.step]]\nid = "b"\nhands = "1h"\n'


def test_a_step_shows_its_own_caution_first_and_then_the_weightiest() -> None:
    plan = season(
        f'{STEP}caution = "Mind the cat."\nmakes = ["noise", "dust"]\ndoes = ["wiring", "sawing"]'
    )
    assert row(plan, "a.b").cautions == ("Mind the cat.", *texts("mains", "saw"))


def test_at_most_three_cautions_are_shown() -> None:
    plan = season(f'{STEP}makes = ["noise", "dust"]\ndoes = ["gas", "wiring", "sawing"]')
    assert row(plan, "a.b").cautions == texts("gas", "mains", "saw")
    assert MOST == 3


def test_a_coat_brings_the_cautions_of_its_product() -> None:
    plan = season(f'{STEP}coat = "hardwax-oil"')
    assert row(plan, "a.b").cautions == texts("oily-rags", "ventilate")


def test_the_cautions_of_a_product_stay_where_the_step_writes_its_times() -> None:
    times = 'dries = { touch = "1h", recoat = "2h", handle = "1d" }'
    plan = season(f'{STEP}coat = "hardwax-oil"\n{times}')
    assert row(plan, "a.b").cautions == texts("oily-rags", "ventilate")
    own = season(f'{STEP}coat = "whey"\n{times}')
    assert row(own, "a.b").cautions == ()


def test_what_is_said_twice_is_shown_once() -> None:
    line = CAUTIONS["oily-rags"].text
    plan = season(f'{STEP}coat = "hardwax-oil"\ncaution = "{line}"')
    assert row(plan, "a.b").cautions == (line, *texts("ventilate"))


def test_a_title_is_never_looked_at() -> None:
    titled = 'title = "Saw through the gas pipe, rewire, sand lead paint"'
    assert row(season(f"{STEP}{titled}"), "a.b").cautions == ()


def test_a_job_hands_its_dust_down_with_its_caution() -> None:
    plan = season(
        '[[job]]\nid = "a"\nmakes = ["dust"]\n[[job.step]]\nid = "b"\nhands = "1h"\n'
        '[[job.step]]\nid = "c"\nwait = "1h"'
    )
    assert row(plan, "a.b").cautions == texts("dust-mask")
    assert row(plan, "a.c").cautions == ()


def test_another_coat_by_a_way_out_brings_its_own_cautions() -> None:
    plan = season(
        f'{STEP}coat = "wall-paint"\n[[fallback]]\nid = "faster"\ncoat = {{ "a.b" = "shellac" }}'
    )
    assert row(plan, "a.b").cautions == ()
    episode = plan.episodes[0]
    changed = taking(plan, episode.id, episode.fallbacks).season
    assert row(changed, "a.b").cautions == texts("flammable-vapour", "ventilate")


def test_whoever_films_during_a_step_is_shown_its_cautions() -> None:
    plan = season(
        f'{STEP}makes = ["dust"]\n'
        '[[shot]]\nid = "s"\nof = "a.b"\nwhen = "during"\nhands = "10min"\ncaution = "Tape cables."'
    )
    assert row(plan, "s").cautions == ("Tape cables.", *texts("dust-mask"))


def test_every_hazard_of_a_product_is_on_its_coat() -> None:
    for product in load_products().values():
        assert product.coating.cautions == cautions_of(product.cautions)
    oils = ["hardwax-oil", "danish-oil", "tung-oil", "linseed-oil", "oil-polyurethane"]
    for id in oils:
        assert caution_named("rags") in load_products()[id].coating.cautions, id
