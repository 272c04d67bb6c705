"""A step is changed and added on the screen; the file keeps every other character."""

import tomllib

import pytest

from tests.screens.forms.bench import EPISODE, bench, season
from tests.screens.stand import SIZES


def steps(text: str, job: int = 0) -> dict[str, dict]:
    return {step["id"]: step for step in tomllib.loads(text)["job"][job]["step"]}


@pytest.mark.parametrize("size", SIZES)
async def test_what_is_typed_is_written_and_nothing_else(tmp_path, size):
    async with bench(season(tmp_path), size) as on:
        await on.at("bench.glue")
        screen = await on.press("E")
        assert "Step of Folding bench" in screen
        assert "(builder)" in screen, "what holds where a field is empty is said"
        assert all(len(row) <= size[0] for row in on.rows)
        await on.fill("hands", "1h..2h..3h")
        await on.fill("who", "host, builder")
        await on.press("enter")
        assert not on.in_form
        assert on.foot[0] == "Written: Glue up: hands, who."
        new = '{ id = "glue", title = "Glue up", hands = "1h..2h..3h", who = ["host", "builder"] },'
        assert on.plan == EPISODE.replace('{ id = "glue", title = "Glue up", hands = "1h" },', new)
        after = on.plan
        await on.press("u")
        assert on.plan == EPISODE
        assert "Taken back: Glue up" in on.foot[0]
        await on.press("U")
        assert on.plan == after


async def test_a_fault_stands_under_its_field_in_the_readers_own_words(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.glue")
        await on.press("E")
        screen = await on.fill("hands", "3 hours")
        assert '! `hands`: "3 hours" is not a length of time.' in screen
        await on.press("enter")
        assert on.in_form
        assert on.plan == EPISODE
        screen = await on.fill("where", "garden")
        assert '! `where` names "garden", and studio.toml' in screen
        await on.press("ctrl+u")
        screen = await on.fill("hands", "3h")
        assert "!" not in screen.replace("!`", "")
        await on.press("ctrl+s")
        assert steps(on.plan)["glue"]["hands"] == "3h"


async def test_names_are_completed_and_choices_turned_to(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("E")
        screen = await on.fill("where", "lau")
        assert "laundry           Laundry room" in screen
        await on.press("tab")
        await on.fill("after", "glue gap 2h, lum")
        await on.press("tab")
        await on.fill("gear", "cl")
        await on.press("tab")
        await on.type(" = 2")
        await on.field("light")
        await on.press("right", "right", "left")
        await on.field("optional")
        await on.press("t")
        await on.press("enter")
        assert steps(on.plan)["sand"] == {
            "id": "sand", "title": "Sand", "hands": "1h", "where": "laundry", "light": "day",
            "after": [{"step": "glue", "gap": "2h"}, "lumber"], "gear": {"clamps": 2},
            "optional": True,
        }  # fmt: skip


async def test_leaving_asks_only_where_something_was_typed(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.glue")
        await on.press("E", "escape")
        assert not on.in_form
        await on.press("E")
        await on.fill("hands", "9h")
        screen = await on.press("escape")
        assert on.in_form
        assert "What is typed is not written: Esc once more" in screen
        await on.press("escape")
        assert not on.in_form
        assert on.plan == EPISODE


async def test_a_new_id_is_written_everywhere(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.glue")
        await on.press("E")
        await on.fill("id", "join")
        await on.press("enter")
        assert on.plan == EPISODE.replace('id = "glue",', 'id = "join",').replace(
            'of = "bench.glue"', 'of = "bench.join"'
        )


async def test_a_step_is_added_behind_the_selected_one_with_an_id_of_its_title(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.glue")
        screen = await on.press("i", "s")
        assert "New step of Folding bench, after Glue up" in screen
        await on.type("Wipe off the squeeze-out")
        assert "(wipe-off-the-squeeze-out)" in on.text
        await on.press("enter")
        assert 'has no length. Write hands = "2h" for work' in on.words
        await on.fill("hands", "20min")
        await on.press("enter")
        line = (
            '  { id = "wipe-off-the-squeeze-out", title = "Wipe off the squeeze-out", '
            'hands = "20min" },\n'
        )
        assert on.plan == EPISODE.replace('  { id = "set"', line + '  { id = "set"')
        assert "Wipe off the squeeze-out" in on.foot[0]


async def test_hands_can_become_a_wait(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.sand")
        await on.press("E")
        await on.fill("hands", "")
        await on.fill("wait", "24h")
        await on.press("enter")
        assert steps(on.plan)["sand"] == {"id": "sand", "title": "Sand", "wait": "24h"}


async def test_a_circle_is_refused_with_its_names(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.glue")
        await on.press("E")
        await on.fill("also after", "sand")
        await on.press("enter")
        assert on.in_form
        assert on.plan == EPISODE
        assert "circle" in on.text


async def test_hostile_text_pasted_is_shown_as_text_and_kept_as_it_is(tmp_path):
    evil = (
        "\x1b[31mred\x1b]0;owned\x07 \u202egnp.\x9b2J [bold]x[/] \ttab \U0001f469\u200d\U0001f4bb"
    )
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.glue")
        await on.press("E", "ctrl+u")
        await on.paste(evil)
        screen = await on.press("home")
        assert "␛[31mred␛]0;owned␇" in screen
        assert "[bold]x[/]" in screen
        assert not set(screen) & {"\x1b", "\x07", "\u202e", "\x9b", "\u200d"}
        for _ in range(12):
            await on.press("left")
        await on.press("enter")
        assert steps(on.plan)["glue"]["title"] == evil
        assert not set(on.plan) & {"\x1b", "\x07", "\u202e", "\x9b"}
        assert "\x1b" not in on.text
        await on.press("E")
        await on.fill("hands", "2h")
        await on.press("enter")
        assert steps(on.plan)["glue"] == {"id": "glue", "title": evil, "hands": "2h"}
