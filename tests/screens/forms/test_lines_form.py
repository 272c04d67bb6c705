"""A list typed or pasted becomes steps, and says what it was understood as before it does."""

import tomllib

from tests.screens.forms.bench import EPISODE, bench, season

LIST = "Cut the feet, 30min, host\n- [ ] Round over  20-30 min @workshop\n\nOil\n"


def steps(text: str) -> list[dict]:
    return tomllib.loads(text)["job"][0]["step"]


async def test_lines_pasted_on_a_page_become_steps_behind_the_selected_one(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.glue")
        screen = await on.paste(LIST)
        assert "Steps of Folding bench, a line each" in screen
        assert "cut-the-feet: 30min; who host" in screen
        assert "a guess: no length is given" in on.words
        assert on.plan == EPISODE
        await on.press("enter")
        assert [step["id"] for step in steps(on.plan)] == [
            "cut", "glue", "cut-the-feet", "round-over", "oil", "set", "sand",
        ]  # fmt: skip
        assert steps(on.plan)[4] == {"id": "oil", "title": "Oil", "hands": "30min..1h..2h"}
        assert on.foot[0] == "Written: Folding bench: 3 new steps."
        await on.press("u")
        assert on.plan == EPISODE
        await on.press("U")
        assert len(steps(on.plan)) == 7


async def test_down_gives_another_line_and_what_is_wrong_stands_under_its_own(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("i", "l")
        await on.type("Oil, 20min")
        await on.press("down")
        await on.type("Wax, 10min, @garden, soon")
        assert "not understood, kept as its note: soon" in on.words
        assert '`where` names "garden"' in on.words
        await on.press("enter")
        assert on.in_form
        await on.press("ctrl+u")
        await on.type("Wax, 10min, after lumber")
        await on.press("enter")
        assert steps(on.plan)[-1] == {
            "id": "wax", "title": "Wax", "hands": "10min", "after": ["lumber"],
        }  # fmt: skip


async def test_lines_pasted_into_a_line_follow_it(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("i", "l")
        await on.type("First, 20min")
        await on.press("down")
        await on.paste("Second 1h\r\nThird 2h\r\n")
        await on.press("enter")
        assert [step["id"] for step in steps(on.plan)][-3:] == ["first", "second", "third"]


async def test_a_list_full_of_escape_codes_is_shown_as_text_and_kept(tmp_path):
    evil = "\x1b]0:owned\x07 Cut \x9b2J 30min\n\u202eSand 1h"
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        screen = await on.paste(evil)
        assert "␛]0:owned␇" in screen
        assert not set(screen) & {"\x1b", "\x07", "\x9b", "\u202e"}
        await on.press("enter")
        assert [step["title"] for step in steps(on.plan)][-2:] == [
            "\x1b]0:owned\x07 Cut \x9b2J", "\u202eSand",
        ]  # fmt: skip
        assert not set(on.text) & {"\x1b", "\x07", "\x9b", "\u202e"}


async def test_nothing_on_any_line_writes_nothing(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.sand")
        await on.press("i", "l", "enter")
        assert "No line says anything yet" in on.text
        await on.press("escape")
        assert not on.in_form
