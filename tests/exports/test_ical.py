"""What a calendar file says of each row of an answer."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.answers.rows import CheckAnswer, StepRow
from episodes.exports.ical import CalendarFile, calendar_file
from episodes.exports.ical_entries import Options, entry_uid
from tests.exports.calendar_answers import (
    NOW,
    RELEASE,
    ZONES,
    answer,
    answers,
    at,
    episode,
    hands,
    parcel,
    season,
)
from tests.reference.rfc5545 import Component, File, read

EVENING = (at("2027-04-14 18:30"), at("2027-04-14 20:00"))
NEXT_EVENING = (at("2027-04-15 18:30"), at("2027-04-15 19:00"))


def export(given_answer: CheckAnswer, options: Options | None = None, **more: object) -> File:
    """The file of an answer as an independent reader sees it; it must have no fault."""
    made: CalendarFile = calendar_file(
        given_answer,
        season(zone=given_answer.zone, **more),
        now=given_answer.now,
        options=options,
    )
    found = read(made.data)
    assert found.faults == []
    return found


def named(found: File, text: str) -> Component:
    matching = [entry for entry in found.entries if text in entry.text("SUMMARY")]
    assert len(matching) == 1, [entry.text("SUMMARY") for entry in found.entries]
    return matching[0]


def minutes(entry: Component) -> tuple[int, int]:
    assert entry.start is not None
    assert entry.end is not None
    return int(entry.start.timestamp()) // 60, int(entry.end.timestamp()) // 60


def triggers(entry: Component) -> list[tuple[str, str]]:
    found = [part.all("TRIGGER")[0] for part in entry.parts]
    return [(one.value, one.parameters.get("RELATED", "START")) for one in found]


def shot(id: str, *sessions: tuple[int, int], **more: object) -> StepRow:
    return replace(hands(id, *sessions, **more), id=id, kind="shot", job="", of="bench.cut")


def test_the_release_is_a_quarter_of_an_hour_that_takes_nobodys_time() -> None:
    release = named(export(answer(episode())), "Release: Laundry room")
    assert minutes(release) == (RELEASE, RELEASE + 15)
    assert release.text("TRANSP") == "TRANSPARENT"
    assert triggers(release) == [("-P1D", "START")]


def test_work_over_two_evenings_is_two_events_from_its_start_to_its_finish() -> None:
    found = export(answer(episode([hands("cut", EVENING, NEXT_EVENING)])))
    first, second = named(found, "(1 of 2)"), named(found, "(2 of 2)")
    assert minutes(first) == EVENING
    assert minutes(second) == NEXT_EVENING
    assert first.text("SUMMARY") == "Folding bench: Cut (1 of 2)"
    assert first.text("TRANSP") == second.text("TRANSP") == "OPAQUE"
    assert first.text("UID") != second.text("UID")


def test_the_text_of_work_says_who_with_what_and_what_can_hurt() -> None:
    row = hands(
        "cut",
        EVENING,
        who=("host", "builder"),
        gear=(("clamps", 4), ("camera", 1)),
        light="day",
        cautions=("Unplug the saw before changing the blade.",),
        note="Mind\nthe grain",
        optional=True,
    )
    event = named(export(answer(episode([row]))), "Cut")
    assert event.text("LOCATION") == "Garage workshop"
    assert event.text("DESCRIPTION").split("\n") == [
        "For: Laundry room",
        "Who: Host, Builder",
        "Gear: Clamps x 4, Camera",
        "By daylight.",
        "Optional: the release does not wait for it.",
        "Caution: Unplug the saw before changing the blade.",
        "Mind",
        "the grain",
    ]
    categories = event.get("CATEGORIES")
    assert categories is not None
    assert categories.texts == ["hands", "2027-05-laundry", "Host", "Builder"]


def test_a_coat_says_its_window_over_the_coat_underneath_and_what_the_next_one_waits_for() -> None:
    window = (at("2027-04-14 13:40"), at("2027-04-15 09:00"))
    row = hands("seal", EVENING, coat_windows=(window,))
    text = named(export(answer(episode([row]))), "Seal").text("DESCRIPTION")
    assert "Coat: Penetrating oil" in text
    assert (
        "Over the coat underneath: not before Wed 14 Apr 13:40, not after Thu 15 Apr 09:00." in text
    )
    assert "Next coat after 6 h at 21 °C and 50 %." in text
    assert "Within 2 d; past that, scuff before the next coat." in text


def test_the_last_coat_of_a_surface_speaks_of_no_next_one() -> None:
    row = hands("seal-again", EVENING, title="Seal again")
    text = named(export(answer(episode([row]))), "Seal again").text("DESCRIPTION")
    assert "Next coat" not in text
    assert "Leave it alone for 1 d at 21 °C and 50 %." in text


def test_a_window_with_two_sides_is_said_as_two() -> None:
    sides = (
        (at("2027-04-14 12:00"), at("2027-04-14 13:00")),
        (at("2027-04-15 12:00"), None),
    )
    row = hands("seal", EVENING, coat_windows=sides)
    text = named(export(answer(episode([row]))), "Seal").text("DESCRIPTION")
    assert "not after Wed 14 Apr 13:00, or not before Thu 15 Apr 12:00." in text


def test_a_shot_that_can_be_taken_once_rings_the_day_before_and_says_what_ends_the_chance() -> None:
    grain = shot("grain", EVENING, once=True, title="Raw grain")
    seal = hands("seal", NEXT_EVENING)
    event = named(export(answer(episode([grain, seal]))), "Film: Raw grain")
    assert "It can't be taken again." in event.text("DESCRIPTION")
    assert triggers(event) == [("-P1D", "START")]
    assert event.parts[0].text("DESCRIPTION") == (
        "Last chance to film: Raw grain; Seal starts Thu 15 Apr 18:30"
    )


def test_a_shot_that_can_be_taken_again_does_not_ring() -> None:
    event = named(export(answer(episode([shot("detail", EVENING)]))), "Film: Detail")
    assert event.parts == []


def test_an_order_ends_at_its_last_moment_and_rings_three_days_and_one_day_before() -> None:
    by = at("2027-04-20 14:00")
    boards = parcel("boards", order_by=by, latest_arrival=at("2027-04-28 18:00"), cost=210)
    event = named(export(answer(episode([], [boards]))), "Order by: The boards")
    assert minutes(event) == (by - 15, by)
    assert event.text("TRANSP") == "TRANSPARENT"
    assert triggers(event) == [("-P3D", "END"), ("-P1D", "END")]
    assert event.text("DESCRIPTION").split("\n")[1:] == [
        "It must be here by Wed 28 Apr 18:00.",
        "Cost: USD 210",
    ]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({}, "after this the plan misses the release"),
        ({"latest_exact": True}, "after this the release slips"),
        ({"optional": True}, "after this it comes too late"),
    ],
)
def test_the_last_alarm_of_an_order_says_what_a_miss_costs_and_no_more_than_is_known(
    more: dict[str, object], said: str
) -> None:
    boards = parcel("boards", order_by=NOW + 9000, **more)
    event = named(export(answer(episode([], [boards]))), "Order by")
    assert event.parts[1].text("DESCRIPTION") == (
        f"Last day for The boards: {said}; Pay for express would be USD 45"
    )


def test_a_parcel_on_its_way_is_a_quarter_of_an_hour_at_its_arrival() -> None:
    arrives = at("2027-04-20 18:00")
    boards = parcel("boards", state="started", ordered=NOW - 5000, arrives=arrives)
    found = export(answer(episode([], [boards])))
    event = named(found, "Arrives: The boards")
    assert minutes(event) == (arrives, arrives + 15)
    assert event.text("TRANSP") == "TRANSPARENT"
    assert event.parts == []
    assert len(found.entries) == 2


def test_an_answer_that_is_waited_for_is_asked_for_and_due() -> None:
    yes = parcel("yes", kind="answer", order_by=NOW + 5000)
    assert named(export(answer(episode([], [yes]))), "Ask by: The yes")
    asked = replace(yes, order_by=None, ordered=NOW - 100, arrives=NOW + 5000, state="started")
    assert named(export(answer(episode([], [asked]))), "Answer due: The yes")


def test_a_parcel_that_can_no_longer_be_ordered_in_time_has_no_deadline() -> None:
    found = export(answer(episode([], [parcel("boards", arrives=RELEASE + 900)], verdict="slips")))
    assert [entry.text("SUMMARY") for entry in found.entries] == ["Release: Laundry room"]


def test_what_can_go_back_rings_before_its_last_day_ends() -> None:
    by = at("2027-04-21 00:00")
    frames = parcel("frames", state="done", ordered=NOW - 9000, arrived=NOW - 90, return_by=by)
    event = named(export(answer(episode([], [frames]))), "Send back by: The frames")
    assert minutes(event) == (by - 15, by)
    assert event.text("TRANSP") == "TRANSPARENT"
    assert triggers(event) == [("-P3D", "END")]
    assert "after this it can't go back" in event.text("DESCRIPTION")
    broken = replace(frames, failed="damaged")
    event = named(export(answer(episode([], [broken]))), "Send back by: The frames")
    assert triggers(event) == [("-P3D", "END"), ("-P1D", "END")]
    assert "It can't be used: damaged" in event.text("DESCRIPTION")
    again = replace(broken, state="open", order_by=NOW + 900)
    found = export(answer(episode([], [again])))
    assert named(found, "Send back by")
    assert named(found, "Order by")


def test_an_order_as_a_task_is_due_at_its_last_moment_and_no_event_beside_it() -> None:
    by = at("2027-04-20 14:00")
    boards = parcel("boards", order_by=by)
    found = export(answer(episode([], [boards])), Options(tasks=True))
    task = named(found, "Order by: The boards")
    assert task.name == "VTODO"
    assert minutes(task)[1] == by
    assert task.text("STATUS") == "NEEDS-ACTION"
    assert triggers(task) == [("-P3D", "END"), ("-P1D", "END")]


def test_waits_and_drying_are_left_out_unless_asked_for() -> None:
    wait = hands("set", (NOW, NOW + 900), kind="wait", who=(), title="Glue sets")
    dry = replace(hands("seal.dry", (NOW, NOW + 600), kind="dry", who=()), title="Drying")
    a = answer(episode([wait, dry]))
    assert len(export(a).entries) == 1
    found = export(a, Options(waits=True))
    assert minutes(named(found, "Glue sets")) == (NOW, NOW + 900)
    assert minutes(named(found, "Drying")) == (NOW, NOW + 600)
    assert {entry.text("TRANSP") for entry in found.entries} == {"TRANSPARENT"}


def test_a_milestone_and_a_step_without_a_plan_have_no_event() -> None:
    rows = [
        hands("ready", (NOW, NOW), kind="wait"),
        hands("lost"),
        hands("gone", EVENING, state="dropped"),
    ]
    assert len(export(answer(episode(rows)), Options(waits=True)).entries) == 1


def test_alarms_before_work_are_set_only_where_asked_for() -> None:
    a = answer(episode([hands("cut", EVENING)]))
    assert triggers(named(export(a), "Cut")) == []
    assert triggers(named(export(a, Options(alarms=True)), "Cut")) == [("-PT15M", "START")]


def test_all_of_an_episode_that_slips_is_tentative_but_what_is_done() -> None:
    done = hands("cut", state="done", start=NOW - 200, finish=NOW - 100)
    found = export(answer(episode([done, hands("seal", EVENING)], verdict="slips")))
    assert named(found, "Cut").text("STATUS") == "CONFIRMED"
    assert named(found, "Seal").text("STATUS") == "TENTATIVE"
    assert named(found, "Release").text("STATUS") == "TENTATIVE"


def test_a_released_episode_rings_no_more() -> None:
    found = export(answer(episode(verdict="released", release=NOW - 900)))
    assert named(found, "Release").parts == []


def test_work_known_only_by_days_marks_nobody_as_busy_for_days() -> None:
    long = hands("cut", state="done", start=NOW - 3000, finish=NOW - 100)
    assert named(export(answer(episode([long]))), "Cut").text("TRANSP") == "TRANSPARENT"


def test_a_person_gets_their_own_work_and_the_first_person_the_parcels() -> None:
    rows = [hands("cut", EVENING), hands("seal", NEXT_EVENING, who=("host",))]
    boards = parcel("boards", order_by=NOW + 900)
    a = answer(episode(rows, [boards]))
    builder = {entry.text("SUMMARY") for entry in export(a, Options(person="builder")).entries}
    host = {entry.text("SUMMARY") for entry in export(a, Options(person="host")).entries}
    assert builder == {"Release: Laundry room", "Folding bench: Cut"}
    assert host == {"Release: Laundry room", "Folding bench: Seal", "Order by: The boards"}


def test_a_thing_has_the_same_uid_in_everybodys_file() -> None:
    a = answer(episode([hands("cut", EVENING, who=("host", "builder"))]))
    whole = {entry.text("UID") for entry in export(a).entries}
    for options in (Options(person="builder"), Options(person="host")):
        assert {entry.text("UID") for entry in export(a, options).entries} == whole


def test_a_private_file_says_when_somebody_is_busy_and_nothing_else() -> None:
    row = hands("cut", EVENING, cautions=("secret",), note="secret")
    a = answer(episode([row], [parcel("boards", order_by=NOW + 900)]))
    data = calendar_file(a, season(), now=NOW, options=Options(private=True, alarms=True)).data
    found = read(data)
    assert found.faults == []
    assert [entry.text("SUMMARY") for entry in found.entries] == ["Busy"]
    assert minutes(found.entries[0]) == EVENING
    assert found.entries[0].parts == []
    for told in (b"ecret", b"Cut", b"bench", b"aundry", b"Builder", b"boards", b"Second Coat"):
        assert told not in data
    open_file = export(a)
    assert found.entries[0].text("UID") == named(open_file, "Cut").text("UID")


def test_a_uid_hangs_on_what_a_thing_is_and_on_the_calendar_alone() -> None:
    one = answer(episode([hands("cut", EVENING)]))
    moved = answer(episode([hands("cut", NEXT_EVENING, title="Renamed")]), now=NOW + 500)
    uid = entry_uid("second-coat", "2027-05-laundry", "hands", "bench.cut")
    assert uid in {entry.text("UID") for entry in export(one).entries}
    assert uid in {entry.text("UID") for entry in export(moved).entries}
    other = {entry.text("UID") for entry in export(one, calendar_id="third-coat").entries}
    assert not other & {entry.text("UID") for entry in export(one).entries}


def test_ids_that_run_together_do_not_share_a_uid() -> None:
    assert entry_uid("a", "b-c", "hands", "d") != entry_uid("a", "b", "hands", "c-d")
    assert entry_uid("a", "b", "hands", "c", 11) != entry_uid("a", "b", "hands", "c1", 1)


@pytest.mark.parametrize("zone", ZONES)
def test_a_wall_time_is_the_same_instant_all_year_round(zone: str) -> None:
    rows = []
    for month in range(1, 13):
        start = at(f"2027-{month:02d}-14 18:30", zone)
        rows.append(hands(f"m{month:02d}", (start, start + 90)))
    found = export(answer(episode(rows), now=at("2027-01-01 00:00", zone), zone=zone))
    for row in rows:
        event = named(found, row.title)
        assert minutes(event) == row.sessions[0]
        start = event.get("DTSTART")
        assert start is not None
        assert start.value.endswith("T183000")
        assert start.parameters == {"TZID": zone}


def test_both_passes_of_the_hour_that_comes_twice_are_written_in_utc() -> None:
    # 2027-11-07 in Chicago: 01:30 comes at 06:30 UTC and again at 07:30 UTC.
    second = at("2027-11-07 07:30", "UTC")
    rows = [hands("first", (second - 60, second - 30)), hands("again", (second, second + 60))]
    found = export(answer(episode(rows)))
    assert minutes(named(found, "First")) == (second - 60, second - 30)
    assert minutes(named(found, "Again")) == (second, second + 60)
    # Readers differ on which pass a local time means.
    for title, value in (("First", "20271107T063000Z"), ("Again", "20271107T073000Z")):
        written = named(found, title).get("DTSTART")
        assert written is not None
        assert written.value == value


def test_a_name_with_commas_and_breaks_is_escaped_in_the_head_too() -> None:
    a = replace(answer(episode()), season="Coats, two; \\ or\nthree")
    found = export(a)
    assert found.calendar is not None
    assert found.calendar.text("NAME") == "Coats, two; \\ or three"


@pytest.mark.parametrize(
    "title",
    [
        "\r\nEND:VEVENT\r\nEND:VCALENDAR\r\nBEGIN:VCALENDAR",
        "nul\x00bel\x07vt\x0b",
        "half" + chr(0xD800),
        "\ufeffmark\u2028line\u202eevil",
        "x" * 100_000,
        "木" * 100_000,
        "",
        " \t ",
        '\\, ; : \\n "quoted"',
    ],
    ids=[
        "breaks-out",
        "controls",
        "surrogate",
        "invisible",
        "long",
        "wide",
        "empty",
        "blank",
        "sep",
    ],
)
def test_a_hostile_title_stays_inside_its_event(title: str) -> None:
    row = hands("cut", EVENING, title=title, note=title, cautions=(title,))
    a = answer(episode([row], [parcel("boards", order_by=NOW + 900, title=title)], title=title))
    found = export(a, Options(alarms=True))
    assert len(found.entries) == 3
    for entry in found.entries:
        assert len(entry.text("SUMMARY")) <= 200


def test_bytes_do_not_hang_on_the_order_of_people_or_on_the_run() -> None:
    a = answer(episode([hands("cut", EVENING, NEXT_EVENING)]))
    assert calendar_file(a, season(), now=NOW).data == calendar_file(a, season(), now=NOW).data


options_of_any_kind = st.builds(
    Options,
    person=st.sampled_from((None, "host", "builder")),
    private=st.booleans(),
    tasks=st.booleans(),
    waits=st.booleans(),
    alarms=st.booleans(),
)


@given(answers(), options_of_any_kind)
def test_any_answer_makes_a_file_without_a_fault(a: CheckAnswer, options: Options) -> None:
    data = calendar_file(a, season(zone=a.zone), now=a.now, options=options).data
    assert read(data).faults == []


@given(answers())
def test_each_start_and_each_finish_still_ahead_stands_in_the_file(a: CheckAnswer) -> None:
    found = export(a, Options(waits=True))
    starts = [minutes(entry)[0] for entry in found.live]
    ends = [minutes(entry)[1] for entry in found.live]
    rows = [row for row in a.episodes[0].steps if row.kind != "release" and row.sessions]
    planned = [row for row in rows if row.state in ("open", "started")]
    # The start of what is started is a fact: it lies behind, even if by no minute.
    for times, wanted in (
        (starts, [row.start for row in planned if row.state == "open"]),
        (ends, [row.finish for row in planned]),
    ):
        for time in set(wanted):
            assert time is not None
            assert times.count(time) >= wanted.count(time)
    for row in a.episodes[0].parcels:
        if row.order_by is not None:
            assert row.order_by in ends
    assert a.episodes[0].release in starts
