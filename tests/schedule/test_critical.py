"""Critical is what one more minute moves, nothing else: where slack would mislead."""

from episodes.answers.check import check
from episodes.answers.rows import EpisodeAnswer
from tests.small_season import season


def judged(text: str, **options: str) -> EpisodeAnswer:
    return check(season(text, **options)).episodes[0]  # type: ignore[arg-type]


def critical(text: str, **options: str) -> set[str]:
    return {row.id for row in judged(text, **options).steps if row.critical}


def test_two_full_evenings_in_a_row_are_critical_for_all_the_night_between() -> None:
    text = """
[[job]]
id = "a"
step = [{ id = "mon", hands = "3h30" }, { id = "tue", hands = "3h30" }]
"""
    assert critical(text) == {"a.mon", "a.tue"}


def test_a_coat_that_fills_its_evening_is_critical_though_another_branch_ends_later() -> None:
    """One minute more sends the coat to Saturday, past the branch that is last to be ready."""
    text = """
[[job]]
id = "coat"
step = [{ id = "one", hands = "3h30", one_go = true }]
[[job]]
id = "long"
step = [{ id = "w", wait = "3d" }]
"""
    week = 'mon-fri = ["18:00-21:30"], sat = ["09:00-17:00"]'
    answer = judged(text, hours=week)
    slack = {row.id: row.slack_min for row in answer.steps}
    assert {row.id for row in answer.steps if row.critical} == {"coat.one", "long.w"}
    assert slack["coat.one"] is not None
    assert slack["long.w"] is not None
    assert slack["coat.one"] != slack["long.w"]


def test_a_step_with_give_before_the_next_opening_is_not_critical() -> None:
    """It drives the next start, but a minute more vanishes in closed hours."""
    text = """
[[job]]
id = "a"
step = [{ id = "cut", hands = "2h" }, { id = "shot", hands = "3h", one_go = true }]
"""
    assert critical(text) == {"a.shot"}


def test_chains_that_tie_are_all_critical() -> None:
    text = """
[[job]]
id = "a"
step = [{ id = "w", wait = "3d" }]
[[job]]
id = "b"
step = [{ id = "w", wait = "3d" }]
"""
    assert critical(text) == {"a.w", "b.w"}


def test_a_minute_that_makes_a_window_impossible_is_critical() -> None:
    """A 5 min, D 7 min, B within 12 min of A's start; another branch ends much later."""
    text = """
[[job]]
id = "x"
step = [
  { id = "a", wait = "5min" },
  { id = "d", wait = "7min" },
  { id = "b", wait = "1min", also_after = [{ step = "a", from = "start", within = "12min" }] },
]
[[job]]
id = "long"
step = [{ id = "w", wait = "9d" }]
"""
    assert critical(text) == {"x.a", "x.d", "long.w"}


def test_a_within_can_soak_up_a_minute() -> None:
    """B follows A within 5 min and waits for C: A's own minute moves only A."""
    text = """
[[job]]
id = "x"
step = [
  { id = "a", wait = "10min" },
  { id = "b", wait = "10min", after = [{ step = "a", within = "5min" }, "c.c"] },
]
[[job]]
id = "c"
step = [{ id = "c", wait = "30min" }]
"""
    assert critical(text) == {"x.b", "c.c"}


def test_a_shared_person_makes_the_earlier_job_critical_for_the_later() -> None:
    text = """
[[job]]
id = "a"
step = [{ id = "s", hands = "3h30" }]
[[job]]
id = "b"
step = [{ id = "s", hands = "3h30" }]
"""
    assert critical(text) == {"a.s", "b.s"}
