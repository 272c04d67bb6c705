"""Products as JSON: what `materials --json` prints. Lengths are whole minutes, null for never."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from episodes.amounts import Estimate
from episodes.calendars.working_time import NEVER
from episodes.trade.drying import REFERENCE_CELSIUS, REFERENCE_HUMIDITY

if TYPE_CHECKING:
    from episodes.answers.materials import InAir, Material

Record = dict[str, Any]


def materials_record(materials: "Sequence[Material]") -> Record:
    """All that is known of these products, and what the air of a space makes of them."""
    return {
        "format": 1,
        "reference": {"celsius": REFERENCE_CELSIUS, "humidity": REFERENCE_HUMIDITY},
        "products": [_material(each) for each in materials],
    }


def _material(material: "Material") -> Record:
    product = material.product
    coating = product.coating
    return {
        "id": product.id,
        "title": product.title,
        "kind": product.kind,
        "aliases": list(product.aliases),
        "times": _times(coating.times),
        "recoat_by_min": coating.recoat_by,
        "window_until_min": coating.window_until,
        "dries_by": coating.dries_by,
        "q10": coating.q10,
        "min_celsius": coating.lowest_celsius,
        "max_celsius": coating.highest_celsius,
        "max_humidity": coating.highest_humidity,
        "fumes": coating.fumes,
        "dust": coating.dusty,
        "fumes_for_min": product.fumes_for,
        "coats": product.coats,
        "m2_per_litre": product.m2_per_litre,
        "sand_between": product.sand_between,
        "cautions": [
            {
                "id": caution.id,
                "text": caution.text,
                "authority": caution.authority,
                "basis": caution.basis,
                "licensed": caution.licensed or None,
            }
            for caution in material.cautions
        ],
        "advice": list(material.advice),
        "note": product.note,
        "source": dict(product.source),
        "air": None if material.air is None else _air(material.air),
    }


def _air(air: "InAir") -> Record:
    turns = air.changes_before_touch
    return {
        "space": air.space.id,
        "day": air.day.isoformat(),
        "celsius": air.celsius,
        "humidity": air.humidity,
        "times": _times(air.times),
        "open": air.closed_today is None and turns is None,
        "turns_before_touch": None if turns is None else turns.isoformat(),
        "closed": [
            {
                "why": each.why,
                "first": each.first.isoformat(),
                "last": None if each.last is None else each.last.isoformat(),
                "is": each.is_,
                "limit": each.limit,
            }
            for each in air.closed
        ],
    }


def _times(times: "dict[Any, Estimate]") -> Record:
    return {
        stage: {
            name: None if minutes >= NEVER else minutes
            for name, minutes in (("low", time.low), ("likely", time.likely), ("high", time.high))
        }
        for stage, time in times.items()
    }
