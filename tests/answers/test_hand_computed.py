"""Scenarios computed by hand, the arithmetic written beside each."""

from episodes.answers.check import check
from episodes.answers.rows import EpisodeAnswer
from tests.small_season import minutes, season


def judged(text: str, **options: object) -> EpisodeAnswer:
    return check(season(text, **options)).episodes[0]  # type: ignore[arg-type]


def test_a_night_of_the_clock_change_has_an_hour_less() -> None:
    """America/Chicago, 14 March 2027: 02:00 CST becomes 03:00 CDT at 08:00 UTC. From 01:00
    (07:00 UTC) two hours of hands-on work end at 04:00 on the clock, which is 09:00 UTC; a wait
    of 24 h from there ends at 04:00 the next day, 09:00 UTC on the 15th."""
    text = """
[[job]]
id = "a"
step = [
  { id = "night", hands = "2h", not_before = 2027-03-14T01:00:00 },
  { id = "dry", wait = "24h" },
]
"""
    answer = judged(text, zone="America/Chicago", hours='daily = ["01:00-04:00"]')
    night, dry = answer.step("a.night"), answer.step("a.dry")
    assert (night.start, night.finish) == (minutes(14, 7), minutes(14, 9))
    assert night.sessions == ((minutes(14, 7), minutes(14, 9)),)
    assert dry.finish == minutes(15, 9)


def test_an_order_after_the_cut_off_before_a_holiday_comes_a_day_later_twice() -> None:
    """Read Friday 28 May 2027 14:01 UTC, a minute past the cut-off of 14:00: the order counts from
    the carrier's next day. Monday 31 May is Memorial Day (United States, last Monday of May, 5
    U.S.C. 6103), so that next day is Tuesday 1 June; two workdays on it is Thursday 3 June,
    18:00. A minute earlier it would have counted from Friday itself: Wednesday 2 June."""
    text = """
[[parcel]]
id = "tin"
carrier = "post"
lead = "2 workdays"
[[job]]
id = "a"
step = [{ id = "s", hands = "1h", after = ["tin"] }]
"""
    carrier = (
        'holidays = "US"\n[[carrier]]\nid = "post"\ndays = "mon-fri"\n'
        "cutoff = 14:00:00\narrives_at = 18:00:00\n"
    )
    options = {"studio": carrier, "name": "2027-07-test"}
    late = judged(text, as_of="2027-05-28T14:01:00", **options)
    assert late.parcel("tin").arrives == minutes(3, 18, month=6)
    in_time = judged(text, as_of="2027-05-28T14:00:00", **options)
    assert in_time.parcel("tin").arrives == minutes(2, 18, month=6)


def test_a_shared_builder_does_one_room_after_the_other() -> None:
    """Two rooms of 4 h each in evenings of 3 h 30. The nearer takes Monday 18:00-21:30 and 30 min
    of Tuesday; the farther has what is left of Tuesday (18:30-21:30, 3 h) and 1 h of Wednesday."""
    work = '[[job]]\nid = "a"\nstep = [{ id = "s", hands = "4h" }]\n'
    answer = check(season(work, others={"2027-05-next": work}))
    near, far = answer.episodes
    assert near.step("a.s").sessions == (
        (minutes(1, 18), minutes(1, 21, 30)),
        (minutes(2, 18), minutes(2, 18, 30)),
    )
    assert far.step("a.s").sessions == (
        (minutes(2, 18, 30), minutes(2, 21, 30)),
        (minutes(3, 18), minutes(3, 19)),
    )
    because = far.step("a.s").because
    assert because is not None
    assert (because.kind, because.id) == ("person", "host")


def test_a_wet_coat_and_sanding_keep_apart_for_as_long_as_the_dust_lingers() -> None:
    """One room, two people. Sanding is fixed for 09:00-11:00, its dust lingers 1 h: the coat next
    to it cannot begin before 12:00. It takes 1 h and is touch dry at 15:00, so the next sanding,
    whose person is free at 11:00, waits until 15:00."""
    text = """
[[job]]
id = "floor"
step = [
  { id = "sand", hands = "2h", makes = ["dust"], at = 2027-03-01T09:00:00 },
  { id = "more", hands = "1h", makes = ["dust"] },
]
[[job]]
id = "trim"
who = ["helper"]
[[job.step]]
id = "paint"
hands = "1h"
coat = "some-paint"
dries = { touch = "2h", recoat = "4h", handle = "8h" }
not_before = 2027-03-01T10:00:00
[[job.step]]
id = "before-more"
wait = "0min"
"""
    text = text.replace(
        '{ id = "more", hands = "1h", makes = ["dust"] }',
        '{ id = "more", hands = "1h", makes = ["dust"], after = ["sand", { step = "trim.paint" '
        ', stage = "touch" }] }',
    )
    answer = judged(
        text,
        hours='daily = ["09:00-20:00"]',
        people='[[person]]\nid = "helper"\nhours = { daily = ["09:00-20:00"] }\n',
        room='lingers = { dust = "1h" }',
    )
    sand, paint, more = (answer.step(id) for id in ("floor.sand", "trim.paint", "floor.more"))
    assert (sand.start, sand.finish) == (minutes(1, 9), minutes(1, 11))
    assert (paint.start, paint.finish) == (minutes(1, 12), minutes(1, 13))
    assert paint.because is not None
    assert paint.because.kind == "air"
    assert more.start == minutes(1, 15)


def test_a_second_coat_waits_for_recoat_and_pulls_the_first_into_its_window() -> None:
    """Recoat after 4 h, by 9 h at the latest; hours 06:00-08:00 and 18:00-21:30. A first coat
    of the morning is over by 08:00: its window closes at 17:00, before the evening opens. One of
    the evening over at F lets the second begin at 06:00 if F + 4 h <= 06:00 <= F + 9 h, so F is
    21:00 at the earliest: the first begins Monday 20:00, though it could at 06:00."""
    text = """
[[job]]
id = "top"
[[job.step]]
id = "one"
hands = "1h"
coat = "some-varnish"
dries = { touch = "1h", recoat = "4h", recoat_by = "9h", handle = "24h" }
[[job.step]]
id = "two"
hands = "1h"
coat = "some-varnish"
dries = { touch = "1h", recoat = "4h", recoat_by = "9h", handle = "24h" }
"""
    answer = judged(text, hours='daily = ["06:00-08:00", "18:00-21:30"]')
    one, two = answer.step("top.one"), answer.step("top.two")
    assert (one.start, two.start) == (minutes(1, 20), minutes(2, 6))
    assert (one.early_start, two.early_start) == (minutes(1, 20), minutes(2, 6))
    assert answer.step("top.two.dry").finish == minutes(3, 7)


def test_the_last_coat_before_the_window_closes_is_told_with_its_way_out() -> None:
    """The first coat was done on Sunday 28 February 12:00 and had to be recoated by Monday 06:00;
    it is Monday 07:00. No plan obeys that any more: sand, then coat."""
    text = """
[[job]]
id = "top"
[[job.step]]
id = "one"
hands = "1h"
coat = "some-varnish"
dries = { touch = "1h", recoat = "4h", recoat_by = "18h", handle = "24h" }
done = 2027-02-28T12:00:00
[[job.step]]
id = "two"
hands = "1h"
coat = "some-varnish"
dries = { touch = "1h", recoat = "4h", handle = "24h" }
"""
    answer = judged(text, as_of="2027-03-01T07:00:00")
    assert (answer.verdict, answer.proved, answer.ready_by) == ("slips", True, None)
    problem = next(p for p in answer.problems if p.code == "recoat-missed")
    assert "opens_window" in problem.mend
    mended = text.replace(
        '[[job.step]]\nid = "two"',
        '[[job.step]]\nid = "scuff"\nhands = "20min"\nopens_window = true\n'
        '[[job.step]]\nid = "two"',
    )
    answer = judged(mended, as_of="2027-03-01T07:00:00")
    assert answer.verdict == "meets"
    assert answer.step("top.two").start == minutes(1, 18, 20)


def test_the_before_shot_comes_before_the_first_blow() -> None:
    """The shot needs daylight (09:00-16:00 without a place) and the host, who has Saturday
    09:00-17:00 and evenings: Saturday 6 March 09:00. Clearing could start Monday 18:00 but must
    wait for the shot's end at 09:20; what follows in the job too."""
    text = """
[[shot]]
id = "wide"
of = "clear"
when = "before"
hands = "20min"
light = "day"
once = true
[[job]]
id = "clear"
step = [{ id = "rip", hands = "1h" }, { id = "carry", hands = "1h" }]
"""
    answer = judged(text, hours='mon-fri = ["18:00-21:30"], sat = ["09:00-17:00"]')
    assert answer.step("wide").start == minutes(6, 9)
    assert answer.step("clear.rip").start == minutes(6, 9, 20)
    assert answer.step("clear.carry").finish == minutes(6, 11, 20)


def test_a_shot_whose_moment_is_past_is_lost_not_planned() -> None:
    text = """
[[shot]]
id = "wide"
of = "clear"
when = "before"
hands = "20min"
once = true
[[job]]
id = "clear"
step = [{ id = "rip", hands = "1h", done = 2027-02-28T12:00:00 }, { id = "carry", hands = "1h" }]
"""
    answer = judged(text)
    assert answer.step("wide").state == "dropped"
    assert [p.code for p in answer.problems if p.level == "error"] == ["shot-lost"]


def test_clamps_that_were_put_on_an_hour_ago_come_off_by_their_own_time() -> None:
    """Glue done at 17:00, clamps on for 12 h: they come off at 05:00, whenever it is told."""
    text = """
[[job]]
id = "top"
step = [
  { id = "glue", hands = "1h", gear = { clamps = 4 }, done = 2027-03-01T17:00:00 },
  { id = "set", wait = "12h", gear = { clamps = 4 } },
  { id = "plane", hands = "1h" },
]
"""
    answer = judged(
        text, as_of="2027-03-01T18:00:00", spaces='[[gear]]\nid = "clamps"\ncount = 8\n'
    )
    assert answer.step("top.set").finish == minutes(2, 5)
    assert answer.step("top.set").state == "started"
    assert answer.step("top.plane").start == minutes(2, 18)
