"""What changed since the last look, and the memory of that look."""

from dataclasses import replace

import pytest

from episodes.answers.changed import changed, seen
from episodes.files.seen import read_seen, write_seen
from tests.screens.season_by_hand import BOX_ROOM, LAUNDRY, at, box_room, laundry, porch, season


def test_nothing_has_changed_where_nothing_is_otherwise() -> None:
    assert changed(seen(season()), season()) == ()


def test_a_verdict_a_moment_an_arrival_a_new_room_and_a_gone_one_are_told() -> None:
    before = season(laundry(), box_room())
    boxes = tuple(
        replace(box, arrives=at("04-16", "18:00")) if box.id == "lumber" else box
        for box in laundry().parcels
    )
    after = season(
        replace(laundry(), parcels=boxes, ready_by=at("05-03", "13:00")),
        replace(porch(), verdict="slips", spare_min=-60),
    )
    found = changed(seen(before), after)
    assert [(each.what, each.episode) for each in found] == [
        ("ready", LAUNDRY), ("arrival", LAUNDRY), ("new", porch().id), ("gone", BOX_ROOM),
    ]  # fmt: skip
    assert (found[1].parcel_title, found[1].before, found[1].after) == (
        "Birch boards", at("04-14", "18:00"), at("04-16", "18:00"),
    )  # fmt: skip
    turned = season(replace(laundry(), verdict="slips", spare_min=-120), box_room())
    (verdict,) = changed(seen(before), turned)
    assert (verdict.verdict_before, verdict.verdict_after, verdict.after) == (
        "meets", "slips", -120,
    )  # fmt: skip


def test_less_than_an_hour_is_not_worth_saying() -> None:
    moved = season(replace(laundry(), ready_by=at("05-02", "13:59")), porch(), box_room())
    assert changed(seen(season()), moved) == ()


def test_what_was_seen_is_read_back_as_it_was(tmp_path) -> None:
    assert read_seen(tmp_path) is None
    write_seen(tmp_path, seen(season()))
    assert read_seen(tmp_path) == seen(season())


ODD = (
    '{"at": 1, "episodes": [{"id": "a", "title": "", "verdict": "maybe", "spare_min": 1, '
    '"ready_by": 1, "arrives": {}}]}'
)


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"at": "x", "episodes": []}', '{"at": 1, "episodes": [{"id": "a"}]}', ODD,
     "[" * 100_000],
)  # fmt: skip
def test_a_spoiled_memory_is_none(tmp_path, text) -> None:
    (tmp_path / ".episodes").mkdir()
    (tmp_path / ".episodes" / "seen.json").write_text(text, encoding="utf-8")
    assert read_seen(tmp_path) is None


def test_a_folder_that_cannot_be_written_is_no_fault(tmp_path) -> None:
    (tmp_path / ".episodes").write_text("a file in its place", encoding="utf-8")
    write_seen(tmp_path, seen(season()))
    assert read_seen(tmp_path) is None
