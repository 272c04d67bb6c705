"""Earliest and latest dates: windows by branches, upper bounds by fixpoint, slack in own hours."""

from episodes.answers.check import check
from episodes.answers.rows import StepRow
from episodes.network.dates import compute_dates
from episodes.network.expand import expand
from tests.small_season import minutes, season

ALWAYS = 'daily = ["00:00-24:00"]'


def row(text: str, id: str, **options: str) -> StepRow:
    return check(season(text, **options)).episodes[0].step(id)  # type: ignore[arg-type]


def two_coats(first_at: str) -> str:
    """A coat of nine hours' worth of waiting, then a second inside 1 h or after 24 h of it, which
    has a bound of its own at 10:00."""
    after = 'after = [{ step = "one", within = "1h", or_after = "24h" }]'
    return f"""
[[job]]
id = "top"
step = [
  {{ id = "one", wait = "0min", not_before = {first_at} }},
  {{ id = "two", wait = "0min", not_before = 2027-03-01T10:00:00, {after} }},
]
"""


def test_the_early_date_of_a_second_coat_may_need_the_first_one_later() -> None:
    """Greedily the second would wait until 24 h after 00:00; inside the hour it can start at
    10:00, with the first at 09:00. The first's own early date stays 00:00."""
    text = two_coats("2027-03-01T00:00:00")
    assert row(text, "top.two").early_start == minutes(1, 10)
    assert row(text, "top.one").early_start == minutes(1, 0)


def test_early_dates_of_windows_equal_a_search_over_every_minute() -> None:
    """All pairs of whole quarter hours over two days, tried one by one."""
    for hour in (0, 5, 9, 10, 12):
        text = two_coats(f"2027-03-01T{hour:02d}:00:00")
        pairs = [
            (one, two)
            for one in range(minutes(1, hour), minutes(3), 15)
            for two in range(max(one, minutes(1, 10)), minutes(3), 15)
            if two - one <= 60 or two - one >= 1440
        ]
        assert row(text, "top.one").early_start == min(one for one, _ in pairs)
        assert row(text, "top.two").early_start == min(two for _, two in pairs)


def test_an_upper_bound_pulls_its_predecessor_later() -> None:
    """B may start 2 h after A at the latest and not before 12:00, so A not before 10:00."""
    text = """
[[job]]
id = "glue"
step = [
  { id = "a", wait = "0min" },
  { id = "b", wait = "1h", not_before = 2027-03-01T12:00:00, AFTER },
]
""".replace("AFTER", 'after = [{ step = "a", within = "2h" }]')
    assert row(text, "glue.a").early_start == minutes(1, 10)
    assert row(text, "glue.b").early_start == minutes(1, 12)


def test_a_finish_bound_counts_from_the_start_of_the_other_end() -> None:
    """`from = "start"`, `to = "finish"`: B of 3 h must not be over before 5 h after A began."""
    text = """
[[job]]
id = "x"
step = [
  { id = "a", wait = "1h" },
  { id = "b", wait = "3h", after = [{ step = "a", from = "start", to = "finish", gap = "5h" }] },
]
"""
    assert row(text, "x.b").early_start == minutes(1, 2)
    assert row(text, "x.b").early_finish == minutes(1, 5)


def test_slack_in_own_hours_is_less_than_slack_on_the_clock() -> None:
    """Two hours of work in evenings of 3 h 30; the release is Friday 2 April 09:00. The work can
    end Thursday 1 April 21:30: 31 days and 1 h 30 on the clock after its early finish of 1 March
    20:00, and 31 evenings plus 1 h 30 of the host's own hours."""
    text = '[[job]]\nid = "a"\nstep = [{ id = "s", hands = "2h" }]\n'
    found = row(text, "a.s")
    assert found.early_finish == minutes(1, 20)
    assert found.late_finish == minutes(1, 21, 30, month=4)
    assert found.slack_min == 31 * 1440 + 90
    assert found.slack_work_min == 31 * 210 + 90


def test_late_dates_are_moments_at_which_the_step_can_really_start() -> None:
    """A wait of 12 h ends with the release at 09:00: the work before it must be over Thursday
    21:00, inside the evening."""
    text = """
[[job]]
id = "a"
step = [{ id = "s", hands = "1h" }, { id = "w", wait = "12h" }]
"""
    found = row(text, "a.s")
    assert found.late_start == minutes(1, 20, month=4)
    assert found.late_finish == minutes(1, 21, month=4)


def test_what_waits_for_the_release_has_no_late_dates() -> None:
    text = """
[[job]]
id = "a"
step = [{ id = "s", hands = "1h" }]
[[job]]
id = "z"
after = ["release"]
step = [{ id = "answer", hands = "1h" }]
"""
    found = row(text, "z.answer")
    assert found.early_start == minutes(2, 18, month=4)
    assert found.late_start is None
    assert found.slack_min is None


def test_windows_that_no_schedule_keeps_are_hopeless_not_far_away() -> None:
    """B must start within 1 h of A, and after a wait of 2 h that begins with A's end."""
    text = """
[[job]]
id = "a"
step = [
  { id = "a", wait = "1h" },
  { id = "w", wait = "2h" },
  { id = "b", wait = "1h", also_after = [{ step = "a", within = "1h" }] },
]
"""
    network = expand(season(text))
    dates = compute_dates(network)
    assert network.index["2027-04-test", "a.b"] in dates.hopeless
    answer = check(season(text)).episodes[0]
    assert (answer.verdict, answer.proved, answer.ready_by) == ("slips", True, None)
