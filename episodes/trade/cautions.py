"""A caution: what can hurt someone at a step, and what to do about it.

The texts live in `cautions.toml` (read by `files`), each with the authority behind it; here are
only their form and the choice among several.
"""

from collections.abc import Iterable
from dataclasses import dataclass

MOST = 3
"""Cautions shown for a step. Of a longer list none is read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution.

    Attributes:
        text: a line for the person who is about to do it.
        weight: its place in the table; the lower, the more it matters.
        authority: who says so, by its public name.
        basis: `published: ..`, `from memory` or `common practice, ..`: how that is known here.
        licensed: who may do it where local code asks for one; "" for anyone.
    """

    id: str
    text: str
    weight: int
    authority: str
    basis: str
    licensed: str = ""


def shown(own: str, *known: Iterable[Caution]) -> tuple[str, ...]:
    """What to show beside a step: its own line first, then the weightiest, at most `MOST`.

    Args:
        own: the line that the step brings itself; "" for none.
        known: the trade's cautions, for its coat, for what it makes and does.
    """
    weighty = sorted({each for group in known for each in group}, key=lambda each: each.weight)
    lines = dict.fromkeys(line for line in (own, *(each.text for each in weighty)) if line)
    return tuple(lines)[:MOST]
