"""The last moment to decide, by halving with quick looks and few thorough ones."""

from hypothesis import given
from hypothesis import strategies as st

from episodes.answers.rescue_moment import LastMoment, last_moment

NOW, UNTIL = 1000, 61_000


@given(st.integers(NOW, UNTIL - 1))
def test_where_quick_looks_settle_it_the_last_minute_is_exact(true: int) -> None:
    def look(at: int, _: bool) -> bool:
        return at <= true

    assert last_moment(look, NOW, UNTIL) == LastMoment(true, exact=True)


@given(st.integers(NOW, UNTIL - 1), st.integers(0, 3000))
def test_a_quick_look_that_misses_some_never_makes_the_moment_too_late(true: int, gap: int) -> None:
    """Quick looks find a plan only well before the last moment; thorough ones tell the truth."""

    def look(at: int, thorough: bool) -> bool | None:
        if thorough:
            return at <= true
        return True if at <= max(NOW, true - gap) else None

    found = last_moment(look, NOW, UNTIL)
    assert max(NOW, true - gap) <= found.at <= true
    if found.exact:
        assert found.at == true
    if gap == 0:
        assert found.exact


def test_an_open_next_minute_leaves_the_moment_unproved() -> None:
    found = last_moment(lambda at, _: True if at <= 5000 else None, NOW, UNTIL)
    assert found == LastMoment(5000, exact=False)


def test_what_works_to_the_end_ends_with_the_release() -> None:
    assert last_moment(lambda _, __: True, NOW, UNTIL) == LastMoment(UNTIL - 1, exact=True)
