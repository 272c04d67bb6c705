"""The workshop's sums against geometry done another way, and against published values."""

from math import asin, atan2, cos, degrees, hypot, isclose, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.trade import geometry

KERF = 0.003


@pytest.mark.parametrize(
    ("corner", "setting"), [(90, 45), (92, 44), (88, 46), (120, 30), (135, 22.5), (270, 45)]
)
def test_a_mitre_is_half_the_corner_short_of_square(corner: float, setting: float) -> None:
    assert geometry.mitre(corner) == setting


@pytest.mark.parametrize(("sides", "setting"), [(3, 60), (4, 45), (6, 30), (8, 22.5)])
def test_a_regular_frame_turns_through_a_full_circle(sides: int, setting: float) -> None:
    assert geometry.polygon_mitre(sides) == setting
    # The same from the inner angle of the polygon.
    assert isclose(geometry.mitre(180 - 360 / sides), setting)


# Published: a page of formulas for sprung mouldings prints 14.30638 and 17.55124 for 38 degrees of
# spring at a corner of 135, and pages of saw settings print 31.6 and 33.9 for 38 at 90.
@pytest.mark.parametrize(
    ("corner", "spring", "mitre", "bevel"),
    [
        (135, 38, 14.30638, 17.55124),
        (90, 38, 31.62, 33.86),
        (90, 45, 35.26, 30.00),
        (92, 38, 30.73, 33.19),
    ],
)
def test_sprung_moulding_lies_flat_at_the_published_settings(
    corner: float, spring: float, mitre: float, bevel: float
) -> None:
    setting = geometry.sprung_mitre(corner, spring)
    assert setting.mitre == pytest.approx(mitre, abs=0.006)
    assert setting.bevel == pytest.approx(bevel, abs=0.006)


@given(st.floats(20, 170), st.floats(10, 80))
def test_sprung_settings_are_those_of_the_plane_that_halves_the_corner(
    corner: float, spring: float
) -> None:
    """The cutting plane stands upright through the corner; turn it into the board's own axes."""
    half, lean = radians(corner / 2), radians(spring)
    # Room axes: x along the wall, y into the room, z up. The normal of the plane that halves the
    # corner, and the board's axes: along it, across its face, through its thickness.
    normal = (sin(half), -cos(half), 0.0)
    along, across = (1.0, 0.0, 0.0), (0.0, sin(lean), cos(lean))
    through = (0.0, cos(lean), -sin(lean))
    n_along, n_across, n_through = (
        sum(a * b for a, b in zip(normal, axis, strict=True)) for axis in (along, across, through)
    )
    setting = geometry.sprung_mitre(corner, spring)
    assert setting.mitre == pytest.approx(degrees(atan2(abs(n_across), n_along)), abs=1e-6)
    tilt = degrees(asin(abs(n_through) / hypot(n_along, n_across, n_through)))
    assert setting.bevel == pytest.approx(tilt, abs=1e-6)


def test_a_degree_of_error_on_both_pieces_opens_the_corner() -> None:
    assert geometry.corner_gap(0.070, 1) == pytest.approx(0.00244, abs=5e-5)
    assert geometry.short_point(0.600, 0.025) == pytest.approx(0.550)


def test_three_frames_come_out_of_four_sticks() -> None:
    sticks = geometry.cut_list([0.6, 0.6, 0.9, 0.9] * 3, 2.44, KERF)
    assert len(sticks) == 4
    assert sum(map(sum, sticks)) == pytest.approx(9.0)


def test_the_kerf_decides_whether_two_halves_come_out_of_a_stick() -> None:
    assert len(geometry.cut_list([1.22] * 4, 2.44, KERF)) == 4
    assert len(geometry.cut_list([1.22] * 4, 2.44, 0)) == 2


@given(st.lists(st.floats(0.05, 2.4), min_size=1, max_size=30))
def test_every_piece_is_cut_once_and_every_stick_is_long_enough(pieces: list[float]) -> None:
    sticks = geometry.cut_list(pieces, 2.44, KERF)
    assert sorted(piece for stick in sticks for piece in stick) == sorted(pieces)
    for stick in sticks:
        assert sum(stick) + KERF * (len(stick) - 1) <= 2.44 + 1e-6
    # First fit: nothing of a later stick would have gone into what is left of an earlier one.
    for index, stick in enumerate(sticks):
        for earlier in sticks[:index]:
            left = 2.44 - sum(earlier) - KERF * (len(earlier) - 1)
            assert max(stick) + KERF > left - 1e-6


def test_a_piece_longer_than_a_stick_is_refused() -> None:
    with pytest.raises(ValueError, match="does not come out"):
        geometry.cut_list([2.5], 2.44)


def test_equal_gaps_with_and_without_ends() -> None:
    assert geometry.equal_gaps(3660, 4, 600) == 252
    assert geometry.equal_gaps(3660, 7, 64, ends=False) == pytest.approx(535.33, abs=0.01)
    with pytest.raises(ValueError, match="do not fit"):
        geometry.equal_gaps(1, 3, 0.5)


# Published: model residential code, section R602: studs at 16 or 24 in on centre.
def test_studs_stand_at_16_or_24_inches() -> None:
    close, wide = geometry.STUD_SPACINGS_M
    assert close == pytest.approx(16 * 0.0254)
    assert wide == pytest.approx(24 * 0.0254)
    assert geometry.stud_positions(12 * 0.3048, close) == 10
    assert geometry.studs_behind(0.6, close) == (1, 2)
    assert geometry.studs_behind(0.6, wide) == (0, 1)
    assert geometry.studs_behind(0.82, close)[0] == 2
    assert geometry.studs_behind(1.2, wide) == (1, 2)


def test_paint_for_a_room() -> None:
    gross = geometry.wall_area(4.2, 3.6, 2.44)
    net = geometry.wall_area(4.2, 3.6, 2.44, 0.8 * 2.0 + 1.2 * 1.4)
    assert (gross, net) == (pytest.approx(38.06, abs=0.01), pytest.approx(34.78, abs=0.01))
    assert geometry.paint_litres(38, 2, 9) == pytest.approx(8.44, abs=0.01)


def test_beads_and_grout() -> None:
    assert geometry.bead_length(0.006) == pytest.approx(16.7, abs=0.05)
    assert geometry.bead_length(0.003) == pytest.approx(66.7, abs=0.1)
    assert geometry.grout_kg_per_m2(0.150, 0.075, 0.008, 0.002) == pytest.approx(0.512)


def test_pictures_hang_by_their_middle() -> None:
    assert geometry.hook_height(0.70, 0.06) == pytest.approx(1.74)


def test_curtains_and_drops() -> None:
    assert geometry.curtain_widths(2.0, 2) == 3
    assert geometry.curtain_widths(1.8, 2.5) == 4
    assert geometry.cut_drop(2.30) == pytest.approx(2.60)
    assert geometry.cut_drop(2.30, repeat=0.64) == pytest.approx(3.20)


def test_wallpaper_by_strips_and_whole_repeats() -> None:
    assert geometry.wallpaper_rolls(15.6, 2.40, 0.53, 10.05) == 8
    assert geometry.wallpaper_rolls(15.6, 2.40, 0.53, 10.05, 0.64) == 10
    with pytest.raises(ValueError, match="does not come out"):
        geometry.wallpaper_rolls(3, 12, 0.53, 10.05)


# Simply supported beam, uniform load. The stiffnesses are the Wood Handbook's (General Technical
# Report FPL-GTR-190, table 5-3), from memory; sag and span were worked out in inches and pounds.
@pytest.mark.parametrize(
    ("million_psi", "inches"),
    [(1.24, 0.146), (1.49, 0.122), (1.58, 0.115), (1.82, 0.100), (1.95, 0.093)],
)
def test_a_shelf_of_36_by_10_inches_sags(million_psi: float, inches: float) -> None:
    inch = 0.0254
    sag = geometry.shelf_sag(
        36 * inch, 10 * inch, 0.75 * inch, 35 * 14.5939, million_psi * 6.894757e9
    )
    assert sag / inch == pytest.approx(inches, abs=0.0006)


def test_a_metric_shelf_sags() -> None:
    assert geometry.second_moment(0.250, 0.019) * 1e12 == pytest.approx(142_896, abs=1)
    assert geometry.shelf_sag(0.9, 0.250, 0.019, 200, 9e9) == pytest.approx(1.33e-3, abs=1e-5)
    assert geometry.shelf_sag(1.0, 0.3, 0.027, 294.2, 10.9e9) == pytest.approx(0.714e-3, abs=1e-6)


@given(st.floats(0.15, 0.4), st.floats(0.01, 0.05), st.floats(50, 600), st.floats(3e9, 14e9))
def test_at_the_longest_span_a_shelf_sags_by_just_what_is_allowed(
    width: float, thickness: float, load: float, modulus: float
) -> None:
    span = geometry.longest_span(width, thickness, load, modulus)
    sag = geometry.shelf_sag(span, width, thickness, load, modulus)
    assert sag == pytest.approx(span / geometry.LEAST_SAG_RATIO, rel=1e-9)


def test_mitres_that_are_no_corner_are_refused() -> None:
    for wrong in (0, 360, -10):
        with pytest.raises(ValueError, match="no corner"):
            geometry.mitre(wrong)
