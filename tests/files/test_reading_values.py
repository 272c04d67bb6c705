"""What the reader makes of a faultless plan: every key, default and rule of the plan format."""

from pathlib import Path

import pytest

from episodes.amounts import Estimate, Lead
from episodes.calendars.week import DayOff
from episodes.files.products import load_products
from episodes.model.episode import After, Ref, Who
from episodes.model.studio import Air, OddsSettings, ReleaseRule
from tests.files.seasons import (
    CLOCK,
    LAUNDRY,
    STUDIO,
    job,
    minute,
    parcel,
    read,
    read_one,
    shot,
    step,
)

JOB = """
[[job]]
id = "bench"
where = "workshop"
who = ["builder"]
gear = ["clamps"]
makes = ["dust"]
needs_air = ["fresh"]
"""


# -------------------------------------------------------------------- studio


def test_a_studio_gets_its_defaults(tmp_path: Path) -> None:
    studio = """
    name = "Bare"
    timezone = "Europe/Dublin"
    [[person]]
    id = "host"
    hours = { mon = ["09:00-10:00"] }
    [[space]]
    id = "room"
    [[gear]]
    id = "camera"
    [[carrier]]
    id = "post"
    """
    read_studio = read(tmp_path, {"studio": studio, LAUNDRY: ""}).studio
    assert read_studio.release_rule == ReleaseRule(nth=1, weekday=4, at=540)
    assert (read_studio.units, read_studio.currency) == ("metric", "")
    assert read_studio.calendar_id == "Bare"
    assert (read_studio.cushion, read_studio.as_of, read_studio.holidays) == (None, None, None)
    assert read_studio.odds == OddsSettings(10_000, 1, 0.3)
    person, space = read_studio.people[0], read_studio.spaces[0]
    assert (person.title, person.keeps_holidays, person.off) == ("host", False, ())
    assert (space.hours, space.noise_hours, space.holds) == (None, None, None)
    assert space.air_by_month == (Air(21, 50),) * 12
    assert read_studio.gear[0].count == 1
    carrier = read_studio.carriers[0]
    assert (carrier.weekdays, carrier.keeps_holidays) == (frozenset(range(5)), True)
    assert (carrier.cutoff, carrier.arrives_at) == (None, 1080)


def test_a_studio_is_read_whole(tmp_path: Path) -> None:
    studio = """
    name = "Whole"
    timezone = "America/Chicago"
    release = { on = "last Tuesday", at = 17:30:00, skip = ["2027-08"] }
    place = { latitude = 41.5, longitude = -93 }
    currency = "USD"
    units = "us"
    cushion = "2d"
    calendar_id = "mine"
    as_of = 2027-03-20T08:00:01

    [[person]]
    id = "host"
    title = "The host"
    hours = { fri-mon = ["22:00-02:00"], sun = [], note = "nights" }
    off = ["2027-03-20..2027-03-28", "2027-04-15 18:00-20:00", 2027-05-01]
    extra = ["2027-04-16 09:00-17:00"]
    note = "notes go anywhere"
    [person.x]
    shoe-size = 44

    [[space]]
    id = "porch"
    noise_hours = { daily = ["09:00-20:00"] }
    holds = 2
    air = { fahrenheit = 50, humidity = 65 }
    air_by_month.11-03 = { celsius = 8 }
    air_by_month.1 = { humidity = 80 }
    air_by_month.05 = { celsius = 18, humidity = 40 }
    lingers = { dust = "1h", fumes = "4h" }
    forbids = ["holes"]
    hears = ["shed"]
    [[space]]
    id = "shed"
    shares_air_with = ["porch"]

    [[carrier]]
    id = "post"
    days = "sat-mon"
    keeps_holidays = false
    cutoff = 14:00:30
    arrives_at = 17:00:30

    [odds]
    samples = 500
    seed = 9
    correlation = 0
    """
    read_studio = read(tmp_path, {"studio": studio, LAUNDRY: ""}).studio
    assert read_studio.release_rule == ReleaseRule(-1, 1, 1050, frozenset({"2027-08"}))
    assert (read_studio.latitude, read_studio.longitude) == (41.5, -93)
    assert (read_studio.units, read_studio.cushion) == ("us", 2 * 1440)
    assert read_studio.calendar_id == "mine"
    assert read_studio.as_of == minute("2027-03-20 08:01")
    host = read_studio.person("host")
    assert host.hours.by_day[4] == ((1320, 1560),)
    assert host.hours.by_day[6] == ()
    assert host.hours.by_day[2] == ()
    assert [off.window for off in host.off] == [None, (1080, 1200), None]
    assert isinstance(host.off[2], DayOff)
    assert host.extra[0].window == (540, 1020)
    porch, shed = read_studio.space("porch"), read_studio.space("shed")
    assert porch.air_by_month[5] == Air(10, 65)
    assert porch.air_by_month[10] == porch.air_by_month[1] == Air(8, 65)
    assert porch.air_by_month[0] == Air(10, 80)
    assert porch.air_by_month[4] == Air(18, 40)
    assert porch.lingers == {"dust": 60, "fumes": 240}
    assert porch.shares_air_with == {"shed"}
    assert shed.hears == {"porch"}
    post = read_studio.carrier("post")
    assert post.weekdays == {5, 6, 0}
    assert (post.cutoff, post.arrives_at, post.keeps_holidays) == (840, 1021, False)
    assert read_studio.odds == OddsSettings(500, 9, 0)


# -------------------------------------------------------------------- moment and release


def test_now_beats_as_of_which_beats_the_clock(tmp_path: Path) -> None:
    files = {LAUNDRY: ""}
    season = read(tmp_path, files)
    assert (season.now, season.read_as_of) == (minute("2027-03-20 08:00"), True)
    season = read(tmp_path, files, now=CLOCK + 5)
    assert (season.now, season.read_as_of) == (CLOCK + 5, False)
    timeless = STUDIO.replace("as_of = 2027-03-20T08:00:00", "")
    season = read(tmp_path, {"studio": timeless, **files})
    assert (season.now, season.read_as_of) == (CLOCK, False)


@pytest.mark.parametrize(
    ("written", "release"),
    [
        ("", "2027-05-07 09:00"),
        ('release = "2027-06"', "2027-06-04 09:00"),
        ("release = 2027-05-12", "2027-05-12 09:00"),
        ("release = 2027-05-12T17:15:30", "2027-05-12 17:15"),
        ("release = 2027-05-12T17:15:00Z", "2027-05-12 12:15"),
        ("release = 2027-05-12T17:15:00+02:00", "2027-05-12 10:15"),
    ],
)
def test_a_release_is_a_month_a_day_or_an_instant(
    tmp_path: Path, written: str, release: str
) -> None:
    assert read_one(tmp_path, written).release == minute(release)


def test_a_month_that_the_rule_skips_is_pointed_out_and_kept(tmp_path: Path) -> None:
    season = read(tmp_path, {"2027-08-den": 'title = "Den"'})
    assert [problem.code for problem in season.problems] == ["skipped-month"]
    assert season.episode("2027-08-den").release == minute("2027-08-06 09:00")


def test_episodes_come_by_release_and_ties_by_id(tmp_path: Path) -> None:
    files = {"2027-06-b": "", "2027-06-a": "", "2027-07-c": 'release = "2027-04"'}
    ids = [episode.id for episode in read(tmp_path, files).episodes]
    assert ids == ["2027-07-c", "2027-06-a", "2027-06-b"]


def test_an_idea_is_released_on_the_next_free_release_day(tmp_path: Path) -> None:
    season = read(tmp_path, {"2027-04-a": "", "2027-05-b": "", "ideas/porch": 'title = "Porch"'})
    idea = season.ideas[0]
    assert (idea.id, idea.file) == ("porch", "ideas/porch.toml")
    assert idea.release == minute("2027-06-04 09:00")


def test_a_fault_in_an_idea_stops_nobody_else(tmp_path: Path) -> None:
    files = {LAUNDRY: "", "ideas/good": "", "ideas/bad": "room = 5", "ideas/worse": "]["}
    season = read(tmp_path, files)
    assert [idea.id for idea in season.ideas] == ["good"]
    assert [str(problem.where) for problem in season.problems] == [
        "ideas/bad.toml:1",
        "ideas/worse.toml:1",
    ]


# -------------------------------------------------------------------- bounds and facts


@pytest.mark.parametrize(
    ("written", "lower", "upper"),
    [
        ("2027-04-02", "2027-04-02 00:00", "2027-04-03 00:00"),
        ("2027-04-02T18:30:00", "2027-04-02 18:30", "2027-04-02 18:30"),
        ("2027-04-02T18:30:01", "2027-04-02 18:31", "2027-04-02 18:30"),
        ("2027-04-02T18:30:00-06:00", "2027-04-02 19:30", "2027-04-02 19:30"),
        ('"release"', "2027-05-07 09:00", "2027-05-07 09:00"),
        ('"release-14d"', "2027-04-23 00:00", "2027-04-24 00:00"),
        ('"release+1w"', "2027-05-14 00:00", "2027-05-15 00:00"),
        ('"release-36h"', "2027-05-05 21:00", "2027-05-05 21:00"),
        # 02:30 does not exist on 14 March 2027 in Chicago; 01:30 comes twice on 7 November.
        ("2027-03-14T02:30:00", "2027-03-14 03:00", "2027-03-14 03:00"),
        ("2027-11-07T01:30:00", "2027-11-07 01:30", "2027-11-07 01:30"),
    ],
)
def test_a_bound_is_a_day_an_instant_or_counted_from_the_release(
    tmp_path: Path, written: str, lower: str, upper: str
) -> None:
    shots = f"""
    [[shot]]
    id = "one"
    hands = "1h"
    not_before = {written}
    [[shot]]
    id = "two"
    hands = "1h"
    not_after = {written}
    """
    episode = read_one(tmp_path, shots)
    assert shot(episode, "one").not_before == minute(lower)
    assert shot(episode, "two").not_after == minute(upper)


def test_facts_of_today_read_as_now_at_the_latest(tmp_path: Path) -> None:
    episode = read_one(
        tmp_path,
        """
        [[parcel]]
        id = "lumber"
        carrier = "parcel"
        ordered = 2027-03-20
        arrived = 2027-03-20
        [[job]]
        id = "bench"
        [[job.step]]
        id = "today"
        hands = "1h"
        started = 2027-03-20
        done = 2027-03-20
        [[job.step]]
        id = "tonight"
        hands = "1h"
        done = 2027-03-20T22:00:00
        [[job.step]]
        id = "yesterday"
        hands = "1h"
        started = 2027-03-19
        done = 2027-03-19
        [[shot]]
        id = "wide"
        hands = "1h"
        taken = 2027-03-20
        """,
    )
    now = minute("2027-03-20 08:00")
    assert step(episode, "bench.today").done == now
    assert step(episode, "bench.today").started == minute("2027-03-20")
    assert step(episode, "bench.tonight").done == now
    assert step(episode, "bench.yesterday").started == minute("2027-03-19")
    assert step(episode, "bench.yesterday").done == minute("2027-03-20")
    assert shot(episode, "wide").taken == now
    lumber = parcel(episode, "lumber")
    assert (lumber.ordered, lumber.arrived) == (now, now)


def test_a_day_of_ordering_is_before_its_cutoff_and_a_day_of_arrival_at_arrives_at(
    tmp_path: Path,
) -> None:
    episode = read_one(
        tmp_path,
        """
        [[parcel]]
        id = "by-post"
        carrier = "parcel"
        ordered = 2027-03-10
        promised = 2027-03-25
        [[parcel]]
        id = "by-hand"
        ordered = 2027-03-10
        arrived = 2027-03-12
        [[parcel]]
        id = "same-day"
        carrier = "parcel"
        ordered = 2027-03-10
        arrived = 2027-03-10T11:00:00
        """,
    )
    by_post, by_hand = parcel(episode, "by-post"), parcel(episode, "by-hand")
    assert by_post.ordered == minute("2027-03-10 14:00")
    assert by_post.promised == minute("2027-03-25 18:00")
    assert by_hand.ordered == minute("2027-03-10 23:59")
    assert by_hand.arrived == minute("2027-03-12 18:00")
    same_day = parcel(episode, "same-day")
    assert same_day.ordered == same_day.arrived == minute("2027-03-10 11:00")


# -------------------------------------------------------------------- steps


def test_a_step_takes_what_its_job_gives_and_replaces_it_with_its_own(tmp_path: Path) -> None:
    episode = read_one(
        tmp_path,
        JOB
        + """
        [[job.step]]
        id = "cut"
        hands = "2h..3h..6h"
        [[job.step]]
        id = "other"
        hands = "2h"
        who = { any_of = ["host", "builder"] }
        where = "laundry"
        gear = { camera = 1, clamps = 4 }
        makes = []
        needs_air = ["quiet"]
        """,
    )
    cut, other = step(episode, "bench.cut"), step(episode, "bench.other")
    assert (cut.title, cut.hands, cut.wait) == ("cut", Estimate(120, 180, 360), None)
    assert (cut.who, cut.where, cut.gear) == (Who(("builder",)), "workshop", (("clamps", 1),))
    assert (cut.makes, cut.needs_air) == ({"dust"}, {"fresh"})
    assert other.who == Who(("host", "builder"), any_of=True)
    assert (other.where, other.gear) == ("laundry", (("camera", 1), ("clamps", 4)))
    assert (other.makes, other.needs_air) == (frozenset(), {"quiet"})
    assert cut.after is None


def test_a_wait_takes_only_place_and_gear_of_its_job(tmp_path: Path) -> None:
    studio = STUDIO + '[defaults.step]\nwho = ["host"]\nlight = "day"\none_go = true\ncost = 3\n'
    episode = read_one(tmp_path, JOB + '[[job.step]]\nid = "set"\nwait = "0min"', studio=studio)
    wait = step(episode, "bench.set")
    assert wait.wait == Estimate(0, 0, 0)
    assert (wait.where, wait.gear) == ("workshop", (("clamps", 1),))
    assert (wait.who, wait.light, wait.one_go) == (Who(), None, False)
    assert (wait.makes, wait.needs_air) == (frozenset(), frozenset())
    assert wait.cost == 3


def test_the_nearest_default_wins_and_the_studios_first_person_is_the_last(tmp_path: Path) -> None:
    plan = """
    room = "laundry"
    [[parcel]]
    id = "paint"
    [[job]]
    id = "bench"
    [[job.step]]
    id = "one"
    hands = "1h"
    [[job.step]]
    id = "two"
    hands = "1h"
    who = ["host"]
    [[shot]]
    id = "wide"
    of = "bench"
    """
    bare = read_one(
        tmp_path,
        plan.replace('id = "paint"', 'id = "paint"\nlead = "1d"').replace(
            'of = "bench"', 'hands = "5min"'
        ),
    )
    assert step(bare, "bench.one").who == Who(("host",))
    assert step(bare, "bench.one").where == "laundry"
    studio = (
        STUDIO
        + """
    [defaults.step]
    who = ["builder"]
    where = "workshop"
    [defaults.shot]
    hands = "20min"
    gear = ["camera"]
    who = []
    when = "during"
    of = "bench.one"
    [defaults.parcel]
    lead = "2 workdays"
    carrier = "parcel"
    """
    )
    episode = read_one(tmp_path, plan.replace('of = "bench"', ""), studio=studio)
    assert step(episode, "bench.one").who == Who(("builder",))
    assert step(episode, "bench.one").where == "workshop"
    assert step(episode, "bench.two").who == Who(("host",))
    wide = shot(episode, "wide")
    assert (wide.hands, wide.gear) == (Estimate(20, 20, 20), (("camera", 1),))
    assert (wide.who, wide.when, wide.of) == (Who(), "during", Ref("step", LAUNDRY, "bench.one"))
    assert parcel(episode, "paint").lead == Lead(Estimate(2, 2, 2), True)


def test_a_length_of_the_step_itself_beats_a_default_of_the_other_kind(tmp_path: Path) -> None:
    plan = '[[job]]\nid = "a"\n[[job.step]]\nid = "b"\n[[job.step]]\nid = "c"\nwait = "1d"\n'
    studio = STUDIO + '[defaults.step]\nhands = "30min"\n'
    episode = read_one(tmp_path, plan, studio=studio)
    assert step(episode, "a.b").hands == Estimate(30, 30, 30)
    assert (step(episode, "a.c").hands, step(episode, "a.c").wait) == (None, Estimate(*[1440] * 3))


def test_what_a_job_is_its_steps_are(tmp_path: Path) -> None:
    plan = """
    [[job]]
    id = "a"
    optional = true
    fallback_only = true
    dropped = 2027-03-18
    [[job.step]]
    id = "b"
    hands = "1h"
    [[fallback]]
    id = "way"
    use = ["a"]
    """
    episode = read_one(tmp_path, plan)
    only = step(episode, "a.b")
    assert (only.optional, only.fallback_only) == (True, True)
    assert only.dropped == job(episode, "a").dropped == minute("2027-03-19")


def test_coats_and_shots_are_done_in_one_go_and_other_work_is_not(tmp_path: Path) -> None:
    plan = """
    [[job]]
    id = "a"
    [[job.step]]
    id = "coat"
    hands = "1h"
    coat = "wall-paint"
    [[job.step]]
    id = "paused-coat"
    hands = "1h"
    coat = "wall-paint"
    one_go = false
    [[job.step]]
    id = "work"
    hands = "1h"
    [[shot]]
    id = "wide"
    hands = "1h"
    """
    episode = read_one(tmp_path, plan)
    assert step(episode, "a.coat").one_go
    assert not step(episode, "a.paused-coat").one_go
    assert not step(episode, "a.work").one_go
    assert shot(episode, "wide").one_go


# -------------------------------------------------------------------- names


def test_a_name_is_a_step_of_the_same_job_first(tmp_path: Path) -> None:
    plan = """
    [[parcel]]
    id = "paint"
    lead = "1d"
    after = ["bench.cut"]
    [[job]]
    id = "cut"
    after = ["paint"]
    [[job.step]]
    id = "saw"
    hands = "1h"
    [[job]]
    id = "bench"
    after = ["cut"]
    [[job.step]]
    id = "cut"
    hands = "1h"
    after = ["cut.saw", "paint", "release", "wide"]
    [[job.step]]
    id = "sand"
    hands = "1h"
    also_after = ["cut", "2027-06-porch:floor.wash", "2027-06-porch:release", "2027-06-porch:rug"]
    before = ["cut.saw", "wide"]
    [[shot]]
    id = "wide"
    hands = "1h"
    after = ["cut"]
    """
    porch = """
    [[parcel]]
    id = "rug"
    lead = "1d"
    [[job]]
    id = "floor"
    [[job.step]]
    id = "wash"
    hands = "1h"
    """
    episode = read(tmp_path, {LAUNDRY: plan, "2027-06-porch": porch}).episode(LAUNDRY)

    def targets(entries: tuple[After, ...] | None) -> list[str]:
        return [f"{entry.target.kind} {entry.target.qualified}" for entry in entries or ()]

    assert targets(job(episode, "bench").after) == [f"job {LAUNDRY}:cut"]
    assert targets(step(episode, "bench.cut").after) == [
        f"step {LAUNDRY}:cut.saw",
        f"parcel {LAUNDRY}:paint",
        f"release {LAUNDRY}:release",
        f"shot {LAUNDRY}:wide",
    ]
    assert targets(step(episode, "bench.sand").also_after) == [
        f"step {LAUNDRY}:bench.cut",
        "step 2027-06-porch:floor.wash",
        "release 2027-06-porch:release",
        "parcel 2027-06-porch:rug",
    ]
    assert [ref.id for ref in step(episode, "bench.sand").before] == ["cut.saw", "wide"]
    assert targets(shot(episode, "wide").after) == [f"job {LAUNDRY}:cut"]
    assert targets(parcel(episode, "paint").after) == [f"step {LAUNDRY}:bench.cut"]


def test_an_entry_of_after_may_be_a_table(tmp_path: Path) -> None:
    plan = """
    [[job]]
    id = "a"
    [[job.step]]
    id = "spray"
    hands = "1h"
    coat = "aerosol-enamel"
    [[job.step]]
    id = "next"
    hands = "1h"
    after = [
      { step = "spray", within = "1h", or_after = "24h" },
      { step = "spray", gap = "30min", from = "start", to = "finish" },
      { step = "spray", stage = "cure" },
      "release",
    ]
    """
    first, second, third, fourth = step(read_one(tmp_path, plan), "a.next").after or ()
    assert (first.gap, first.within, first.or_after, first.plain) == (None, 60, 1440, False)
    assert (second.gap, second.from_start, second.to_finish) == (30, True, True)
    assert (third.stage, third.plain) == ("cure", True)
    assert [entry.place.line for entry in (first, second, third, fourth)] == [12, 13, 14, 15]


def test_a_shot_is_filmed_where_it_says_or_where_its_of_is_or_in_the_room(tmp_path: Path) -> None:
    plan = """
    room = "laundry"
    [[job]]
    id = "a"
    where = "workshop"
    [[job.step]]
    id = "one"
    hands = "1h"
    [[job.step]]
    id = "two"
    hands = "1h"
    where = "laundry"
    [[job]]
    id = "b"
    [[job.step]]
    id = "only"
    hands = "1h"
    where = "workshop"
    """
    shots = {
        "own": 'of = "a"\nwhere = "laundry"',
        "job": 'of = "a"',
        "step-one": 'of = "a.one"',
        "step-two": 'of = "a.two"',
        "other-job": 'of = "b"',
        "during": 'of = "b"\nwhen = "during"',
        "room": "",
    }
    text = plan + "".join(
        f'[[shot]]\nid = "{id}"\nhands = "1h"\n{more}\n' for id, more in shots.items()
    )
    episode = read_one(tmp_path, text)
    assert {id: shot(episode, id).where for id in shots} == {
        "own": "laundry",
        "job": "workshop",
        "step-one": "workshop",
        "step-two": "laundry",
        "other-job": "laundry",
        "during": "workshop",
        "room": "laundry",
    }
    assert shot(episode, "during").of == Ref("step", LAUNDRY, "b.only")
    assert shot(episode, "room").of is None


# -------------------------------------------------------------------- coats


def test_a_coat_is_the_tables_unless_the_step_says_how_it_dries(tmp_path: Path) -> None:
    plan = """
    [[job]]
    id = "a"
    [[job.step]]
    id = "table"
    hands = "1h"
    coat = "oil-polyurethane"
    surface = "top"
    [[job.step]]
    id = "scuff"
    hands = "20min"
    opens_window = true
    [[job.step]]
    id = "tin"
    hands = "1h"
    coat = "oil-polyurethane"
    dries = { touch = "30min", recoat = "2h..3h", recoat_by = "24h", handle = "1d" }
    [[job.step]]
    id = "own"
    hands = "1h"
    coat = "my-own-spray"
    dries = { touch = "30min", window = ["1h", "24h"], handle = "5h", cure = "7d" }
    [[job.step]]
    id = "alias"
    hands = "1h"
    coat = "acrylic-caulk"
    """
    episode = read_one(tmp_path, plan)
    table = step(episode, "a.table")
    assert table.coating == load_products()["oil-polyurethane"].coating
    assert table.surface == "top"
    assert step(episode, "a.scuff").opens_window
    tin = step(episode, "a.tin").coating
    assert tin is not None
    assert tin.times == {
        "touch": Estimate(30, 30, 30),
        "recoat": Estimate(120, 147, 180),
        "handle": Estimate(1440, 1440, 1440),
    }
    assert (tin.recoat_by, tin.dries_by, tin.fumes, tin.dusty) == (1440, "none", True, False)
    assert (tin.lowest_celsius, tin.highest_celsius, tin.highest_humidity) == (None, None, None)
    own = step(episode, "a.own").coating
    assert own is not None
    assert (own.product, own.fumes) == ("my-own-spray", False)
    assert (own.window_until, own.times["recoat"]) == (60, Estimate(1440, 1440, 1440))
    alias = step(episode, "a.alias").coating
    assert alias is not None
    assert alias.product == "latex-caulk"


# -------------------------------------------------------------------- ways out


def test_a_fallback_is_resolved_whole(tmp_path: Path) -> None:
    plan = """
    room = "laundry"
    [[parcel]]
    id = "lumber"
    lead = "1d"
    [[parcel]]
    id = "pine"
    lead = "1d"
    fallback_only = true
    [[job]]
    id = "bench"
    [[job.step]]
    id = "cut"
    hands = "1h"
    [[job.step]]
    id = "oil"
    hands = "1h"
    coat = "danish-oil"
    [[shot]]
    id = "wide"
    hands = "1h"
    [[fallback]]
    id = "way"
    title = "All at once"
    cost = -4.5
    loses = 2
    parcel = { lumber = "1..2..3 workdays", pine = { lead = "3h", carrier = "parcel" } }
    drop = ["wide", "bench.cut"]
    hands = { bench.cut = "30min", wide = "10min" }
    coat = { "bench.oil" = "hardwax-oil" }
    extra = [{ person = "builder", at = "2027-04-25 22:00-02:00" }]
    air = { workshop = { fahrenheit = 68 }, laundry = { humidity = 40 } }
    where = { "bench.oil" = "workshop", wide = "workshop" }
    use = ["pine"]
    """
    way = read_one(tmp_path, plan).fallbacks[0]
    assert (way.title, way.cost, way.loses) == ("All at once", -4.5, 2)
    assert way.parcel["lumber"].lead == Lead(Estimate(1, 2, 3), True)
    assert (way.parcel["pine"].lead.amount.likely, way.parcel["pine"].carrier) == (180, "parcel")
    assert [(ref.kind, ref.id) for ref in way.drop] == [("shot", "wide"), ("step", "bench.cut")]
    assert way.hands == {"bench.cut": Estimate(30, 30, 30), "wide": Estimate(10, 10, 10)}
    assert way.coat["bench.oil"].product == "hardwax-oil"
    night = (minute("2027-04-25 22:00"), minute("2027-04-26 02:00"))
    assert way.extra == (("builder", night),)
    assert way.air == {"workshop": (20, None), "laundry": (None, 40)}
    assert way.where == {"bench.oil": "workshop", "wide": "workshop"}
    assert [ref.id for ref in way.use] == ["pine"]


def test_something_for_a_way_out_that_none_uses_is_pointed_out(tmp_path: Path) -> None:
    plan = '[[parcel]]\nid = "pine"\nlead = "1d"\nfallback_only = true\n'
    season = read(tmp_path, {LAUNDRY: plan})
    assert [(each.level, each.code) for each in season.problems] == [("warning", "never-used")]
