"""A small picture of when a room is ready against its release, in text cells.

One character a stretch of time, the higher or darker the more often the room is ready in it; the
release stands between two cells. Nothing of it is in colour, so it reads the same everywhere.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from episodes.answers.odds import Spread
    from episodes.exports.text_words import Words

_BARS = " ▁▂▃▄▅▆▇█"
_SHADES = " .:-=+*#"
"""From nothing to the fullest cell; plain characters, which every terminal and mail shows."""

_STRETCHES = {1440: "a day", 2880: "2 days", 10080: "a week", 60: "an hour"}


@dataclass(frozen=True, slots=True, kw_only=True)
class OddsPicture:
    """A picture ready to be put anywhere.

    Attributes:
        cells: one character a stretch of time.
        mark: the release stands before this cell (0 to `len(cells)`): what is left of it is in
            time, what is right of it late.
        minutes: of a cell.
        start, release, end: UTC minutes of the first edge, the release and the last edge.
    """

    cells: str
    mark: int
    minutes: int
    start: int
    release: int
    end: int

    @property
    def marked(self) -> str:
        """The cells with the release among them."""
        return f"{self.cells[: self.mark]}|{self.cells[self.mark :]}"


def odds_picture(
    spread: "Spread", release: int, width: int = 48, *, plain: bool = False
) -> OddsPicture:
    """The picture of a spread in at most `width` cells.

    Args:
        plain: in ASCII.
    """
    minutes = (spread.end - spread.start) // len(spread.shares)
    mark = (release - spread.start) // minutes
    before, after = list(spread.shares[:mark]), list(spread.shares[mark:])
    together = 1
    while -(-len(before) // together) - (-len(after) // together) > max(width, 2):
        together += 1
    # Joined from the release outwards, so that it stays on an edge.
    early = [sum(before[max(at - together, 0) : at]) for at in range(len(before), 0, -together)]
    late = [sum(after[at : at + together]) for at in range(0, len(after), together)]
    shares = [*reversed(early), *late]
    levels = _SHADES if plain else _BARS
    fullest, top = max(shares), len(levels) - 1
    return OddsPicture(
        cells="".join(
            levels[0 if share <= 0 else max(1, round(share / fullest * top))] for share in shares
        ),
        mark=len(early),
        minutes=minutes * together,
        start=release - len(early) * minutes * together,
        release=release,
        end=release + len(late) * minutes * together,
    )


def picture_rows(picture: OddsPicture, words: "Words") -> tuple[str, str]:
    """The picture with its two ends, and below it what stands where."""
    from episodes.exports.text_words import length

    first = words.day(picture.start)
    cell = _STRETCHES.get(picture.minutes) or length(picture.minutes)
    return (
        f"{first} [{picture.marked}] {words.day(picture.end)}",
        f"{' ' * (len(first) + 2 + picture.mark)}^ release; a character is {cell}",
    )
