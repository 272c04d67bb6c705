"""Looks: the terminal's own colours, none at all, or the strongest contrast there is.

Shape carries every meaning, so a look only maps styles to styles. `EPISODES_LOOK` chooses one at
the start; the palette changes it while the screens are open.
"""

import os
from collections.abc import Callable
from functools import lru_cache

from rich.style import Style

_DARK = Style(color="#ffffff", bgcolor="#000000")
_LIGHT = Style(color="#000000", bgcolor="#ffffff")


def _as_it_is(style: Style) -> Style:
    return style


@lru_cache(maxsize=256)
def _monochrome(style: Style) -> Style:
    """Bold, dim and reverse alone."""
    return Style(bold=style.bold, dim=style.dim, reverse=style.reverse, meta=style.meta)


@lru_cache(maxsize=256)
def _on_black(style: Style) -> Style:
    """White on black, nothing dimmed: the contrast of 21 to 1 that two colours can have at most
    (W3C, Web Content Accessibility Guidelines 2.2, contrast ratio)."""
    return Style(bold=style.bold, reverse=style.reverse, meta=style.meta) + _DARK


@lru_cache(maxsize=256)
def _on_white(style: Style) -> Style:
    return Style(bold=style.bold, reverse=style.reverse, meta=style.meta) + _LIGHT


LOOKS: dict[str, Callable[[Style], Style]] = {
    "terminal": _as_it_is,
    "monochrome": _monochrome,
    "white-on-black": _on_black,
    "black-on-white": _on_white,
}


class Look:
    """The look that everything is drawn in."""

    def __init__(self) -> None:
        self.name = "terminal"
        self.style: Callable[[Style], Style] = _as_it_is

    def choose(self, name: str) -> None:
        """Takes a look by name; one that is not known is the terminal's own."""
        self.name = name if name in LOOKS else "terminal"
        self.style = LOOKS[self.name]

    @property
    def plain(self) -> bool:
        """Whether styles stay as they are."""
        return self.name == "terminal"


LOOK = Look()


def from_environment() -> str:
    """The look that the environment asks for."""
    return os.environ.get("EPISODES_LOOK", "")
