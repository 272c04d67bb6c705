"""Odds in words: what they mean, what to do about them, when to order."""

from dataclasses import replace

import pytest

from episodes.answers.odds import Driver, EpisodeOdds, OddsAnswer, ParcelOdds, Spread
from episodes.exports.text_odds import odds_text, so_what

NOW = 30_000_000
DAY = 1440

BOARDS = ParcelOdds(
    id="boards", title="Boards", ordered=False, optional=False,
    order_by={50: NOW + 9 * DAY, 80: NOW + 5 * DAY, 95: NOW - DAY},
    harmless_until=NOW + 3 * DAY, cap=0.97,
)  # fmt: skip
CUT = Driver(
    episode="2027-02-hall", id="bench.cut", title="Cut parts", kind="hands", gain=0.07,
    likely_min=150,
)  # fmt: skip

HALL = EpisodeOdds(
    id="2027-02-hall", title="Hall: a bench", release=NOW + 20 * DAY, samples=1000, seed=1,
    on_time=0.86, standard_error=0.01, ceiling=0.88,
    ready={p: NOW + p * 240 + 1 for p in (10, 50, 80, 90, 95)},
    ready_by=NOW + 10 * DAY, verdict="meets", criticality={}, parcels=(BOARDS,), drivers=(CUT,),
    spread=Spread(start=NOW + 18 * DAY, end=NOW + 21 * DAY, shares=(0.5, 0.36, 0.14)),
)  # fmt: skip


def said(*episodes: EpisodeOdds) -> list[str]:
    titles = {episode.id: episode.title for episode in episodes}
    titles["2027-03-study"] = "Study"
    answer = OddsAnswer(now=NOW, zone="UTC", read_as_of=False, episodes=episodes, titles=titles)
    return odds_text(answer).splitlines()


def test_the_odds_come_first_then_what_they_mean_then_when_it_is_ready() -> None:
    lines = said(HALL)
    assert lines[0] == "Hall: 86 in 100 to be out by Thu 4 Feb 08:00, this order kept."
    assert lines[1] == "  Likely in time. Another order of work would hardly change that."
    assert lines[2].startswith("  Ready by Sat 23 Jan 17:00 in 50 of 100, ")


def test_each_thing_to_do_says_how_and_what_the_odds_would_be() -> None:
    at = said(HALL).index("  One thing to do something about, and the odds if it went as likely:")
    assert said(HALL)[at + 1] == "    Cut parts  try it out or get help: 2 h 30  93 in 100"


def test_a_driver_of_another_room_is_named_with_its_room() -> None:
    paint = replace(
        CUT, episode="2027-03-study", kind="parcel", title="Paint", ordered=True,
        arrives=NOW + DAY, likely_min=None,
    )  # fmt: skip
    text = "\n".join(said(replace(HALL, drivers=(CUT, paint))))
    assert "Two things to do something about, and the odds if each alone went as likely:" in text
    assert "Paint (Study)  ask for a firm day: " in text


def test_a_gain_below_one_in_a_hundred_is_not_told() -> None:
    text = "\n".join(said(replace(HALL, drivers=(replace(CUT, gain=0.004),))))
    assert "to do something about" not in text


def test_order_moments_say_how_sure_they_are_and_when_it_is_too_late() -> None:
    lines = said(HALL)
    head = next(line for line in lines if line.startswith("  Order "))
    assert head.split("  ")[1:] != []
    assert "nothing is lost until" in head
    assert head.endswith("95 in 100 until")
    assert lines[lines.index(head) + 1].endswith("too late now")


def test_without_an_order_moment_for_80_the_cap_is_said() -> None:
    low = replace(BOARDS, order_by={50: None, 80: None, 95: None}, cap=0.41)
    lines = said(replace(HALL, on_time=0.4, parcels=(low,)))
    assert lines[-1] == "  However early they come, no more than 41 in 100."


@pytest.mark.parametrize(
    "change", [{"ordered": True}, {"optional": True}, {"harmless_until": None}]
)
def test_what_needs_no_order_or_cannot_help_has_no_row(change: dict[str, object]) -> None:
    lines = said(replace(HALL, parcels=(replace(BOARDS, **change),)))  # type: ignore[arg-type]
    assert not any(line.startswith("  Order ") for line in lines)


@pytest.mark.parametrize(
    ("share", "ceiling", "verdict", "meant"),
    [
        (0.995, 1.0, "meets", "As good as sure."),
        (0.97, 0.99, "meets", "Very likely in time."),
        (0.7, 0.72, "meets", "Likelier in time than late. Another order"),
        (0.3, 0.9, "meets", "Likelier late than in time: at likely lengths it meets"),
        (0.0, 0.0, "slips", "It slips even at likely lengths."),
    ],
)
def test_what_the_odds_mean(share: float, ceiling: float, verdict: str, meant: str) -> None:
    words = so_what(replace(HALL, on_time=share, ceiling=ceiling, verdict=verdict))
    assert words.startswith(meant)
    assert ("up to 90 in 100" in words) == (ceiling == 0.9)
    assert ("episodes rescue" in words) == (share < 0.8)


def test_titles_lose_their_second_half_only_where_the_first_is_nobody_elses() -> None:
    other = replace(HALL, id="2027-04-hall", title="Hall: new light")
    lines = said(HALL, other)
    assert lines[0].startswith("Hall: a bench: ")


def test_what_a_user_wrote_reaches_the_terminal_cleaned() -> None:
    text = "\n".join(
        said(replace(HALL, title="Hall\x1b[2J", drivers=(replace(CUT, title="\x07"),)))
    )
    assert "\x1b" not in text
    assert "\x07" not in text
