"""Who waits for warmth is told so; who waits for somebody's dust is not."""

from episodes.answers.check import check
from tests.small_season import season


def test_a_coat_that_waits_for_dust_to_settle_is_not_told_of_a_winter_to_come() -> None:
    plan = season(
        """
[[job]]
id = "a"
[[job.step]]
id = "sand"
hands = "6h"
makes = ["dust"]
started = 2027-02-28T18:00:00
left = "3h"
[[job]]
id = "floor"
[[job.step]]
id = "paint"
hands = "1h"
coat = "floor-paint"
who = ["painter"]
""",
        people='[[person]]\nid = "painter"\nhours = { daily = ["20:00-23:00"] }',
        room='air_by_month = { "11-12" = { celsius = 2 } }\nlingers = { dust = "1h" }',
    )
    episode = check(plan).episodes[0]
    paint, because = episode.step("floor.paint"), episode.step("floor.paint").because
    assert because is not None
    assert because.kind == "air"
    assert paint.start == episode.step("a.sand").sessions[-1][1] + 60
    assert episode.problems == ()
