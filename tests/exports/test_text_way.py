"""What a way out changes, in words: every kind of change names its thing and what becomes of it."""

import pytest

from episodes.exports.text_way import way_lines
from tests.small_season import season

PLAN = """
parcel = [{ id = "boards", title = "Boards", lead = "9d" }]
[[job]]
id = "shelf"
title = "Shelf"
step = [
  { id = "cut", title = "Cut", hands = "2h", after = ["boards"] },
  { id = "oil", title = "Oil it", hands = "1h", coat = "waterborne-polyurethane" },
]
[[job]]
id = "trim"
title = "Trim"
fallback_only = true
step = [{ id = "nail", hands = "1h" }]
[[shot]]
id = "reveal"
title = "Reveal"
hands = "20min"
[[fallback]]
id = "way"
"""


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            'parcel = { boards = { lead = "1..2..3 workdays", carrier = "post" } }',
            "Boards: ordered anew, in hand after 1 to 3 workdays, Parcel post",
        ),
        ('drop = ["shelf.cut", "reveal"]', "Left out: Shelf: Cut, Reveal"),
        ('use = ["trim"]', "Takes part: Trim"),
        ('hands = { "shelf.cut" = "30min..1h" }', "Shelf: Cut: 30 min to 1 h of work"),
        (
            'coat = { "shelf.oil" = "wall-paint" }',
            "Shelf: Oil it: Latex (water-borne) wall paint instead",
        ),
        ('who = { reveal = { any_of = ["host"] } }', "Reveal: done by host"),
        ('where = { reveal = "shed" }', "Reveal: in Garden shed"),
        ("air = { shed = { celsius = 20, humidity = 45 } }", "Garden shed kept at 20 °C and 45 %"),
        (
            'extra = [{ person = "host", at = "2027-03-06 09:00-17:00" }]',
            "host works Sat 6 Mar 09:00-17:00 too",
        ),
    ],
)
def test_a_change_is_said_with_the_names_of_the_plan(change: str, said: str) -> None:
    found = season(
        PLAN + change,
        spaces='[[space]]\nid = "shed"\ntitle = "Garden shed"\n'
        '[[carrier]]\nid = "post"\ntitle = "Parcel post"\ndays = "mon-sat"\n',
    )
    (episode,) = found.episodes
    (line,) = way_lines(found, episode, episode.fallbacks[0])
    assert line.startswith(said)


def test_a_title_that_would_act_on_a_terminal_is_cleaned() -> None:
    found = season(PLAN.replace('"Boards"', r'"\u001b[2JBoards"') + 'parcel = { boards = "1d" }')
    (episode,) = found.episodes
    (line,) = way_lines(found, episode, episode.fallbacks[0])
    assert "\x1b" not in line
