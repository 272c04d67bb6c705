"""Small seasons worked out by hand: each docstring has the arithmetic.

2027-05-07 is the first Friday of May, 2027-06-04 of June; 5 April 2027 is a Monday.
"""

from pathlib import Path
from typing import Any

from tests.asking import answer, row, season


def _studio(zone: str, as_of: str, rest: str) -> str:
    return f'name = "Small"\ntimezone = "{zone}"\nas_of = {as_of}\n{rest}'


def _plan(record: dict[str, Any], name: str) -> tuple[str, str]:
    """Start and finish of a row without year and seconds: `04-05 18:00`."""
    step = row(record, name)
    return (_short(step["start"]), _short(step["finish"]))


def _short(instant: str) -> str:
    return instant[5:16].replace("T", " ")


def test_a_night_without_an_hour_has_an_hour_less_to_work_in(tmp_path: Path) -> None:
    """Chicago, 13 to 14 March 2027: at 02:00 the clocks go to 03:00.

    The window Saturday 22:00-04:00 ends on Sunday at 04:00 summer time: by the wall six hours,
    in truth 22:00-02:00 and 03:00-04:00, five. Six hours of work do not fit: five are done by
    04:00 and the sixth on the next Saturday from 22:00 to 23:00. A wait of one day is 24 hours:
    from Saturday 20:00 winter time to Sunday 21:00 summer time.
    """
    person = '[[person]]\nid = "host"\nhours = { sat = ["22:00-04:00"] }\n'
    text = """
    [[job]]
    id = "night"
    step = [{ id = "edit", hands = "6h" }]
    [[job]]
    id = "glue"
    step = [{ id = "set", wait = "1d" }]
    """
    studio = _studio("America/Chicago", "2027-03-13T20:00:00", person)
    record = answer(season(tmp_path, studio, apr_2027=text))
    assert _plan(record, "night.edit") == ("03-13 22:00", "03-20 23:00")
    assert row(record, "night.edit")["sessions"] == [
        ["2027-03-13T22:00:00-06:00", "2027-03-14T04:00:00-05:00"],
        ["2027-03-20T22:00:00-05:00", "2027-03-20T23:00:00-05:00"],
    ]
    assert row(record, "glue.set")["finish"] == "2027-03-14T21:00:00-05:00"


def test_a_window_that_begins_in_the_skipped_hour_opens_at_the_change(tmp_path: Path) -> None:
    """02:30-04:00 on 14 March 2027 in Chicago: 02:30 does not exist and means the change itself.

    The change is at 03:00 summer time (08:00 in UTC); until 04:00 there is one hour, so a step of
    one hour in one go fits, and one of 61 minutes goes to the next Sunday (90 minutes then).
    """
    person = '[[person]]\nid = "host"\nhours = { sun = ["02:30-04:00"] }\n'
    text = """
    [[job]]
    id = "one"
    step = [{ id = "take", hands = "1h", one_go = true }]
    """
    studio = _studio("America/Chicago", "2027-03-13T20:00:00", person)
    record = answer(season(tmp_path / "a", studio, apr_2027=text))
    assert row(record, "one.take")["start"] == "2027-03-14T03:00:00-05:00"
    assert row(record, "one.take")["finish"] == "2027-03-14T04:00:00-05:00"
    record = answer(season(tmp_path / "b", studio, apr_2027=text.replace("1h", "61min")))
    assert _plan(record, "one.take") == ("03-21 02:30", "03-21 03:31")


def test_an_hour_that_comes_twice_counts_twice(tmp_path: Path) -> None:
    """Chicago, 7 November 2027: 01:00-02:00 by the wall is 120 minutes.

    01:00 means the first of the two (06:00 in UTC), 02:00 exists once (08:00 in UTC): a step of
    two hours in one go fits into the window.
    """
    person = '[[person]]\nid = "host"\nhours = { sun = ["01:00-02:00"] }\n'
    text = '[[job]]\nid = "two"\nstep = [{ id = "take", hands = "2h", one_go = true }]\n'
    studio = _studio("America/Chicago", "2027-11-06T20:00:00", person)
    record = answer(season(tmp_path, studio, dec_2027=text))
    assert row(record, "two.take")["start"] == "2027-11-07T01:00:00-05:00"
    assert row(record, "two.take")["finish"] == "2027-11-07T02:00:00-06:00"


def test_a_minute_after_the_cut_off_before_a_holiday_costs_two_days(tmp_path: Path) -> None:
    """Two workdays of a carrier that works mon-fri, cut-off 12:00, over Memorial Day.

    Friday 28 May 2027; Monday 31 May is a public holiday. Ordered on Friday at 12:00 it counts
    from Friday: Tuesday 1, Wednesday 2 June, 18:00. At 12:01 it counts from the next of the
    carrier's days, Tuesday 1 June: Wednesday 2, Thursday 3 June. With the release on Friday
    4 June at 09:00 and three days of settling only an order in time would do: Saturday 5 June
    18:00 misses it, and so does Sunday; so both slip, by 33 and 57 hours.
    """
    rest = """
    holidays = "US"
    [[person]]
    id = "host"
    hours = { daily = ["09:00-17:00"] }
    [[carrier]]
    id = "freight"
    days = "mon-fri"
    cutoff = 12:00:00
    """
    text = """
    [[parcel]]
    id = "rug"
    carrier = "freight"
    lead = "2 workdays"
    settle = "3d"
    [[job]]
    id = "lay"
    step = [{ id = "down", wait = "0min", after = ["rug"] }]
    """
    in_time = _studio("America/Chicago", "2027-05-28T12:00:00", rest)
    record = answer(season(tmp_path / "a", in_time, jun_2027=text))
    assert _short(record["episodes"][0]["parcels"][0]["arrives"]) == "06-02 18:00"
    assert _plan(record, "rug") == ("05-28 12:00", "06-05 18:00")
    assert record["episodes"][0]["spare_min"] == -33 * 60
    late = _studio("America/Chicago", "2027-05-28T12:01:00", rest)
    record = answer(season(tmp_path / "b", late, jun_2027=text))
    assert _short(record["episodes"][0]["parcels"][0]["arrives"]) == "06-03 18:00"
    assert record["episodes"][0]["spare_min"] == -57 * 60
    assert (record["episodes"][0]["verdict"], record["episodes"][0]["proved"]) == ("slips", True)


def test_the_nearer_episode_has_the_builder_first(tmp_path: Path) -> None:
    """One builder, evenings 18:00-21:00; May needs 4 h, June 2 h and then a day of waiting.

    From Monday 5 April: May works Monday 18:00-21:00 and Tuesday 18:00-19:00, then June has the
    builder from Tuesday 19:00 to 21:00, though both could begin on Monday. May's extra minute
    moves May's end, so May's step is critical for May; June's own step and its wait for June.
    June is ready on Wednesday at 21:00.
    """
    rest = '[[person]]\nid = "builder"\nhours = { mon-fri = ["18:00-21:00"] }\n'
    may = '[[job]]\nid = "shelf"\nstep = [{ id = "build", hands = "4h" }]\n'
    june = """
    [[job]]
    id = "bench"
    step = [{ id = "glue", hands = "2h" }, { id = "set", wait = "1d" }]
    """
    studio = _studio("UTC", "2027-04-05T08:00:00", rest)
    record = answer(season(tmp_path, studio, may_2027=may, jun_2027=june))
    assert _plan(record, "shelf.build") == ("04-05 18:00", "04-06 19:00")
    assert _plan(record, "bench.glue") == ("04-06 19:00", "04-06 21:00")
    assert row(record, "bench.glue")["because"] == {"kind": "person", "id": "builder"}
    assert row(record, "bench.glue")["early_start"] == "2027-04-05T18:00:00+00:00"
    assert _short(record["episodes"][1]["ready_by"]) == "04-07 21:00"
    critical = {name: row(record, name)["critical"] for name in ("shelf.build", "bench.set")}
    assert critical == {"shelf.build": True, "bench.set": True}
    # The builder's minute more on Tuesday pushes nothing but the glue, which ends at closing:
    # 121 minutes from 19:00 end on Wednesday at 18:01, and the wait with it.
    assert row(record, "bench.glue")["critical"] is True


def test_a_wet_coat_waits_until_the_dust_next_door_has_settled(tmp_path: Path) -> None:
    """Two spaces share air, dust lingers an hour in both; a coat is to stay out of it until touch.

    The builder sands next door from 09:00 to 12:00; the air is bad until 13:00. The host could
    coat at 09:00 (40 min, touch dry 30 min later), but then dust would fall on it: so either the
    coat comes first and the sanding waits until 10:10, or the sanding first and the coat at 13:00.
    The host's cleaning of the room, 2 h after `handle` (6 h), is what ends last: coat first ends
    09:40 + 6 h = 15:40, cleaned 15:40-17:40; sanding 10:10-13:10. The other way round the coat
    would be over at 13:40, handled at 19:40, after the host's hours: so the coat comes first.
    """
    rest = """
    [[person]]
    id = "host"
    hours = { daily = ["09:00-18:00"] }
    [[person]]
    id = "builder"
    hours = { daily = ["09:00-18:00"] }
    [[space]]
    id = "room"
    shares_air_with = ["hall"]
    lingers = { dust = "1h" }
    [[space]]
    id = "hall"
    lingers = { dust = "1h" }
    """
    text = """
    [[job]]
    id = "floor"
    where = "hall"
    who = ["builder"]
    step = [{ id = "sand", hands = "3h", makes = ["dust"] }]
    [[job]]
    id = "door"
    where = "room"
    who = ["host"]
    [[job.step]]
    id = "coat"
    hands = "40min"
    coat = "wall-paint"
    dries = { touch = "30min", recoat = "2h", handle = "6h" }
    [[job.step]]
    id = "clean"
    hands = "2h"
    """
    studio = _studio("UTC", "2027-04-05T09:00:00", rest)
    record = answer(season(tmp_path, studio, may_2027=text))
    assert _plan(record, "door.coat") == ("04-05 09:00", "04-05 09:40")
    assert _plan(record, "floor.sand") == ("04-05 10:10", "04-05 13:10")
    assert row(record, "floor.sand")["because"]["kind"] == "air"
    assert _plan(record, "door.clean") == ("04-05 15:40", "04-05 17:40")
    assert _short(record["episodes"][0]["ready_by"]) == "04-05 17:40"


def test_a_first_coat_waits_for_an_evening_that_has_another_after_it(tmp_path: Path) -> None:
    """Coats of 40 min, recoat after 2 h 30 and within 24 h; evenings mon, tue and thu 18:00-21:30.

    The boards come on Tuesday at 18:00. Coat 1 then, 18:00-18:40, allows coat 2 from 21:10 on:
    21:10 + 40 min = 21:50 is past closing, and on Thursday the 24 h are long over. Thursday
    18:40 + 24 h is a closed Friday. The next evenings that follow each other are Monday 12 and
    Tuesday 13 April: coat 1 Monday 18:00-18:40, coat 2 between 21:10 and Tuesday 18:40; a start
    at 21:10 does not fit, so Tuesday 18:00-18:40. Early dates say the same; a scuffing step with
    `opens_window` between them lets coat 1 begin on Tuesday the 6th.
    """
    rest = """
    [[person]]
    id = "builder"
    hours = { mon-tue = ["18:00-21:30"], thu = ["18:00-21:30"] }
    """
    text = """
    [[parcel]]
    id = "boards"
    lead = "1 workdays"
    [[job]]
    id = "top"
    [[job.step]]
    id = "coat-1"
    hands = "40min"
    coat = "clear"
    after = ["boards"]
    dries = { touch = "30min", recoat = "2h30", recoat_by = "24h", handle = "12h" }
    SCUFF
    [[job.step]]
    id = "coat-2"
    hands = "40min"
    coat = "clear"
    dries = { touch = "30min", recoat = "2h30", recoat_by = "24h", handle = "12h" }
    """
    studio = _studio("UTC", "2027-04-05T09:00:00", rest)
    record = answer(season(tmp_path / "a", studio, may_2027=text.replace("SCUFF", "")))
    assert _plan(record, "boards") == ("04-05 09:00", "04-06 18:00")
    assert _plan(record, "top.coat-1") == ("04-12 18:00", "04-12 18:40")
    assert _plan(record, "top.coat-2") == ("04-13 18:00", "04-13 18:40")
    assert _short(row(record, "top.coat-1")["early_start"]) == "04-12 18:00"
    assert row(record, "top.coat-1")["because"]["kind"] == "window"
    scuff = '[[job.step]]\nid = "scuff"\nhands = "15min"\nopens_window = true\n'
    record = answer(season(tmp_path / "b", studio, may_2027=text.replace("SCUFF", scuff)))
    assert _plan(record, "top.coat-1") == ("04-06 18:00", "04-06 18:40")
    assert _plan(record, "top.scuff") == ("04-06 21:10", "04-06 21:25")
    assert _plan(record, "top.coat-2") == ("04-08 18:00", "04-08 18:40")


def test_the_wall_is_filmed_by_daylight_before_it_comes_down(tmp_path: Path) -> None:
    """A shot by daylight (09:00-16:00) that can be taken once; the host is free evenings and Sat.

    The builder could tear the wall down on Monday 18:00-20:00. But the shot before it needs the
    host and daylight: the first such opening is Saturday 10 April 10:00-14:00 (daylight opens at
    09:00, the host last, at 10:00: that is what held it). Shot 10:00-10:20;
    the builder works Saturdays until 12:00: two hours from 10:20 are over at 12:20, so 100 min
    on Saturday and the last 20 on Monday the 12th, 18:00-18:20.
    """
    rest = """
    [[person]]
    id = "host"
    hours = { mon-fri = ["18:00-21:00"], sat = ["10:00-14:00"] }
    [[person]]
    id = "builder"
    hours = { mon-fri = ["18:00-21:00"], sat = ["08:00-12:00"] }
    [[space]]
    id = "room"
    """
    text = """
    room = "room"
    [[shot]]
    id = "before"
    of = "wall"
    when = "before"
    hands = "20min"
    light = "day"
    once = true
    [[job]]
    id = "wall"
    step = [{ id = "down", hands = "2h", who = ["builder"] }]
    """
    studio = _studio("UTC", "2027-04-05T09:00:00", rest)
    record = answer(season(tmp_path, studio, may_2027=text))
    assert _plan(record, "before") == ("04-10 10:00", "04-10 10:20")
    assert _plan(record, "wall.down") == ("04-10 10:20", "04-12 18:20")
    assert row(record, "wall.down")["because"] == {"kind": "step", "id": "before"}
    assert row(record, "before")["because"] == {"kind": "hours", "id": "host"}
    assert row(record, "before")["critical"] is True
    assert row(record, "wall.down")["critical"] is True
