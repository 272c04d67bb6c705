"""What the readers of steps and of shots have in common: the keys that both take."""

from typing import TypedDict

from episodes.amounts import Estimate
from episodes.files.cautions import brought_on_by
from episodes.files.context import Context, Layers
from episodes.model.episode import Light
from episodes.model.studio import AirBorne, AirNeed
from episodes.trade.cautions import Caution


class Common(TypedDict):
    """Fields of the model that `Step` and `Shot` share."""

    title: str
    gear: tuple[tuple[str, int], ...]
    alone: bool
    light: Light | None
    makes: frozenset[AirBorne]
    needs_air: frozenset[AirNeed]
    does: tuple[str, ...]
    not_before: int | None
    not_after: int | None
    at: int | None
    cost: float | None
    caution: str
    known_cautions: tuple[Caution, ...]
    note: str
    link: str
    tags: tuple[str, ...]
    guessed: Estimate | None


def common(context: Context, layers: Layers, own_id: str, saying: str, id: str) -> Common:
    """The shared fields of one step or shot.

    Args:
        own_id: stands for a title that is left out.
        saying: what a fault calls it.
        id: its id in the episode.
    """
    not_before = context.lower(layers.get("not_before"))
    not_after = context.upper(layers.get("not_after"))
    at = context.lower(layers.get("at"))
    bounds_agree(context, layers, not_before, not_after, at, saying, id)
    makes = layers.get("makes", frozenset())
    does = layers.get("does", ())
    return Common(
        title=layers.get("title", own_id),
        gear=context.gear(layers, saying, id),
        alone=layers.get("alone", False),
        light=layers.get("light"),
        makes=makes,
        needs_air=layers.get("needs_air", frozenset()),
        does=does,
        not_before=not_before,
        not_after=not_after,
        at=at,
        cost=layers.get("cost"),
        caution=layers.get("caution", ""),
        known_cautions=brought_on_by(makes, does) if makes or does else (),
        note=layers.get("note", ""),
        link=layers.get("link", ""),
        tags=layers.get("tags", ()),
        guessed=layers.get("guessed"),
    )


def bounds_agree(
    context: Context,
    layers: Layers,
    not_before: int | None,
    not_after: int | None,
    at: int | None,
    saying: str,
    id: str,
) -> None:
    """A fault where the bounds leave no start at all."""
    if not_before is not None and not_after is not None and not_before > not_after:
        key = layers.find("not_after")[1]
        text = f"{saying}: `not_after` lies before `not_before`."
    elif at is not None and not_before is not None and at < not_before:
        key = layers.find("at")[1]
        text = f"{saying}: `at` lies before `not_before`."
    elif at is not None and not_after is not None and at > not_after:
        key = layers.find("at")[1]
        text = f"{saying}: `at` lies after `not_after`."
    else:
        return
    assert key is not None
    context.fault(
        "bad-bounds",
        key.place("not_after" if "`not_after` lies" in text else "at"),
        text,
        "Move the one or the other.",
        id,
    )
