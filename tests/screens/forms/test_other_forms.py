"""Boxes, shots, jobs, links, ways out, the room's head: each has its form."""

import tomllib
from typing import Any

from tests.screens.forms.bench import EPISODE, bench, season


def table(text: str, kind: str, id: str) -> dict[str, Any]:
    return next(each for each in tomllib.loads(text)[kind] if each["id"] == id)


async def test_a_box_is_added_with_the_step_that_waits_for_it_and_changed(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.cut")
        screen = await on.press("i", "p")
        assert "bench.cut" in screen, "the selected step is proposed to wait for it"
        await on.type("Saw blade")
        await on.fill("cost", "24.50")
        await on.press("enter")
        assert table(on.plan, "parcel", "saw-blade") == {
            "id": "saw-blade", "title": "Saw blade", "lead": "3..5..9 workdays",
            "carrier": "post", "cost": 24.5,
        }  # fmt: skip
        assert 'after = ["lumber", "saw-blade"] }, # or three' in on.plan
        assert on.plan.startswith(EPISODE[: EPISODE.index("# --", 200)])
        await on.press("u")
        assert on.plan == EPISODE
        await on.at("lumber")
        await on.press("E")
        await on.fill("promised", "2027-04-02 18:30")
        await on.fill("settle", "48h")
        await on.press("enter")
        line = 'lead = "3..4..6 workdays"\n'
        assert on.plan == EPISODE.replace(
            line, line + 'settle = "48h"\npromised = 2027-04-02T18:30:00\n'
        )


async def test_a_fact_that_lies_ahead_is_refused_as_the_files_refuse_it(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("lumber")
        await on.press("E")
        await on.fill("arrived", "2027-04-02")
        assert "`arrived` 2027-04-02 lies in the future" in on.words or (
            "A fact is written when it has happened." in on.words
        )


async def test_a_shot_is_added_to_the_selected_step_and_changed(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("i", "t")
        await on.type("Dust in the light")
        await on.field("when")
        await on.press("d")
        await on.fill("who", "nobody")
        await on.fill("hands", "")
        await on.field("once")
        await on.press("t")
        await on.press("enter")
        assert table(on.plan, "shot", "dust-in-the-light") == {
            "id": "dust-in-the-light", "title": "Dust in the light", "of": "bench.sand",
            "when": "during", "once": True, "who": [],
        }  # fmt: skip
        await on.at("glue-up")
        await on.press("E")
        await on.fill("light", "")
        await on.press("right")
        await on.press("enter")
        assert table(on.plan, "shot", "glue-up")["light"] == "day"


async def test_a_job_is_added_with_its_steps_as_lines_and_changed(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("i", "j")
        await on.type("Shelf")
        await on.fill("after", "walls")
        await on.field("steps")
        screen = await on.paste("- Cut, 1h, builder\n- Paint 30-45 min, @workshop\n")
        assert "cut: 1h; who builder" in screen
        await on.press("enter")
        assert table(on.plan, "job", "shelf") == {
            "id": "shelf", "title": "Shelf", "after": ["walls"],
            "step": [
                {"id": "cut", "title": "Cut", "hands": "1h", "who": ["builder"]},
                {"id": "paint", "title": "Paint", "hands": "30min..45min", "where": "workshop"},
            ],
        }  # fmt: skip
        assert EPISODE.split("[[shot]]")[0] in on.plan
        await on.at("bench.sand")
        await on.press("i", "J")
        await on.fill("id", "table")
        await on.fill("after", "walls.wash")
        await on.press("enter")
        assert table(on.plan, "job", "table")["after"] == ["walls.wash"]
        assert 'of = "table.glue"' in on.plan


async def test_a_link_is_added_with_its_gap_and_stage(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        screen = await on.press("i", "w")
        assert "Sand waits for .." in screen
        await on.press("enter")
        assert "Name what it waits for" in on.text
        await on.type("was")
        await on.press("tab")
        await on.fill("gap", "two hours")
        assert 'is not a length of time. Write "45min"' in on.words
        await on.fill("gap", "2h")
        await on.press("enter")
        sand = table(on.plan, "job", "bench")["step"][3]
        assert sand["also_after"] == [{"step": "walls.wash", "gap": "2h"}]


async def test_a_way_out_is_added(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("i", "f")
        await on.type("Buy at the yard")
        await on.fill("cost", "60")
        await on.fill("parcel", "lumber = 0..0..2 workdays by post")
        await on.fill("extra", "builder 2027-04-25 09:00-17:00")
        await on.press("enter")
        assert table(on.plan, "fallback", "buy-at-the-yard") == {
            "id": "buy-at-the-yard", "title": "Buy at the yard", "cost": 60,
            "parcel": {"lumber": {"lead": "0..0..2 workdays", "carrier": "post"}},
            "extra": [{"person": "builder", "at": "2027-04-25 09:00-17:00"}],
        }  # fmt: skip


async def test_the_rooms_head_is_changed(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("i", "H")
        await on.fill("budget", "lots")
        assert '"lots" is no number' in on.words
        await on.fill("budget", "1200")
        await on.fill("may start", "release-30d")
        await on.press("enter")
        assert on.plan == EPISODE.replace(
            "budget = 900\n", 'budget = 1200\nmay_start = "release-30d"\n'
        )


async def test_what_cannot_be_typed_is_left_as_it_stands(tmp_path):
    text = EPISODE + '\n[[fallback]]\nid = "odd"\nhands = { bench = { cut = "1h" } }\n'
    async with bench(season(tmp_path, **{"2027-05-laundry": text})) as on:
        from episodes.screens.forms.fallback import EditFallback

        form = EditFallback(on.app.writing._desk, "2027-05-laundry.toml", "odd")
        on.app.writing.open(form)
        await on.settle()
        await on.field("hands")
        assert "changed in the file" in on.words
        await on.type("x")
        await on.fill("cost", "5")
        await on.press("enter")
        assert on.plan == text + "cost = 5\n"


async def test_an_idea_is_written_like_any_room(tmp_path):
    from episodes.screens.forms import acts
    from episodes.screens.page import Target

    idea = 'title = "Porch"\n\n[[job]]\nid = "deck"\nstep = [{ id = "lay", hands = "2h" }]\n'
    async with bench(season(tmp_path, **{"ideas/porch": idea}), (100, 30)) as on:
        desk, target = on.app.writing._desk, Target("porch", "episode")
        on.app.writing.open(acts.edit(desk, target))
        await on.settle()
        await on.fill("title", "Back porch")
        await on.press("enter")
        on.app.writing.open(acts.new_step(desk, target))
        await on.settle()
        await on.type("Oil")
        await on.fill("hands", "1h")
        await on.press("enter")
        written = (on.folder / "ideas" / "porch.toml").read_text(encoding="utf-8")
        assert written == idea.replace('"Porch"', '"Back porch"').replace(
            "}]", '}, { id = "oil", title = "Oil", hands = "1h" }]'
        )
        await on.press("u", "u")
        assert (on.folder / "ideas" / "porch.toml").read_text(encoding="utf-8") == idea


async def test_the_ways_out_are_listed_to_be_changed_or_removed(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("bench.sand")
        screen = await on.press("i", "F")
        assert "Pay for express" in screen
        await on.press("enter")
        await on.fill("cost", "50")
        await on.press("enter")
        assert on.plan == EPISODE.replace("cost = 45", "cost = 50")
        await on.press("i", "Z", "enter")
        assert "[[fallback]]" not in on.plan
        await on.press("i", "F")
        assert "no way out yet" in on.text


async def test_without_plan_files_the_keys_say_so():
    from tests.screens.stand import stand

    async with stand() as on:
        for key in ("E", "i", "M", "X"):
            assert "There are no plan files here to write." in await on.press(key)


async def test_every_key_and_every_entry_is_in_the_help_and_found_by_name(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        table = on.app.writing.keys()
        shown = {key.shown: key.text for key in table}
        assert set(shown) == {"E", "i", "M", "X"}
        names = [name for name, _ in on.app.writing.entries()]
        assert len(names) == len(set(names)) == 15
        await on.press("ctrl+p")
        screen = await on.type("recipe with")
        assert "Recipe with sizes" in screen
        await on.press("enter")
        assert "A recipe for Laundry room" in on.text
