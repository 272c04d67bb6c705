"""`O`: the odds of the room in words and as a picture, when they have been counted."""

from tests.screens.season_by_hand import LAUNDRY
from tests.screens.stand import stand


async def test_o_opens_the_odds_of_the_room_in_the_head():
    async with stand() as app:
        text = await app.press("O")
        assert f"{LAUNDRY}: 93 in 100" in text
        assert "▁▅█▃|▁" in text
        assert "93 in 100" in (await app.press("escape"))


def test_the_picture_of_a_real_season_has_the_release_in_it():
    import pickle

    from episodes.screens.questions import odds_lines
    from tests.small_season import season

    plan = season('[[job]]\nid = "a"\n[[job.step]]\nid = "cut"\nhands = "2h..3h..9h"')
    lines = odds_lines(pickle.dumps(plan), {}, (), "2027-04-test")
    assert any("in 100" in line for line in lines)
    [picture] = [line for line in lines if "[" in line and "|" in line]
    assert picture.index("[") < picture.index("|") < picture.index("]")
    assert any(line.startswith("| is the release") for line in lines)
