"""The band: time laid out backwards from the release, one cell a fixed length of time.

The release is an edge of its own, one cell wide; cells are counted from it, so a day before the
release stands where it stood yesterday. A `Paint` is one stretch with a texture; of paints that
fall on one cell the weightier one is seen, and none is so short that it is not.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from rich.style import Style

from episodes.amounts import MINUTES_A_DAY
from episodes.answers.rows import StepRow
from episodes.calendars.local_time import zone
from episodes.calendars.openings import Stretch
from episodes.exports.text_words import Words
from episodes.screens.line import Line
from episodes.screens.marks import BOLD, DRYING, FAINT, ON_ITS_WAY, PLAIN, REVERSED, Marks

Texture = Literal["coming", "settling", "drying", "elsewhere", "done", "hands", "once", "shot"]
_WEIGHT: dict[Texture, int] = {
    "coming": 0,
    "settling": 1,
    "drying": 1,
    "elsewhere": 2,
    "done": 3,
    "hands": 4,
    "shot": 5,
    "once": 6,
}

ZOOMS = (15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080)
"""Minutes a cell can stand for."""


@dataclass(frozen=True, slots=True)
class Paint:
    """A stretch of one texture, and the (episode, row) it belongs to."""

    start: int
    finish: int
    texture: Texture
    taut: bool
    row: tuple[str, str]


def paints(row: StepRow, now: int, arrives: int | None = None) -> list[Paint]:
    """What a row leaves on the band; `arrives` is when a parcel is in hand, before it settles."""
    if row.start is None or row.kind == "release":
        return []
    finish = row.start if row.finish is None else row.finish
    mine = (row.episode, row.id)
    if row.kind == "parcel":
        hand = finish if arrives is None else min(max(arrives, row.start), finish)
        found = [Paint(row.start, hand, "coming", row.critical, mine)]
        if finish > hand:
            found.append(Paint(hand, finish, "settling", row.critical, mine))
        return found
    if row.state == "done":
        return [Paint(row.start, finish, "done", False, mine)]
    if row.kind in ("wait", "dry"):
        return [Paint(row.start, finish, "drying", row.critical, mine)]
    texture: Texture = "hands" if row.kind == "hands" else ("once" if row.once else "shot")
    found = []
    if row.state == "started" and row.start < now:
        found.append(Paint(row.start, now, "done", False, mine))
    pieces = row.sessions or ((max(row.start, now), finish),)
    found.extend(Paint(start, end, texture, row.critical, mine) for start, end in pieces)
    return found


class Scale:
    """Which cell a minute falls on.

    Args:
        release: UTC minute of the edge.
        cell: minutes a cell.
        width: cells of the band, the edge included.
        beyond: cells shown to the right of the edge; negative pans the edge out of sight.
    """

    def __init__(self, release: int, cell: int, width: int, beyond: int = 0) -> None:
        self.release = release
        self.cell = cell
        self.width = width
        self.beyond = beyond
        self.edge = width - 1 - beyond
        self._origin = release - self.edge * cell

    def column(self, minute: int) -> int:
        """The cell of a minute; may lie outside the band. What follows the release stands after
        its edge."""
        column = (minute - self._origin) // self.cell
        return column + 1 if minute >= self.release else column

    def columns(self, start: int, finish: int) -> range:
        """The cells of a stretch, one at least."""
        first = self.column(start)
        last = self.column(finish - 1) if finish > start else first
        return range(first, max(last, first) + 1)

    def minute(self, column: int) -> int:
        """The first minute of a cell."""
        return self._origin + (column - (1 if column > self.edge else 0)) * self.cell

    def fits(self, minute: int) -> bool:
        return 0 <= self.column(minute) < self.width


def whole(release: int, first: int, width: int) -> int:
    """The smallest cell with which the band reaches back to `first`, else the largest there is."""
    for cell in ZOOMS:
        if release - first <= (width - 1) * cell:
            return cell
    return ZOOMS[-1]


def draw(
    found: Sequence[Paint],
    ground: Sequence[Stretch],
    scale: Scale,
    now: int,
    marks: Marks,
    here: tuple[str, str] | None = None,
) -> tuple[str, list[Style]]:
    """The cells of one line: shapes and styles, both `scale.width` long.

    `ground` must be sorted. The cells of the row `here` are reversed.
    """
    width = scale.width
    shapes = [" "] * width
    styles: list[Style] = [PLAIN] * width
    _lay_ground(shapes, styles, ground, scale, marks)
    if scale.fits(now):
        shapes[scale.column(now)] = marks.now
        styles[scale.column(now)] = PLAIN
    if 0 <= scale.edge < width:
        shapes[scale.edge] = marks.edge
        styles[scale.edge] = PLAIN
    before = after = False
    top: dict[int, tuple[int, int, Paint]] = {}
    for paint in found:
        cells = scale.columns(paint.start, paint.finish)
        before = before or cells.start < 0
        after = after or cells.stop > width
        mine = paint.row == here
        rank = (_WEIGHT[paint.texture], 2 * paint.taut + mine)
        for column in range(max(cells.start, 0), min(cells.stop, width)):
            if column != scale.edge and (column not in top or top[column][:2] < rank):
                top[column] = (*rank, paint)
    for column, (_, _, paint) in top.items():
        shapes[column], styles[column] = _look(paint, marks)
        if paint.row == here:
            styles[column] = REVERSED
    if before:
        shapes[0], styles[0] = marks.more_left, BOLD
    if scale.edge >= width or (after and scale.edge < width - 1):
        shapes[-1], styles[-1] = marks.more_right, BOLD
    return "".join(shapes), styles


def _lay_ground(
    shapes: list[str],
    styles: list[Style],
    ground: Sequence[Stretch],
    scale: Scale,
    marks: Marks,
) -> None:
    """Hours that somebody has, as ground under the work."""
    first, end = scale.minute(0), scale.minute(scale.width)
    at = max(bisect_right(ground, (first, first)) - 1, 0)
    for start, finish in ground[at:]:
        if start >= end:
            break
        cells = scale.columns(start, finish)
        for column in range(max(cells.start, 0), min(cells.stop, scale.width)):
            shapes[column], styles[column] = marks.ground, FAINT


def _look(paint: Paint, marks: Marks) -> tuple[str, Style]:
    match paint.texture:
        case "coming":
            return (marks.coming_taut if paint.taut else marks.coming), ON_ITS_WAY
        case "settling":
            return (marks.settling_taut if paint.taut else marks.settling), DRYING
        case "drying":
            return (marks.drying_taut if paint.taut else marks.drying), DRYING
        case "elsewhere":
            return marks.elsewhere, FAINT
        case "done":
            return marks.done, FAINT
        case "hands":
            return (marks.hands_taut if paint.taut else marks.hands), PLAIN
        case "once":
            return marks.shot_once, BOLD
        case "shot":
            return marks.shot, BOLD


def countdown_axis(scale: Scale, zone_name: str, marks: Marks) -> str:
    """Days back from the release at the release's hour: `-28d    -21d ... release`."""
    cells = [" "] * scale.width
    days = _spacing(scale, 7)
    local = zone(zone_name)
    there = local.local(scale.release)
    minute = there.hour * 60 + there.minute
    ordinal = there.date().toordinal()
    word = f"release{marks.edge}"
    _write(cells, scale.edge - len(word) + 1, word)
    furthest = (scale.width * scale.cell) // MINUTES_A_DAY + abs(scale.beyond * scale.cell) // 1440
    for back in range(-furthest - days, furthest + days + 1):
        if back == 0 or back % days:
            continue
        day = there.date().fromordinal(ordinal - back)
        column = scale.column(local.utc(day, minute))
        _write(cells, column, f"-{back}d" if back > 0 else f"+{-back}d")
    return "".join(cells)


def calendar_axis(scale: Scale, zone_name: str, now: int) -> str:
    """Local days at their midnights, weeks from Monday; `now` where it is."""
    cells = [" "] * scale.width
    words = Words(zone_name, now)
    days = _spacing(scale, 7)
    _write(cells, scale.column(now), "now")
    local = zone(zone_name)
    first = local.day(scale.minute(0)).toordinal()
    last = local.day(scale.minute(scale.width)).toordinal()
    for ordinal in range(first, last + 1):
        # The proleptic ordinal 1 is a Monday, so weeks start where (ordinal - 1) is a multiple.
        if (ordinal - 1) % days:
            continue
        midnight = local.utc(local.day(0).fromordinal(ordinal), 0)
        text = words.day(midnight)
        _write(cells, scale.column(midnight), text if days < 7 else text[4:])
    return "".join(cells)


def _spacing(scale: Scale, cells: int) -> int:
    """Days between labels that need that many cells each: 1, 2, 7, 14 or 28."""
    for days in (1, 2, 7, 14):
        if days * MINUTES_A_DAY >= cells * scale.cell:
            return days
    return 28


def _write(cells: list[str], column: int, text: str) -> None:
    """Writes a label unless it runs out of the band or into one that is there already."""
    if column < 0 or column + len(text) > len(cells):
        return
    if all(cell == " " for cell in cells[max(column - 1, 0) : column + len(text) + 1]):
        cells[column : column + len(text)] = text


def legend(line: Line, marks: Marks) -> Line:
    """What the shapes stand for."""
    line.gap(2)
    for shape, text in (
        (marks.hands_taut + marks.hands, "hands"),
        (marks.drying_taut + marks.drying, "dries"),
        (marks.coming_taut + marks.coming, "comes"),
        (marks.settling_taut + marks.settling, "settles"),
        (marks.shot_once + marks.shot, "shot"),
        (marks.done, "done"),
        (marks.ground, "open hours"),
        (marks.elsewhere, "other room"),
    ):
        line.put(f"{shape} {text}  ", FAINT)
    return line


def shapes(marks: Marks) -> tuple[tuple[str, str], ...]:
    """The same at length, for the help."""
    return (
        (marks.taut, "taut: a minute more here makes the room ready a minute later"),
        (f"{marks.hands_taut} {marks.hands}", "hands-on work, taut and with slack"),
        (f"{marks.drying_taut} {marks.drying}", "drying, setting, taut and with slack"),
        (f"{marks.coming_taut} {marks.coming}", "ordered and on its way, taut and with slack"),
        (f"{marks.settling_taut} {marks.settling}", "in hand, settling; taut and with slack"),
        (f"{marks.shot_once} {marks.shot}", "a shot that can't be taken again, one that can"),
        (marks.done, "done"),
        (marks.ground, "open hours of whoever works on this line"),
        (marks.elsewhere, "work of this person in another room"),
        (f"{marks.now} {marks.edge}", "now, and the release: the edge that days are counted from"),
    )


def open_ground(hours: Iterable[Sequence[Stretch]]) -> tuple[Stretch, ...]:
    """The hours of several people laid over one another, sorted, as ground to draw."""
    merged: list[Stretch] = []
    for start, finish in sorted(stretch for each in hours for stretch in each):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(finish, merged[-1][1]))
        else:
            merged.append((start, finish))
    return tuple(merged)
