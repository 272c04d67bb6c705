"""The shopping list of a build as parcels: what comes together, and what it is needed for."""

from collections.abc import Callable, Mapping
from typing import Any

from episodes.files.plan_text import Block
from episodes.files.recipe_files import load_comings
from episodes.trade.builds import Build, Purchase
from episodes.trade.recipes import Coming


def parcels_of(
    build: Build, job: str, carriers: Mapping[str, str], free: Callable[[str], str]
) -> list[tuple[Block, str]]:
    """A parcel for each errand of the build, with the step that needs it first.

    Args:
        job: id of the build's job.
        carriers: the studio's id for each usual carrier.
        free: an id like the wanted one that nothing bears yet.
    """
    errands: dict[tuple[str, str, str | None, str | None], list[Purchase]] = {}
    for purchase in build.purchases:
        buy = purchase.buy
        errand = (buy.kind, buy.needed_for, buy.after, buy.settle)
        errands.setdefault(errand, []).append(purchase)
    found = []
    for (kind, needed_for, after, settle), group in errands.items():
        coming = load_comings()[kind]
        base = group[0].buy.id if len(group) == 1 else coming.id
        answer = coming.parcel_kind == "answer"
        entries = parcel_entries(
            free(f"{job}-{base}"),
            ", ".join(each.buy.title if answer else each.words for each in group),
            coming,
            carriers,
            after=None if after is None else f"{job}.{after}",
            settle=settle,
            notes=[
                *(each.buy.note for each in group if each.buy.note),
                *(f"cut {each.cuts}" for each in group if each.cuts),
            ],
        )
        found.append((Block(kind="parcel", entries=entries), needed_for))
    return found


def parcel_entries(
    id: str,
    title: str,
    coming: Coming,
    carriers: Mapping[str, str],
    *,
    after: str | None = None,
    settle: str | None = None,
    notes: list[str],
) -> dict[str, Any]:
    """The keys of a parcel that comes in one of the usual ways."""
    entries: dict[str, Any] = {
        "id": id,
        "title": title[:1].upper() + title[1:],
        "kind": coming.parcel_kind,
    }
    if coming.carrier is not None:
        entries["carrier"] = carriers[coming.carrier]
    entries["lead"] = coming.lead
    if after is not None:
        entries["after"] = [after]
    if settle is not None:
        entries["settle"] = settle
    if coming.return_within is not None:
        entries["return_within"] = coming.return_within
    said = [*notes, *([coming.note] if coming.note else [])]
    if said:
        entries["note"] = " ".join(f"{note[:1].upper()}{note[1:].rstrip('.')}." for note in said)
    return entries
