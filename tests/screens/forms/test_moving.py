"""Steps move and go; what hangs on them is asked first, and one key takes all of it back."""

import tomllib

from tests.screens.forms.bench import EPISODE, bench, season


def order(text: str, job: int = 0) -> list[str]:
    return [step["id"] for step in tomllib.loads(text)["job"][job]["step"]]


async def test_a_step_moves_up_and_down_among_the_steps_of_its_job(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.sand")
        screen = await on.press("M")
        assert "Where does Sand go?" in screen
        await on.press("up", "up")
        await on.press("enter")
        assert order(on.plan) == ["cut", "sand", "glue", "set"]
        assert sorted(on.plan.splitlines()) == sorted(EPISODE.splitlines())
        assert on.foot[0] == "Written: Sand: moved, after Cut parts."
        await on.press("u")
        assert on.plan == EPISODE


async def test_a_step_moves_into_another_job_and_its_shot_follows(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.glue")
        await on.press("M", "right", "up")
        screen = on.text
        assert "Walls" in screen
        await on.press("enter")
        assert order(on.plan, 1) == ["glue", "wash"]
        assert 'of = "walls.glue"' in on.plan
        assert on.foot[0] == "Written: Glue up: moved, first of Walls."


async def test_enter_where_it_stands_already_writes_nothing(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.glue")
        await on.press("M", "down", "up", "enter")
        assert on.in_form
        assert "It stands there already" in on.text
        await on.press("escape")
        assert not on.in_form
        assert on.plan == EPISODE


async def test_a_step_that_nothing_hangs_on_goes_at_once(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("bench.sand")
        await on.press("X")
        assert not on.in_form
        assert order(on.plan) == ["cut", "glue", "set"]
        assert on.foot[0] == "Written: Sand: removed."
        await on.press("u")
        assert on.plan == EPISODE


async def test_what_goes_along_and_what_waits_is_asked_first(tmp_path):
    text = EPISODE.replace('{ id = "wash",', '{ id = "wash", after = ["bench.glue"],')
    async with bench(season(tmp_path, **{"2027-05-laundry": text}), (100, 30)) as on:
        await on.at("bench.glue")
        await on.press("X")
        assert "Remove Glue up?" in on.text
        assert "having nothing left to show or change: shot glue-up." in on.words
        assert "will wait for what it waited for: walls.wash." in on.words
        assert on.plan == text
        await on.press("escape")
        assert on.plan == text
        await on.press("X", "enter")
        assert order(on.plan) == ["cut", "set", "sand"]
        assert 'after = ["bench.cut"]' in on.plan
        assert "[[shot]]" not in on.plan
        await on.press("u")
        assert on.plan == text


async def test_what_has_happened_is_not_thrown_away_unasked(tmp_path):
    done = 'id = "sand", title = "Sand", hands = "1h", done = 2027-03-19, took = "2h"'
    text = EPISODE.replace('id = "sand", title = "Sand", hands = "1h"', done)
    async with bench(season(tmp_path, **{"2027-05-laundry": text}), (100, 30)) as on:
        await on.at("bench.sand")
        await on.press("X")
        assert "What has happened goes too (done, took)" in on.words
        await on.press("escape")
        assert on.plan == text


async def test_a_box_goes_and_the_way_out_that_spoke_of_it_alone(tmp_path):
    async with bench(season(tmp_path), (100, 30)) as on:
        await on.at("lumber")
        await on.press("X")
        assert "way out express" in on.words
        await on.press("enter")
        assert "lumber" not in on.plan
        assert "# or three" in on.plan
        assert "# on a Saturday" in on.plan


async def test_a_shot_goes_at_once_and_a_release_cannot(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("glue-up")
        await on.press("X")
        assert on.plan == EPISODE.replace(
            '[[shot]]\nid = "glue-up"\ntitle = "The glue-up"\nof = "bench.glue"\n'
            'hands = "15min"\n\n', ""
        )  # fmt: skip
        await on.press("1", "X")
        assert "only a step, a box or a shot" in on.text


async def test_with_the_last_step_of_a_job_the_job_goes_and_that_is_asked(tmp_path):
    async with bench(season(tmp_path)) as on:
        await on.at("walls.wash")
        await on.press("X")
        assert "job walls." in on.words
        await on.press("enter")
        assert [job["id"] for job in tomllib.loads(on.plan)["job"]] == ["bench"]
        await on.press("u")
        assert on.plan == EPISODE
