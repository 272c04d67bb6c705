"""`late`, `today`, `orders`, `shots` and `why` in words and in JSON, from answers made by hand."""

from dataclasses import replace

from episodes.answers.late import LateAnswer, LateEpisode, Moved
from episodes.answers.orders import OrderLine
from episodes.answers.shots import ShotLine
from episodes.answers.today import AtRisk, Do, OrderBy, Running, TodayAnswer
from episodes.answers.why import WhyAnswer, WhyLink
from episodes.exports.records import (
    late_record,
    orders_record,
    shots_record,
    today_record,
    why_record,
)
from episodes.exports.text_late import late_text
from episodes.exports.text_lists import orders_text, shots_text
from episodes.exports.text_today import today_text
from episodes.exports.text_why import why_text
from tests.exports.answers_by_hand import LAUNDRY, NOW, PORCH, ZONE, at, laundry, porch, season


def late() -> LateAnswer:
    after = replace(
        laundry(), verdict="slips", proved=False, spare_min=-120, ready_by=at("05-07", "11:00")
    )
    return LateAnswer(
        parcel="tiles",
        title="Tiles",
        episode=LAUNDRY,
        arrives=at("04-28", "18:00"),
        planned=at("04-20", "18:00"),
        before=laundry(),
        after=after,
        verdict="slips",
        proved=False,
        spare_min=-120,
        ready_by=at("05-07", "11:00"),
        latest_arrival=at("04-23", "18:00"),
        latest_exact=False,
        episodes=(
            LateEpisode(LAUNDRY, "Laundry room", "slips", -120, "meets", 4560),
            LateEpisode(PORCH, "Porch", "slips", -11_520, "slips", -10_080),
        ),
        moved=(
            Moved(LAUNDRY, "bench.flatten", "Flatten", at("04-15", "18:00"), at("04-29", "18:00")),
            Moved(PORCH, "floor.stain", "Stain", at("06-10", "09:00"), None),
        ),
        zone=ZONE,
        season="Second Coat",
    )


def test_late_says_whether_it_matters_until_when_it_may_come_and_what_moves() -> None:
    assert late_text(late(), season()).splitlines() == [
        (
            "Laundry room slips Fri 7 May 09:00 by 2 h: ready Fri 7 May 11:00. "
            "It is not proved that no other plan would meet it."
        ),
        "Tiles in hand Wed 28 Apr 18:00, planned Tue 20 Apr 18:00.",
        "Last arrival that meets: Fri 23 Apr 18:00; a later one is not ruled out.",
        "Porch: slips, 8 d late (was 7 d late).",
        "",
        "What moves",
        "  Flatten (Laundry room)  Thu 15 Apr 18:00  ->  Thu 29 Apr 18:00",
        "  Stain (Porch)           Thu 10 Jun 09:00  ->  no date",
    ]


def test_late_says_what_is_proved_of_the_last_arrival() -> None:
    exact = replace(late(), latest_exact=True, moved=())
    assert "Last arrival that meets: Fri 23 Apr 18:00." in late_text(exact, season())
    assert late_text(exact, season()).endswith("Nothing else moves.")
    none = replace(late(), latest_arrival=None)
    assert "No arrival from now on meets the release with the plan in hand." in late_text(
        none, season()
    )


def test_late_in_json_has_the_contracts_keys_in_its_order() -> None:
    record = late_record(late())
    assert list(record)[:10] == [
        "parcel", "arrives", "verdict", "proved", "spare_min", "ready_by", "latest_arrival",
        "latest_exact", "episodes", "moved",
    ]  # fmt: skip
    assert list(record["episodes"][0])[:3] == ["id", "verdict", "spare_min"]
    assert list(record["moved"][0])[:3] == ["id", "from", "to"]
    assert record["moved"][1]["to"] is None


def test_ways_are_never_said_to_be_none_where_none_were_looked_for() -> None:
    assert late_record(late())["ways"] is None
    assert late_record(replace(late(), verdict="meets"))["ways"] == []


def today() -> TodayAnswer:
    return TodayAnswer(
        now=NOW,
        zone=ZONE,
        read_as_of=False,
        do=(
            Do(episode=LAUNDRY, id="bench.glue", title="Glue up", who=("host", "builder"),
               from_=NOW, to=NOW + 60, hands_min=60, critical=True, latest=NOW,
               film_first=("raw-wood",), cautions=("Wear gloves.\x1b[2J",)),
            Do(episode=PORCH, id="floor.stain", title="Stain", who=("host",), from_=NOW + 60,
               to=NOW + 150, hands_min=90, critical=False, latest=at("06-01", "18:00"),
               film_first=()),
        ),
        order=(
            OrderBy(LAUNDRY, "tiles", "Tiles", at("04-17")),
            OrderBy(PORCH, "lanterns", "Lanterns", None),
        ),
        at_risk=(AtRisk(LAUNDRY, "raw-wood", "Raw wood, close", at("04-16", "18:00")),),
        running=(Running(LAUNDRY, "bench.set", "Glue sets", at("04-15", "07:00")),),
    )  # fmt: skip


def test_today_shows_each_step_with_what_to_film_and_to_beware_of_before_it() -> None:
    assert today_text(today(), season()).splitlines() == [
        "Wed 14 Apr: 2 steps, 2 h 30 of work; film 1 shot before.",
        "  18:00-19:00  Host, Builder  Folding bench: Glue up (Laundry room)  1 h     critical",
        "               film first: Raw wood, close",
        "               caution: Wear gloves.␛[2J",
        (
            "  19:00-20:30  Host           Porch floor: Stain (Porch)             1 h 30  "
            "start at the latest Tue 1 Jun 18:00"
        ),
        "",
        "Order this week",
        "  by Fri 16 Apr 24:00  Tiles (Laundry room)",
        "  at once              Lanterns (Porch)",
        "",
        "Film before it is gone",
        "  before Fri 16 Apr 18:00  Raw wood, close (Laundry room)",
        "",
        "Drying and waiting",
        "  until Thu 15 Apr 07:00  Glue sets (Laundry room)",
    ]


def test_a_free_evening_is_said_to_be_one() -> None:
    free = replace(today(), do=(), order=(), at_risk=(), running=())
    assert today_text(free, season()) == "Wed 14 Apr: nothing to do."


def test_today_in_json_has_the_contracts_keys_in_its_order() -> None:
    record = today_record(today())
    assert list(record) == ["now", "do", "order", "at_risk", "running"]
    assert list(record["do"][0]) == [
        "episode", "id", "title", "who", "from", "to", "hands_min", "critical", "latest",
        "film_first",
    ]  # fmt: skip
    assert list(record["order"][0])[:3] == ["episode", "id", "by"]
    assert list(record["at_risk"][0])[:3] == ["episode", "shot", "before"]
    assert list(record["running"][0])[:3] == ["episode", "id", "until"]


def orders() -> tuple[OrderLine, ...]:
    lumber, tiles = laundry().parcels
    coming = replace(tiles, id="tap", title="Tap", state="started", order_by=None,
                     ordered=NOW - 99)  # fmt: skip
    return (
        OrderLine(episode=LAUNDRY, episode_title="", row=tiles, too_late=False, give_min=4320),
        OrderLine(episode=LAUNDRY, episode_title="", row=coming, too_late=False, give_min=4320),
        OrderLine(episode=LAUNDRY, episode_title="", row=lumber, too_late=False, give_min=None),
    )


def test_orders_are_what_to_order_then_what_comes_then_what_can_go_back() -> None:
    assert orders_text(orders(), season(laundry())).splitlines() == [
        "Next to order: Tiles by Fri 16 Apr 24:00.",
        "",
        "To order",
        "  by Fri 16 Apr 24:00  Tiles  comes Tue 20 Apr 18:00",
        "",
        "On the way",
        "  Tue 20 Apr 18:00  Tap  last arrival that meets Fri 23 Apr 18:00, 3 d later",
        "",
        "Can go back",
        "  until Wed 12 May 24:00  Birch boards",
    ]
    assert orders_text((), season(laundry())) == "Nothing is left to order."


def test_an_order_of_a_release_that_slips_is_for_now() -> None:
    tiles = replace(laundry().parcels[1], order_by=None, latest_arrival=None)
    line = OrderLine(episode=LAUNDRY, episode_title="", row=tiles, too_late=True, give_min=None)
    assert orders_text((line,), season(laundry())).splitlines()[0] == (
        "Order at once: Tiles; the release slips as it is."
    )
    record = orders_record((line,), season(laundry()))["orders"][0]
    assert (record["episode"], record["id"], record["too_late"]) == (LAUNDRY, "tiles", True)


def test_shots_say_what_ends_their_chance_and_which_have_no_copy() -> None:
    raw = laundry().step("raw-wood")
    lines = (
        ShotLine(episode=LAUNDRY, row=raw, gone_after=at("04-15", "18:00"),
                 ended_by="bench.flatten", taken=False, backed_up=False, lost=False),
        ShotLine(episode=LAUNDRY, row=replace(raw, id="b", title="Before", light="day"),
                 gone_after=None, ended_by=None, taken=False, backed_up=False, lost=True),
        ShotLine(episode=LAUNDRY, row=replace(raw, id="c", title="Clamps", state="done"),
                 gone_after=None, ended_by=None, taken=True, backed_up=False, lost=False),
    )  # fmt: skip
    assert shots_text(lines, season(laundry())).splitlines() == [
        "2 shots to film; the first that will be gone: Raw wood, close, Thu 15 Apr 18:00.",
        "",
        "To film",
        "  Thu 15 Apr 20:00  Raw wood, close            gone when Flatten starts, Thu 15 Apr 18:00",
        "  Thu 15 Apr 20:00  Before           daylight  lost: take it again",
        "",
        "Taken, no copy yet",
        "  Clamps",
    ]
    record = shots_record(lines, season(laundry()))["shots"]
    assert [shot["taken"] for shot in record] == [False, False, True]
    assert shots_text((), season(laundry())) == "Nothing is left to film."


def why() -> WhyAnswer:
    return WhyAnswer(
        id="bench.flatten",
        episode=LAUNDRY,
        title="Flatten",
        start=at("04-15", "18:00"),
        finish=at("04-15", "20:00"),
        chain=(
            WhyLink("bench.glue", NOW, NOW + 60, "hands", "can start now"),
            WhyLink("bench.flatten", at("04-15", "18:00"), at("04-15", "20:00"), "hands",
                    "waits for Glue sets"),
        ),
        slack_min=0,
        slack_work_min=0,
        critical=True,
        zone=ZONE,
    )  # fmt: skip


def test_why_tells_the_chain_and_the_caution_of_the_step() -> None:
    assert why_text(why(), season(laundry())).splitlines() == [
        (
            "Flatten starts Thu 15 Apr 18:00. It is critical: a minute more here makes the room "
            "a minute later."
        ),
        "",
        "From now to there",
        "  Wed 14 Apr 18:00  - Wed 14 Apr 19:00  Folding bench: Glue up  can start now",
        "  Thu 15 Apr 18:00  - Thu 15 Apr 20:00  Folding bench: Flatten  waits for Glue sets",
        "",
        "Caution: Wear eye protection and a mask that fits.",
    ]


def test_why_says_how_much_slack_there_is() -> None:
    some = replace(why(), critical=False, slack_min=1440, slack_work_min=210)
    assert "It has 1 d of slack, 3 h 30 of it in its own hours." in why_text(some, season())
    late_start = replace(why(), critical=False, slack_min=-90)
    assert "It is 1 h 30 later than the release allows." in why_text(late_start, season())
    fact = replace(why(), critical=False, slack_min=None)
    assert why_text(fact, season()).splitlines()[0] == "Flatten starts Thu 15 Apr 18:00."


def test_why_in_json_has_the_contracts_keys_in_its_order() -> None:
    record = why_record(why())
    assert list(record)[:6] == [
        "id", "start", "chain", "slack_min", "slack_work_min", "critical",
    ]  # fmt: skip
    assert list(record["chain"][0])[:5] == ["id", "start", "finish", "kind", "text"]


def test_a_rooms_second_name_is_left_out_where_the_first_is_enough() -> None:
    hall = replace(porch(), title="Porch: an outdoor room")
    assert "Lanterns (Porch)" in today_text(today(), season(laundry(), hall))
    same = replace(laundry(), title="Porch: by night")
    text = today_text(today(), season(same, hall))
    assert "Lanterns (Porch: an outdoor room)" in text
