"""Parcels: from the tables of the schema to the model."""

from collections.abc import Sequence
from datetime import datetime

from episodes.amounts import Estimate
from episodes.files import moments
from episodes.files.activity import bounds_agree
from episodes.files.context import Context, Layer, Layers
from episodes.files.schema_episode import ParcelTable
from episodes.files.values import quoted
from episodes.model.episode import Parcel
from episodes.model.studio import Carrier

_EVENING = 18 * 60
"""When a parcel without a carrier is in hand on its day, as with a carrier that says nothing."""


def read_parcels(context: Context, tables: Sequence[ParcelTable]) -> list[Parcel]:
    """The parcels; what is wrong with them goes to the context's faults."""
    read = (
        _parcel(context, context.layer(table, ("parcel", index)))
        for index, table in enumerate(tables)
        if ("parcel", index) not in context.source.broken
    )
    parcels = list(read)
    _check_replacements(context, parcels)
    return parcels


def _parcel(context: Context, own: Layer) -> Parcel:
    table = own.table
    assert isinstance(table, ParcelTable)
    place = context.source.place(own.path)
    id = context.id_of(own)
    saying = f"parcel {quoted(id)}"
    layers = context.layers(own, kind="parcel")
    if all(layers.lacks(key) for key in ("lead", "promised", "arrived")):
        text = f"{saying} has no `lead`, the time from order to hand."
        mend = 'Write lead = "4..6..12 workdays" or "3d..5d", or when it is `promised`.'
        context.fault("missing-key", place, text, mend, id)
    carrier_name, carrier_layer = layers.find("carrier")
    if carrier_layer is not None:
        context.known(
            "carrier",
            carrier_name,
            context.ground.carriers,
            carrier_layer.place("carrier"),
            f"{saying} comes by",
            id,
        )
    carrier = context.ground.carrier(carrier_name)
    arrives_at = carrier.arrives_at if carrier else _EVENING
    not_before = context.lower(layers.get("not_before"))
    not_after = context.upper(layers.get("not_after"))
    at = context.lower(layers.get("at"))
    bounds_agree(context, layers, not_before, not_after, at, saying, id)
    arrived = context.fact(layers, "arrived", saying, id, minute=arrives_at)
    promised = layers.get("promised")
    return Parcel(
        id=id,
        title=layers.get("title", id),
        kind=layers.get("kind", "delivery"),
        carrier=carrier_name,
        lead=layers.get("lead"),
        guessed=layers.get("guessed"),
        after=context.after(layers, "after", saying, id) or (),
        cost=layers.get("cost"),
        settle=layers.get("settle", Estimate(0, 0, 0)),
        return_within=layers.get("return_within"),
        replaces=_replaces(context, layers, saying, id),
        optional=layers.get("optional", False),
        fallback_only=layers.get("fallback_only", False),
        not_before=not_before,
        not_after=not_after,
        at=at,
        ordered=_ordered(context, layers, carrier, arrived, saying, id),
        promised=(
            None
            if promised is None
            else moments.expected(context.ground.zone, promised, arrives_at)
        ),
        arrived=arrived,
        failed=layers.get("failed"),
        returned=context.fact(layers, "returned", saying, id),
        dropped=context.fact(layers, "dropped", saying, id),
        paid=layers.get("paid"),
        refunded=layers.get("refunded"),
        note=layers.get("note", ""),
        link=layers.get("link", ""),
        tags=layers.get("tags", ()),
        place=place,
    )


def _ordered(
    context: Context,
    layers: Layers,
    carrier: Carrier | None,
    arrived: int | None,
    saying: str,
    id: str,
) -> int | None:
    """When it was ordered. A day alone is before the cutoff of that day, and before it arrived."""
    cutoff = carrier.cutoff if carrier and carrier.cutoff is not None else moments.LAST_MINUTE
    at = context.fact(layers, "ordered", saying, id, minute=cutoff, of_today_is_now=False)
    value, layer = layers.find("ordered")
    if at is None or arrived is None or at <= arrived or layer is None:
        return at
    day_of_order = moments.local_day(context.ground.zone, value)
    if isinstance(value, datetime) or day_of_order > context.ground.zone.day(arrived):
        text = f"{saying}: `arrived` lies before `ordered`."
        context.fault(
            "facts-disagree", layer.place("ordered"), text, "Mend the one or the other.", id
        )
    return arrived


def _replaces(context: Context, layers: Layers, saying: str, id: str) -> str | None:
    name: str | None
    name, layer = layers.find("replaces")
    if name is None or layer is None:
        return None
    place = layer.place("replaces")
    ref = context.find(name, place, f"{saying} replaces", id)
    if ref is None:
        return None
    if ref.kind != "parcel" or ref.episode != context.id or name == id:
        text = (
            f"{saying}: `replaces` names {quoted(name)}, which is no other parcel of this episode."
        )
        mend = "Name the parcel whose place it takes."
        context.fault("unknown-name", place, text, mend, id)
        return None
    return name


def _check_replacements(context: Context, parcels: Sequence[Parcel]) -> None:
    """Each parcel has one replacement at most, none replaces itself in the end, and one that
    failed without a replacement can be ordered again."""
    replacement: dict[str, Parcel] = {}
    for parcel in parcels:
        if parcel.replaces is None:
            continue
        other = replacement.setdefault(parcel.replaces, parcel)
        if other is not parcel:
            text = (
                f"parcel {quoted(parcel.id)} replaces {quoted(parcel.replaces)},"
                f" and so does {quoted(other.id)}."
            )
            mend = f"If it comes after that one, it replaces {quoted(other.id)}."
            context.fault("replaced-twice", parcel.place, text, mend, parcel.id)
    for parcel in parcels:
        step, seen = parcel.replaces, {parcel.id}
        by_id = {each.id: each for each in parcels} if step is not None else {}
        while step is not None and step in by_id and step not in seen:
            seen.add(step)
            step = by_id[step].replaces
        if step == parcel.id:
            text = f"parcel {quoted(parcel.id)} ends up replacing itself."
            context.fault(
                "replaced-twice", parcel.place, text, "Leave one `replaces` out.", parcel.id
            )
        if parcel.failed and parcel.lead is None and parcel.id not in replacement:
            text = f"parcel {quoted(parcel.id)} failed, nothing replaces it, and it has no `lead`."
            mend = "Write the lead of a new order, or the parcel that replaces it."
            context.fault("missing-key", parcel.place, text, mend, parcel.id)
