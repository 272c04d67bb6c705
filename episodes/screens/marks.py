"""What is drawn with: the shapes of the band and the styles of text, in Unicode and in ASCII.

Shape carries the meaning (full height is taut, half height has slack); colour only repeats it, in
the terminal's own sixteen, so the user's light or dark palette is followed.
"""

from dataclasses import dataclass

from rich.style import Style

PLAIN = Style()
BOLD = Style(bold=True)
FAINT = Style(dim=True)
REVERSED = Style(reverse=True)
HERE = Style(reverse=True, bold=True)
ALARM = Style(reverse=True, bold=True)
DRYING = Style(color="cyan")
ON_ITS_WAY = Style(color="yellow")


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """One set of shapes; each a single cell wide but for the words."""

    hands_taut: str
    hands: str
    drying_taut: str
    drying: str
    coming_taut: str
    coming: str
    settling_taut: str
    settling: str
    shot_once: str
    shot: str
    elsewhere: str
    done: str
    ground: str
    now: str
    edge: str
    taut: str
    cursor: str
    rule: str
    cut: str
    more_left: str
    more_right: str
    fold: str
    unfold: str
    arrows: str
    up_down: str
    box: tuple[str, str, str, str, str, str]
    """Corners top left, top right, bottom left, bottom right, then across and down."""


UNICODE = Marks(
    hands_taut="█",
    hands="▄",
    drying_taut="╳",
    drying="╱",
    coming_taut=":",
    coming="·",
    settling_taut=";",
    settling=",",
    shot_once="◉",
    shot="○",
    elsewhere="░",
    done="╌",
    ground="▁",
    now="┊",
    edge="▐",
    taut="▌",
    cursor="›",
    rule="─",
    cut="…",
    more_left="<",
    more_right=">",
    fold="-",
    unfold="+",
    arrows="←→",
    up_down="↑↓",
    box=("╭", "╮", "╰", "╯", "─", "│"),
)

ASCII = Marks(
    hands_taut="#",
    hands="n",
    drying_taut="X",
    drying="/",
    coming_taut=":",
    coming=".",
    settling_taut=";",
    settling=",",
    shot_once="@",
    shot="o",
    elsewhere="%",
    done="-",
    ground="_",
    now="'",
    edge="|",
    taut="!",
    cursor=">",
    rule="-",
    cut="~",
    more_left="<",
    more_right=">",
    fold="-",
    unfold="+",
    arrows="left/right",
    up_down="up/down",
    box=("+", "+", "+", "+", "-", "|"),
)
