"""Busy time read from calendar files: what must read right, and what must not hang."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.calendars.openings import Stretch
from episodes.exports.ical import calendar_file
from episodes.files.busy import read_busy
from episodes.problems import Problem
from tests.exports.calendar_answers import CHICAGO, NOW, answer, at, episode, hands, season

START = at("2027-03-01 00:00")
END = at("2027-12-31 00:00")

ZONE = """BEGIN:VTIMEZONE
TZID:Made up
BEGIN:STANDARD
DTSTART:19700101T000000
TZOFFSETFROM:+0300
TZOFFSETTO:+0300
END:STANDARD
END:VTIMEZONE
"""


def event(*lines: str) -> str:
    return "BEGIN:VEVENT\n" + "".join(f"{line}\n" for line in lines) + "END:VEVENT\n"


def calendar(*parts: str, prodid: str = "-//somebody//else//EN") -> str:
    return f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:{prodid}\n{''.join(parts)}END:VCALENDAR\n"


class Busy:
    """A calendar file in a folder of its own, read."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "builder.ics"

    def read(
        self, text: str | bytes, start: int = START, end: int = END, zone: str = CHICAGO
    ) -> tuple[tuple[Stretch, ...], tuple[Problem, ...]]:
        data = text if isinstance(text, bytes) else text.replace("\n", "\r\n").encode()
        self.path.write_bytes(data)
        return read_busy(self.path, zone, start, end)

    def times(self, text: str, **more: int) -> tuple[Stretch, ...]:
        found, problems = self.read(text, **more)
        assert problems == ()
        return found

    def left_out(self, text: str) -> str:
        """Why the one event `Bad` is left out; `Good`, in the same file, is read."""
        good = event(
            "UID:good", "SUMMARY:Good", "DTSTART:20270405T150000Z", "DTEND:20270405T160000Z"
        )
        found, problems = self.read(text.replace("END:VCALENDAR", good + "END:VCALENDAR"))
        assert found == ((at("2027-04-05 15:00", "UTC"), at("2027-04-05 16:00", "UTC")),)
        assert [problem.code for problem in problems] == ["busy-left-out"]
        assert problems[0].level == "warning"
        assert problems[0].where is not None
        assert problems[0].where.line == 4
        assert problems[0].text.startswith('"Bad" is left out: ')
        assert problems[0].text.endswith(" Its time counts as free.")
        return problems[0].text.removeprefix('"Bad" is left out: ').split(". Its time")[0]


@pytest.fixture
def busy(tmp_path: Path) -> Busy:
    return Busy(tmp_path)


# ------------------------------------------------------------------ what must read right


def test_a_weekly_event_keeps_its_wall_time_over_a_change_of_the_clocks(busy: Busy) -> None:
    weekly = event(
        "UID:a",
        "DTSTART;TZID=America/Chicago:20270303T180000",
        "DTEND;TZID=America/Chicago:20270303T190000",
        "RRULE:FREQ=WEEKLY;COUNT=4",
        "EXDATE;TZID=America/Chicago:20270310T180000",
    )
    moved = event(
        "UID:a",
        "RECURRENCE-ID;TZID=America/Chicago:20270317T180000",
        "DTSTART;TZID=America/Chicago:20270318T200000",
        "DTEND;TZID=America/Chicago:20270318T203000",
    )
    assert busy.times(calendar(weekly, moved)) == (
        (at("2027-03-03 18:00"), at("2027-03-03 19:00")),
        (at("2027-03-18 20:00"), at("2027-03-18 20:30")),
        (at("2027-03-24 18:00"), at("2027-03-24 19:00")),
    )


def test_a_cancelled_occurrence_and_a_transparent_one_are_free(busy: Busy) -> None:
    daily = event(
        "UID:a", "DTSTART:20270405T150000Z", "DTEND:20270405T160000Z", "RRULE:FREQ=DAILY;COUNT=3"
    )
    cancelled = event(
        "UID:a",
        "RECURRENCE-ID:20270406T150000Z",
        "DTSTART:20270406T150000Z",
        "DTEND:20270406T160000Z",
        "STATUS:CANCELLED",
    )
    optional = event(
        "UID:a",
        "RECURRENCE-ID:20270407T150000Z",
        "DTSTART:20270407T150000Z",
        "DTEND:20270407T160000Z",
        "TRANSP:TRANSPARENT",
    )
    assert busy.times(calendar(daily, cancelled, optional)) == (
        (at("2027-04-05 15:00", "UTC"), at("2027-04-05 16:00", "UTC")),
    )


def test_a_day_is_the_local_day_even_when_it_has_23_hours(busy: Busy) -> None:
    day = event("UID:a", "DTSTART;VALUE=DATE:20270314", "DTEND;VALUE=DATE:20270315")
    found = busy.times(calendar(day))
    assert found == ((at("2027-03-14 00:00"), at("2027-03-15 00:00")),)
    assert found[0][1] - found[0][0] == 23 * 60


def test_a_day_without_an_end_is_one_day(busy: Busy) -> None:
    found = busy.times(calendar(event("UID:a", "DTSTART;VALUE=DATE:20270405")))
    assert found == ((at("2027-04-05 00:00"), at("2027-04-06 00:00")),)


def test_days_that_repeat_are_whole_local_days(busy: Busy) -> None:
    weekly = event("UID:a", "DTSTART;VALUE=DATE:20270404", "RRULE:FREQ=WEEKLY;UNTIL=20270411")
    assert busy.times(calendar(weekly)) == (
        (at("2027-04-04 00:00"), at("2027-04-05 00:00")),
        (at("2027-04-11 00:00"), at("2027-04-12 00:00")),
    )


def test_a_time_without_a_zone_is_the_studios(busy: Busy) -> None:
    floating = event("UID:a", "DTSTART:20270405T180000", "DTEND:20270405T193000")
    again = event(
        "UID:b", "DTSTART:20270407T180000", "DTEND:20270407T190000", "RRULE:FREQ=DAILY;COUNT=2"
    )
    assert busy.times(calendar(floating, again)) == (
        (at("2027-04-05 18:00"), at("2027-04-05 19:30")),
        (at("2027-04-07 18:00"), at("2027-04-07 19:00")),
        (at("2027-04-08 18:00"), at("2027-04-08 19:00")),
    )


def test_a_transparent_and_a_cancelled_event_are_free(busy: Busy) -> None:
    times = ("DTSTART:20270405T150000Z", "DTEND:20270405T160000Z")
    assert (
        busy.times(
            calendar(
                event("UID:a", *times, "TRANSP:TRANSPARENT"),
                event("UID:b", *times, "STATUS:CANCELLED"),
            )
        )
        == ()
    )


def test_periods_of_an_rdate_have_their_own_length(busy: Busy) -> None:
    periods = event(
        "UID:a",
        "DTSTART:20270405T150000Z",
        "DTEND:20270405T160000Z",
        "RDATE;VALUE=PERIOD:20270410T120000Z/PT3H,20270411T120000Z/20270411T121500Z",
    )
    assert busy.times(calendar(periods)) == (
        (at("2027-04-05 15:00", "UTC"), at("2027-04-05 16:00", "UTC")),
        (at("2027-04-10 12:00", "UTC"), at("2027-04-10 15:00", "UTC")),
        (at("2027-04-11 12:00", "UTC"), at("2027-04-11 12:15", "UTC")),
    )


def test_a_zone_by_its_windows_name_is_known(busy: Busy) -> None:
    one = event(
        "UID:a",
        "DTSTART;TZID=Central Standard Time:20270405T180000",
        "DTEND;TZID=Central Standard Time:20270405T190000",
    )
    assert busy.times(calendar(one)) == ((at("2027-04-05 18:00"), at("2027-04-05 19:00")),)


def test_a_zone_that_the_file_defines_itself_is_known_and_only_there(busy: Busy) -> None:
    one = event(
        "UID:a",
        "SUMMARY:Bad",
        "DTSTART;TZID=Made up:20270405T180000",
        "DTEND;TZID=Made up:20270405T190000",
    )
    assert busy.times(calendar(ZONE, one)) == (
        (at("2027-04-05 15:00", "UTC"), at("2027-04-05 16:00", "UTC")),
    )
    assert busy.left_out(calendar(one)) == "its time zone Made up is not known"


def test_an_event_that_runs_into_the_time_looked_at_is_cut_to_it(busy: Busy) -> None:
    long = event("UID:a", "DTSTART:20270201T000000Z", "DTEND:20270310T120000Z")
    assert busy.times(calendar(long)) == ((START, at("2027-03-10 12:00", "UTC")),)
    late = event("UID:a", "DTSTART:20271230T000000Z", "DURATION:P10D")
    assert busy.times(calendar(late)) == ((at("2027-12-30 00:00", "UTC"), END),)


def test_an_event_without_an_end_takes_no_time(busy: Busy) -> None:
    assert busy.times(calendar(event("UID:a", "DTSTART:20270405T150000Z"))) == ()


def test_a_length_counts_by_the_clock_that_never_changes(busy: Busy) -> None:
    night = event("UID:a", "DTSTART;TZID=America/Chicago:20270313T230000", "DURATION:PT6H")
    found = busy.times(calendar(night))
    assert found == ((at("2027-03-13 23:00"), at("2027-03-13 23:00") + 360),)


def test_seconds_make_busy_time_longer_and_never_shorter(busy: Busy) -> None:
    odd = event("UID:a", "DTSTART:20270405T150030Z", "DTEND:20270405T160001Z")
    assert busy.times(calendar(odd)) == (
        (at("2027-04-05 15:00", "UTC"), at("2027-04-05 16:01", "UTC")),
    )


def test_events_that_overlap_or_touch_are_one_stretch(busy: Busy) -> None:
    parts = [
        event(f"UID:{hour}", f"DTSTART:20270405T{hour}0000Z", f"DTEND:20270405T{hour + 2}0000Z")
        for hour in (12, 13, 15)
    ]
    assert busy.times(calendar(*parts)) == (
        (at("2027-04-05 12:00", "UTC"), at("2027-04-05 17:00", "UTC")),
    )


def test_periods_of_a_freebusy_are_busy_unless_they_are_free(busy: Busy) -> None:
    part = (
        "BEGIN:VFREEBUSY\nUID:f\nDTSTAMP:20270101T000000Z\n"
        "FREEBUSY:20270405T150000Z/20270405T160000Z,20270406T150000Z/PT30M\n"
        "FREEBUSY;FBTYPE=FREE:20270407T150000Z/PT1H\n"
        "FREEBUSY;FBTYPE=BUSY-TENTATIVE:20270408T150000Z/PT1H\n"
        "END:VFREEBUSY\n"
    )
    assert busy.times(calendar(part)) == (
        (at("2027-04-05 15:00", "UTC"), at("2027-04-05 16:00", "UTC")),
        (at("2027-04-06 15:00", "UTC"), at("2027-04-06 15:30", "UTC")),
        (at("2027-04-08 15:00", "UTC"), at("2027-04-08 16:00", "UTC")),
    )


def test_an_occurrence_moved_without_its_series_is_read_alone(busy: Busy) -> None:
    alone = event(
        "UID:a",
        "RECURRENCE-ID:20270405T150000Z",
        "DTSTART:20270406T150000Z",
        "DTEND:20270406T160000Z",
    )
    assert busy.times(calendar(alone)) == (
        (at("2027-04-06 15:00", "UTC"), at("2027-04-06 16:00", "UTC")),
    )


def test_events_that_share_a_uid_all_count_and_an_older_version_does_not(busy: Busy) -> None:
    def version(day: int, sequence: int) -> str:
        times = (f"DTSTART:202704{day:02d}T150000Z", f"DTEND:202704{day:02d}T160000Z")
        return event("UID:a", *times, f"SEQUENCE:{sequence}")

    assert len(busy.times(calendar(version(5, 0), version(7, 0)))) == 2
    assert busy.times(calendar(version(5, 0), version(7, 1))) == (
        (at("2027-04-07 15:00", "UTC"), at("2027-04-07 16:00", "UTC")),
    )


def test_folded_lines_and_alarms_inside_an_event_are_no_trouble(busy: Busy) -> None:
    part = event(
        "UID:a",
        "DTSTART:2027",
        " 0405T150000Z",
        "DTEND:20270405T160000Z",
        "BEGIN:VALARM",
        "TRIGGER:-PT15M",
        "DTSTART:19990101T000000Z",
        "END:VALARM",
    )
    assert len(busy.times(calendar(part))) == 1


def test_a_file_with_two_calendars_counts_both(busy: Busy) -> None:
    one = event("UID:a", "DTSTART:20270405T150000Z", "DTEND:20270405T160000Z")
    two = event("UID:a", "DTSTART:20270406T150000Z", "DTEND:20270406T160000Z")
    assert len(busy.times(calendar(one) + calendar(two))) == 2


def test_an_empty_calendar_is_no_busy_time(busy: Busy) -> None:
    assert busy.times(calendar()) == ()


def test_what_this_program_wrote_does_not_block_the_plan_whoever_kept_it(busy: Busy) -> None:
    row = hands("cut", (at("2027-04-14 18:30"), at("2027-04-14 20:00")))
    a = answer(episode([row]))
    ours = calendar_file(a, season(), now=NOW).data
    theirs = event("UID:a", "DTSTART:20270405T150000Z", "DTEND:20270405T160000Z").encode()
    taken_over = ours.replace(b"-//episodes//calendar 1//EN", b"-//somebody//else//EN").replace(
        b"END:VCALENDAR", theirs.replace(b"\n", b"\r\n") + b"END:VCALENDAR"
    )
    for data, left in ((ours, 0), (taken_over, 1)):
        found, problems = busy.read(data)
        assert len(found) == left
        assert [(problem.level, problem.code) for problem in problems] == [
            ("note", "busy-own-events")
        ]


def test_an_event_of_somebody_elses_with_our_words_in_it_counts(busy: Busy) -> None:
    times = ("DTSTART:20270405T150000Z", "DTEND:20270405T160000Z", "CATEGORIES:hands,2027-05-x")
    assert len(busy.times(calendar(event("UID:meeting@work", *times)))) == 1


# ------------------------------------------------------------------ what must not hang

TIMES = ("SUMMARY:Bad", "DTSTART:20270404T150000Z", "DTEND:20270404T150100Z")


def bomb(*lines: str, times: tuple[str, ...] = TIMES) -> str:
    return calendar(event("UID:bad", *times, *lines))


@pytest.mark.parametrize(
    ("rule", "why"),
    [
        ("FREQ=SECONDLY", "it repeats secondly"),
        ("FREQ=MINUTELY", "it repeats minutely"),
        ("FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30", "it repeats secondly"),
        ("FREQ=DAILY;INTERVAL=0", "it repeats every 0 times, which never ends"),
        ("FREQ=DAILY;BYSECOND=1,2", "it repeats by seconds"),
        (
            "FREQ=DAILY;BYHOUR=" + ",".join(map(str, range(24))) + ";BYMINUTE=0,30",
            "it comes 48 times a day",
        ),
    ],
)
def test_a_rule_that_asks_for_too_much_is_left_out_and_named(
    busy: Busy, rule: str, why: str
) -> None:
    assert busy.left_out(bomb(f"RRULE:{rule}")) == why


def test_a_daily_rule_from_the_year_one_is_left_out(busy: Busy) -> None:
    old = ("SUMMARY:Bad", "DTSTART:00010101T150000Z", "DTEND:00010101T160000Z")
    why = busy.left_out(bomb("RRULE:FREQ=DAILY", times=old))
    assert why == "it has repeated daily since 0001-01-01"


def test_a_length_past_all_dates_is_left_out_alone(busy: Busy) -> None:
    endless = ("SUMMARY:Bad", "DTSTART:20270404T150000Z", "DURATION:P100000000D")
    assert busy.left_out(bomb(times=endless)) == "it is longer than 400 days"
    overflowing = ("SUMMARY:Bad", "DTSTART:20270404T150000Z", "DURATION:P99999999999999D")
    assert busy.left_out(bomb(times=overflowing)) == "it cannot be read"


def test_an_event_of_years_is_left_out(busy: Busy) -> None:
    years = ("SUMMARY:Bad", "DTSTART:20260101T000000Z", "DTEND:20290101T000000Z")
    assert busy.left_out(bomb(times=years)) == "it is longer than 400 days"


def test_an_event_that_ends_before_it_starts_is_left_out(busy: Busy) -> None:
    backwards = ("SUMMARY:Bad", "DTSTART:20270405T150000Z", "DTEND:20270404T150000Z")
    assert busy.left_out(bomb(times=backwards)) == "it ends before it starts"


def test_a_list_of_a_hundred_thousand_dates_is_left_out(busy: Busy) -> None:
    dates = ",".join(
        f"2027{1 + day // 28 % 12:02d}{1 + day % 28:02d}T150000Z" for day in range(6000)
    )
    why = busy.left_out(bomb(f"RDATE:{dates}"))
    assert why == "it lists 6000 dates of its own; at most 5000 are read"


@pytest.mark.parametrize(
    "line",
    [
        "RRULE:FREQ=SOMETIMES",
        "RRULE:nonsense",
        "RRULE:FREQ=WEEKLY;BYDAY=XX",
        "RRULE:FREQ=DAILY;INTERVAL=-1",
        "RRULE:FREQ=DAILY;UNTIL=never",
        "EXDATE:yesterday",
        "RDATE:20270230T000000Z",
        "DTSTART:20270404T150000Z",
        "RECURRENCE-ID:20271340T000000Z",
        "SEQUENCE:many",
    ],
)
def test_a_broken_value_costs_its_event_alone(busy: Busy, line: str) -> None:
    assert busy.left_out(bomb(line))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("rule", "most"),
    [("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", 1), ("FREQ=HOURLY;COUNT=1000000000", 7300)],
)
def test_a_rule_that_never_comes_true_or_counts_to_a_billion_ends(
    busy: Busy, rule: str, most: int
) -> None:
    found, _ = busy.read(bomb(f"RRULE:{rule}"))
    assert len(found) <= most


@pytest.mark.slow
def test_many_costly_rules_are_no_way_round_the_guard(busy: Busy) -> None:
    rule = "RRULE:FREQ=MONTHLY;BYMONTH=2;BYMONTHDAY=30"
    parts = [event(f"UID:{number}", *TIMES, rule) for number in range(60)]
    _, problems = busy.read(calendar(*parts))
    assert len(problems) == 21
    assert "ask for too much time" in problems[0].text
    assert int(problems[-1].text.split(" more events")[0]) > 30


@pytest.mark.slow
def test_a_file_of_many_hourly_events_stops_at_twenty_thousand_dates(busy: Busy) -> None:
    parts = [event(f"UID:{number}", *TIMES, "RRULE:FREQ=HOURLY") for number in range(30)]
    found, problems = busy.read(calendar(*parts))
    assert found
    assert len(problems) == 21
    assert {problem.code for problem in problems} == {"busy-left-out"}


def test_a_zone_with_a_rule_of_every_second_is_not_worked_out(busy: Busy) -> None:
    zone = ZONE.replace("TZOFFSETTO:+0300\n", "TZOFFSETTO:+0300\nRRULE:FREQ=SECONDLY\n")
    one = event("UID:a", "SUMMARY:Bad", "DTSTART;TZID=Made up:20270405T180000", "DURATION:PT1H")
    found, problems = busy.read(calendar(zone, one))
    assert found == ()
    assert "time zone Made up is not known" in problems[0].text


def test_events_nested_without_end_are_no_trouble(busy: Busy) -> None:
    depth = 20_000
    text = "BEGIN:VCALENDAR\n" + "BEGIN:VEVENT\n" * depth + "END:VEVENT\n" * depth
    _, problems = busy.read(text + "END:VCALENDAR\n")
    assert [problem.code for problem in problems] == ["busy-left-out"]


PIECES = st.sampled_from(
    (
        "BEGIN:VEVENT", "END:VEVENT", "BEGIN:VCALENDAR", "END:VCALENDAR", "BEGIN:VTIMEZONE",
        "END:VTIMEZONE", "BEGIN:STANDARD", "END:STANDARD", "BEGIN:VFREEBUSY", "END:VFREEBUSY",
        "TZID:Made up", "TZOFFSETFROM:+0300", "TZOFFSETTO:+9900", "TZOFFSETTO:+0300",
        "DTSTART:19700101T000000", "DTSTART:20270405T150000Z", "DTSTART;VALUE=DATE:20270405",
        "DTSTART;TZID=Made up:20270405T150000", "DTEND:20270405T160000", "DTEND:20270405T160000Z",
        "DTEND;VALUE=DATE:20270401", "DURATION:PT1H", "DURATION:-P1D", "DURATION:P",
        "RRULE:FREQ=DAILY", "RRULE:FREQ=WEEKLY;BYDAY=MO,TU;UNTIL=20271231", "RRULE:FREQ=",
        "RRULE:FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29", "RRULE:FREQ=MONTHLY;BYDAY=2TU;COUNT=5",
        "RRULE:FREQ=DAILY;UNTIL=20270501T000000;COUNT=3", "RDATE:20270407T150000Z",
        "RDATE;VALUE=DATE:20270407", "EXDATE;VALUE=DATE:20270406", "EXDATE:20270406T150000",
        "RECURRENCE-ID:20270406T150000Z", "RECURRENCE-ID;RANGE=THISANDFUTURE:20270406T150000Z",
        "FREEBUSY:20270405T150000Z/PT1H", "FREEBUSY:20270405T150000Z/20270401T150000Z", "FREEBUSY:",
        "UID:a", "UID:b", "SEQUENCE:-1", "SEQUENCE:x", "STATUS:CANCELLED", "TRANSP:OPAQUE", ":",
    )
)  # fmt: skip


@given(st.lists(PIECES | st.text(max_size=20), max_size=30), st.booleans())
def test_no_lines_in_any_order_break_it_and_what_it_reads_is_in_order(
    lines: list[str], framed: bool
) -> None:
    text = "\n".join(lines)
    if framed:
        text = calendar(event(*lines)) if "BEGIN" not in text else calendar(text + "\n")
    with TemporaryDirectory() as folder:
        found, problems = Busy(Path(folder)).read(text.encode("utf-8", "replace"))
    edges = [edge for stretch in found for edge in stretch]
    assert edges == sorted(set(edges))
    assert all(START <= edge <= END for edge in edges)
    assert not found or all(problem.level != "error" for problem in problems)


# ------------------------------------------------------------------ files


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "there is no calendar in it"),
        (b"hello\n", "there is no calendar in it"),
        (b"\x00\xff\xfe", "there is no calendar in it"),
        (b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n", "it is cut short"),
        (b"BEGIN:VCALENDAR\r\nEND:VEVENT\r\n", "line 2: END:VEVENT ends nothing"),
        (b"x" * (8 * 1024 * 1024 + 1), "it is larger than 8 MiB"),
    ],
    ids=["empty", "text", "binary", "cut-short", "crossed", "large"],
)
def test_a_file_that_is_no_calendar_is_one_error(busy: Busy, data: bytes, why: str) -> None:
    found, problems = busy.read(data)
    assert found == ()
    assert [(problem.level, problem.code) for problem in problems] == [("error", "busy-unreadable")]
    assert why in problems[0].text


def test_a_file_that_is_not_there_is_one_error(tmp_path: Path) -> None:
    for path in (tmp_path / "none.ics", tmp_path):
        found, problems = read_busy(path, CHICAGO, START, END)
        assert found == ()
        assert [problem.level for problem in problems] == ["error"]


def test_too_many_events_are_one_error(busy: Busy) -> None:
    one = event("DTSTART:20270405T150000Z")
    _, problems = busy.read(calendar(one * 20_001))
    assert "more than 20000 events" in problems[0].text


def test_a_broken_letter_in_a_title_is_no_reason_to_refuse_the_times(busy: Busy) -> None:
    one = calendar(event("UID:a", "SUMMARY:caf?", "DTSTART:20270405T150000Z", "DURATION:PT1H"))
    found, problems = busy.read(one.encode().replace(b"?", b"\xe9"))
    assert len(found) == 1
    assert problems == ()


def test_events_long_past_cost_nothing_and_do_not_count_as_too_many(busy: Busy) -> None:
    one = event("DTSTART:20170405T150000Z", "DTEND:20170405T160000Z")
    assert busy.times(calendar(one * 20_001)) == ()
