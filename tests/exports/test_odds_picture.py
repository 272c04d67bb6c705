"""The picture of a spread: the release on its edge, in as many cells as there is room for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.answers.odds import Spread
from episodes.exports.odds_picture import odds_picture, picture_rows
from episodes.exports.safe_text import cells
from episodes.exports.text_words import Words

DAY = 1440
RELEASE = 30_000_000

SPREADS = st.tuples(
    st.lists(st.floats(0, 1), max_size=48),
    st.lists(st.floats(0, 1), max_size=48),
).filter(lambda parts: 0 < len(parts[0]) + len(parts[1]) <= 48 and sum(map(sum, parts)) > 0)


def spread(before: list[float], after: list[float], minutes: int = DAY) -> Spread:
    return Spread(
        start=RELEASE - len(before) * minutes,
        end=RELEASE + len(after) * minutes,
        shares=(*before, *after),
    )


def test_what_is_in_time_stands_left_of_the_release_and_what_is_late_right_of_it() -> None:
    picture = odds_picture(spread([0.1, 0.0, 0.4], [0.5]), RELEASE, plain=True)
    assert picture.marked == ". *|#"
    assert (picture.mark, picture.minutes) == (3, DAY)
    assert (picture.start, picture.release, picture.end) == (
        RELEASE - 3 * DAY, RELEASE, RELEASE + DAY
    )  # fmt: skip


def test_a_stretch_in_which_it_is_hardly_ever_ready_is_not_empty() -> None:
    picture = odds_picture(spread([0.0001, 0.0], [0.9999]), RELEASE, plain=True)
    assert picture.cells == ". #"


@given(SPREADS, st.integers(2, 60), st.booleans())
def test_it_fits_the_width_and_loses_nothing(
    parts: tuple[list[float], list[float]], width: int, plain: bool
) -> None:
    before, after = parts
    picture = odds_picture(spread(before, after), RELEASE, width, plain=plain)
    assert len(picture.cells) <= width
    assert picture.start == RELEASE - picture.mark * picture.minutes
    assert picture.end == RELEASE + (len(picture.cells) - picture.mark) * picture.minutes
    assert picture.start <= RELEASE - len(before) * DAY
    assert picture.end >= RELEASE + len(after) * DAY
    assert any(mark != " " for mark in picture.cells[: picture.mark]) == (sum(before) > 0)
    assert any(mark != " " for mark in picture.cells[picture.mark :]) == (sum(after) > 0)
    assert picture.cells.isascii() or not plain
    assert cells(picture.cells) == len(picture.cells)


@pytest.mark.parametrize(
    ("minutes", "said"), [(15, "15 min"), (60, "an hour"), (DAY, "a day"), (7 * DAY, "a week")]
)
def test_it_says_how_long_a_cell_is_and_where_the_release_stands(minutes: int, said: str) -> None:
    picture = odds_picture(spread([0.2, 0.5], [0.3], minutes), RELEASE, plain=True)
    cells_row, mark_row = picture_rows(picture, Words("UTC", RELEASE))
    assert mark_row.index("^") == cells_row.index("|")
    assert mark_row.endswith(f"^ release; a character is {said}")
