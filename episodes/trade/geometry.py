"""Sums of a workshop: corners, cut lists, spacings, how much of what, how far a shelf sags.

Pure arithmetic on lengths in metres (degrees for angles) unless a name says otherwise. The facts
that go in (coverage, waste, what is allowed) are the caller's; where a rule of thumb is a default
here, its basis stands beside it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import asin, atan, ceil, cos, degrees, floor, radians, sin, tan

STUD_SPACINGS_M = (0.4064, 0.6096)
"""16 and 24 inches on centre: published, model residential code, section R602."""
FABRIC_WIDTH_M = 1.37
"""54 inches: common practice, no published source."""
LEAST_SAG_RATIO = 300
"""Sag at first no more than 1/300 of the span: common practice, no published source."""


@dataclass(frozen=True, slots=True)
class SawSetting:
    """Mitre (across the piece) and bevel (tilt of the blade) of a saw, in degrees from square."""

    mitre: float
    bevel: float


def mitre(corner: float) -> float:
    """Saw setting for flat pieces that meet at a corner of so many degrees.

    The setting is the piece's deviation from square, so inner and outer corners come alike.

    Raises:
        ValueError: not a corner between 0 and 360 degrees.

    >>> mitre(90), mitre(88), mitre(270)
    (45.0, 46.0, 45.0)
    """
    if not 0 < corner < 360:
        raise ValueError(f"{corner:g} degrees is no corner")
    return abs(90 - corner / 2)


def polygon_mitre(sides: int) -> float:
    """Saw setting for a regular frame of so many equal sides.

    >>> polygon_mitre(4), polygon_mitre(8)
    (45.0, 22.5)
    """
    if sides < 3:
        raise ValueError("a frame has three sides or more")
    return 180 / sides


def sprung_mitre(corner: float, spring: float) -> SawSetting:
    """Saw setting for moulding that leans off the wall by `spring` degrees, cut lying flat.

    mitre = atan(sin S / tan(A/2)), bevel = asin(cos S * cos(A/2)).
    """
    if not 0 < corner < 180 or not 0 < spring < 90:
        raise ValueError("a corner below 180 and a spring angle below 90 degrees")
    half, lean = radians(corner / 2), radians(spring)
    return SawSetting(
        mitre=degrees(atan(sin(lean) / tan(half))), bevel=degrees(asin(cos(lean) * cos(half)))
    )


def corner_gap(width: float, error: float) -> float:
    """Gap at the edge of a mitre when both pieces of this width are off by `error` degrees."""
    return width * tan(radians(2 * abs(error)))


def short_point(long_point: float, face: float) -> float:
    """Inner length of a piece mitred at 45 degrees on both ends."""
    return long_point - 2 * face


def mitred_length(pieces: Iterable[float], waste: float = 0.1) -> float:
    """Moulding to buy for these pieces, long points, with so much on top for mitres and misses."""
    return sum(pieces) * (1 + waste)


def cut_list(
    pieces: Iterable[float], stock: float, kerf: float = 0.003
) -> tuple[tuple[float, ...], ...]:
    """Pieces laid into sticks of stock, longest first, each into the first stick that has room.

    Args:
        pieces: lengths to cut.
        stock: length of a stick as bought.
        kerf: what the blade takes between two pieces.

    Returns:
        The pieces of each stick. First fit decreasing: never more than 11/9 of the fewest sticks
        plus 6/9 (Dosa, 2007), and mostly the fewest.

    Raises:
        ValueError: a piece is longer than a stick, or not a length.
    """
    sticks: list[list[float]] = []
    left: list[float] = []
    for piece in sorted(pieces, reverse=True):
        if piece <= 0:
            raise ValueError(f"{piece:g} is no length")
        if piece > stock + _SMALLEST:
            raise ValueError(f"a piece of {piece:g} does not come out of a stick of {stock:g}")
        for index, room in enumerate(left):
            if piece + kerf <= room + _SMALLEST:
                sticks[index].append(piece)
                left[index] = room - piece - kerf
                break
        else:
            sticks.append([piece])
            left.append(stock - piece)
    return tuple(tuple(stick) for stick in sticks)


_SMALLEST = 1e-9
"""A thousandth of a thousandth of a millimetre: what rounding of decimals may amount to."""


def paint_litres(area: float, coats: int, m2_per_litre: float) -> float:
    """Paint, varnish or oil for an area in square metres."""
    return area * coats / m2_per_litre


def wall_area(length: float, width: float, height: float, openings: float = 0) -> float:
    """Square metres of a room's walls less its doors and windows."""
    return 2 * (length + width) * height - openings


def bead_length(leg: float, cartridge_litres: float = 0.3) -> float:
    """Metres of a triangular bead of this leg (adhesive, caulk) that a cartridge gives."""
    return cartridge_litres / 1000 / (leg * leg / 2)


def grout_kg_per_m2(tile_w: float, tile_h: float, depth: float, joint: float) -> float:
    """Grout for a square metre of tiles, powder of 1.6 kg a litre; all four in metres.

    (a + b) / (a b) x depth x joint x density: makers' usual formula, from memory.
    """
    return (tile_w + tile_h) / (tile_w * tile_h) * depth * joint * 1600


def equal_gaps(width: float, pieces: int, piece: float, *, ends: bool = True) -> float:
    """Gap between pieces of one width set out evenly over a wall.

    Args:
        ends: a gap at either end too; else the first and last piece stand at the ends.

    Raises:
        ValueError: they do not fit, or there are too few.
    """
    gaps = pieces + 1 if ends else pieces - 1
    rest = width - pieces * piece
    if gaps < 1 or rest < 0:
        raise ValueError(f"{pieces} pieces of {piece:g} do not fit into {width:g}")
    return rest / gaps


def stud_positions(wall: float, spacing: float) -> int:
    """Studs of a framed wall: one at each spacing from the corner, and one at the end."""
    return ceil(wall / spacing - _SMALLEST) + 1


def studs_behind(length: float, spacing: float) -> tuple[int, int]:
    """Fewest and most studs behind a shelf of this length, wherever it hangs."""
    fewest = floor(length / spacing + _SMALLEST)
    return fewest, fewest + 1


def hook_height(picture: float, slack: float, centre: float = 1.45) -> float:
    """Height of the hook for a picture of this height whose wire gives way by `slack`.

    Centre 1.45 m above the floor: common practice, no published source.
    """
    return centre + picture / 2 - slack


def curtain_widths(rod: float, fullness: float, cloth: float = FABRIC_WIDTH_M) -> int:
    """Widths of cloth to sew together for a rod."""
    return ceil(rod * fullness / cloth - _SMALLEST)


def cut_drop(finished: float, *, head: float = 0.1, hem: float = 0.2, repeat: float = 0) -> float:
    """Length to cut for a finished drop: heading and double hem, up to a whole pattern repeat."""
    plain = finished + head + hem
    return plain if repeat <= 0 else ceil(plain / repeat - _SMALLEST) * repeat


def wallpaper_rolls(
    wall: float, height: float, roll_w: float, roll_l: float, repeat: float = 0
) -> int:
    """Rolls for a wall of this length, straight match, 10 cm on each drop for trimming.

    Raises:
        ValueError: a drop is longer than a roll.
    """
    strips = ceil(wall / roll_w - _SMALLEST)
    drop = cut_drop(height, head=0.05, hem=0.05, repeat=repeat)
    a_roll = floor(roll_l / drop + _SMALLEST)
    if a_roll < 1:
        raise ValueError(f"a drop of {drop:g} m does not come out of a roll of {roll_l:g} m")
    return ceil(strips / a_roll)


def second_moment(width: float, thickness: float) -> float:
    """Second moment of area of a rectangular board, b h^3 / 12."""
    return width * thickness**3 / 12


def shelf_sag(span: float, width: float, thickness: float, load: float, modulus: float) -> float:
    """Sag in the middle of a board that lies free on both ends: 5 w L^4 / (384 E I).

    Args:
        load: newtons per metre, spread evenly.
        modulus: of elasticity along the grain, in pascals.

    Simply supported beam under uniform load (any handbook of strength of materials). Wood creeps:
    in time about half as much again.
    """
    return 5 * load * span**4 / (384 * modulus * second_moment(width, thickness))


def longest_span(
    width: float, thickness: float, load: float, modulus: float, ratio: float = LEAST_SAG_RATIO
) -> float:
    """The span at which a shelf sags by just 1/ratio of it."""
    stiffness = 384 * modulus * second_moment(width, thickness)
    return float((stiffness / (5 * load * ratio)) ** (1 / 3))


def rows_of(pieces: Sequence[float]) -> str:
    """A stick of a cut list in words: `900 + 900 + 600 mm`."""
    return " + ".join(f"{piece * 1000:.0f}" for piece in pieces) + " mm"
