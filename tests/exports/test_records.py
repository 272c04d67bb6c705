"""JSON as the plan format has it: names, order, instants, and nothing that could act."""

import json
from dataclasses import replace
from typing import Any

import pytest

from episodes.calendars.working_time import NEVER
from episodes.exports.records import amount, check_record, fact_record, instants, to_json
from tests.exports.answers_by_hand import LAUNDRY, NOW, ZONE, at, laundry, season, with_step

EPISODE_KEYS = (
    "id", "title", "release", "verdict", "proved", "ready_by", "ready_floor", "spare_min",
    "room_by", "steps", "parcels", "money", "problems",
)  # fmt: skip
STEP_KEYS = (
    "id", "kind", "state", "critical", "early_start", "early_finish", "late_start",
    "late_finish", "slack_min", "slack_work_min", "start", "finish", "sessions", "who", "where",
    "because",
)  # fmt: skip
PARCEL_KEYS = (
    "id", "state", "order_by", "arrives", "latest_arrival", "latest_exact", "return_by", "cost",
)  # fmt: skip


def begins_with(record: dict[str, Any], keys: tuple[str, ...]) -> bool:
    return tuple(record)[: len(keys)] == keys


def test_check_has_the_contracts_keys_in_its_order_and_its_own_behind_them() -> None:
    record = check_record(season())
    assert begins_with(record, ("format", "now", "episodes"))
    assert record["format"] == 1
    for episode in record["episodes"]:
        assert begins_with(episode, EPISODE_KEYS)
        assert all(begins_with(step, STEP_KEYS) for step in episode["steps"])
        assert all(begins_with(parcel, PARCEL_KEYS) for parcel in episode["parcels"])
        assert begins_with(episode["money"], ("budget", "planned", "paid", "left"))
    problems = record["episodes"][0]["problems"]
    assert all(begins_with(each, ("level", "code", "where", "text")) for each in problems)


def test_instants_carry_the_studios_offset_on_both_sides_of_a_clock_change() -> None:
    instant = instants(ZONE)
    assert instant(NOW) == "2027-04-14T18:00:00-05:00"
    assert instant(at("01-15", "09:00")) == "2027-01-15T09:00:00-06:00"
    assert instant(None) is None
    assert instant(NEVER) is None
    assert instant(-NEVER) is None


def test_a_steps_row_says_when_who_where_and_why() -> None:
    step = check_record(season())["episodes"][0]["steps"][1]
    assert step["sessions"] == [["2027-04-14T18:00:00-05:00", "2027-04-14T19:00:00-05:00"]]
    assert step["who"] == ["host", "builder"]
    assert step["where"] == "workshop"
    assert step["because"] == {"kind": "parcel", "id": "lumber"}
    assert step["critical"] is True


def test_what_is_not_known_is_null() -> None:
    record = check_record(season())["episodes"][0]
    done = record["steps"][0]
    assert [done[key] for key in ("early_start", "late_finish", "slack_min", "because")] == [
        None, None, None, None,
    ]  # fmt: skip
    assert record["parcels"][0]["order_by"] is None
    assert record["problems"][0]["where"] is None
    assert record["problems"][1]["where"] == f"{LAUNDRY}.toml:12"


def test_money_is_whole_where_it_is_whole() -> None:
    money = check_record(season())["episodes"][0]["money"]
    assert json.dumps(money) == (
        '{"budget": 900, "planned": 840, "paid": 215.4, "left": 60, "unpriced": 1}'
    )
    assert amount(0.1 + 0.2) == 0.3
    assert amount(None) is None


def test_a_title_cannot_reach_the_terminal_as_anything_but_plain_ascii() -> None:
    hostile = "\x1b]0;owned\x07\x9b2J\u202eübel\x7f\ud800"
    text = to_json(check_record(season(replace(laundry(), title=hostile))))
    assert text.isascii()
    assert text.isprintable()
    assert json.loads(text)["episodes"][0]["title"] == hostile


def test_the_same_answer_has_the_same_bytes() -> None:
    assert to_json(check_record(season())) == to_json(check_record(season()))


def test_a_fact_answers_with_the_verdict_before_and_after() -> None:
    before = season(laundry())
    after = season(replace(laundry(), spare_min=60))
    record = fact_record("Glue up: done 19:00", before, after)
    assert record["said"] == "Glue up: done 19:00"
    assert record["episodes"][0]["spare_min"] == 60
    assert record["episodes"][0]["spare_before_min"] == laundry().spare_min
    assert fact_record("x", None, after)["episodes"][0]["verdict_before"] is None


def test_a_number_that_json_has_not_is_refused() -> None:
    broken = season(with_step(laundry(), "bench.glue", slack_min=float("nan")))
    with pytest.raises(ValueError, match="JSON"):
        to_json(check_record(broken))
