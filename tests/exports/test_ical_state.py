"""What becomes of the entries of an earlier file: unchanged, moved, cancelled, over."""

from dataclasses import replace

import pytest
from hypothesis import given

from episodes.answers.rows import CheckAnswer, StepRow
from episodes.calendars.openings import Stretch
from episodes.exports.ical import CalendarFile, calendar_file
from episodes.exports.ical_entries import Options
from episodes.exports.ical_state import EarlierFileError
from tests.exports.calendar_answers import (
    NOW,
    answer,
    answers,
    at,
    episode,
    hands,
    parcel,
    season,
)
from tests.reference.rfc5545 import Component, File, read

DAY = 1440
TUESDAY = (at("2027-04-13 18:30"), at("2027-04-13 20:00"))
WEDNESDAY = (at("2027-04-14 18:30"), at("2027-04-14 20:00"))
THURSDAY = (at("2027-04-15 18:30"), at("2027-04-15 20:00"))
FRIDAY = (at("2027-04-16 18:30"), at("2027-04-16 20:00"))


def export(
    a: CheckAnswer, earlier: CalendarFile | None = None, options: Options | None = None
) -> CalendarFile:
    made = calendar_file(
        a,
        season(zone=a.zone),
        now=a.now,
        earlier=None if earlier is None else earlier.data,
        options=options,
    )
    assert read(made.data).faults == []
    return made


def one(made: CalendarFile, text: str) -> Component:
    found = [entry for entry in read(made.data).entries if text in entry.text("SUMMARY")]
    assert len(found) == 1
    return found[0]


def span(entry: Component) -> Stretch:
    assert entry.start is not None
    assert entry.end is not None
    return int(entry.start.timestamp()) // 60, int(entry.end.timestamp()) // 60


def blocks(made: CalendarFile) -> dict[str, bytes]:
    """The octets of each entry by UID."""
    found: dict[str, bytes] = {}
    for kind in (b"VEVENT", b"VTODO"):
        for piece in made.data.split(b"BEGIN:" + kind + b"\r\n")[1:]:
            body = piece.split(b"END:" + kind)[0]
            uid = next(line for line in body.split(b"\r\n") if line.startswith(b"UID:"))
            found[uid[4:].decode()] = body
    return found


def test_the_same_plan_days_later_is_the_same_bytes() -> None:
    a = answer(episode([hands("cut", WEDNESDAY, THURSDAY)], [parcel("boards", order_by=NOW + 900)]))
    first = export(a)
    again = export(replace(a, now=NOW + 300), first)
    assert again.data == first.data
    assert again.summary == "4 unchanged"


def test_a_moved_step_counts_up_and_nothing_else_changes_a_byte() -> None:
    before = export(answer(episode([hands("cut", WEDNESDAY), hands("seal", FRIDAY)])))
    after = export(
        answer(episode([hands("cut", THURSDAY), hands("seal", FRIDAY)]), now=NOW + 100), before
    )
    assert after.summary == "1 moved, 2 unchanged"
    moved = one(after, "Cut")
    assert span(moved) == THURSDAY
    assert moved.text("SEQUENCE") == "1"
    assert moved.text("DTSTAMP") == moved.text("LAST-MODIFIED") == "20270405T144000Z"
    old, new = blocks(before), blocks(after)
    assert [uid for uid in old if old[uid] != new[uid]] == [moved.text("UID")]
    changed = set(after.data.split(b"\r\n")) - set(before.data.split(b"\r\n"))
    assert {line.split(b":")[0].split(b";")[0] for line in changed} == {
        b"DTSTART", b"DTEND", b"DTSTAMP", b"LAST-MODIFIED", b"SEQUENCE",
    }  # fmt: skip


def test_a_new_text_counts_up_and_is_no_move() -> None:
    before = export(answer(episode([hands("cut", WEDNESDAY)])))
    after = export(answer(episode([hands("cut", WEDNESDAY, note="mind the grain")])), before)
    assert after.summary == "1 changed, 1 unchanged"
    assert one(after, "Cut").text("SEQUENCE") == "1"


def test_what_has_left_the_plan_is_cancelled_and_rings_no_more() -> None:
    before = export(answer(episode([hands("cut", WEDNESDAY)])), options=Options(alarms=True))
    after = export(answer(episode()), before)
    gone = one(after, "Cut")
    assert after.summary == "1 cancelled, 1 unchanged"
    assert gone.text("STATUS") == "CANCELLED"
    assert gone.text("TRANSP") == "TRANSPARENT"
    assert gone.text("SEQUENCE") == "1"
    assert span(gone) == WEDNESDAY
    assert gone.parts == []


def test_a_cancelled_event_stays_for_ninety_days_after_its_end_and_then_goes() -> None:
    before = export(answer(episode([hands("cut", WEDNESDAY)])))
    cancelled = export(answer(episode()), before)
    end = WEDNESDAY[1]
    last = export(answer(episode(), now=end + 90 * DAY), cancelled)
    assert last.data == cancelled.data
    after = export(answer(episode(), now=end + 90 * DAY + 1), last)
    assert [entry.text("SUMMARY") for entry in read(after.data).entries] == [
        "Release: Laundry room"
    ]


def test_what_comes_back_is_alive_again_and_counts_up() -> None:
    a = answer(episode([hands("cut", WEDNESDAY)]))
    cancelled = export(answer(episode()), export(a))
    back = export(a, cancelled)
    assert back.summary == "1 new, 1 unchanged"
    assert one(back, "Cut").text("STATUS") == "CONFIRMED"
    assert one(back, "Cut").text("SEQUENCE") == "2"


def test_an_order_goes_once_it_is_placed_and_its_arrival_comes() -> None:
    open_order = parcel("boards", order_by=at("2027-04-20 14:00"))
    before = export(answer(episode([], [open_order])))
    placed = replace(
        open_order, order_by=None, ordered=NOW, arrives=at("2027-04-19 18:00"), state="started"
    )
    after = export(answer(episode([], [placed])), before)
    assert one(after, "Order by").text("STATUS") == "CANCELLED"
    assert one(after, "Order by").parts == []
    assert one(after, "Arrives").text("STATUS") == "CONFIRMED"


def test_a_task_is_ticked_off_once_the_order_is_placed() -> None:
    tasks = Options(tasks=True)
    open_order = parcel("boards", order_by=at("2027-04-20 14:00"))
    before = export(answer(episode([], [open_order])), options=tasks)
    placed = replace(
        open_order, order_by=None, ordered=NOW, arrives=at("2027-04-19 18:00"), state="started"
    )
    a = answer(episode([], [placed]), now=NOW + 60)
    after = export(a, before, tasks)
    task = one(after, "Order by")
    assert task.text("STATUS") == "COMPLETED"
    assert task.text("COMPLETED") == "20270405T130000Z"
    assert export(replace(a, now=NOW + 600), after, tasks).data == after.data


def test_an_arrival_stands_where_the_parcel_really_came() -> None:
    on_its_way = parcel(
        "boards", ordered=NOW - DAY, arrives=at("2027-04-12 18:00"), state="started"
    )
    before = export(answer(episode([], [on_its_way])))
    came = replace(on_its_way, arrived=at("2027-04-11 17:00"), state="done")
    after = export(answer(episode([], [came]), now=at("2027-04-13 08:00")), before)
    assert span(one(after, "Arrives"))[0] == at("2027-04-11 17:00")


def done(row: StepRow, start: int, finish: int) -> StepRow:
    return replace(row, state="done", start=start, finish=finish, sessions=())


def test_what_is_done_stays_where_it_was_planned_and_rings_no_more() -> None:
    row = hands("cut", TUESDAY)
    before = export(answer(episode([row], verdict="slips")), options=Options(alarms=True))
    after = export(
        answer(episode([done(row, TUESDAY[1] + 50, TUESDAY[1] + 50)]), now=WEDNESDAY[0]), before
    )
    event = one(after, "Cut")
    assert span(event) == TUESDAY
    assert event.text("STATUS") == "CONFIRMED"
    assert event.parts == []
    again = export(
        answer(episode([done(row, TUESDAY[1] + 50, TUESDAY[1] + 50)]), now=THURSDAY[0]), after
    )
    assert again.data == after.data


def test_what_is_done_before_its_time_frees_the_evening_it_was_planned_for() -> None:
    row = hands("cut", WEDNESDAY, THURSDAY)
    before = export(answer(episode([row])))
    now = THURSDAY[0] - 100
    after = export(answer(episode([done(row, WEDNESDAY[0], now)]), now=now), before)
    assert one(after, "(1 of 2)").text("STATUS") == "CONFIRMED"
    assert one(after, "(2 of 2)").text("STATUS") == "CANCELLED"


def test_what_is_done_days_early_moves_to_when_it_was_done() -> None:
    row = hands("cut", THURSDAY)
    before = export(answer(episode([row])))
    fact = done(row, TUESDAY[0], TUESDAY[1])
    after = export(answer(episode([fact]), now=WEDNESDAY[0]), before)
    assert span(one(after, "Cut")) == TUESDAY


def test_the_sessions_behind_keep_their_numbers_and_what_is_left_goes_on_from_there() -> None:
    row = hands("cut", TUESDAY, WEDNESDAY, THURSDAY)
    before = export(answer(episode([row])))
    left = replace(row, state="started", sessions=(THURSDAY, FRIDAY), finish=FRIDAY[1])
    after = export(answer(episode([left]), now=WEDNESDAY[1] + 60), before)
    starts = {entry.text("UID"): entry for entry in read(after.data).live}
    old = {entry.text("UID"): entry for entry in read(before.data).live}
    for entry in old.values():
        if "(1 of 3)" in entry.text("SUMMARY") or "(2 of 3)" in entry.text("SUMMARY"):
            uid = entry.text("UID")
            assert blocks(after)[uid] == blocks(before)[uid]
    assert span(one(after, "(3 of 4)")) == THURSDAY
    assert span(one(after, "(4 of 4)")) == FRIDAY
    assert len(starts) == len(old) + 1


def test_a_session_that_goes_on_now_does_not_creep_along_with_the_clock() -> None:
    row = hands("cut", WEDNESDAY)
    before = export(answer(episode([row])))
    for minutes in (10, 20, 30):
        now = WEDNESDAY[0] + minutes
        going = replace(row, state="started", sessions=((now, WEDNESDAY[1]),))
        after = export(answer(episode([going]), now=now), before)
        assert after.data == before.data


def test_a_session_that_goes_on_now_begins_where_the_fact_says_in_a_first_file() -> None:
    now = WEDNESDAY[0] + 30
    going = hands("cut", (now, WEDNESDAY[1]), state="started", start=WEDNESDAY[0])
    assert span(one(export(answer(episode([going]), now=now)), "Cut")) == WEDNESDAY


def test_a_session_that_nobody_came_to_moves_to_when_it_is_planned_now() -> None:
    row = hands("cut", TUESDAY)
    before = export(answer(episode([row])))
    after = export(answer(episode([hands("cut", THURSDAY)]), now=WEDNESDAY[0]), before)
    assert after.summary == "1 moved, 1 unchanged"
    assert span(one(after, "Cut")) == THURSDAY


def test_a_missed_session_before_the_start_of_the_work_does_not_stay() -> None:
    row = hands("cut", TUESDAY)
    before = export(answer(episode([row])))
    now = WEDNESDAY[0] + 30
    going = replace(row, state="started", start=WEDNESDAY[0], sessions=((now, WEDNESDAY[1]),))
    after = export(answer(episode([going]), now=now), before)
    assert [span(entry) for entry in read(after.data).live if "Cut" in entry.text("SUMMARY")] == [
        WEDNESDAY
    ]


def test_a_season_that_was_tidied_up_does_not_unmake_what_is_over() -> None:
    old = replace(episode([replace(hands("cut", TUESDAY), episode="old")], id="old"), release=NOW)
    before = export(answer(old, episode()))
    after = export(answer(episode(), now=WEDNESDAY[0]), before)
    assert after.data == before.data
    ahead = export(answer(episode(), now=NOW), before)
    assert one(ahead, "Cut").text("STATUS") == "CANCELLED"


def test_an_episode_that_was_not_asked_about_stays_as_it_is() -> None:
    other = episode([hands("cut", WEDNESDAY)], id="2027-06-porch", title="Porch")
    both = calendar_file(answer(episode(), other), season(others=["2027-06-porch"]), now=NOW)
    alone = calendar_file(
        answer(episode()), season(others=["2027-06-porch"]), now=NOW, earlier=both.data
    )
    assert alone.data == both.data


def test_going_private_hushes_what_is_left_over_too() -> None:
    a = answer(episode([hands("cut", TUESDAY), hands("seal", THURSDAY)]))
    before = export(a)
    fact = done(hands("cut", TUESDAY), TUESDAY[0], TUESDAY[1])
    after = export(answer(episode([fact]), now=WEDNESDAY[0]), before, Options(private=True))
    for told in (b"Cut", b"Seal", b"bench", b"Builder", b"aundry", b"workshop"):
        assert told not in after.data
    assert {entry.text("SUMMARY") for entry in read(after.data).entries} == {"Busy"}


def test_a_studio_that_moved_keeps_the_zone_of_what_is_over() -> None:
    row = hands("cut", TUESDAY)
    before = export(answer(episode([row])))
    a = answer(
        episode([done(row, *TUESDAY), hands("seal", FRIDAY)]),
        now=THURSDAY[0],
        zone="Europe/Dublin",
    )
    after = export(a, before)
    assert after.data.index(b"TZID:America/Chicago") < after.data.index(b"TZID:Europe/Dublin")
    assert span(one(after, "Cut")) == TUESDAY
    assert span(one(after, "Seal")) == FRIDAY


@pytest.mark.parametrize(
    "foreign",
    [
        b"",
        b"hello",
        b"\xff\xfe\x00",
        b"name = 'Second Coat'\n",
        b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//somebody//else//EN\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
    ],
    ids=["empty", "text", "binary", "plan", "another-program", "nobody"],
)
def test_a_file_that_is_not_ours_is_refused(foreign: bytes) -> None:
    with pytest.raises(EarlierFileError):
        calendar_file(answer(episode()), season(), now=NOW, earlier=foreign)


@pytest.mark.parametrize(
    ("found", "put"),
    [
        (b"END:VCALENDAR", b""),
        (b"SEQUENCE:0", b"SEQUENCE:none"),
        (b"UID:", b"X-UID:"),
        (b"DTSTART;TZID=America/Chicago:2027", b"DTSTART;TZID=America/Chicago:9x27"),
        (b";TZID=America/Chicago", b""),
        (b"END:VEVENT", b"END:VTODO"),
    ],
)
def test_a_file_of_ours_that_was_damaged_is_refused(found: bytes, put: bytes) -> None:
    data = export(answer(episode())).data
    damaged = data.replace(found, put)
    assert damaged != data
    with pytest.raises(EarlierFileError):
        calendar_file(answer(episode()), season(), now=NOW, earlier=damaged)


def test_a_file_cut_short_anywhere_is_refused() -> None:
    data = export(answer(episode([hands("cut", WEDNESDAY)]))).data
    for length in range(0, len(data) - 2, 7):
        with pytest.raises(EarlierFileError):
            calendar_file(answer(episode()), season(), now=NOW, earlier=data[:length])


def sequences(found: File) -> dict[str, int]:
    return {entry.text("UID"): int(entry.text("SEQUENCE")) for entry in found.entries}


@given(answers(), answers())
def test_a_sequence_never_falls_and_rises_with_each_change_and_only_then(
    one_answer: CheckAnswer, other: CheckAnswer
) -> None:
    first = export(one_answer)
    second = export(other, first)
    old, new = blocks(first), blocks(second)
    old_numbers, new_numbers = sequences(read(first.data)), sequences(read(second.data))
    for uid in old.keys() & new.keys():
        if old[uid] == new[uid]:
            assert new_numbers[uid] == old_numbers[uid]
        else:
            assert new_numbers[uid] == old_numbers[uid] + 1
    for uid in new.keys() - old.keys():
        assert new_numbers[uid] == 0


@given(answers(), answers())
def test_exporting_again_at_the_same_moment_changes_no_byte(
    one_answer: CheckAnswer, other: CheckAnswer
) -> None:
    second = export(other, export(one_answer))
    third = export(other, second)
    assert third.data == second.data
    assert {"new", "moved", "changed", "cancelled"}.isdisjoint(third.summary.split())
