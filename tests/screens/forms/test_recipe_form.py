"""Recipes with sizes and new rooms, from the screen."""

import tomllib

from tests.screens.forms.bench import EPISODE, STUDIO, bench, season


async def test_a_recipe_is_chosen_sized_seen_and_put_in(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("i", "r")
        screen = await on.type("paint-w")
        assert "paint-walls       Paint the walls" in screen
        await on.press("tab")
        await on.looked()
        await on.fill("area", "two")
        assert 'area: "two" is no number' in on.words
        await on.fill("area", "20")
        assert "steps:" in on.words
        await on.press("pagedown")
        assert "To buy:" in on.words
        assert on.plan == EPISODE
        await on.press("enter")
        assert not on.in_form
        assert on.foot[0].startswith("Written: Paint the walls: added as walls-2, likely ")
        made = tomllib.loads(on.plan)
        assert [job["id"] for job in made["job"]] == ["bench", "walls", "walls-2"]
        assert made["parcel"][-1]["id"] == "walls-2-tinted-paint"
        await on.press("u")
        assert on.plan == EPISODE
        assert (on.folder / "studio.toml").read_text(encoding="utf-8") == STUDIO


async def test_a_new_room_is_written_with_its_month(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.press("i", "N")
        await on.press("enter")
        assert "Give it a title." in on.text
        await on.type("Spare room")
        await on.fill("recipes", "paint-walls area=20, wall-shelf")
        assert "Paint the walls: " in on.words
        await on.fill("budget", "300")
        await on.press("enter")
        assert not on.in_form, on.text
        made = tomllib.loads((on.folder / "2027-06-spare-room.toml").read_text(encoding="utf-8"))
        assert (made["title"], made["room"], made["budget"]) == ("Spare room", "spare-room", 300)
        assert {"walls", "clear", "edit"} <= {job["id"] for job in made["job"]}
        assert "Spare room" in on.text
        await on.press("u")
        assert not (on.folder / "2027-06-spare-room.toml").exists()


async def test_an_idea_has_no_month_and_goes_into_its_folder(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.press("i", "I")
        await on.type("Box room")
        await on.fill("recipes", "wall-shelf")
        await on.press("enter")
        assert not on.in_form, on.text
        assert (on.folder / "ideas" / "box-room.toml").is_file()
        assert on.foot[0] == "Written: ideas/box-room.toml: new idea."


async def test_a_month_that_is_past_or_no_recipe_is_told(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.press("i", "N")
        await on.type("Spare room")
        await on.fill("recipes", "gold-plating")
        assert 'no recipe is called "gold-plating"' in on.words
        await on.fill("recipes", "wall-shelf")
        await on.fill("month", "2027-01")
        await on.press("enter")
        assert "the release of 2027-01 is past" in on.words
        assert on.in_form
