"""Somebody else writes the file while a form is open: it is noticed and never written over."""

import tomllib

from tests.screens.forms.bench import EPISODE, bench, season

GLUE = '{ id = "glue", title = "Glue up", hands = "1h" }'


async def test_what_changed_in_another_place_stays_and_is_not_asked_about(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.glue")
        await on.press("E")
        await on.fill("hands", "2h")
        by_hand = EPISODE.replace("or three", "or four").replace("budget = 900", "budget = 950")
        on.file.write_text(by_hand, encoding="utf-8")
        await on.press("enter")
        assert not on.in_form
        assert on.plan == by_hand.replace(GLUE, GLUE.replace("1h", "2h"))


async def test_another_field_of_the_same_step_is_taken_over_and_said(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.glue")
        await on.press("E")
        await on.fill("hands", "2h")
        on.file.write_text(EPISODE.replace('"Glue up"', '"Glue and clamp"'), encoding="utf-8")
        on.app.screen._look()
        await on.settle()
        assert "taken over here: title." in on.words
        assert "Glue and clamp" in on.text
        await on.press("enter")
        glue = tomllib.loads(on.plan)["job"][0]["step"][1]
        assert glue == {"id": "glue", "title": "Glue and clamp", "hands": "2h"}


async def test_the_same_field_is_shown_and_asked(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.glue")
        await on.press("E")
        await on.fill("hands", "2h")
        by_hand = EPISODE.replace(GLUE, GLUE.replace("1h", "4h"))
        on.file.write_text(by_hand, encoding="utf-8")
        await on.press("enter")
        assert on.in_form
        assert "hands is 4h there now. Enter writes yours over it." in on.words
        assert on.plan == by_hand
        await on.press("enter")
        assert tomllib.loads(on.plan)["job"][0]["step"][1]["hands"] == "2h"
        await on.press("u")
        assert on.plan == by_hand


async def test_a_step_that_is_gone_is_said_to_be(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("E")
        await on.fill("hands", "2h")
        gone = EPISODE.replace('  { id = "sand", title = "Sand", hands = "1h" },\n', "")
        on.file.write_text(gone, encoding="utf-8")
        await on.press("enter")
        assert on.in_form
        assert 'there is no step "bench.sand" in the file any more' in on.words
        assert on.plan == gone


async def test_a_file_spoiled_by_hand_is_not_written_over(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.glue")
        await on.press("i", "s")
        await on.type("Wipe")
        await on.fill("hands", "10min")
        on.file.write_text(EPISODE + "\n[[job]\n", encoding="utf-8")
        await on.press("enter")
        assert on.in_form
        assert "not TOML" in on.words
        assert on.plan == EPISODE + "\n[[job]\n"
        on.file.write_text(EPISODE, encoding="utf-8")
        await on.press("enter")
        assert not on.in_form
        assert "wipe" in on.plan


async def test_undo_will_not_take_back_what_was_changed_by_hand_since(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.glue")
        await on.press("E")
        await on.fill("hands", "2h")
        await on.press("enter")
        later = on.plan.replace("budget = 900", "budget = 950")
        on.file.write_text(later, encoding="utf-8")
        await on.press("u")
        assert on.plan == later
