"""The band as a picture: one row a piece of the room, read back from the release on the right.

SVG 1.1 with attributes alone: no script, no style sheet, no font and no address but the name of
the format. Texture carries the meaning and height repeats what decides the release (full height:
one minute more there and the room is ready later), so that it reads in black and white.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal
from xml.etree import ElementTree as ET

from episodes.amounts import MINUTES_A_DAY
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, StepRow
from episodes.calendars.local_time import Zone, zone
from episodes.exports.safe_text import clean
from episodes.exports.text_words import Words

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

Texture = Literal["coming", "drying", "done", "hands", "shot", "once"]

WIDTH = 960
LABELS = 190
ROW = 24
TOP = 30
FOOT = 34
LEGEND = 32
MARGIN = 12
_LABEL_CELLS = 27
_LEAST = 2.5
"""Units: nothing is so short that it is not seen."""

_WEIGHT: dict[Texture, int] = {
    "coming": 0, "drying": 1, "done": 2, "hands": 3, "shot": 4, "once": 5,
}  # fmt: skip
_RELEASE_CELL = 185
"""Units that the release's own label takes at most."""

_STEPS = (1, 2, 7, 14, 28, 56)
_LEAST_GAP = 62
_SAID: tuple[tuple[Texture, str], ...] = (
    ("hands", "work"),
    ("drying", "drying, waiting"),
    ("coming", "on its way"),
    ("shot", "shot"),
    ("once", "shot, once only"),
    ("done", "done"),
)


@dataclass(frozen=True, slots=True)
class _Paint:
    start: int
    finish: int
    texture: Texture
    taut: bool
    said: str


@dataclass(frozen=True, slots=True)
class _Row:
    title: str
    paints: tuple[_Paint, ...]


def band_svg(answer: CheckAnswer, episode: EpisodeAnswer) -> str:
    """The band of one episode as an `svg` element, for a page or as a file of its own."""
    return ET.tostring(_Band(answer, episode).draw(), encoding="unicode")


def band_file(answer: CheckAnswer, episode: EpisodeAnswer) -> str:
    """The band of one episode as a whole SVG file."""
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{band_svg(answer, episode)}\n'


class _Band:
    def __init__(self, answer: CheckAnswer, episode: EpisodeAnswer) -> None:
        self.words = Words(answer.zone, answer.now)
        self.here: Zone = zone(answer.zone)
        self.now = answer.now
        self.episode = episode
        self.rows = list(_rows(episode, answer.now, self.words))
        paints = [paint for row in self.rows for paint in row.paints]
        first = min([answer.now, episode.release, *(paint.start for paint in paints)])
        last = max([episode.release, *(paint.finish for paint in paints)])
        self.start = self.here.utc(self.here.day(first), 0)
        self.end = self.here.utc(self.here.day(last), MINUTES_A_DAY)
        self.foot = TOP + ROW * max(len(self.rows), 1)
        self.height = self.foot + FOOT + LEGEND

    def x(self, minute: int) -> float:
        share = (minute - self.start) / (self.end - self.start)
        return LABELS + share * (WIDTH - LABELS - MARGIN)

    def draw(self) -> "Element":
        root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {WIDTH} {self.height}",
                "width": str(WIDTH),
                "height": str(self.height),
                "role": "img",
                "aria-labelledby": "band-title band-desc",
                "font-family": "sans-serif",
                "font-size": "12",
            },
        )
        title = ET.SubElement(root, "title", {"id": "band-title"})
        title.text = (
            f"{clean(self.episode.title)}: from {self.words.day(self.start)} to the release"
        )
        ET.SubElement(root, "desc", {"id": "band-desc"}).text = self._told()
        root.append(_patterns())
        ET.SubElement(
            root, "rect", {"width": str(WIDTH), "height": str(self.height), "fill": "#fff"}
        )
        self._grid(root)
        for index, row in enumerate(self.rows):
            self._row(root, row, TOP + index * ROW)
        self._edges(root)
        self._legend(root)
        return root

    def _told(self) -> str:
        """What the picture shows, for who cannot see it."""
        parts = [f"The release is {self.words.moment(self.episode.release)}."]
        for row in self.rows:
            if row.paints:
                start = min(paint.start for paint in row.paints)
                finish = max(paint.finish for paint in row.paints)
                span = f"{self.words.moment(start)} to {self.words.moment(finish)}"
                parts.append(f"{row.title}: {span}.")
        return " ".join(parts)

    def _grid(self, root: "Element") -> None:
        """A line every so many days before the release, counted at its own hour of the day."""
        days = (self.end - self.start) / MINUTES_A_DAY
        unit = (WIDTH - LABELS - MARGIN) / days
        step = next((step for step in _STEPS if step * unit >= _LEAST_GAP), _STEPS[-1])
        release_day = self.here.day(self.episode.release).toordinal()
        first_day = self.here.day(self.start).toordinal()
        for day in range(release_day - step, first_day - 1, -step):
            minute = self.here.utc(date.fromordinal(day), 0)
            x = self.x(minute)
            _line(root, x, TOP - 4, x, self.foot + 4, stroke="#bbb")
            _text(root, x, self.foot + 17, f"-{release_day - day} d", anchor="middle")
            _text(root, x, self.foot + 30, self.words.day(minute), anchor="middle", size=10)

    def _row(self, root: "Element", row: _Row, top: int) -> None:
        _line(root, LABELS, top + ROW - 3, WIDTH - MARGIN, top + ROW - 3, stroke="#ddd")
        _text(root, 4, top + ROW - 7, clean(row.title, limit=_LABEL_CELLS))
        for paint in sorted(row.paints, key=lambda one: (_WEIGHT[one.texture], one.start)):
            start, finish = self.x(paint.start), self.x(paint.finish)
            wide = max(finish - start, _LEAST)
            group = ET.SubElement(root, "g")
            ET.SubElement(group, "title").text = paint.said
            _shape(group, paint.texture, start, top + 2, wide, ROW - 5, taut=paint.taut)

    def _edges(self, root: "Element") -> None:
        now, release = self.x(self.now), self.x(self.episode.release)
        said = f"release {self.words.moment(self.episode.release)}"
        anchor = "end" if release > WIDTH - 2 * _RELEASE_CELL else "start"
        edge = min(release, WIDTH - MARGIN)
        taken = (edge - _RELEASE_CELL, edge) if anchor == "end" else (edge, edge + _RELEASE_CELL)
        if self.start <= self.now <= self.end:
            _line(root, now, TOP - 12, now, self.foot + 4, stroke="#000", dash="3 3")
            clear = now + 14 < taken[0] or now - 14 > taken[1]
            beside = min(now - 3, taken[0] - 6)
            _text(
                root,
                now if clear else beside,
                TOP - 15,
                "now",
                anchor="middle" if clear else "end",
            )
        _line(root, release, TOP - 12, release, self.foot + 4, stroke="#000", width=4)
        _text(root, edge, TOP - 15, said, anchor=anchor, bold=True)

    def _legend(self, root: "Element") -> None:
        x, y = 4.0, self.foot + FOOT + 14
        for texture, said in _SAID:
            _shape(root, texture, x, y - 10, 22, 14, taut=False)
            _text(root, x + 27, y + 3, said)
            x += 40 + 6.6 * len(said)
        _shape(root, "hands", x, y - 10, 22, 14, taut=True)
        _text(root, x + 27, y + 3, "full height: decides when the room is ready")


def _rows(episode: EpisodeAnswer, now: int, words: Words) -> Iterator[_Row]:
    """A row a job in the file's order, one for the shots, one for each parcel not yet usable."""
    for job, title in episode.jobs:
        paints = tuple(
            paint
            for row in episode.steps
            if row.job == job and row.kind in ("hands", "wait", "dry")
            for paint in _paints(row, now, words)
        )
        if paints:
            yield _Row(clean(title or job), paints)
    shots = tuple(
        paint for row in episode.steps if row.kind == "shot" for paint in _paints(row, now, words)
    )
    if shots:
        yield _Row("Filming", shots)
    for row in episode.steps:
        if row.kind == "parcel" and row.state != "done":
            paints = tuple(_paints(row, now, words))
            if paints:
                yield _Row(clean(row.title), paints)


def _paints(row: StepRow, now: int, words: Words) -> Iterator[_Paint]:
    if row.start is None or row.state == "dropped":
        return
    finish = row.start if row.finish is None else row.finish

    def paint(start: int, end: int, texture: Texture, taut: bool) -> _Paint:
        said = f"{clean(row.title)}, {words.stretch(start, end)}"
        return _Paint(start, end, texture, taut, said)

    if row.state == "done":
        yield paint(row.start, finish, "done", False)
    elif row.kind == "parcel":
        yield paint(row.start, finish, "coming", row.critical)
    elif row.kind in ("wait", "dry"):
        yield paint(row.start, finish, "drying", row.critical)
    else:
        texture: Texture = "hands" if row.kind == "hands" else "once" if row.once else "shot"
        if row.state == "started" and row.start < now:
            yield paint(row.start, now, "done", False)
        for start, end in row.sessions or ((max(row.start, now), finish),):
            yield paint(start, end, texture, row.critical)


# -- shapes --------------------------------------------------------------------------------------


def _patterns() -> "Element":
    defs = ET.Element("defs")
    hatch = _pattern(defs, "band-drying", 6, turn=45)
    ET.SubElement(hatch, "rect", {"width": "6", "height": "6", "fill": "#fff"})
    ET.SubElement(hatch, "rect", {"width": "2", "height": "6", "fill": "#000"})
    dots = _pattern(defs, "band-coming", 5)
    ET.SubElement(dots, "rect", {"width": "5", "height": "5", "fill": "#fff"})
    ET.SubElement(dots, "circle", {"cx": "2.5", "cy": "2.5", "r": "1", "fill": "#000"})
    return defs


def _pattern(defs: "Element", id: str, size: int, turn: int = 0) -> "Element":
    attributes = {
        "id": id,
        "width": str(size),
        "height": str(size),
        "patternUnits": "userSpaceOnUse",
    }
    if turn:
        attributes["patternTransform"] = f"rotate({turn})"
    return ET.SubElement(defs, "pattern", attributes)


def _shape(
    parent: "Element", texture: Texture, x: float, y: float, wide: float, high: float, *, taut: bool
) -> None:
    """One stretch: full height where it is taut, else the lower half; shots are rings."""
    if texture in ("shot", "once"):
        radius = high * (0.42 if taut else 0.3)
        ring = {"cx": _n(x + wide / 2), "cy": _n(y + high / 2), "stroke": "#000"}
        fill = {"r": _n(radius), "fill": "#fff", "stroke-width": "1.5"}
        ET.SubElement(parent, "circle", {**ring, **fill})
        if texture == "once":
            ET.SubElement(
                parent, "circle", {"cx": ring["cx"], "cy": ring["cy"], "r": _n(radius / 2)}
            )
        return
    if not taut:
        y, high = y + high / 2, high / 2
    look: dict[Texture, dict[str, str]] = {
        "hands": {"fill": "#000"},
        "drying": {"fill": "url(#band-drying)", "stroke": "#000", "stroke-width": "0.7"},
        "coming": {"fill": "url(#band-coming)", "stroke": "#000", "stroke-width": "0.7"},
        "done": {"fill": "#fff", "stroke": "#777", "stroke-dasharray": "3 2"},
    }
    place = {"x": _n(x), "y": _n(y), "width": _n(wide), "height": _n(high)}
    ET.SubElement(parent, "rect", {**place, **look[texture]})


def _line(
    parent: "Element",
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    *,
    stroke: str,
    width: float = 1,
    dash: str = "",
) -> None:
    attributes = {
        "x1": _n(x1), "y1": _n(y1), "x2": _n(x2), "y2": _n(y2),
        "stroke": stroke, "stroke-width": _n(width),
    }  # fmt: skip
    if dash:
        attributes["stroke-dasharray"] = dash
    ET.SubElement(parent, "line", attributes)


def _text(
    parent: "Element",
    x: float,
    y: float,
    said: str,
    *,
    anchor: str = "start",
    size: int = 12,
    bold: bool = False,
) -> None:
    attributes = {"x": _n(x), "y": _n(y), "text-anchor": anchor}
    if size != 12:
        attributes["font-size"] = str(size)
    if bold:
        attributes["font-weight"] = "bold"
    ET.SubElement(parent, "text", attributes).text = said


def _n(value: float) -> str:
    """A number to a tenth, no more digits than that needs."""
    return f"{value:.1f}".removesuffix(".0")
