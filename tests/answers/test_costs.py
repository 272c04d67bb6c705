"""The money of a room, line by line; its sums are those of `check`."""

from pathlib import Path

import pytest

from episodes.answers.check import check
from episodes.answers.costs import costs
from episodes.answers.links import links
from episodes.files.reading import read_season
from tests.asking import MATERIALS
from tests.reference import generate, referee
from tests.small_season import season

PRODUCTS = referee.products(MATERIALS)
ROOM = """
budget = 500
[[parcel]]
id = "lamp"
title = "Lamp"
lead = "3d"
cost = 60
paid = 64.10
link = "https://example.org/lamp"
[[parcel]]
id = "hooks"
lead = "3d"
cost = 40
ordered = 2027-02-01
arrived = 2027-02-03T12:00:00
failed = "wrong"
returned = 2027-02-20
paid = 40
refunded = 40
link = "https://example.org/hooks"
[[parcel]]
id = "hooks-again"
lead = "3d"
cost = 45
replaces = "hooks"
[[parcel]]
id = "rug"
lead = "3d"
[[parcel]]
id = "spare"
lead = "1d"
cost = 99
fallback_only = true
link = "https://example.org/spare"
[[parcel]]
id = "given-up"
lead = "3d"
cost = 20
paid = 5
dropped = 2027-02-20
[[job]]
id = "hang"
cost = 12.5
step = [
  { id = "bore", hands = "1h", cost = 3, after = ["hooks", "lamp", "rug"] },
  { id = "sell", hands = "1h", cost = -30 },
]
[[shot]]
id = "reveal"
hands = "20min"
cost = 7
"""


def test_planned_is_what_was_paid_else_the_cost_less_refunds() -> None:
    """64.10 + (40 - 40) + 45 + 5 paid for what was given up + 12.5 + 3 - 30 + 7 = 106.60."""
    (room,) = costs(season(ROOM)).episodes
    assert room.planned == 106.60
    assert room.paid == 69.10
    assert room.unpaid == 37.50
    assert room.left == 393.40
    assert room.unpriced == 1
    assert room.of_job("hang") == -14.5


def test_what_takes_no_part_and_cost_nothing_has_no_line() -> None:
    (room,) = costs(season(ROOM)).episodes
    assert [line.id for line in room.lines] == [
        "lamp", "hooks", "hooks-again", "rug", "given-up",
        "hang", "hang.bore", "hang.sell", "reveal",
    ]  # fmt: skip
    states = {line.id: line.state for line in room.lines}
    assert states["hooks"] == "returned"
    assert states["given-up"] == "dropped"
    assert states["hooks-again"] == "open"


@pytest.mark.parametrize("seed", range(3))
def test_the_sums_of_generated_rooms_are_those_of_their_own_files(
    seed: int, tmp_path: Path
) -> None:
    """`check --json` is held to the files by the referee; `costs` must say the same."""
    folder = generate.write(seed, 6, tmp_path / "season", PRODUCTS)
    read = read_season(folder, clock=0)
    answered = {episode.id: episode.money for episode in check(read).episodes}
    for room in costs(read).episodes:
        money = answered[room.id]
        assert (money.budget, money.planned, money.paid, money.left, money.unpriced) == (
            room.budget, room.planned, room.paid, room.left, room.unpriced,
        )  # fmt: skip
        assert room.planned == pytest.approx(sum(line.planned for line in room.lines), abs=0.005)


def test_links_leave_out_what_was_sent_back_replaced_or_kept_for_a_fallback() -> None:
    (room,) = links(season(ROOM)).episodes
    assert [(line.id, line.link, line.price) for line in room.lines] == [
        ("lamp", "https://example.org/lamp", 64.10)
    ]
    assert room.without == ("hooks-again", "rug")
